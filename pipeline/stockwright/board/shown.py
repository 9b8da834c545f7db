"""What a picture shows of a board beside its surfaces. In: a seating, levels. Out: `Shown`.

Public:
    Level(face, height, lines (n, 2, 2), radius)    `.spans(axis, fixed)` -> where it cuts along a section
    Shown(seating, words, levels)
Promise: a level is drawn where its cutter passes, and nowhere else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.seating import Seating

    Floats = NDArray[np.float64]

__all__ = ["Level", "Shown"]


@frozen(eq=False)
class Level:
    """A depth of a face's cut: `height` mm above the finished face, `lines` (n, 2, 2) of the cutter."""

    face: str
    height: float
    lines: Floats
    radius: float

    def spans(self, axis: int, fixed: float) -> list[tuple[float, float]]:
        """Return where the cutter passes over the line along `axis` at `fixed` of the other one, rising."""
        reach = []
        for p, q in self.lines:
            a, b = float(p[1 - axis]) - fixed, float(q[1 - axis]) - fixed
            first, last = _within(a, b, self.radius)
            if first > last:
                continue
            ends = sorted(float(p[axis] + share * (q[axis] - p[axis])) for share in (first, last))
            # As far as the round cutter reaches on the line from the nearest place of its way.
            off = 0.0 if a * b <= 0.0 else min(abs(a + share * (b - a)) for share in (first, last))
            wide = float(np.sqrt(max(self.radius**2 - off**2, 0.0)))
            reach.append((ends[0] - wide, ends[1] + wide))
        merged: list[tuple[float, float]] = []
        for start, end in sorted(reach):
            if merged and start <= merged[-1][1]:
                merged[-1] = (merged[-1][0], max(merged[-1][1], end))
            else:
                merged.append((start, end))
        return merged


def _within(a: float, b: float, most: float) -> tuple[float, float]:
    """Return from which to which share of the way from `a` to `b` one is within `most` of 0; none: 1, 0."""
    if a == b:
        return (0.0, 1.0) if abs(a) <= most else (1.0, 0.0)
    first, last = sorted(((-most - a) / (b - a), (most - a) / (b - a)))
    return max(first, 0.0), min(last, 1.0)


@frozen(eq=False)
class Shown:
    """A seating with the finished faces' planes as its `top` and `bottom`; `words` say whose it is."""

    seating: Seating
    words: str
    levels: tuple[Level, ...] = ()
