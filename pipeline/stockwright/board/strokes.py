"""The smallest parts of a drawing. In: places and words. Out: SVG. Promise: equal numbers, equal bytes."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["FONT", "Frame", "number", "pairs", "text"]

FONT = '"Liberation Sans", "DejaVu Sans", Arial, Helvetica, sans-serif'


@frozen
class Frame:
    """Where the board's x = y = 0 stands on the drawing, and the scales; y of the board goes up."""

    x: float
    y: float
    along: float
    up: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return a place on the drawing."""
        return self.x + self.along * x, self.y - self.up * y

    def points(self, xy: Floats) -> str:
        """Return places (n, 2) as the `points` of a polygon, or of a path after M."""
        return pairs(self.at(float(x), float(y)) for x, y in xy)


def pairs(places: Iterable[tuple[float, float]]) -> str:
    """Return places of the drawing as pairs of numbers."""
    return " ".join(f"{number(x)},{number(y)}" for x, y in places)


def number(value: float) -> str:
    """Return a number to a tenth, far below what a printer shows."""
    short = f"{value:.1f}".removesuffix(".0")
    return "0" if short == "-0" else short


def text(
    x: float, y: float, words: str, kind: str = "", anchor: str = "start", turn: float | None = None
) -> str:
    """Return words at a place; `anchor` says which part of them stands there."""
    place = f'x="{number(x)}" y="{number(y)}"'
    if turn is not None:
        place += f' transform="rotate({number(turn)} {number(x)} {number(y)})"'
    if kind:
        place += f' class="{kind}"'
    if anchor != "start":
        place += f' text-anchor="{anchor}"'
    return f"<text {place}>{html.escape(words)}</text>"
