"""What every move takes off the wood. In: a setup and its programs. Out: `Bites`, one for each program.

Promise: never less than is really taken off a board. Scrap is left out, for it is fastened by itself. Along a
wall the bite is computed exactly, height by height and station by station along the line, because a light
pass is narrower than any grid; everywhere else it is read from the wood's points.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.checking.paths import paths_of
from stockwright.frozen import frozen
from stockwright.planning.setup import EdgeCut, FaceCut

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from stockwright.checking.situation import Run
    from stockwright.checking.wood import Eaten
    from stockwright.machine import Machine
    from stockwright.planning.setup import Setup

    Floats = NDArray[np.float64]

__all__ = ["Bites", "bites_of"]

STATIONS = 96  # along a wall
NEAR = 0.02  # mm: what is nearer is the same place; a post's coarsest step is less

# One cross-section: row, width, depth, whether the wood is on the left, wall: as `Bites` has them.
_Slice = tuple[int, float, float, bool, int]


@frozen(eq=False)
class Bites:
    """The cross-sections that a program's feed moves take, k of them; those of one move act together.

    `row` (k,) counts the rows of `a`, `b` (n, 3), work frame, and `feed` (n,), mm/min; `width` sideways and
    `depth` downwards (k,), mm; `left` (k,): the wood stands on the left of the way, which is conventional;
    `wall` (k,): the index in the setup's cuts of the wall it belongs to, -1 for none.
    """

    run: Run
    a: Floats
    b: Floats
    feed: Floats
    row: NDArray[np.intp]
    width: Floats
    depth: Floats
    left: NDArray[np.bool_]
    wall: NDArray[np.intp]

    def __len__(self) -> int:
        """Count the cross-sections."""
        return len(self.row)


def bites_of(
    setup: Setup, runs: Sequence[Run], machine: Machine, eaten: Mapping[str, Sequence[Eaten]]
) -> tuple[Bites, ...]:
    """Return what each run of a setup takes, in order; `eaten` is what the wood's points say, by stem."""
    walls = [
        _Wall(index, cut) for index, cut in enumerate(setup.cuts) if isinstance(cut, EdgeCut) and cut.waste
    ]
    faces = [cut for cut in setup.cuts if isinstance(cut, FaceCut)]
    return tuple(_bites(run, walls, faces, machine, eaten.get(run.program.stem, ())) for run in runs)


def _bites(
    run: Run, walls: list[_Wall], faces: list[FaceCut], machine: Machine, eaten: Sequence[Eaten]
) -> Bites:
    moves = run.moves
    kept = np.flatnonzero(np.isfinite(moves.end[:, :2]).all(axis=1))
    paths = paths_of(moves, machine, run.setup.work_origin)
    tool = run.program.tool
    own = [w for w in walls if w.cut.tool.name == tool.name]
    lowest_face = min((cut.z for cut in faces if cut.tool.name == tool.name), default=np.inf)
    slices: list[_Slice] = []
    along: set[int] = set()
    if run.program.purpose == "cut":
        level = (
            ~paths.rapid & (np.abs(paths.a[:, 2] - paths.b[:, 2]) < NEAR) & (paths.low < lowest_face - NEAR)
        )
        for wall in own:
            for row in wall.beside(paths.a, paths.b, level, tool.radius):
                along.add(row)
                slices += wall.take(row, paths.a[row], paths.b[row], tool.radius)
        slices += [(e.row, e.width, e.depth, e.left, -1) for e in eaten if e.row not in along]
    slices.sort(key=lambda each: each[0])
    return Bites(
        run=run,
        a=paths.a,
        b=paths.b,
        feed=moves.feed[kept],
        row=np.array([each[0] for each in slices], dtype=np.intp),
        width=np.array([each[1] for each in slices], dtype=np.float64),
        depth=np.array([each[2] for each in slices], dtype=np.float64),
        left=np.array([each[3] for each in slices], dtype=np.bool_),
        wall=np.array([each[4] for each in slices], dtype=np.intp),
    )


