"""Numbers as controllers read them. In: millimetres. Out: whole counts of a resolution, and their digits.

Promise: rounded once, to a whole number of units of the last decimal; never `-0`, never an exponent, a digit
on both sides of the point.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stockwright.posting.traits import Units

__all__ = ["MM_PER_INCH", "Way", "count", "counts", "digits", "snap"]

MM_PER_INCH = 25.4  # exact since the international agreement of 1959
Way = Literal["nearest", "down", "up"]
# A value that was already on the grid may stand this far off it in units: rounding it down must not lose one.
_ON_GRID = 1e-6
_FARTHEST = 1e6  # mm: a kilometre is a slip of the planner, not a place on a machine


def _value(mm: float, units: Units, decimals: int) -> float:
    if not (math.isfinite(mm) and abs(mm) <= _FARTHEST):
        raise ValueError(f"{mm} mm is no position")
    scale = 10.0**decimals
    return mm * scale if units == "mm" else mm * scale / MM_PER_INCH


def count(mm: float, units: Units, decimals: int, way: Way = "nearest") -> int:
    """Give a length in mm as a whole count of the last decimal in `units`. Raises ValueError on inf, NaN."""
    value = _value(mm, units, decimals)
    if way == "down":
        return math.floor(value + _ON_GRID)
    if way == "up":
        return math.ceil(value - _ON_GRID)
    return round(value)


def counts(mm: NDArray[np.float64], units: Units, decimals: int) -> list[list[int]]:
    """Give positions (n, 3), mm, as rows of whole counts, nearest. Raises ValueError on inf or NaN."""
    import numpy as np

    if mm.size and not (np.abs(mm) <= _FARTHEST).all():
        raise ValueError("a point is no position")
    scale = mm * 10.0**decimals
    if units == "inch":
        scale = scale / MM_PER_INCH
    rows: list[list[int]] = np.rint(scale).astype(np.int64).tolist()
    return rows


def snap(mm: float, units: Units, decimals: int, way: Way = "nearest") -> float:
    """Give the length in mm that the text will say: on the grid, in the asked direction."""
    whole = count(mm, units, decimals, way)
    scale = 10.0**decimals
    return whole / scale if units == "mm" else whole * MM_PER_INCH / scale


def digits(whole: int, decimals: int, *, point: bool = True) -> str:
    """Write a whole count of 10**-decimals: `digits(-15000, 3)` is `-15.0`; without `point`, `-15`."""
    units, rest = divmod(abs(whole), 10**decimals)
    sign = "-" if whole < 0 else ""
    if rest:
        return f"{sign}{units}.{rest:0{decimals}d}".rstrip("0")
    return f"{sign}{units}.0" if point else f"{sign}{units}"
