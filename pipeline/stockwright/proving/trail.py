"""Where a setup's cutters have been. In: cutting moves, one or many at once. Out: what they surely cleared.

Promise: a point counts as cleared only where one move's own radius reaches it; every move keeps its line in
the text, so that a fault can name it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]
    Mask = NDArray[np.bool_]

__all__ = ["TOUCH", "Trail", "segment_distance"]

TOUCH = 0.01  # mm of height: less is the cutter resting on what it has just cut
CHUNK = 200_000  # distances computed at once, so that memory stays bounded
FEW = 64  # points: fewer are no longer parted by where they lie


@frozen(eq=False)
class Said:
    """Where moves were said: `files` by number, and each move's (n, 2) number of file and line."""

    files: list[str]
    places: Ints

    def __getitem__(self, k: int) -> tuple[str, int]:
        """Give file and line of move k."""
        file, line = self.places[k].tolist()
        return self.files[file], line


@dataclass(eq=False)
class Trail:
    """Every cutting move of a setup so far, in order: n moves, work frame, mm.

    `last` is where the last program ended: what is named when nothing was cut at all.
    """

    last: tuple[str, int] | None = None
    _files: list[str] = field(default_factory=list)
    _parts: list[tuple[Floats, Mask, Ints]] = field(default_factory=list)

    def add(self, a: Floats, b: Floats, radius: float, slack: float, said: tuple[str, int]) -> None:
        """Note a move of the tip from a to b (3,); `radius` surely swept, `slack` more it may reach."""
        self.add_many(a[None], b[None], radius, np.array([slack]), said[0], np.array([said[1]]))

    def add_many(
        self, a: Floats, b: Floats, radius: Floats | float, slack: Floats, file: str, line: Ints
    ) -> None:
        """Note moves as `add` does: ends (n, 3), the rest (n,), the lines of one file."""
        if len(a) == 0:
            return
        if not self._files or self._files[-1] != file:
            self._files.append(file)
        table = np.empty((len(a), 8))
        table[:, 0:2], table[:, 2:4] = a[:, :2], b[:, :2]
        table[:, 4], table[:, 7] = radius, slack
        np.minimum(a[:, 2], b[:, 2], out=table[:, 5])
        np.maximum(a[:, 2], b[:, 2], out=table[:, 6])
        places = np.column_stack([np.full(len(a), len(self._files) - 1), line])
        self._parts.append((table, b[:, 2] < a[:, 2], places))

    def __len__(self) -> int:
        """Count the moves."""
        return sum(len(table) for table, _, _ in self._parts)

    def _whole(self) -> tuple[Floats, Mask, Ints]:
        if not self._parts:
            return np.empty((0, 8)), np.empty(0, dtype=np.bool_), np.empty((0, 2), dtype=np.intp)
        if len(self._parts) > 1:
            tables, falls, places = zip(*self._parts, strict=True)
            self._parts = [(np.concatenate(tables), np.concatenate(falls), np.concatenate(places))]
        return self._parts[0]

    @property
    def a(self) -> Floats:
        """Where each move begins in plan, (n, 2)."""
        return self._whole()[0][:, 0:2]

    @property
    def b(self) -> Floats:
        """Where each move ends in plan, (n, 2)."""
        return self._whole()[0][:, 2:4]

    @property
    def low(self) -> Floats:
        """The lower end of each move, (n,)."""
        return self._whole()[0][:, 5]

    @property
    def high(self) -> Floats:
        """The upper end of each move, (n,)."""
        return self._whole()[0][:, 6]

    @property
    def slack(self) -> Floats:
        """How much further than its radius each move may reach, (n,)."""
        return self._whole()[0][:, 7]

    @property
    def falls(self) -> Mask:
        """Which moves go down, (n,)."""
        return self._whole()[1]

    @property
    def said(self) -> Said:
        """File and line of each move, by its index."""
        return Said(self._files, self._whole()[2])

    def columns(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Give a (n, 2), b (n, 2), radius, low and high (n,)."""
        return self.a, self.b, self._whole()[0][:, 4], self.low, self.high

    def nearest(self, point: tuple[float, float], below: float) -> tuple[str, int] | None:
        """Give where the move nearest to a point was said, among those that come below a height."""
        a, b, radius, low, _ = self.columns()
        index = np.flatnonzero(low <= below)
        if len(index) == 0:
            return None
        distance = segment_distance(np.array([point]), a[index], b[index])[0] - radius[index]
        # Of all that reach the point the deepest, then the first; else the nearest.
        reach = np.maximum(distance, 0.0)
        best = np.lexsort((index, low[index], np.round(reach, 3)))[0]
        return self.said[int(index[best])]

    def swept(self, points: Floats, z: float) -> Mask:
        """Say which points (n, 2) a move has surely cleared down to work z."""
        if len(self) == 0 or len(points) == 0:
            return np.zeros(len(points), dtype=np.bool_)
        a, b, radius, _, high = self.columns()
        deep = np.flatnonzero(high <= z + TOUCH)
        return _swept(points, a[deep], b[deep], radius[deep])


def _swept(points: Floats, a: Floats, b: Floats, radius: Floats) -> Mask:
    low, high = points.min(axis=0), points.max(axis=0)
    near = np.logical_and.reduce(
        [
            (np.minimum(a[:, k], b[:, k]) - radius <= high[k])
            & (np.maximum(a[:, k], b[:, k]) + radius >= low[k])
            for k in (0, 1)
        ]
    )
    a, b, radius = a[near], b[near], radius[near]
    done: Mask = np.zeros(len(points), dtype=np.bool_)
    if len(points) > FEW and len(points) * len(a) > CHUNK:
        # Points that lie apart have few moves in common: each half asks only its own.
        axis = int(np.argmax(high - low))
        order = np.argsort(points[:, axis], kind="stable")
        for half in np.array_split(order, 2):
            done[half] = _swept(points[half], a, b, radius)
        return done
    step = max(1, CHUNK // len(points))
    for k in range(0, len(a), step):
        distance = segment_distance(points, a[k : k + step], b[k : k + step])
        done |= (distance <= radius[k : k + step]).any(axis=1)
    return done


def segment_distance(points: Floats, a: Floats, b: Floats) -> Floats:
    """Distance of points (n, 2) from segments a-b (m, 2), (n, m)."""
    along = b - a
    square = np.maximum((along**2).sum(axis=1), 1e-30)
    offset = points[:, None, :] - a[None, :, :]
    t = np.clip((offset * along[None, :, :]).sum(axis=2) / square, 0.0, 1.0)
    gap = offset - t[:, :, None] * along[None, :, :]
    found: Floats = np.hypot(gap[..., 0], gap[..., 1])
    return found
