"""Where a cutter may come down beside the wood. In: a program's setup and cutter. Out: a place before a pass.

Promise: the whole assembly keeps the machine's margin from everything that stands, and the cutter's rim keeps
off the wood, on the way down and along the line into it, within the machine's travel. Cautious: where the
answer is None there may still be room.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.tooling import LEAD

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.recutting.laying import Source

    Floats = NDArray[np.float64]

__all__ = ["Room"]

STEP = 1.0  # mm between the places that are tried; our own choice
FARTHEST = 2.0  # cutter diameters outwards that are tried; our own choice


@frozen(eq=False)
class Room:
    """Free places in one setup for one cutter; `wood`: every board's outline as it lies, work frame."""

    source: Source
    wood: BaseGeometry

    def before(self, start: Floats, end: Floats, z: float) -> tuple[float, float] | None:
        """Give a place on the line of a pass, before its start, from which the tip at `z` may come in."""
        way = np.asarray(start) - np.asarray(end)
        length = float(np.hypot(way[0], way[1]))
        if length == 0:
            return None
        way = way / length
        away = self.source.tool.radius + LEAD
        tries = math.ceil(FARTHEST * self.source.tool.diameter / STEP)
        for number in range(tries + 1):
            place = np.asarray(start) + way * (number * STEP)
            if self.wood.distance(shapely.Point(place)) < away:
                continue
            point = (float(place[0]), float(place[1]))
            return point if self._reaches(point, z) and self._free(point, start, z) else None
        return None

    def _reaches(self, point: tuple[float, float], z: float) -> bool:
        """Say whether the spindle nose may stand over a place."""
        travel, origin = self.source.packet.machine.travel, self.source.setup.work_origin
        nose = z + self.source.tool.nose
        spans = (travel.x, travel.y, travel.z)
        return all(
            low <= value + at <= high
            for (low, high), value, at in zip(spans, (*point, nose), origin, strict=True)
        )

    def _free(self, point: tuple[float, float], start: Floats, z: float) -> bool:
        """Say whether everything that moves keeps off all that stands, on the line from a place on."""
        source = self.source
        line = shapely.LineString([point, (float(start[0]), float(start[1]))])
        parts = [(p.radius, z + p.bottom, z + p.top) for p in source.tool.assembly]
        for thing in source.packet.machine.attached:
            if thing.moves_with == "z" and not thing.soft:
                wide = max(math.hypot(x, y) for x, y in thing.outline)
                nose = z + source.tool.nose
                parts.append((wide, nose + thing.bottom, nose + thing.top))
        margin = source.packet.machine.margin
        for solid in source.setup.solids:
            if solid.name not in source.program.standing:
                continue
            away = line.distance(shapely.Polygon(solid.outline))
            # On its way down everything passes every height above, so only what lies wholly over is free.
            if any(away < radius + margin and low < solid.top + margin for radius, low, _ in parts):
                return False
        return True
