"""The share of a program's load that falls on one board of a row.

In: a load, the board's outline. Out: a load. Promise: a move counts for every board that its cutter passes
over, with its whole force, and only for that part of the move: a board is not turned by what is cut from its
neighbours.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from stockwright.checking.forces import Load

__all__ = ["load_on"]

EDGE = 0.05  # mm that a cutter must come over a board to count: its rim may run along the joint


def load_on(load: Load, board: str) -> Load:
    """Return the moves over a board, cut off where the cutter leaves it; all of them where it lies alone."""
    setup = load.run.setup
    if len(setup.lies) < 2 or not len(load):
        return load
    near = shapely.Polygon(setup.outline_of(board)).buffer(max(load.tool.radius - EDGE, EDGE))
    rows, ends = [], []
    for i, (a, b) in enumerate(zip(load.a, load.b, strict=True)):
        still = bool((a[:2] == b[:2]).all())
        path = shapely.Point(a[:2]) if still else shapely.LineString([a[:2], b[:2]])
        there = shapely.get_coordinates(path.intersection(near))
        if not len(there):
            continue
        if still:
            part = np.zeros(2)
        else:
            way = b[:2] - a[:2]
            along = (there - a[:2]) @ way / float(way @ way)
            part = np.array([along.min(), along.max()])
        rows.append(i)
        ends.append(a + part[:, None] * (b - a))
    which = np.array(rows, dtype=np.intp)
    cut = np.array(ends).reshape(-1, 2, 3)
    return replace(
        load,
        row=load.row[which],
        a=cut[:, 0],
        b=cut[:, 1],
        feed=load.feed[which],
        chip=load.chip[which],
        side=load.side[which],
        pull=load.pull[which],
        watts=load.watts[which],
        newton_metres=load.newton_metres[which],
        light=load.light[which],
        top=load.top[which],
        width=load.width[which],
        depth=load.depth[which],
    )
