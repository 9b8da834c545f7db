"""Planes kept clear of very many points. In: clouds of points, what is wanted. Out: the best planes.

Public:
    Cloud(xy (n, 2), z (n,))            the points; remembers which of them have mattered
    Bound(cloud, "above" | "below", column)
                                        the cloud stays above, or below, the plane whose height is that column
    Growing(size, bounds, unit, low, high, rows=None, most=None)
        .solve(cost) -> (size,)         the optimum over all points
        .limit(most), .in_solver        other limits for `rows`, while no other program was begun
        .in_turn(aims, slack) -> (size,)  the first aim before the second, and so on
Columns 0 and 1 are the slopes per `Unit`, the others what the caller makes of them; all planes of one program
are parallel. Promise: the solver is given points only as they turn out to be in the way, and the answer
holds for every point within `lp.FEASIBLE`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.lp import FEASIBLE, Program
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from stockwright.board.lp import Unit

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]

__all__ = ["Bound", "Cloud", "Growing"]

_FEW = 75  # points that the solver takes at once faster than a few at a time: measured
_CHUNKS = 8  # parts of a cloud that are searched each for its worst point, so that they lie apart


class Cloud:
    """Points (n, 2) with heights (n,), mm, scanned in a fixed number of parts."""

    def __init__(self, xy: Floats, z: Floats) -> None:
        self.xy, self.z = np.asarray(xy, dtype=float), np.ascontiguousarray(z, dtype=float)
        # Row by row, and always into the same memory: fresh memory costs more than the sums (measured).
        self._columns = np.ascontiguousarray(self.xy.T)
        self._off = np.empty_like(self.z)
        self._slopes: tuple[float, float] | None = None
        count = len(self.z)
        self.few = count <= _FEW
        self._cuts = np.array(sorted({int(cut) for cut in np.linspace(0, count, _CHUNKS + 1)}))
        whole = list(range(count)) if self.few else []
        self._known: dict[str, list[int]] = {"above": list(whole), "below": list(whole)}

    def known(self, side: Literal["above", "below"]) -> Indices:
        """Return the indices of the points that have mattered so far on that side, in that order."""
        if not self._known[side]:
            # One in so many, then the reach of those: enough that the first program has an optimum.
            some = np.arange(0, len(self.z), max(1, len(self.z) // 500))
            angle = np.arange(8) * np.pi / 4.0
            span = np.ptp(self.xy[some], axis=0)
            span[span == 0.0] = 1.0
            reach = (self.xy[some] / span) @ np.vstack([np.cos(angle), np.sin(angle)])
            z = self.z[some]
            found = np.concatenate([np.argmax(reach, axis=0), [np.argmin(z), np.argmax(z)]])
            self._known[side] = [int(k) for k in some[sorted(set(found.tolist()))]]
        return np.asarray(self._known[side], dtype=np.intp)

    def off(self, a: float, b: float) -> Floats:
        """Return the heights (n,) over the plane a x + b y; they hold until other slopes are asked for."""
        if self._slopes != (a, b):
            np.dot(np.array([a, b]), self._columns, out=self._off)
            np.subtract(self.z, self._off, out=self._off)
            self._slopes = (a, b)
        return self._off

    def worst(self, off: Floats, side: Literal["above", "below"], c: float) -> Indices:
        """Return the points of each part that break the bound at height `c` most; they are known now."""
        pick = np.argmin if side == "above" else np.argmax
        found = []
        for first, last in zip(self._cuts[:-1], self._cuts[1:], strict=True):
            k = int(first + pick(off[first:last]))
            if (c - off[k] if side == "above" else off[k] - c) > FEASIBLE:
                found.append(k)
        known = self._known[side]
        new = [k for k in found if k not in known]
        known.extend(new)
        return np.asarray(new, dtype=np.intp)


@frozen(eq=False)
class Bound:
    """`cloud` stays above (or below) the plane whose height at the unit's centre is column `column`."""

    cloud: Cloud
    side: Literal["above", "below"]
    column: int

    def rows(self, which: Indices, size: int, unit: Unit) -> tuple[Floats, Floats]:
        """Return the rows (k, size) and limits (k,) of some of its points."""
        rows = np.zeros((len(which), size))
        rows[:, :2] = unit.scaled(self.cloud.xy[which])
        rows[:, self.column] = 1.0
        sign = 1.0 if self.side == "above" else -1.0
        return sign * rows, sign * self.cloud.z[which]


class Growing:
    """A linear program whose rows are points in the way of planes, and a few of the caller's own."""

    def __init__(
        self,
        size: int,
        bounds: Sequence[Bound],
        unit: Unit,
        low: ArrayLike,
        high: ArrayLike,
        rows: Floats | None = None,
        most: Floats | None = None,
    ) -> None:
        self._size, self._bounds, self._unit = size, tuple(bounds), unit
        parts = [b.rows(b.cloud.known(b.side), size, unit) for b in self._bounds]
        self._own = sum(len(m) for _, m in parts)
        if rows is not None and most is not None:
            parts.append((rows, most))
        self._program = Program(
            np.vstack([r for r, _ in parts]), np.concatenate([m for _, m in parts]), low, high
        )

    @property
    def in_solver(self) -> bool:
        """Whether it can go on: no other program was begun since."""
        return self._program.in_solver

    def limit(self, most: Floats) -> None:
        """Give the caller's own rows other limits."""
        self._program.limit(self._own, most)

    def solve(self, cost: ArrayLike) -> Floats:
        """Return the optimum over all points."""
        while True:
            x = self._program.solve(cost)
            if not self._learn(x):
                return x

    def in_turn(self, aims: Sequence[Floats], slack: float) -> Floats:
        """Return the x that is best in the first aim, among those in the second, and so on.

        An aim reached may be given up by `slack` for those that follow.
        """
        x = np.zeros(self._size)
        for aim in aims:
            x = self.solve(aim)
            self._program.add(aim[None, :], np.array([float(aim @ x) + slack]))
        return x

    def _learn(self, x: Floats) -> bool:
        """Add the points that stand in the way of `x`; return whether there were any."""
        slopes = self._unit.slopes(float(x[0]), float(x[1]))
        learnt = False
        for bound in self._bounds:
            cloud = bound.cloud
            if cloud.few:
                continue
            c = self._unit.at_origin(float(x[0]), float(x[1]), float(x[bound.column]))
            which = cloud.worst(cloud.off(*slopes), bound.side, c)
            if len(which):
                self._program.add(*bound.rows(which, self._size, self._unit))
                learnt = True
        return learnt
