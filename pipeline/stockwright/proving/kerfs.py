"""Whether a move stays where its own program has already cut. In: a `Run`, a move. Out: yes or no.

Promise: yes only where every cut that is counted was made before, by a fed, turning cutter, as deep at least
as the tip then goes; what an earlier program cut does not count.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.proving.run import HAIR

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.proving.run import Run

    Floats = NDArray[np.float64]

__all__ = ["in_kerf"]

# mm that a slope falls in a part of it that is judged at its lowest, and how many parts there are at most.
SLICE, MOST_SLICES = 0.2, 200
SCRAPE = 0.02  # mm in plan: a cutter that runs along a wall it has cut takes no more off it
CHORDS = 64  # a quarter circle, drawn inside: at 25 mm radius a chord lies 0.002 mm inside


def in_kerf(run: Run, k: int, top: float, over: BaseGeometry | None = None) -> bool:
    """Say whether move k goes where earlier cuts of the program have already been as deep, all the way.

    With `over`, an area in plan, only what of the way is over it is asked: a block, not the air beside it.

    A slope is asked part by part, each as low as its own end, and only where it is below work z `top`: what
    is cut there stands no higher. A rapid whose axes run each at its own speed may go aside before it rises:
    it is asked as low as it ever is.
    """
    moves = run.moves
    a, b = moves.start[k], moves.end[k]
    apart = moves.rapid[k] and run.machine.rapids == "independent"
    if apart and (a[:2] != b[:2]).all():
        return False
    known = np.asarray(np.isfinite(np.hstack([moves.start, moves.end])).all(axis=1))
    if not known[k]:
        return False
    before = np.flatnonzero(~moves.rapid[:k] & (moves.rpm[:k] > 0) & known[:k])
    parts = [(a, b)] if apart else _parts(a, b, top)
    # The rest of a cutter whose flat is beside an area may be over it.
    asked = None if over is None else over.buffer(run.tool.corner_radius)
    return all(_cleared(run, before, p, q, asked) for p, q in parts)


def _parts(a: Floats, b: Floats, top: float) -> list[tuple[Floats, Floats]]:
    """Cut what of a slanting move is below `top` into parts; one straight up or down, or level, is one."""
    if (a[:2] == b[:2]).all() or a[2] == b[2]:
        return [(a, b)]
    if max(a[2], b[2]) > top > min(a[2], b[2]):
        at = a + (b - a) * ((a[2] - top) / (a[2] - b[2]))
        a, b = (at, b) if a[2] > top else (a, at)
    count = min(MOST_SLICES, max(1, math.ceil(abs(a[2] - b[2]) / SLICE)))
    return list(itertools.pairwise(np.linspace(a, b, count + 1)))


def _cleared(run: Run, before: NDArray[np.intp], a: Floats, b: Floats, over: BaseGeometry | None) -> bool:
    """Say whether the cutter from a to b, `over` an area, stays in what moves `before` cleared as deep."""
    moves = run.moves
    radius = run.tool.diameter / 2 - run.tool.corner_radius  # where its flat fits, all above it does
    if radius <= SCRAPE:
        return False
    highest = np.maximum(moves.start[before, 2], moves.end[before, 2])
    deep = before[highest <= min(a[2], b[2]) + HAIR]
    lines = shapely.linestrings(np.stack([moves.start[deep, :2], moves.end[deep, :2]], axis=1))
    path = shapely.Point(a[:2]) if (a[:2] == b[:2]).all() else shapely.LineString([a[:2], b[:2]])
    near = shapely.dwithin(lines, path, 2 * radius)
    sure = radius - moves.sagitta[deep][near]
    kerf = shapely.union_all(shapely.buffer(lines[near], sure, quad_segs=CHORDS))
    swept = path.buffer(radius - SCRAPE, quad_segs=CHORDS)
    return bool(shapely.covers(kerf, swept if over is None else swept & over))
