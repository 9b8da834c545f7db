"""What a tooth does to wood. In: diameters, steps, feeds and speeds. Out: chips, forces and power.

Geometry and textbook mechanics of peripheral milling with straight teeth. mm, mm/min, rpm, N, W, m/s, N/mm2.
The chip is taken as feed per tooth times the sine of the tooth's angle, the usual circular-arc form.
"""

from __future__ import annotations

import math

__all__ = [
    "ACROSS",
    "DENSE",
    "FACTOR",
    "HELIX",
    "PRESSURE",
    "depth_for_power",
    "exit_angle",
    "feed_for_chip",
    "feed_for_power",
    "feed_per_tooth",
    "greatest_chip",
    "peak_tooth_force",
    "power",
    "push_of_cut",
    "rim_speed",
    "teeth_at_once",
]

# Cutting pressure of wood, N/mm2: a placeholder, no single published value exists for solid wood.
PRESSURE = 30.0
# Design factor on power and force, for what is not known; common practice, no source.
FACTOR = 2.0
HELIX = 30.0  # degrees, upwards, where nobody says: what common spiral bits have; common practice, no source
DENSE = 0.6  # specific gravity that the placeholder pressure is taken for; denser wood counts in proportion
ACROSS = math.sqrt(2)  # a push across the feed as large as the one along it (Iskra, Hernandez: it turns sign)


def feed_per_tooth(feed: float, rpm: float, flutes: int) -> float:
    """Return how far the work advances from one tooth to the next, mm."""
    return feed / (rpm * flutes)


def exit_angle(width: float, diameter: float) -> float:
    """Return the angle a tooth spends in a one-sided cut `width` wide, radians; at most half a turn."""
    return math.acos(1 - 2 * min(max(width / diameter, 0.0), 1.0))


def greatest_chip(per_tooth: float, width: float, diameter: float) -> float:
    """Return the greatest chip thickness, mm: the feed per tooth, thinned where less than half is engaged."""
    angle = exit_angle(width, diameter)
    return per_tooth * (math.sin(angle) if angle < math.pi / 2 else 1.0)


def feed_for_chip(chip: float, width: float, diameter: float, rpm: float, flutes: int) -> float:
    """Return the feed at which the greatest chip is `chip` thick, mm/min."""
    return chip / greatest_chip(1.0, width, diameter) * rpm * flutes


def rim_speed(diameter: float, rpm: float) -> float:
    """Return the speed of the cutting edge, m/s."""
    return math.pi * diameter * rpm / 60_000


def power(pressure: float, width: float, depth: float, feed: float) -> float:
    """Return the power a cut takes at a cutting pressure in N/mm2, W."""
    return pressure * width * depth * feed / 60_000


def feed_for_power(watts: float, factor: float, pressure: float, width: float, depth: float) -> float:
    """Return the feed at which `factor` times the cut's power is `watts`, mm/min."""
    return watts * 60_000 / (pressure * factor * width * depth)


def depth_for_power(watts: float, factor: float, pressure: float, width: float, feed: float) -> float:
    """Return the depth of cut at which `factor` times the cut's power is `watts`, mm."""
    return watts * 60_000 / (pressure * factor * width * feed)


def teeth_at_once(flutes: int, width: float, diameter: float) -> int:
    """Return how many teeth are in the cut together at the most; a cutter without flutes counts as one."""
    return max(1, math.ceil(flutes * exit_angle(width, diameter) / (2 * math.pi) - 1e-9))


def peak_tooth_force(pressure: float, depth: float, chip: float) -> float:
    """Return the tangential force of one tooth at a chip thickness, N; the average of a turn is far less."""
    return pressure * depth * chip


def push_of_cut(
    pressure: float, width: float, depth: float, per_tooth: float, diameter: float, flutes: int
) -> float:
    """Return how hard a cut may push any way in the plane, N: all teeth that cut at once at their peak."""
    teeth = teeth_at_once(flutes, width, diameter)
    return ACROSS * teeth * peak_tooth_force(pressure, depth, greatest_chip(per_tooth, width, diameter))
