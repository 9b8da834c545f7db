"""A program's moves as columns. In: a `Program`. Out: `Moves`, one row a straight move or chord.

Promise: nothing is guessed; an axis that no move has named yet is NaN, not zero.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stockwright.motion.arcs import SAGITTA, chords
from stockwright.motion.nodes import Arc, Feed, Probe, Rapid, UseTool

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.motion.nodes import Program

__all__ = ["Moves", "moves"]


@dataclass(frozen=True, eq=False)
class Moves:
    """Straight moves in order, work frame, n rows.

    `start`, `end` (n, 3) mm, NaN where an axis is not yet known; `feed` (n,) mm/min, NaN for a rapid;
    `rapid` (n,) bool; `node` (n,) int, the index in `program.nodes` of the node that makes the move.
    A move that goes nowhere keeps its row.
    """

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    feed: NDArray[np.float64]
    rapid: NDArray[np.bool_]
    node: NDArray[np.intp]

    def __len__(self) -> int:
        """Count the moves."""
        return len(self.node)

    @property
    def known(self) -> NDArray[np.bool_]:
        """Which moves have all three axes known at both ends, (n,)."""
        total: NDArray[np.float64] = (self.start + self.end).sum(axis=1)
        return np.isfinite(total)


def moves(program: Program) -> Moves:
    """Give the moves of a program, (n,) rows in order.

    After a tool change nothing is known of where the machine stands, so every axis is NaN again. A probing
    move is given as if it touched nothing: down to its floor, which is where the next move starts. An arc is
    given as chords that stand `arcs.SAGITTA` off it at most. Raises ValueError for an arc that is none.
    """
    here = np.full(3, np.nan)
    ends: list[NDArray[np.float64]] = []
    starts: list[NDArray[np.float64]] = []
    feeds: list[NDArray[np.float64]] = []
    rapids: list[NDArray[np.bool_]] = []
    nodes: list[NDArray[np.intp]] = []
    for index, node in enumerate(program.nodes):
        if isinstance(node, Rapid):
            asked = (node.x, node.y, node.z)
            to = np.array([[old if new is None else new for new, old in zip(asked, here, strict=True)]])
            feed = np.nan
        elif isinstance(node, Feed):
            to = np.asarray(node.points, dtype=np.float64).reshape(-1, 3)
            feed = node.feed
        elif isinstance(node, Arc):
            to = chords(here, node, SAGITTA)
            feed = node.feed
        elif isinstance(node, Probe):
            to = np.array([[here[0], here[1], node.z]])
            feed = node.feed
        else:
            if isinstance(node, UseTool):
                here = np.full(3, np.nan)
            continue
        if len(to) == 0:
            continue
        starts.append(np.vstack([here[None, :], to[:-1]]))
        ends.append(to)
        feeds.append(np.full(len(to), feed))
        rapids.append(np.full(len(to), isinstance(node, Rapid)))
        nodes.append(np.full(len(to), index, dtype=np.intp))
        here = to[-1]
    if not ends:
        none = np.empty((0, 3))
        return Moves(none, none, np.empty(0), np.empty(0, dtype=np.bool_), np.empty(0, dtype=np.intp))
    return Moves(
        np.vstack(starts),
        np.vstack(ends),
        np.concatenate(feeds),
        np.concatenate(rapids),
        np.concatenate(nodes),
    )
