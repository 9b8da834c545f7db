"""The moves of one program while they are collected. In: moves in whole steps. Out: motion nodes.

Promise: a rapid is vertical or at the clear height; moves along one line become one move; a move to where the
cutter already stands is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.motion.nodes import Feed, Rapid

if TYPE_CHECKING:
    from stockwright.cutting.steps import Steps
    from stockwright.motion.nodes import Node

__all__ = ["APPROACH", "Path"]

# How far over its level a rapid lowers the cutter, mm; common practice, no source.
APPROACH = 2.0

Place = tuple[int, int, int]


def _goes_on(a: Place, b: Place, c: Place) -> bool:
    """Say whether c lies straight on beyond b, coming from a."""
    p, q = [b[i] - a[i] for i in range(3)], [c[i] - b[i] for i in range(3)]
    cross = (p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0])
    return cross == (0, 0, 0) and sum(i * j for i, j in zip(p, q, strict=True)) > 0


class Path:
    """Moves laid one after another; begins and ends raised at `clear` (steps)."""

    def __init__(self, steps: Steps, clear: int) -> None:
        """Begin raised, over a place not yet known."""
        self.steps, self.clear = steps, clear
        self._nodes: list[Node] = []
        self._here: tuple[int, int] | None = None
        self._z = clear
        self._points: list[Place] = []
        self._feed = 0.0

    @property
    def place(self) -> tuple[int, int] | None:
        """Where the cutter is, None before the first move."""
        return self._here

    def say(self, node: Node) -> None:
        """Lay down a node that does not move."""
        self._flush()
        self._nodes.append(node)

    def raise_up(self) -> None:
        """Go straight up to the clear height."""
        if self._z != self.clear:
            self._flush()
            self._nodes.append(Rapid(z=self.steps.mm(self.clear)))
            self._z = self.clear

    def over(self, x: int, y: int) -> None:
        """Go over a place, at the clear height."""
        self.raise_up()
        if self._here != (x, y):
            self._flush()
            self._nodes.append(Rapid(x=self.steps.mm(x), y=self.steps.mm(y)))
            self._here = (x, y)

    def lower(self, z: int, surface: int, feed: float) -> None:
        """Go straight down to `z`: quickly to a little over `surface`, then at `feed`."""
        approach = surface + self.steps.up(APPROACH)
        if approach < self._z:
            self._flush()
            self._nodes.append(Rapid(z=self.steps.mm(approach)))
            self._z = approach
        assert self._here is not None
        self.feed(*self._here, z, feed)

    def feed(self, x: int, y: int, z: int, feed: float) -> None:
        """Go straight to a place at `feed` mm/min."""
        assert self._here is not None
        start = (*self._here, self._z)
        if start == (x, y, z):
            return
        if self._points and feed != self._feed:
            self._flush()
        if not self._points:
            self._points, self._feed = [start], feed
        if len(self._points) > 1 and _goes_on(self._points[-2], self._points[-1], (x, y, z)):
            self._points[-1] = (x, y, z)
        else:
            self._points.append((x, y, z))
        self._here, self._z = (x, y), z

    def nodes(self) -> tuple[Node, ...]:
        """Raise and give all that was laid down."""
        self.raise_up()
        self._flush()
        return tuple(self._nodes)

    def _flush(self) -> None:
        if self._points:
            points = np.array([[self.steps.mm(c) for c in place] for place in self._points[1:]])
            self._nodes.append(Feed(points, self._feed))
            self._points = []
