"""How many clamps on top a board needs. In: the edges that are cut, how hard clamps press. Out: yes or no.

mm, N, work frame. Promise: this only chooses how many of the shop's clamps are set; whether they hold is
judged by the check stage, from every move.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.forces.holding_force import FRICTION
from stockwright.forces.mechanics import (
    ACROSS,
    FACTOR,
    THIN_CHIP,
    feed_for_chip,
    feed_per_tooth,
    force_of_teeth,
    lift,
)
from stockwright.forces.statics import Resistance
from stockwright.job import EdgeStep

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.job import Step
    from stockwright.machine import Shop
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.setup import Grip

__all__ = ["are_enough", "asked_by"]


def asked_by(steps: Sequence[Step], shop: Shop, species: str | None, height: float) -> tuple[float, float]:
    """Return the greatest push sideways and pull upwards of a clamping's edges, factor included, N.

    At the cutter's feed, or at the greater one that makes a proper chip: to that it has to be turned up.
    """
    pressure = shop.pressure_in((species,))
    push = pull = 0.0
    for step in steps:
        if not isinstance(step, EdgeStep):
            continue
        tool, wall = step.tool, height + step.below
        feed = max(tool.feed, feed_for_chip(THIN_CHIP, step.stepover, tool.diameter, tool.rpm, tool.flutes))
        each = feed_per_tooth(feed, tool.rpm, tool.flutes)
        force = FACTOR * max(
            force_of_teeth(tool, pressure, width, depth, each)
            for width, depth in ((step.stepover, min(step.stepdown, wall)), (step.light, wall))
        )
        push, pull = max(push, ACROSS * force), max(pull, lift(force, tool.helix))
    return push, pull


def are_enough(c: Clamping, pressing: Sequence[Grip]) -> bool:
    """Say whether friction under these alone keeps the board from sliding, turning and tipping."""
    push, pull = c.asked
    if push <= 0:
        return True
    stated = c.shop.friction
    friction = FRICTION if stated is None else stated
    outline = c.wood.plan(c.place)
    x0, y0, x1, y1 = outline.bounds
    rubs = [(*g.at[:2], friction * max(0.0, g.force - pull)) for g in pressing]
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    body = Resistance.of(middle, math.sqrt(outline.area), rubs, (), ())
    places = []
    for side, tool in c.walls.items():
        (nx, ny), line = c.place.looks(side), c.stop_lines[side]
        if abs(ny) > abs(nx):
            places += [(x, line + ny * tool.radius) for x in (x0, x1)]
        else:
            places += [(line + nx * tool.radius, y) for y in (y0, y1)]
    if not places or float(body.held(np.array(places)).min()) < push:
        return False
    for axis, (low, high) in enumerate(((x0, x1), (y0, y1))):
        turned = push * c.face_height + pull * (high - low)
        for kept in (
            sum(g.force * (g.at[axis] - low) for g in pressing),
            sum(g.force * (high - g.at[axis]) for g in pressing),
        ):
            if kept < turned:
                return False
    return True
