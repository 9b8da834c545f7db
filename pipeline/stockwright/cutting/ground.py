"""What all cuts of a setup share. In: setup, shop, resolution. Out: whole steps, heights, travel, times.

Work frame. Promise: the travel is that of the cutter's centre, so every place inside it can be reached.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stockwright.cutting.steps import Steps
from stockwright.frozen import frozen
from stockwright.tooling import LEAD

if TYPE_CHECKING:
    from stockwright.machine import Machine, Shop
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

    Span = tuple[float, float]

__all__ = ["TOUCH", "Ground", "ground", "ramp_length"]

# Where a descent into wood begins over what is known to stand, mm; common practice, no source.
TOUCH = 0.5


@frozen
class Ground:
    """`clear` is in steps; `bed` is the bed surface's z, `x` and `y` the centre's travel (mm, work frame)."""

    steps: Steps
    machine: Machine
    clear: int
    bed: float
    x: Span
    y: Span

    def seconds(self, length: float, speed: float) -> float:
        """Give the time from rest to rest over `length` mm at `speed` mm/min, trapezoidal."""
        v, a = speed / 60, self.machine.acceleration
        return length / v + v / a if length >= v * v / a else 2 * math.sqrt(length / a)

    def again(self, z: int, surface: int, plunge_feed: float, across: float) -> float:
        """Give the time to raise from `z`, go `across` mm and lower again, seconds."""
        up = self.steps.mm(self.clear - z)
        rapid = self.machine.rapid
        slow = self.steps.mm(max(0, surface - z)) + LEAD
        return 2 * self.seconds(up, rapid) + self.seconds(across, rapid) + self.seconds(slow, plunge_feed)


def ramp_length(tool: Tool, drop: float) -> float:
    """Give the way a descent of `drop` mm takes at the steepest ramp, mm; 0 if it goes straight down."""
    if tool.centre_cutting or tool.ramp <= 0:
        return 0.0
    return drop / math.tan(math.radians(tool.ramp))


def ground(setup: Setup, shop: Shop, resolution: float) -> Ground:
    """Give what every cut of `setup` shares."""
    steps, machine = Steps(resolution), shop.machine
    at_x, at_y, at_z = setup.work_origin
    # One step inside, so that rounding outwards never leaves the travel.
    return Ground(
        steps=steps,
        machine=machine,
        clear=steps.up(setup.clear_z),
        bed=-at_z,
        x=(machine.x[0] - at_x + resolution, machine.x[1] - at_x - resolution),
        y=(machine.y[0] - at_y + resolution, machine.y[1] - at_y - resolution),
    )
