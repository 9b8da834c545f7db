"""The moves of a program while it is being read, in columns. In: moves, one or many at once. Out: `Moves`.

Promise: each number of a move is stored once: a move begins where the one before it ended, so that place is
kept once for both, and a column that never changes is kept as a single value.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.proving.program import Moves

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["Track"]


class Track:
    """Moves in order. `room`: how many to make room for; more than that is possible."""

    def __init__(self, room: int) -> None:
        self.count = 0
        room = max(1, room)
        # What is not touched costs no memory, so room for every line of a text is no waste.
        self.path: Floats = np.empty((room + 1, 3))
        self.path[0] = math.nan
        self.line: NDArray[np.intp] = np.empty(room, dtype=np.intp)
        self.rapid: Mask = np.empty(room, dtype=np.bool_)
        self.feed: Floats = np.empty(room)
        self.sagitta: Floats = np.zeros(room)
        self.probing: Mask = np.zeros(room, dtype=np.bool_)
        self.jumps: dict[int, list[float]] = {}
        self.speeds: list[tuple[int, float]] = []

    def add(self, line: int, new: list[float], feed: float, speed: float, sagitta: float = 0.0) -> None:
        """Note a move to `new`; `feed` NaN for a rapid one."""
        self._room(1)
        k = self.count
        self.path[k + 1] = new
        self.line[k] = line
        self.rapid[k] = math.isnan(feed)
        self.feed[k] = feed
        if sagitta:
            self.sagitta[k] = sagitta
        self._speed(speed)
        self.count += 1

    def add_many(self, line: int, ends: Floats, feeds: Floats, speed: float) -> None:
        """Note moves to `ends` (n, 3), one a line from `line` on; `feeds` (n,) as in `add`."""
        n = len(ends)
        self._room(n)
        part = slice(self.count, self.count + n)
        self.path[self.count + 1 : self.count + n + 1] = ends
        self.line[part] = np.arange(line, line + n)
        self.rapid[part] = np.isnan(feeds)
        self.feed[part] = feeds
        self._speed(speed)
        self.count += n

    def touch(self) -> None:
        """Mark the last move as one that stops where something is touched."""
        self.probing[self.count - 1] = True

    def jump(self, here: list[float]) -> None:
        """Let the next move begin at `here`, not where the last one ended."""
        self.jumps[self.count] = list(here)

    def moves(self) -> Moves:
        """Give the columns. They share what they can, so they are not to be written to."""
        n = self.count
        end = self.path[1 : n + 1]
        start = self.path[:n]
        jumps = {k: here for k, here in self.jumps.items() if k < n}
        if jumps:
            start = start.copy()
            for k, here in jumps.items():
                start[k] = here
        found = Moves(
            line=self.line[:n],
            rapid=self.rapid[:n],
            start=start,
            end=end,
            feed=self.feed[:n],
            rpm=self._rpm(),
            sagitta=self.sagitta[:n],
            probing=self.probing[:n],
        )
        for column in (found.line, found.rapid, start, end, found.feed, found.sagitta):
            column.flags.writeable = False
        return found

    def _rpm(self) -> Floats:
        if len(self.speeds) == 1:
            return np.broadcast_to(np.float64(self.speeds[0][1]), self.count)
        values = np.array([speed for _, speed in self.speeds])
        return np.repeat(values, np.diff([*(first for first, _ in self.speeds), self.count]))

    def _speed(self, speed: float) -> None:
        if not self.speeds or self.speeds[-1][1] != speed:
            self.speeds.append((self.count, speed))

    def _room(self, more: int) -> None:
        room = len(self.line)
        if self.count + more <= room:
            return
        room = max(2 * room, self.count + more)
        for name in ("line", "rapid", "feed", "sagitta", "probing", "path"):
            old = getattr(self, name)
            fresh = np.zeros((room + (name == "path"), *old.shape[1:]), dtype=old.dtype)
            fresh[: len(old)] = old
            setattr(self, name, fresh)
