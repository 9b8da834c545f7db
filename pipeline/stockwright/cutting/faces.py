"""Faces and the bed, cut flat. In: a `FaceCut` or `BedCut`. Out: moves on a `Path`.

Levels go down from the highest wood; each one is cut only where wood stands above it, the last over the whole
face. Promise: the whole region ends at z; no bite is wider than the stepover (except at ragged ends) or
deeper than the stepdown; the cutter is lowered in air, unless there is no room and it is able to enter wood.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import shapely

from stockwright.cutting.coverage import loop_inset
from stockwright.cutting.lines import Level, Lines, Manner
from stockwright.cutting.regions import regions
from stockwright.cutting.steps import high_levels, levels
from stockwright.cutting.wood import Area, Cells
from stockwright.planning.setup import FaceCut
from stockwright.tooling import LEAD

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stockwright.cutting.ground import Ground
    from stockwright.cutting.path import Path
    from stockwright.planning.setup import BedCut

    Floats = NDArray[np.float64]

__all__ = ["face_depths", "lay_face", "lay_levels"]

# A loop leaves out corners flatter than this, mm: lines cover the region, the loop only minds its rim.
LOOP_DETAIL = 0.2


def lay_face(path: Path, cut: FaceCut | BedCut, ground: Ground) -> None:
    """Lay down every level of a face or of the bed; ends raised."""
    lay_levels(path, cut, ground, face_depths(cut, ground), skip_air=isinstance(cut, FaceCut))


def face_depths(cut: FaceCut | BedCut, ground: Ground) -> tuple[int, ...]:
    """Give the depths of the levels, falling, in steps.

    The time of a level falls with its height, for less wood stands over it; so the fewest levels, each as
    high as the stepdown allows from the one below, take the least time there is. Where nothing is skipped,
    all levels take the same time, and even ones are the kinder load.
    """
    if isinstance(cut, FaceCut):
        return high_levels(ground.steps, cut.ceiling, cut.z, cut.stepdown, cut.light)
    return levels(ground.steps, cut.ceiling, cut.z, cut.stepdown)


def lay_levels(
    path: Path, cut: FaceCut | BedCut, ground: Ground, depths: tuple[int, ...], *, skip_air: bool
) -> None:
    """Lay down levels at `depths` (falling, steps), the last over the whole region; ends raised.

    Without `skip_air` every level goes over the whole region.
    """
    layer = _Layer(path, cut, ground)
    last, surface = depths[-1], ground.steps.up(cut.ceiling)
    whole = layer.whole(last, depths[-2] if len(depths) > 1 else surface)
    if layer.around is not None:
        # Clamps stand as near to the region's own lines as may be: the one line over the middle of a narrow
        # part must not lie nearer to them.
        layer.manner = replace(layer.manner, within=(whole.places[0], whole.places[-1]))
    for depth in depths[:-1]:
        if skip_air and isinstance(cut, FaceCut):
            layer.level(cut, depth, surface, whole)
        else:
            layer.whole(depth, surface).lay(path)
        surface = depth
    if layer.perimeter == "first":
        layer.loop(last)
    whole.lay(path)
    if layer.perimeter == "last":
        layer.loop(last)


class _Layer:
    """One cut, seen along u (the way passes run) and v (across, rising)."""

    def __init__(self, path: Path, cut: FaceCut | BedCut, ground: Ground) -> None:
        self.path, self.cut, self.ground = path, cut, ground
        across = isinstance(cut, FaceCut) and cut.passes == "across"
        self.falls = isinstance(cut, FaceCut) and cut.begin == "high"
        self.region = self._seen(cut.region, across=across)
        self.area = Area(self.region)
        around = cut.around if isinstance(cut, FaceCut) else None
        self.around = None if around is None else Area(self._seen(around, across=across))
        direction = cut.direction if isinstance(cut, FaceCut) else "both-ways"
        self.perimeter = cut.perimeter if isinstance(cut, FaceCut) else "none"
        # The uncut wood lies at greater v: left of +u, or of -u where u and v are exchanged or v falls.
        conventional = -1 if across != self.falls else 1
        self.climb = direction == "climb"
        way = -conventional if self.climb else conventional
        ways = (way, -way) if direction == "both-ways" else (way,)
        to_rim = isinstance(cut, FaceCut) and cut.to_rim
        self.manner = Manner.of(
            ground,
            cut.tool,
            cut.stepover,
            ways,
            across=across,
            falls=self.falls,
            to_rim=to_rim,
            goes_on=around is not None,
        )

    def _seen(self, outline: Floats, *, across: bool) -> shapely.Polygon:
        """Give an outline of the work frame as (u, v)."""
        points = outline[:, ::-1] if across else outline
        return shapely.Polygon(points * (1.0, -1.0) if self.falls else points)

    def whole(self, depth: int, surface: int) -> Lines:
        """Give the lines of a level over the whole region."""
        return Lines(Level(self.manner, depth, surface, self.around or self.area), self.area)

    def level(self, cut: FaceCut, depth: int, surface: int, whole: Lines) -> None:
        """Lay down one level, only where wood stands over it."""
        mm, here = self.ground.steps.mm, self.path.place
        u, v, heights = cut.grid_x, cut.grid_y, cut.wood
        if self.manner.across:
            u, v, heights = v, u, heights.T
        if self.falls:
            v, heights = -v[::-1], heights[:, ::-1]
        wood = Cells.above(u, v, heights, mm(depth))
        at = (mm(here[0]), mm(here[1])) if here else None
        level = Level(self.manner, depth, surface, self.around or wood)
        for lines in regions(level, wood, self.area, whole, at):
            lines.lay(self.path)

    def loop(self, depth: int) -> None:
        """Lay down one loop along the region's rim: wood on the right for climb, else on the left."""
        manner, radius = self.manner, self.manner.tool.radius
        inset = loop_inset(radius, manner.tool.flat, manner.bite)
        shape = self.region.buffer(-inset, join_style="mitre", mitre_limit=2.0).simplify(LOOP_DETAIL)
        if not isinstance(shape, shapely.Polygon) or shape.is_empty:
            return
        # Exchanging u and v mirrors the loop, so its sense as seen in (u, v) turns too.
        left = self.climb == (manner.across != self.falls)
        ring = list(shapely.geometry.polygon.orient(shape, 1.0 if left else -1.0).exterior.coords)[:-1]
        first = min(range(len(ring)), key=lambda index: ring[index])
        ring = [*ring[first:], *ring[:first]]
        nearest = self.ground.steps.nearest
        entry = min(self.region.bounds[0] - radius - LEAD, ring[0][0])
        places = [(entry, nearest(ring[0][1])), *((u, nearest(v)) for u, v in (*ring, ring[0]))]
        places.append(places[0])
        self.path.over(*manner.place(*places[0], -1))
        self.path.lower(depth, depth, manner.tool.plunge_feed)
        for u, v in places[1:]:
            self.path.feed(*manner.place(u, v, -1), depth, manner.tool.feed)
        self.path.raise_up()
