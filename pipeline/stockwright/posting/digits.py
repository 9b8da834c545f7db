"""Numbers as controllers read them. In: millimetres. Out: whole counts of a resolution, and their digits.

Promise: rounded once, to a whole number of units of the last decimal; never `-0`, never an exponent, always a
digit on both sides of the point.
"""

from __future__ import annotations

import math
from functools import cache, partial
from typing import TYPE_CHECKING, Literal

from stockwright.units import INCH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stockwright.posting.traits import Units

__all__ = ["Numbers", "Way", "count", "counts", "digits", "grid", "snap", "step_of"]

Way = Literal["nearest", "down", "up"]
# A value that was already on the grid may stand this far off it in units: rounding it down must not lose one.
_ON_GRID = 1e-6
_TABLED = 4  # decimals up to which every remainder's digits are kept ready: ten thousand short strings
_FARTHEST = 1e6  # mm: a kilometre is a slip of the planner, not a place on a machine


def _value(mm: float, units: Units, decimals: int) -> float:
    if not (math.isfinite(mm) and abs(mm) <= _FARTHEST):
        raise ValueError(f"{mm} mm is no position")
    scale = 10.0**decimals
    return mm * scale if units == "mm" else mm * scale / INCH


def step_of(decimals: int, units: Units) -> float:
    """Give the size of the last of `decimals` in `units`, mm."""
    return 10.0**-decimals if units == "mm" else 10.0**-decimals * INCH


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
    rows: list[list[int]] = grid(mm, units, decimals).tolist()
    return rows


def grid(mm: NDArray[np.float64], units: Units, decimals: int) -> NDArray[np.int64]:
    """Give positions (n, 3), mm, as whole counts, nearest, (n, 3). Raises ValueError on inf or NaN."""
    import numpy as np

    if mm.size and not (np.abs(mm) <= _FARTHEST).all():
        raise ValueError("a point is no position")
    scale = mm * 10.0**decimals
    if units == "inch":
        scale = scale / INCH
    found: NDArray[np.int64] = np.rint(scale).astype(np.int64)
    return found


def snap(mm: float, units: Units, decimals: int, way: Way = "nearest") -> float:
    """Give the length in mm that the text will say: on the grid, in the asked direction."""
    whole = count(mm, units, decimals, way)
    scale = 10.0**decimals
    return whole / scale if units == "mm" else whole * INCH / scale


def digits(
    whole: int, decimals: int, *, point: bool = True, full: bool = False, plus: bool = False, least: int = 1
) -> str:
    """Write a whole count of 10**-decimals: `digits(-15000, 3)` is `-15.0`; without `point`, `-15`.

    `full`: all decimals, `-15.000`; `plus`: a sign before what is not below zero; `least`: digits before the
    point at least, filled up with zeros.
    """
    units, rest = divmod(abs(whole), 10**decimals)
    sign = "-" if whole < 0 else "+" if plus else ""
    front = f"{sign}{units:0{least}d}"
    if full and decimals:
        return f"{front}.{rest:0{decimals}d}"
    if rest:
        return f"{front}.{rest:0{decimals}d}".rstrip("0")
    return f"{front}.0" if point else front


@cache
def _ends(decimals: int, *, point: bool, full: bool) -> list[str]:
    """Give what stands after the whole digits, for every remainder: looked up, not worked out."""
    return [digits(rest, decimals, point=point, full=full)[1:] for rest in range(10**decimals)]


class Numbers:
    """One dialect's way of writing positions: whole counts of 10**-`decimals`, one or many at once."""

    def __init__(
        self, decimals: int, *, point: bool = True, full: bool = False, plus: bool = False, least: int = 1
    ) -> None:
        self.decimals = decimals
        self._say = partial(digits, decimals=decimals, point=point, full=full, plus=plus, least=least)
        self._sign = "+" if plus else ""
        self._least = least
        self._ends: list[str] | None = None
        if decimals <= _TABLED:
            self._ends = _ends(decimals, point=point, full=full)

    def one(self, whole: int) -> str:
        """Write one count."""
        return self._say(whole)

    def many(self, whole: NDArray[np.int64], letter: str = "") -> list[str]:
        """Write a column of counts, (n,), each after `letter`."""
        import numpy as np

        ends = self._ends
        if ends is None:
            return [letter + self._say(each) for each in whole.tolist()]
        units, rest = np.divmod(np.abs(whole), 10**self.decimals)
        plus, form = self._sign, f"0{self._least}d" if self._least > 1 else ""
        pairs = zip(units.tolist(), rest.tolist(), strict=True)
        if not (whole < 0).any() and not plus and not form:
            return [f"{letter}{unit}{ends[left]}" for unit, left in pairs]
        signs = np.where(whole < 0, "-", plus).tolist()
        return [
            f"{letter}{sign}{unit:{form}}{ends[left]}"
            for sign, (unit, left) in zip(signs, pairs, strict=True)
        ]
