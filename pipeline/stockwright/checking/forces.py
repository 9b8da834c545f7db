"""What every move demands of board and spindle.

In: bites, a cutter, a shop. Out: `Load`, one for each program. Promise: the peak force of a tooth counts, not
the average over a turn, which is ten times smaller in a light cut; all teeth that cut together count as at
their peak, and the push across the feed is taken as large as the one along it. Cutting pressure is a
placeholder unless the shop states its own: no single published value exists for solid wood (Wood Handbook and
the papers on milling forces in the sources of tests/outside; common practice).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.forces.mechanics import (
    ACROSS,
    feed_per_tooth,
    force_of_teeth,
    greatest_chip,
    lift,
    power,
    torque,
)
from stockwright.frozen import frozen
from stockwright.motion.nodes import SpindleOn
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.checking.bites import Bites
    from stockwright.checking.situation import Run, Situation
    from stockwright.machine import Machine
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = ["SAME", "Load", "loads_of", "power_at", "pressure_of"]

SAME = 0.03  # mm: rounding of two lines to a post's coarsest step


@frozen(eq=False)
class Load:
    """What the m cutting moves of a program ask, (m,) each unless said; forces without a design factor.

    `row` counts as in `bites`; `a`, `b` (m, 3) its ends; `chip` the greatest chip, mm; `side` the push in the
    plane, any way, N; `pull` the lift along the axis, either way, N; `watts` and `newton_metres` over a turn;
    `light`: along a wall, no wider than a last pass; `top` the highest wood it touches; `width`, `depth` mm.
    """

    bites: Bites
    rpm: float
    row: NDArray[np.intp]
    a: Floats
    b: Floats
    feed: Floats
    chip: Floats
    side: Floats
    pull: Floats
    watts: Floats
    newton_metres: Floats
    light: NDArray[np.bool_]
    top: Floats
    width: Floats
    depth: Floats

    @property
    def run(self) -> Run:
        """The program and its setup."""
        return self.bites.run

    @property
    def tool(self) -> Tool:
        """The cutter."""
        return self.run.program.tool

    def __len__(self) -> int:
        """Count the moves that cut."""
        return len(self.row)

    def at(self, index: int) -> tuple[float, float, float]:
        """Return a place on a move for a finding: its end."""
        x, y, z = self.b[index]
        return (round(float(x), 3), round(float(y), 3), round(float(z), 3))


def loads_of(situation: Situation) -> tuple[Load, ...]:
    """Return the loads of every run, in order; probing and outlines ask nothing."""
    return tuple(_load(situation, bites) for bites in situation.bites)


def pressure_of(situation: Situation, setup: Setup) -> float:
    """Return the cutting pressure in a setup, that of its hardest wood, N/mm2."""
    names = {lie.board for lie in setup.lies}
    return situation.job.shop.pressure_in(b.species for b in situation.job.boards if b.name in names)


def power_at(machine: Machine, rpm: float) -> tuple[float, bool]:
    """Return the power a spindle has at a speed, W, and whether the shop stated it.

    From the stated curve (straight between its points, in proportion to speed below the first), or the stated
    torque up to the rated power; else as if its torque were one at every speed and its power that of the
    greatest: the least that a spindle so rated can have.
    """
    if machine.power_at:
        speeds, watts = zip(*machine.power_at, strict=True)
        if rpm < speeds[0]:
            return float(watts[0] * rpm / speeds[0]), True
        return float(np.interp(rpm, speeds, watts)), True
    if machine.torque is not None:
        return min(machine.power, machine.torque * rpm * 2 * math.pi / 60), True
    return machine.power * min(1.0, rpm / machine.max_rpm), False


def _load(situation: Situation, bites: Bites) -> Load:
    run = bites.run
    tool = run.program.tool
    speeds = [node.rpm for node in run.program.nodes if isinstance(node, SpindleOn)]
    rpm = min(speeds, default=0.0)
    if rpm <= 0 or not len(bites) or tool.flutes < 1:
        none = np.empty(0)
        flags = np.empty(0, dtype=np.bool_)
        nowhere = np.empty((0, 3))
        rows = np.empty(0, dtype=np.intp)
        return Load(
            bites, max(rpm, 1.0), rows, nowhere, nowhere, none, none, none, none, none, none, flags, none,
            none, none,
        )  # fmt: skip
    pressure = pressure_of(situation, run.setup)
    feed = bites.feed[bites.row]
    per_tooth = feed_per_tooth(feed, rpm, tool.flutes)
    chip = greatest_chip(per_tooth, bites.width, tool.diameter)
    force = force_of_teeth(tool, pressure, bites.width, bites.depth, per_tooth)
    watts = power(pressure, bites.width, bites.depth, feed)
    rows, first, which = np.unique(bites.row, return_index=True, return_inverse=True)
    count = len(rows)

    def summed(values: Floats) -> Floats:
        return np.bincount(which, weights=values, minlength=count).astype(np.float64)

    def greatest(values: Floats) -> Floats:
        found = np.zeros(count)
        np.maximum.at(found, which, values)
        return found

    total = summed(watts)
    lights = [cut.light for cut in run.setup.cuts if isinstance(cut, EdgeCut)]
    width = greatest(bites.width)
    on_wall = bites.wall[first] >= 0
    # Along a wall the heights stand on one another; between two walls each has its own.
    walls = sorted(set(bites.wall.tolist()))
    stacked = [np.bincount(which, np.where(bites.wall == w, bites.depth, 0.0), count) for w in walls]
    depth = np.where(on_wall, np.max(stacked, axis=0), greatest(bites.depth))
    light = on_wall & (width <= max(lights, default=0.0) + SAME)
    side = summed(force)
    a, b = bites.a[rows], bites.b[rows]
    return Load(
        bites=bites,
        rpm=rpm,
        row=rows,
        a=a,
        b=b,
        feed=bites.feed[rows],
        chip=greatest(chip),
        side=ACROSS * side,
        pull=lift(side, tool.helix),
        watts=total,
        newton_metres=torque(total, rpm),
        light=light,
        top=np.minimum(a[:, 2], b[:, 2]) + depth,
        width=width,
        depth=depth,
    )
