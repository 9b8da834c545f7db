"""A program's moves as columns. In: a `Program`. Out: `Moves`, one row for each straight move or chord.

Promise: nothing is guessed; an axis that no move has named yet is NaN, not zero.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen
from stockwright.motion.arcs import SAGITTA, chords
from stockwright.motion.nodes import Arc, Feed, Probe, Rapid, UseTool

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.motion.nodes import Program

__all__ = ["Moves", "moves"]

NOWHERE = (np.nan, np.nan, np.nan)


@frozen(eq=False)
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
    here: Sequence[float] = NOWHERE
    ends: list[NDArray[np.float64] | list[list[float]]] = []
    feeds: list[float] = []
    rapids: list[bool] = []
    nodes: list[int] = []
    afresh = [0]  # moves that begin where nothing is known
    count = 0
    for index, node in enumerate(program.nodes):
        to: NDArray[np.float64] | list[list[float]]
        if isinstance(node, Rapid):
            asked = (node.x, node.y, node.z)
            to = [[old if new is None else new for new, old in zip(asked, here, strict=True)]]
            feed = np.nan
        elif isinstance(node, Feed):
            to = np.asarray(node.points, dtype=np.float64).reshape(-1, 3)
            feed = node.feed
        elif isinstance(node, Arc):
            to = chords(here, node, SAGITTA)
            feed = node.feed
        elif isinstance(node, Probe):
            to = [[here[0], here[1], node.z]]
            feed = node.feed
        else:
            if isinstance(node, UseTool):
                here = NOWHERE
                afresh.append(count)
            continue
        if len(to) == 0:
            continue
        ends.append(to)
        feeds.append(feed)
        rapids.append(isinstance(node, Rapid))
        nodes.append(index)
        here = to[-1]
        count += len(to)
    end = np.concatenate([np.empty((0, 3)), *ends])
    start = np.empty_like(end)
    start[1:] = end[:-1]
    start[[k for k in afresh if k < count]] = NOWHERE
    many = [len(to) for to in ends]
    return Moves(
        start,
        end,
        np.repeat(np.array(feeds, dtype=np.float64), many),
        np.repeat(np.array(rapids, dtype=np.bool_), many),
        np.repeat(np.array(nodes, dtype=np.intp), many),
    )
