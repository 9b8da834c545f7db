"""The table to fill in. In: the places. Out: CSV with the columns `x,y,z`, z left open.

Promise: once filled in it can be read as it is: x and y in the board frame, and the height of the upper face
above the bed; a z that is still open is a mistake with its line when the board is read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.probing.touches import Touch

__all__ = ["table"]


def table(touches: Iterable[Touch], units: Literal["mm", "inch"] = "mm") -> str:
    """Give the table's text, a line for each place in the order in which they are read.

    In inches where the control shows them: `units: inch` then stands beside its name in the board's document.
    """
    scale, digits = (INCH, 4) if units == "inch" else (1.0, 3)
    lines = [f"{round(t.x / scale, digits):g},{round(t.y / scale, digits):g},\n" for t in touches]
    return "x,y,z\n" + "".join(lines)
