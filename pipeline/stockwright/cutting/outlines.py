"""The outline program: it shows in the air where the cutter will go, before the spindle turns.

In: the setup and the programs that follow. Out: a `Program` whose spindle never turns. Promise: it moves only
at the clear height, and comes down only where the whole assembly keeps clear of everything that stands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.motion.moves import moves
from stockwright.motion.nodes import Pause, Remark
from stockwright.planning.setup import EdgeCut
from stockwright.units import GAUGE, format_length

if TYPE_CHECKING:
    from stockwright.cutting.ground import Ground
    from stockwright.cutting.path import Path
    from stockwright.machine import Shop
    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

__all__ = ["bare_spot", "covered", "lay_outline"]

# Of the machine's greatest feed: slow enough to stop by hand; common practice, no source.
WALK_SHARE = 0.5
# Over the machine's own margin, sideways, where hands and a block come near, mm; common practice, no source.
SPOT_MARGIN = 5.0
# How far apart the places lie that are tried, mm; our own choice.
SPOT_GRID = 20.0
SPOTS = 256  # places asked about at once


def covered(programs: tuple[Program, ...]) -> tuple[float, float, float, float]:
    """Give the box (x0, y0, x1, y1), mm, of all that the cutters of `programs` come over while feeding."""
    boxes = []
    for program in programs:
        columns = moves(program)
        places = np.vstack([columns.start[~columns.rapid, :2], columns.end[~columns.rapid, :2]])
        if len(places):
            radius = program.tool.radius
            boxes.append([*(places.min(axis=0) - radius), *(places.max(axis=0) + radius)])
    if not boxes:
        raise ValueError("no program feeds anywhere: nothing to outline")
    all_boxes = np.array(boxes)
    low, high = all_boxes[:, :2].min(axis=0), all_boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def bare_spot(
    setup: Setup, shop: Shop, ground: Ground, tool: Tool, near: tuple[float, float, float, float]
) -> tuple[float, float] | None:
    """Give the place over bare bed nearest to the box `near` where the tool may come down, or None.

    Everything that rides with the spindle's height counts by its widest reach.
    """
    machine, bed = shop.machine, shop.bed
    if ground.bed + GAUGE[shop.units] + tool.nose < machine.z[0] - setup.work_origin[2]:
        return None
    wide = max(part.radius for part in tool.assembly)
    for thing in machine.attached:
        # What rides with the gantry stays at its height and is met there or nowhere.
        if thing.moves_with == "z":
            wide = max(wide, *(float(np.hypot(x, y)) for x, y in thing.outline))
    away = wide + machine.margin + SPOT_MARGIN
    outlines = [solid.outline for solid in setup.solids]
    outlines += [waste for cut in setup.cuts if isinstance(cut, EdgeCut) for waste in cut.waste]
    if len(setup.wood_outline) >= 3:
        outlines.append(setup.wood_outline)
    x0, y0, _ = setup.work_origin
    spans = []
    for travel, area, at in ((ground.x, bed.x, x0), (ground.y, bed.y, y0)):
        # The block must lie on the bed, under the whole of the tool.
        low, high = max(travel[0], area[0] - at), min(travel[1], area[1] - at)
        spans.append(np.arange(np.ceil(low / SPOT_GRID), np.floor(high / SPOT_GRID) + 1) * SPOT_GRID)
    xs, ys = (grid.ravel() for grid in np.meshgrid(spans[0], spans[1], indexing="ij"))
    if not xs.size:
        return None
    beyond_x = np.maximum(0.0, np.maximum(near[0] - xs, xs - near[2]))
    beyond_y = np.maximum(0.0, np.maximum(near[1] - ys, ys - near[3]))
    far = np.hypot(beyond_x, beyond_y)
    # Rounded, so that equal distances stay equal on every processor; then the least x, then y.
    order = np.lexsort((ys, xs, np.round(far, 6)))
    shapes = [shapely.Polygon(outline) for outline in outlines]
    for first in range(0, len(order), SPOTS):  # the nearest first: most are never asked
        some = order[first : first + SPOTS]
        points = np.asarray(shapely.points(xs[some], ys[some]))
        for shape in shapes:
            clear = shapely.distance(points, shape) >= away
            some, points = some[clear], points[clear]
        if len(some):
            return float(xs[some[0]]), float(ys[some[0]])
    return None


def lay_outline(path: Path, setup: Setup, shop: Shop, ground: Ground, programs: tuple[Program, ...]) -> bool:
    """Lay down the walk and the height check, with the first program's tool; say whether it could check."""
    tool = programs[0].tool
    steps, walk = ground.steps, shop.machine.max_feed * WALK_SHARE
    box = covered(programs)
    limits = (ground.x[0], ground.y[0], ground.x[1], ground.y[1])
    held = tuple(
        min(max(value, limits[axis]), limits[axis + 2]) for value, axis in zip(box, (0, 1, 0, 1), strict=True)
    )
    if held != box:
        path.say(Remark("The cutter's rim reaches past the travel here: the walk stops at the travel."))
    low, high = (steps.down(held[0]), steps.down(held[1])), (steps.up(held[2]), steps.up(held[3]))
    path.over(*low)
    for x, y in ((high[0], low[1]), high, (low[0], high[1]), low):
        path.feed(x, y, ground.clear, walk)
    down = steps.nearest(ground.bed + GAUGE[shop.units])
    spot = bare_spot(setup, shop, ground, tool, box) if down < ground.clear else None
    if spot is None:
        path.say(Remark("No bare bed in reach: there is no height check here. Check the zero by hand."))
        return False
    path.over(steps.nearest(spot[0]), steps.nearest(spot[1]))
    path.feed(steps.nearest(spot[0]), steps.nearest(spot[1]), down, tool.plunge_feed)
    block = format_length(GAUGE[shop.units], shop.units)
    path.say(Pause(f"Spindle off: a {block} block must just slide under the cutter."))
    path.raise_up()
    return True
