"""The traces that a machine's errors leave in a board, and back again. In: degrees, mm. Out: mm, degrees.

Plain geometry of a flat-ended cutter and of two axes; the tests derive it a second time.
"""

from __future__ import annotations

import math

__all__ = [
    "angle_of_bevel",
    "angle_of_diagonals",
    "angle_of_ridge_across",
    "angle_of_taper",
    "bevel",
    "hollow",
    "ridge_across",
    "ridge_along",
    "slid_apart",
    "taper",
]


def ridge_across(step: float, tilt: float) -> float:
    """Return the height of the saw-tooth a spindle leaves that leans across the passes, `step` apart, mm."""
    return step * math.tan(math.radians(tilt))


def hollow(radius: float, tilt: float) -> float:
    """Return the depth of the hollow under a full-width pass of a spindle that leans along it, mm."""
    return radius * math.sin(math.radians(tilt))


def ridge_along(radius: float, step: float, tilt: float) -> float:
    """Return what stands between passes `step` apart of a spindle that leans along them, mm."""
    share = min(step / (2 * radius), 1.0)
    return hollow(radius, tilt) * (1 - math.sqrt(1 - share * share))


def bevel(height: float, tilt: float) -> float:
    """Return how far an edge of that height is out of upright under a leaning spindle, mm."""
    return height * math.tan(math.radians(tilt))


def taper(length: float, angle: float) -> float:
    """Return how far two lines at that angle part over a length, mm: a fence off the x axis, a bed off it."""
    return length * math.tan(math.radians(angle))


def angle_of_ridge_across(ridge: float, step: float) -> float:
    """Return the lean across the passes that leaves such a ridge, degrees."""
    return math.degrees(math.atan2(ridge, step))


def angle_of_bevel(gap: float, height: float) -> float:
    """Return the lean that leaves an edge so far out of upright over its height, degrees."""
    return math.degrees(math.atan2(gap, height))


def angle_of_diagonals(differ: float, length: float, width: float) -> float:
    """Return the angle by which the axes are out of square where a rectangle's diagonals differ, degrees.

    They differ by 2 L W sin(angle) / root(L^2 + W^2), near enough for small angles.
    """
    share = differ * math.hypot(length, width) / (2 * length * width)
    return math.degrees(math.asin(max(-1.0, min(1.0, share))))


def angle_of_taper(parts: float, length: float) -> float:
    """Return the angle at which two lines part so far over a length, degrees."""
    return math.degrees(math.atan2(parts, length))


def slid_apart(reads: float, shared: float, new: float, slides: int) -> tuple[float, float]:
    """Return (step, lean): how far the last part of a board slid along may be off the first one, mm.

    Each part is laid by readings, out by up to `reads`, at both ends of the length `shared` with the part
    before; so it may stand off it by as much, and lean by twice as much over that length. It adds `new`
    to the board's length, and the part after it leans on it in turn.
    """
    lean = sum(2 * reads / shared * count * new for count in range(1, slides + 1)) if shared > 0 else 0.0
    return slides * reads, lean
