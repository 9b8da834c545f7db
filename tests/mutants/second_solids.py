"""Moving parts against things that stand, before the second judge. In: a `Run`, a script. Out: harms.

A level, an upright or a boxed move sweeps a product of a plan and a span of heights, whose distance is exact;
a slanting one is looked at every fiftieth of a millimetre.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mutants.second_harm import CLEAR, NOTHING, Run
from mutants.second_text import Script, Step

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Solid

    Floats = NDArray[np.float64]

__all__ = ["solids"]


def solids(run: Run, read: Script) -> None:
    """Tell of every move that comes nearer than the margin to something that stands while it runs."""
    steps = [s for s in read.items if isinstance(s, Step)]
    steps = [s for s in steps if not any(map(math.isnan, (*s.start, *s.end)))]
    if not steps:
        return
    a = np.array([s.start for s in steps])
    b = np.array([s.end for s in steps])
    rapid = np.array([s.rapid for s in steps])
    slanting = (a[:, 2] != b[:, 2]) & (a[:, :2] != b[:, :2]).any(axis=1)
    boxed = rapid & (run.machine.rapids == "independent")
    free = slanting & ~boxed
    lines = np.asarray(shapely.linestrings(np.stack([a[:, :2], b[:, :2]], axis=1)), dtype=np.object_)
    wide = boxed & (a[:, :2] != b[:, :2]).all(axis=1)
    low, high = np.minimum(a, b), np.maximum(a, b)
    if wide.any():
        lines[wide] = shapely.box(low[wide, 0], low[wide, 1], high[wide, 0], high[wide, 1])
    for solid in run.setup.solids:
        if solid.name not in run.program.standing:
            continue
        area = shapely.Polygon(solid.outline)
        for number, part in enumerate(run.tool.assembly):
            may = number == 0 and solid.may_cut_to is not None and run.program.purpose == "cut"
            height = solid.may_cut_to if may and solid.may_cut_to is not None else solid.top
            aside = np.asarray(shapely.distance(lines, area)) - part.diameter / 2
            up = np.maximum(solid.bottom - (high[:, 2] + part.top), low[:, 2] + part.bottom - height)
            # Plan and heights apart give a bound; only what it leaves open is looked at place by place.
            bound = np.hypot(np.maximum(aside, 0.0), np.maximum(up, 0.0))
            for k in np.flatnonzero(free & (bound < run.machine.margin)):
                ends = (part.bottom, part.top)
                aside[k], up[k] = _slanting(a[k], b[k], area, part.diameter / 2, *ends, solid, height)
            away = np.hypot(np.maximum(aside, 0.0), np.maximum(up, 0.0))
            if may:  # scrap is only spared from below: beside it, above it, the cutter may be
                away = np.where(up < -NOTHING, away, np.inf)
            near = run.machine.margin - away
            for k in np.flatnonzero(near > NOTHING / 2):
                run.tell("solid", steps[k].line, sure=bool(near[k] > CLEAR), what=solid.name)
        _attached(run, steps, a, b, boxed, solid, area)
    body = low[:, 2] + min((part.bottom for part in run.tool.assembly[1:]), default=1e9)
    for k in np.flatnonzero(body < -run.setup.work_origin[2] - NOTHING):
        run.tell("solid", steps[k].line, sure=True, what="body below the bed")


def _slanting(
    a: Floats,
    b: Floats,
    area: BaseGeometry,
    radius: float,
    low: float,
    high: float,
    solid: Solid,
    top: float,
) -> tuple[float, float]:
    """Give the nearest (aside, up) of a slanting move, from places a fiftieth of a millimetre apart."""
    count = int(np.clip(np.linalg.norm(b - a) / 0.02, 50, 20_000))
    t = np.linspace(0.0, 1.0, count + 1)[:, None]
    at = a + t * (b - a)
    aside = np.asarray(shapely.distance(shapely.points(at[:, :2]), area)) - radius
    up = np.maximum(solid.bottom - (at[:, 2] + high), at[:, 2] + low - top)
    best = int(np.argmin(np.hypot(np.maximum(aside, 0), np.maximum(up, 0))))
    return float(aside[best]), float(up[best])


def _attached(
    run: Run,
    steps: list[Step],
    a: Floats,
    b: Floats,
    boxed: NDArray[np.bool_],
    solid: Solid,
    area: BaseGeometry,
) -> None:
    """Do the same for what rides with the spindle: its outline's hull along the move."""
    nose = run.tool.assembly[-1].bottom
    for thing in run.machine.attached:
        shape = np.array(thing.outline)
        for k, step in enumerate(steps):
            z_low, z_high = min(a[k, 2], b[k, 2]) + nose, max(a[k, 2], b[k, 2]) + nose
            up = max(solid.bottom - (z_high + thing.top), z_low + thing.bottom - solid.top)
            if up >= run.machine.margin:
                continue
            ends = [a[k, :2], b[k, :2]]
            if boxed[k]:
                ends += [np.array([a[k, 0], b[k, 1]]), np.array([b[k, 0], a[k, 1]])]
            corners = shapely.MultiPoint(np.concatenate([e + shape for e in ends]))
            near = run.machine.margin - math.hypot(
                max(0.0, float(corners.convex_hull.distance(area))), max(0.0, up)
            )
            if near > NOTHING / 2:
                slanting = a[k, 2] != b[k, 2] and bool((a[k, :2] != b[k, :2]).any())
                run.tell("solid", step.line, sure=near > CLEAR and not (slanting and not boxed[k]))
