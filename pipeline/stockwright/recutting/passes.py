"""What a program cuts, by its text.

In: a `Reading`. Out: `Run`s: the rows from one lowering to the next raising. Promise: nothing but the text is
used; work frame, mm. A row is a straight move of the reading.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.packet.model import PlaneGoal
    from stockwright.proving.program import Moves

    Floats = NDArray[np.float64]

__all__ = ["SAME_LEVEL", "Run", "face_runs", "greatest_bite", "runs"]

SAME_LEVEL = 0.05  # mm: levels are written in thousandths and lie tenths apart; common practice, no source
LEVEL = 1e-4  # mm: a fall of less is level


@frozen(eq=False)
class Run:
    """Rows `first` to `last` (half open) of `moves`: all at a feed, from lowered to raised.

    `entered` is the first row that goes along at the run's lowest height: those before it lower the cutter.
    """

    moves: Moves
    first: int
    last: int
    entered: int
    z: float

    @property
    def points(self) -> Floats:
        """The start, then every row's end, (n + 1, 3)."""
        rows = slice(self.first, self.last)
        return np.vstack([self.moves.start[self.first], self.moves.end[rows]])

    @property
    def feeds(self) -> Floats:
        """The feed of every row, mm/min (n,)."""
        return self.moves.feed[self.first : self.last]


def runs(moves: Moves) -> tuple[Run, ...]:
    """Give every run of a program in its order; a row from a place not yet known is none."""
    known = np.isfinite(np.hstack([moves.start, moves.end])).all(axis=1)
    feeding = np.concatenate([[False], ~moves.rapid & known & (moves.rpm > 0), [False]])
    edges = np.flatnonzero(feeding[1:] != feeding[:-1]).reshape(-1, 2)
    found: list[Run] = []
    for first, last in edges.tolist():
        z = float(moves.end[first:last, 2].min())
        along = np.any(moves.start[first:last, :2] != moves.end[first:last, :2], axis=1)
        low = along & (moves.start[first:last, 2] <= z + LEVEL) & (moves.end[first:last, 2] <= z + LEVEL)
        entered = int(np.flatnonzero(low)[0]) + first if low.any() else last
        found.append(Run(moves, first, last, entered, z))
    return tuple(found)


def face_runs(every: tuple[Run, ...], goal: PlaneGoal, radius: float) -> tuple[Run, ...]:
    """Give the runs of the last level over a flat goal's region: those whose lowest height is the goal's."""
    import shapely

    region = shapely.Polygon(goal.region).buffer(radius)
    found = [run for run in every if abs(run.z - goal.z) <= SAME_LEVEL]
    return tuple(run for run in found if shapely.intersects(shapely.LineString(run.points[:, :2]), region))


def greatest_bite(every: tuple[Run, ...], last: float, top: float) -> float:
    """Give the deepest step a program has taken on its way from wood at `top` to its `last` level, mm."""
    levels = sorted({round(run.z, 6) for run in every if last - SAME_LEVEL <= run.z <= top}, reverse=True)
    heights = [top, *levels] if levels else [top, last]
    return max(a - b for a, b in itertools.pairwise(heights))
