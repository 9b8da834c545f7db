"""How hard things hold. In: torques, levers, angles, areas, pressures. Out: newtons.

Textbook mechanics, one formula for each. mm, N, N mm, N/mm2, degrees. Promise: no number here belongs to a
particular shop; the numbers that stand in for what a shop does not state carry their source and are on the
low side.
"""

from __future__ import annotations

import math

__all__ = [
    "FRICTION",
    "LOCKING_FRICTION",
    "LOW_VACUUM",
    "NUT_FACTOR",
    "TAPE_SHEAR",
    "WEDGE_FRICTION",
    "bolt_tension",
    "strap_press",
    "tape_shear",
    "vacuum_force",
    "wedge_gain",
    "wedge_locks",
]

# Torque over tension and diameter: about 0.15 oiled, 0.2 as received, 0.3 dry (tables of nut factors, read
# second hand). The dry one gives the least force.
NUT_FACTOR = 0.3
# Friction takes most of what drives a wedge: smooth dry wood slides at 0.3 to 0.5 (Wood Handbook, from
# memory); the middle of it.
WEDGE_FRICTION = 0.4
# Dry wood under a clamp's pad: near the lowest readings, spruce pine on steel 0.10 to 0.25 (Lemoine et al.
# 1970).
FRICTION = 0.2
# Friction holds a driven wedge, so here the least counts: Scots pine on itself, radial faces, static
# (Aira et al. 2014, Mater. Constr., abstract).
LOCKING_FRICTION = 0.12
# N/mm2 of double-sided tape on planed, dust-free wood; common practice, no source.
TAPE_SHEAR = 0.02
# N/mm2 below the air's pressure, half of what a sound pump gives: wood leaks; common practice, no source.
LOW_VACUUM = 0.04


def bolt_tension(torque: float, diameter: float, nut_factor: float) -> float:
    """Return the tension of a bolt tightened with `torque` (N mm), N; the short form T = K F d."""
    return torque / (nut_factor * diameter)


def strap_press(tension: float, from_heel: float, from_work: float) -> float:
    """Return what the tip of a strap clamp presses with: moments about its heel, N."""
    return tension * from_heel / (from_heel + from_work)


def wedge_gain(angle: float, friction: float) -> float:
    """Return the side force of a wedge for each newton that drives it; it rubs on both its faces."""
    rubs = math.atan(friction)
    return 1.0 / (math.tan(math.radians(angle) + rubs) + math.tan(rubs))


def wedge_locks(friction: float) -> float:
    """Return the steepest angle, degrees, at which a driven wedge stays: twice the friction's."""
    return 2.0 * math.degrees(math.atan(friction))


def vacuum_force(pressure: float, area: float) -> float:
    """Return how hard the air presses on a sealed area, N; `pressure` is the difference, N/mm2."""
    return pressure * area


def tape_shear(per_area: float, area: float) -> float:
    """Return what tape carries in its plane, N."""
    return per_area * area
