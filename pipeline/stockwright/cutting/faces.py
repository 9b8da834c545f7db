"""Faces and the bed, cut flat. In: a `FaceCut` or `BedCut`. Out: moves on a `Path`.

Levels fall from the highest wood; each level's lines run only where wood stands over it, the last over the
whole region. Promise: everything in the region ends at z; no bite is wider than the stepover (but at ragged
ends) or deeper than the stepdown; the cutter is lowered in air unless it has none and can enter wood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import shapely

from stockwright.cutting.coverage import (
    end_overrun,
    least_overrun,
    line_places,
    loop_inset,
    widest_stepover,
)
from stockwright.cutting.ground import LEAD, TOUCH, ramp_length
from stockwright.cutting.steps import levels
from stockwright.cutting.wood import Area, Cells
from stockwright.planning.setup import FaceCut

if TYPE_CHECKING:
    from stockwright.cutting.ground import Ground
    from stockwright.cutting.path import Path
    from stockwright.cutting.wood import Span, Wood
    from stockwright.planning.setup import BedCut
    from stockwright.tooling import Tool

__all__ = ["lay_face"]

# A loop leaves out corners flatter than this, mm: lines cover the region, the loop only minds its rim.
LOOP_DETAIL = 0.2


@dataclass(frozen=True)
class _Run:
    """One stretch of a line, in its own direction: lowered at `entry`, cut from `start` to `end` (mm)."""

    entry: float
    start: float
    end: float


def lay_face(path: Path, cut: FaceCut | BedCut, ground: Ground) -> None:
    """Lay down every level of a face or of the bed; ends raised."""
    layer = _Layer(path, cut, ground)
    light = cut.light if isinstance(cut, FaceCut) else 0.0
    depths = levels(ground.steps, cut.ceiling, cut.z, cut.stepdown, light)
    surface = ground.steps.up(cut.ceiling)
    for depth in depths:
        last = depth == depths[-1]
        if last and layer.perimeter == "first":
            layer.loop(depth)
        layer.lines(depth, surface, whole=last)
        if last and layer.perimeter == "last":
            layer.loop(depth)
        surface = depth


class _Layer:
    """One cut's lines, seen along u (the way passes run) and v (across, rising)."""

    def __init__(self, path: Path, cut: FaceCut | BedCut, ground: Ground) -> None:
        self.path, self.cut, self.ground = path, cut, ground
        self.tool: Tool = cut.tool
        self.radius = cut.tool.radius
        # Only the flat of the bottom leaves a plane; a rounded corner leaves a hollow.
        self.reach = self.radius - cut.tool.corner_radius
        across = isinstance(cut, FaceCut) and cut.passes == "across"
        self.across = across
        self.region = shapely.Polygon(cut.region[:, ::-1] if across else cut.region)
        self.u, self.v = (ground.y, ground.x) if across else (ground.x, ground.y)
        direction: Literal["both-ways", "conventional", "climb"] = "both-ways"
        self.perimeter: Literal["none", "first", "last"] = "none"
        if isinstance(cut, FaceCut):
            direction, self.perimeter = cut.direction, cut.perimeter
        self.both_ways = direction == "both-ways"
        # The uncut wood lies at greater v: on the left of +u, or of -u where u and v are exchanged.
        conventional = -1 if across else 1
        self.way = -conventional if direction == "climb" else conventional
        self.climb = direction == "climb"
        bite = min(cut.stepover, widest_stepover(self.reach))
        low, high = self.region.bounds[1], self.region.bounds[3]
        self.places = line_places(ground.steps, low, high, self.radius, bite, self.v)
        mm = ground.steps.mm
        gaps = [mm(b - a) for a, b in zip(self.places, self.places[1:], strict=False)]
        self.bite = max(gaps, default=bite)
        # How far to its side a line answers for the wood: up to half way to the next, or to the rim.
        rims = (mm(self.places[0]) - low, high - mm(self.places[-1]))
        self.half = max(*rims, *(gap / 2 for gap in gaps))

    def wood(self, depth: int, *, whole: bool) -> Wood:
        if whole or not isinstance(self.cut, FaceCut):
            return Area(self.region)
        z = self.ground.steps.mm(depth)
        if self.across:
            return Cells.above(self.cut.grid_y, self.cut.grid_x, self.cut.wood.T, z)
        return Cells.above(self.cut.grid_x, self.cut.grid_y, self.cut.wood, z)

    def move(self, u: float, way: int, v: int, z: int, feed: float) -> None:
        """Feed to `u`, rounded outwards as seen in the direction `way`."""
        steps = self.ground.steps
        whole = steps.up(u) if way > 0 else steps.down(u)
        self.path.feed(*((v, whole) if self.across else (whole, v)), z, feed)

    def over(self, u: float, way: int, v: int) -> None:
        steps = self.ground.steps
        whole = steps.up(u) if way > 0 else steps.down(u)
        self.path.over(*((v, whole) if self.across else (whole, v)))

    def runs(self, wood: Wood, v: int, way: int, depth: int, surface: int) -> list[_Run]:
        """Give the runs of the line at `v`, in `way`'s own direction (u times `way`), rising."""
        at, radius = self.ground.steps.mm(v), self.radius
        own = _seen(wood.spans(at - self.half, at + radius), way)
        wide = _seen(wood.spans(at - radius - LEAD, at + radius + LEAD), way)
        low, high = sorted((self.u[0] * way, self.u[1] * way))
        least = least_overrun(self.reach, self.half)
        wanted = end_overrun(radius, least, self.bite, turns=self.both_ways)
        found: list[_Run] = []
        for a, b in own:
            # Inside the travel, as long as the wood's ends are still cleared.
            start = min(max(a - wanted, low), a - least)
            end = max(min(b + wanted, high), b + least)
            if start > end:
                start = end = (a + b) / 2
            entry = _clear_before(wide, start, radius + LEAD)
            if entry < low and (self.tool.centre_cutting or self.tool.ramp > 0):
                entry = start
            if found:
                gap = max(0.0, start - found[-1].end)
                through = self.ground.seconds(gap, self.tool.feed)
                around = self.ground.again(depth, surface, self.tool.plunge_feed, gap)
                if entry <= found[-1].end or through <= around:
                    found[-1] = _Run(found[-1].entry, found[-1].start, max(end, found[-1].end))
                    continue
            found.append(_Run(entry, start, end))
        return found

    def lines(self, depth: int, surface: int, *, whole: bool) -> None:
        """Lay down one level's lines."""
        wood, way = self.wood(depth, whole=whole), self.way
        before: tuple[int, float] | None = None
        for index, v in enumerate(self.places):
            runs = self.runs(wood, v, way, depth, surface)
            if not runs:
                continue
            linked = False
            if self.both_ways and before is not None and before[0] == index - 1:
                linked = self.link(before[1] * way, runs[0], v, way, depth, surface)
            for number, run in enumerate(runs):
                if number or not linked:
                    self.enter(run, way, v, depth, surface)
                self.move(run.end * way, way, v, depth, self.tool.feed)
            before = (index, runs[-1].end * way)
            if self.both_ways:
                way = -way
        self.path.raise_up()

    def link(self, end: float, run: _Run, v: int, way: int, depth: int, surface: int) -> bool:
        """Step sideways at the level to the next line, if that is no slower than going round."""
        aside, back = self.bite, abs(end - run.start)
        around = self.ground.again(depth, surface, self.tool.plunge_feed, back)
        if self.ground.seconds(aside + back, self.tool.feed) > around:
            return False
        turn = min(end, run.start)
        here = self.path.place
        assert here is not None
        old_v = here[0] if self.across else here[1]
        self.move(turn * way, -way, old_v, depth, self.tool.feed)
        self.move(turn * way, -way, v, depth, self.tool.feed)
        return True

    def enter(self, run: _Run, way: int, v: int, depth: int, surface: int) -> None:
        """Lower beside the wood; or, where the travel leaves no room, straight or slanting into it."""
        steps, tool = self.ground.steps, self.tool
        self.over(run.entry * way, -way, v)
        if run.entry < run.start or (tool.ramp <= 0 and not tool.centre_cutting):
            self.path.lower(depth, depth, tool.plunge_feed)
            return
        drop = steps.mm(surface - depth) + TOUCH
        length, room = ramp_length(tool, drop), run.end - run.start
        if length <= 0 or room <= 0:
            self.path.lower(depth, max(surface, depth), tool.plunge_feed)
            return
        top = surface + steps.up(TOUCH)
        self.path.lower(top, surface, tool.plunge_feed)
        legs = math.ceil(length / room)
        for leg in range(1, legs + 1):
            there = run.start + (length / legs if leg % 2 else 0.0)
            z = depth + ((top - depth) * (legs - leg)) // legs
            self.move(there * way, -way, v, z, tool.plunge_feed)
        self.move(run.start * way, -way, v, depth, tool.feed)

    def loop(self, depth: int) -> None:
        """Lay down one loop along the region's rim: wood on the right for climb, else on the left."""
        inset = loop_inset(self.radius, self.reach, min(self.cut.stepover, widest_stepover(self.reach)))
        shape = self.region.buffer(-inset, join_style="mitre", mitre_limit=2.0).simplify(LOOP_DETAIL)
        if not isinstance(shape, shapely.Polygon) or shape.is_empty:
            return
        # Exchanging u and v mirrors the loop, so its sense as seen in (u, v) turns too.
        left = self.climb == self.across
        ring = list(shapely.geometry.polygon.orient(shape, 1.0 if left else -1.0).exterior.coords)[:-1]
        first = min(range(len(ring)), key=lambda index: ring[index])
        ring = [*ring[first:], *ring[:first]]
        steps = self.ground.steps
        entry = min(self.region.bounds[0] - self.radius - LEAD, ring[0][0])
        places = [(entry, steps.nearest(ring[0][1]))]
        places += [(u, steps.nearest(v)) for u, v in (*ring, ring[0])]
        places.append(places[0])
        self.over(entry, -1, places[0][1])
        self.path.lower(depth, depth, self.tool.plunge_feed)
        for u, v in places[1:]:
            self.move(u, -1, v, depth, self.tool.feed)
        self.path.raise_up()


def _seen(spans: tuple[Span, ...], way: int) -> tuple[Span, ...]:
    """Give spans as seen in a direction: mirrored for -1, rising again."""
    return spans if way > 0 else tuple((-b, -a) for a, b in reversed(spans))


def _clear_before(spans: tuple[Span, ...], start: float, room: float) -> float:
    """Give the place at or before `start` nearest to it that keeps `room` from every span."""
    for a, b in reversed(spans):
        if a - room < start < b + room:
            start = a - room
    return start
