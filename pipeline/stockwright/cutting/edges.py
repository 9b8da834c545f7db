"""Walls along edges and ends, straight or hollow. In: an `EdgeCut`. Out: moves on a `Path`.

The waste is milled away from the outside inwards, depth by depth, conventionally; then one climb pass at full
height follows the line itself, and a second one where it is asked for. Promise: no cut crosses the line; all
waste within the cut's height becomes chips and nothing comes loose; no bite is wider than the stepover or as
wide as half the cutter; the last pass takes `light`.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.cutting.ground import TOUCH, ramp_length
from stockwright.cutting.steps import levels
from stockwright.cutting.wood import Area
from stockwright.tooling import LEAD, WIDEST_BITE

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.cutting.ground import Ground
    from stockwright.cutting.path import Path
    from stockwright.planning.setup import EdgeCut

__all__ = ["lay_edge", "rough_rims"]


def rough_rims(
    width: float, light: float, bite: float, hollow: float = 0.0, bent: int = 1
) -> tuple[float, ...]:
    """Give how far from the line the wood ends after each roughing line, falling to `light` (mm).

    `width` is how far the waste reaches from the line; no step exceeds `bite`. Empty if `light` is all, also
    where the wall is hollow by `hollow`; else at least as many as are `bent` to follow it.
    """
    if width + hollow <= light:
        return ()
    rough = max(0.0, width - light)
    count = max(math.ceil(rough / bite), bent)
    return tuple(light + rough * (count - number) / count for number in range(1, count + 1))


def lay_edge(path: Path, cut: EdgeCut, ground: Ground, blocks: tuple[NDArray[np.float64], ...] = ()) -> None:
    """Lay down the roughing and the last pass of one wall, scrap `blocks` (n, 2) backing it; ends raised."""
    if cut.between == "follows":
        return  # the pass along the wall across the cutter takes it
    edge = _Edge(path, cut, ground, blocks)
    if cut.between == "leads":
        edge.between(levels(ground.steps, cut.ceiling, cut.bottom, cut.stepdown)[-1])
        return
    if edge.waste.is_empty:
        return
    depths = levels(ground.steps, cut.ceiling, cut.bottom, cut.stepdown)
    for depth in depths:
        edge.rough(depth, last=depth == depths[-1])
    edge.finish(depths[-1])


class _Edge:
    """One wall, seen along t (from the line's first point to its second) and n (outwards from the wood)."""

    def __init__(
        self, path: Path, cut: EdgeCut, ground: Ground, blocks: tuple[NDArray[np.float64], ...]
    ) -> None:
        self.path, self.cut, self.ground = path, cut, ground
        self.radius = cut.tool.radius
        self.origin = np.asarray(cut.line[0], dtype=np.float64)
        way = np.asarray(cut.line[1], dtype=np.float64) - self.origin
        self.length = float(np.hypot(way[0], way[1]))
        self.t = way / self.length
        left = np.array([-self.t[1], self.t[0]])
        self.n = -left if cut.inside == "left" else left
        # Conventional has the wood on the left; the last pass, climb, goes the other way.
        self.way = 1 if cut.inside == "left" else -1
        self.waste = self.seen(cut.waste)
        self.wood = Area(self.waste)
        if self.waste.is_empty:
            return
        low, _, high, width = self.waste.bounds
        room = self.radius + LEAD
        self.ends = (min(0.0, low) - room, max(self.length, high) + room)
        self.bends = self.seen_wall()
        self.deepest = max((-n for _, n in self.bends), default=0.0)
        # Two steps are kept back for the rounding of both ends of two lines.
        size = ground.steps.size
        bite = max(size, min(cut.stepover, self.radius * WIDEST_BITE) - 2 * size)
        # A hollow wall is followed by the last pass and by the roughing line before it, which takes the
        # hollow as well; by more, each nearer to it, where that would leave one line less than half a bite.
        self.bent = max(1, math.ceil(2 * self.deepest / bite))
        each = self.deepest / self.bent
        self.rims = rough_rims(width, cut.light, bite - each, self.deepest, self.bent)
        if not self.rims and not self.seen(blocks).is_empty:
            self.rims = (cut.light,)  # the last pass comes down where the block stands: in a groove only

    def seen(self, outlines: tuple[NDArray[np.float64], ...]) -> BaseGeometry:
        """Give what of the areas is outside the line, (t, n)."""
        parts = []
        for outline in outlines:
            away = np.asarray(outline, dtype=np.float64) - self.origin
            parts.append(shapely.make_valid(shapely.Polygon(np.column_stack([away @ self.t, away @ self.n]))))
        whole = shapely.union_all(parts)
        if whole.is_empty:
            return whole
        left, _, right, top = whole.bounds
        if top <= 0:
            return shapely.Polygon()
        outside = shapely.intersection(whole, shapely.box(left - 1, 0.0, right + 1, top + 1))
        areas = [part for part in shapely.get_parts(outside) if part.area > 0]
        return shapely.union_all(areas)

    def seen_wall(self) -> list[tuple[float, float]]:
        """Give the corners (t, n) of a wall that is hollow, its ends included; none where the line is it."""
        if self.cut.wall is None:
            return []
        away = np.asarray(self.cut.wall, dtype=np.float64) - self.origin
        return [(float(t), float(n)) for t, n in sorted(zip(away @ self.t, away @ self.n, strict=True))]

    def bend(self, number: int) -> float:
        """Give how much of the hollow a roughing line follows, as a share: the last one all of it."""
        return max(0.0, 1.0 - (len(self.rims) - 1 - number) / self.bent)

    def along(
        self, start: float, end: float, n: float, depth: int, *, outwards: bool, share: float = 1.0
    ) -> None:
        """Feed from `start` to `end`, `n` from the wall, following a share of what it is hollow."""
        low, high = min(start, end), max(start, end)
        corners = [(t, bend * share) for t, bend in self.bends if low < t < high and share > 0]
        for t, bend in corners if end > start else corners[::-1]:
            self.path.feed(*self.place(t, n + bend, outwards=outwards), depth, self.cut.tool.feed)
        self.path.feed(*self.place(end, n, outwards=outwards), depth, self.cut.tool.feed)

    def place(self, t: float, n: float, *, outwards: bool) -> tuple[int, int]:
        """Give the whole step nearest to (t, n) that is not nearer to the line, or not further from it."""
        steps = self.ground.steps
        x, y = self.origin + t * self.t + n * self.n
        best: tuple[float, tuple[int, int]] | None = None
        for i in {steps.down(x), steps.up(x)}:
            for j in {steps.down(y), steps.up(y)}:
                away = np.array([steps.mm(i), steps.mm(j)]) - self.origin
                off = float(away @ self.n) - n
                # A billionth of a millimetre is a float's own error, not a place.
                if off < -1e-9 if outwards else off > 1e-9:
                    continue
                key = (float(np.hypot(off, float(away @ self.t) - t)), (i, j))
                if best is None or key < best:
                    best = key
        # Four corners surround the place, so one lies on the wanted side of any line through it.
        assert best is not None
        return best[1]

    def tight(self, rim: float) -> bool:
        """Say whether a rim is so near the line that rounding must go outwards."""
        return rim < 2 * self.ground.steps.size

    def rough(self, depth: int, *, last: bool) -> None:
        """Lay down one depth's lines, from outside in."""
        radius = self.radius
        top = self.waste.bounds[3] + 1
        outer = top
        for number, rim in enumerate(self.rims):
            whole, tight, share = last and number == len(self.rims) - 1, self.tight(rim), self.bend(number)
            new = self.wood.spans(max(rim - share * self.deepest, 0.0), outer)
            outer = rim
            if not new and not whole:
                continue
            # Where the rim comes near the line, the board's own wood counts for the lowering too.
            near = self.wood.spans(max(rim - LEAD, 0.0), top)
            spans = [*near, (0.0, self.length)] if rim <= LEAD or whole else [*near]
            low, high = min(a for a, _ in spans), max(b for _, b in spans)
            if whole:
                # It spans everything, so that the last pass is lowered into its groove.
                start, end = self.ends
            else:
                start, end = low - radius - LEAD, high + radius + LEAD
            if self.way < 0:
                start, end = end, start
            self.enter(start, rim + radius, depth, self.way, outwards=tight)
            self.along(start, end, rim + radius, depth, outwards=tight, share=share)
        self.path.raise_up()

    def finish(self, depth: int) -> None:
        """Lay down the full-height pass on the line: lowered beside it, led in sideways."""
        tool, way = self.cut.tool, -self.way
        start, end = self.ends if way > 0 else self.ends[::-1]
        if self.rims:
            # Exactly where the innermost roughing line ended, so nothing is left to plunge into.
            rim = self.rims[-1]
            self.path.over(*self.place(start, rim + self.radius, outwards=self.tight(rim)))
            self.path.lower(depth, max(depth, self.ground.steps.up(self.ground.bed)), tool.plunge_feed)
        else:
            self.enter(start, self.radius + LEAD, depth, way, outwards=True)
        self.path.feed(*self.place(start, self.radius, outwards=True), depth, tool.feed)
        self.along(start, end, self.radius, depth, outwards=True)
        self.path.raise_up()
        if self.cut.spring:
            # Lowered into the groove just cut: what the bent cutter left is taken at the same place.
            self.path.over(*self.place(start, self.radius, outwards=True))
            self.path.lower(depth, max(depth, self.ground.steps.up(self.ground.bed)), tool.plunge_feed)
            self.along(start, end, self.radius, depth, outwards=True)
            self.path.raise_up()

    def between(self, depth: int) -> None:
        """Lay down one full-height pass between two walls a cutter's width apart, lowered beyond them."""
        start, end = self.ends if self.way > 0 else self.ends[::-1]
        self.enter(start, self.radius, depth, self.way, outwards=True)
        self.path.feed(*self.place(end, self.radius, outwards=True), depth, self.cut.tool.feed)
        self.path.raise_up()

    def enter(self, t: float, n: float, depth: int, way: int, *, outwards: bool) -> None:
        """Lower outside the wood to `depth`: into the bed straight, or slanting for who cannot plunge."""
        steps, tool = self.ground.steps, self.cut.tool
        bed = steps.up(self.ground.bed)
        # The groove of an earlier depth may already go below the bed, but not everywhere: the bed counts.
        if depth >= bed or ramp_length(tool, 1.0) <= 0:
            self.path.over(*self.place(t, n, outwards=outwards))
            self.path.lower(depth, max(depth, bed), tool.plunge_feed)
            return
        top = bed + steps.up(TOUCH)
        back = ramp_length(tool, steps.mm(top - depth))
        self.path.over(*self.place(t - way * back, n, outwards=outwards))
        self.path.lower(top, bed, tool.plunge_feed)
        self.path.feed(*self.place(t, n, outwards=outwards), depth, tool.plunge_feed)