class _Wall:
    """One wall seen along t (its line) and n (outwards): how far out wood stands, by height and station."""

    def __init__(self, index: int, cut: EdgeCut) -> None:
        self.index, self.cut = index, cut
        self.origin = np.asarray(cut.line[0], dtype=np.float64)
        way = np.asarray(cut.line[1], dtype=np.float64) - self.origin
        self.t = way / float(np.hypot(*way))
        self.side = 1.0 if cut.inside == "left" else -1.0
        self.n = self.side * np.array([self.t[1], -self.t[0]])
        # A hollow wall is followed by short moves that come a little nearer, each less than the hollow.
        self.bend = 0.0 if cut.wall is None else float(-((cut.wall - self.origin) @ self.n).min())
        at = np.vstack([self._dense(np.asarray(ring, dtype=np.float64)) for ring in cut.waste])
        self.low, self.high = float(at[:, 0].min()), float(at[:, 0].max())
        self.each = max(self.high - self.low, NEAR) / STATIONS
        self.outer = np.zeros(STATIONS)
        station = np.clip(((at[:, 0] - self.low) / self.each).astype(int), 0, STATIONS - 1)
        np.maximum.at(self.outer, station, at[:, 1])
        # A corner on a station's border belongs to both sides of it.
        beside = np.maximum(np.r_[self.outer[1:], 0.0], np.r_[0.0, self.outer[:-1]])
        self.widest = float(self.outer.max())
        self.outer = np.maximum(self.outer, beside)
        self.before: list[tuple[float, float, NDArray[np.bool_]]] = []

    def _dense(self, ring: Floats) -> Floats:
        """Give a ring's places (t, n), near enough to one another that every station has some."""
        away = np.vstack([ring, ring[:1]]) - self.origin
        seen = np.column_stack([away @ self.t, away @ self.n])
        count = 4 * STATIONS
        steps = np.linspace(0.0, 1.0, count)[None, :, None]
        return np.asarray((seen[:-1, None] + steps * (seen[1:, None] - seen[:-1, None])).reshape(-1, 2))

    def beside(self, a: Floats, b: Floats, level: NDArray[np.bool_], radius: float) -> list[int]:
        """Return the rows that run along this wall where its waste stands."""
        (ta, na), (tb, nb) = self._seen(a), self._seen(b)
        rim = na - radius
        here = level & (np.abs(na - nb) < NEAR + self.bend) & (np.abs(ta - tb) > NEAR)
        here &= (rim > -radius) & (rim < self.widest)
        here &= (np.minimum(ta, tb) < self.high + radius) & (np.maximum(ta, tb) > self.low - radius)
        here &= a[:, 2] < self.cut.ceiling - NEAR
        return [int(row) for row in np.flatnonzero(here)]

    def take(self, row: int, a: Floats, b: Floats, radius: float) -> list[_Slice]:
        """Return what one pass takes, from its tip up to the wall's top, and take it."""
        (ta, tb), (na, nb) = self._seen(np.vstack([a, b]))
        rim, z = float(min(na, nb)) - radius, float(a[2])
        low, high = min(ta, tb), max(ta, tb)
        border = self.low + self.each * np.arange(STATIONS + 1)
        here = (border[1:] > low) & (border[:-1] < high)
        # Wood that a pass covers only in part is not counted as gone; along a hollow wall the next move goes
        # on where this one ends.
        near = self.each if self.bend else NEAR
        whole = (border[:-1] >= low - near) & (border[1:] <= high + near)
        heights = sorted({z, *(lower for lower, _, _ in self.before if z < lower < self.cut.ceiling)})
        # Wood on the left of the way: the wall's inside is there.
        left = (tb > ta) == (self.side > 0)
        found = []
        for bottom, top in zip(heights, [*heights[1:], self.cut.ceiling], strict=True):
            stands = self.outer.copy()
            for lower, reached, covered in self.before:
                if lower <= bottom + NEAR:
                    stands[covered] = np.minimum(stands[covered], reached)
            width = float(stands[here].max() - rim) if here.any() else 0.0
            if width > NEAR:
                found.append((row, min(width, 2 * radius), top - bottom, left, self.index))
        self.before.append((z, rim, whole))
        return found

    def _seen(self, at: Floats) -> tuple[Floats, Floats]:
        away = at[:, :2] - self.origin
        return away @ self.t, away @ self.n
