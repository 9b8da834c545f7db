"""What a tooth does to wood. In: diameters, steps, feeds and speeds. Out: chips, forces and power.

Geometry and textbook mechanics of peripheral milling with straight teeth. mm, mm/min, rpm, N, W, m/s, N/mm2.
The chip is taken as feed per tooth times the sine of the tooth's angle, the usual circular-arc form. An
`Amount` is one number or an array of them, and comes out as what went in.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeVar

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

Amount = TypeVar("Amount", float, "Floats")

__all__ = [
    "ACROSS",
    "FACTOR",
    "PRESSURE",
    "THIN_CHIP",
    "depth_for_power",
    "exit_angle",
    "feed_for_chip",
    "feed_for_power",
    "feed_per_tooth",
    "force_of_teeth",
    "greatest_chip",
    "hardness",
    "lift",
    "peak_tooth_force",
    "power",
    "rim_speed",
    "side_force",
    "teeth_at_once",
    "torque",
]

# Cutting pressure of wood, N/mm2: a placeholder, no single published value exists for solid wood.
PRESSURE = 30.0
# Design factor on power and force, for what is not known; common practice, no source.
FACTOR = 2.0
HELIX = 30.0  # degrees, upwards, where nobody says: what common spiral bits have; common practice, no source
DENSE = 0.6  # specific gravity that the placeholder pressure is taken for; denser wood counts in proportion
THIN_CHIP = 0.1  # mm: below it edges rub and burn; common practice, no source
ACROSS = math.sqrt(2)  # a push across the feed as large as the one along it (Iskra, Hernandez: it turns sign)


def hardness(gravity: float) -> float:
    """Return how many times as hard as `PRESSURE` says a wood of a specific `gravity` is to cut.

    Wood denser than `DENSE` counts in proportion; lighter wood is given nothing for it, for density is only a
    rough measure of a cutting force (Chuchala et al. 2014).
    """
    return max(1.0, gravity / DENSE)


def feed_per_tooth(feed: Amount, rpm: float, flutes: int) -> Amount:
    """Return how far the work advances from one tooth to the next, mm."""
    return feed / (rpm * flutes)


def exit_angle(width: Amount, diameter: float) -> Amount:
    """Return the angle a tooth spends in a one-sided cut `width` wide, radians; at most half a turn."""
    angle: Amount = np.arccos(1 - 2 * np.clip(width / diameter, 0.0, 1.0))
    return angle


def greatest_chip(per_tooth: Amount, width: Amount, diameter: float) -> Amount:
    """Return the greatest chip thickness, mm: the feed per tooth, thinned where less than half is engaged."""
    thinned: Amount = np.sin(np.minimum(exit_angle(width, diameter), math.pi / 2))
    return per_tooth * thinned


def feed_for_chip(chip: float, width: float, diameter: float, rpm: float, flutes: int) -> float:
    """Return the feed at which the greatest chip is `chip` thick, mm/min."""
    return chip / greatest_chip(1.0, width, diameter) * rpm * flutes


def rim_speed(diameter: float, rpm: float) -> float:
    """Return the speed of the cutting edge, m/s."""
    return math.pi * diameter * rpm / 60_000


def power(pressure: float, width: Amount, depth: Amount, feed: Amount) -> Amount:
    """Return the power a cut takes at a cutting pressure in N/mm2, W."""
    return pressure * width * depth * feed / 60_000


def feed_for_power(watts: float, factor: float, pressure: float, width: float, depth: float) -> float:
    """Return the feed at which `factor` times the cut's power is `watts`, mm/min."""
    return watts * 60_000 / (pressure * factor * width * depth)


def depth_for_power(watts: float, factor: float, pressure: float, width: float, feed: float) -> float:
    """Return the depth of cut at which `factor` times the cut's power is `watts`, mm."""
    return watts * 60_000 / (pressure * factor * width * feed)


def teeth_at_once(flutes: int, width: Amount, diameter: float) -> Amount:
    """Return how many teeth are in the cut together at the most; a cutter without flutes counts as one."""
    share = exit_angle(width, diameter) / (2 * math.pi)
    teeth: Amount = np.maximum(1.0, np.ceil(flutes * share - 1e-9))
    return teeth


def peak_tooth_force(pressure: float, depth: Amount, chip: Amount) -> Amount:
    """Return the tangential force of one tooth at a chip thickness, N; the average of a turn is far less."""
    return pressure * depth * chip


def force_of_teeth(tool: Tool, pressure: float, width: Amount, depth: Amount, per_tooth: Amount) -> Amount:
    """Return the tangential force of all teeth that cut at once, each at its peak, N."""
    chip = greatest_chip(per_tooth, width, tool.diameter)
    return teeth_at_once(tool.flutes, width, tool.diameter) * peak_tooth_force(pressure, depth, chip)


def side_force(tool: Tool, width: float, depth: float, pressure: float, factor: float) -> float:
    """Return the push sideways in a one-sided cut, N: that of the teeth in the cut together.

    The force across the feed may be as large as the one along it (common practice, no source).
    """
    per_tooth = feed_per_tooth(tool.feed, tool.rpm, max(tool.flutes, 1))
    return factor * force_of_teeth(tool, pressure, width, depth, per_tooth)


def lift(force: Amount, helix: float | None) -> Amount:
    """Return the pull along the axis of teeth at `helix` degrees, N; None: at `HELIX`."""
    return force * math.tan(math.radians(HELIX if helix is None else helix))


def torque(watts: Amount, rpm: float) -> Amount:
    """Return the torque of a power at a speed, N m."""
    return watts * 60 / (2 * math.pi * rpm)
