"""Arcs of neutral motion: measured, and laid out as chords. In: a start and an `Arc`. Out: a `Bow`, points.

Promise: an arc of more than a quarter turn, or with two different radii, is an error here and never motion;
chords lie no farther from the arc than was asked.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.motion.nodes import Arc

__all__ = ["SAGITTA", "Bow", "bow_of", "chords"]

SAGITTA = 0.002  # mm a chord may stand off its arc where arcs are checked and timed
# What rounding of both ends to a coarse grid (0.01 mm) may add: to the length of the arc, and between radii.
_BEYOND = 0.05  # mm
_UNLIKE = 0.02  # mm


@frozen
class Bow:
    """An arc's measures: radii at its ends, mm; start angle and sweep, radians, anticlockwise above 0."""

    start_radius: float
    end_radius: float
    angle: float
    sweep: float

    @property
    def radius(self) -> float:
        """Mean radius, mm."""
        return (self.start_radius + self.end_radius) / 2


def bow_of(start: Sequence[float] | NDArray[np.float64], arc: Arc) -> Bow:
    """Measure an arc from `start` (x, y, z).

    Raises ValueError where the start is not known, the radii differ, an end stands on the centre, or the arc
    turns by more than a quarter.
    """
    (x0, y0), (x1, y1), (cx, cy) = start[:2], arc.end[:2], arc.centre
    if not all(math.isfinite(v) for v in (*start, *arc.end, cx, cy)):
        raise ValueError("an arc from a place that is not known")
    r0, r1 = math.hypot(x0 - cx, y0 - cy), math.hypot(x1 - cx, y1 - cy)
    if min(r0, r1) <= 0 or abs(r0 - r1) > _UNLIKE:
        raise ValueError(f"an arc with the radius {r0:.4f} mm at its start and {r1:.4f} mm at its end")
    a0, a1 = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    turn = (a0 - a1 if arc.clockwise else a1 - a0) % (2 * math.pi)
    if turn <= 0 or (turn - math.pi / 2) * (r0 + r1) / 2 > _BEYOND:
        raise ValueError(f"an arc turns by {math.degrees(turn):.3f} degrees; a quarter turn is the most")
    return Bow(r0, r1, a0, -turn if arc.clockwise else turn)


def chords(start: Sequence[float] | NDArray[np.float64], arc: Arc, sagitta: float) -> NDArray[np.float64]:
    """Give the ends of chords along an arc, (n, 3), mm, the last exactly its end. Raises as `bow_of`."""
    bow = bow_of(start, arc)
    step = 2 * math.acos(max(0.0, 1 - sagitta / max(bow.start_radius, bow.end_radius)))
    count = max(1, math.ceil(abs(bow.sweep) / step - 1e-9))
    share = np.arange(1, count + 1) / count
    angle = bow.angle + bow.sweep * share
    radius = bow.start_radius + (bow.end_radius - bow.start_radius) * share
    points = np.column_stack(
        [
            arc.centre[0] + radius * np.cos(angle),
            arc.centre[1] + radius * np.sin(angle),
            float(start[2]) + (arc.end[2] - float(start[2])) * share,
        ]
    )
    points[-1] = arc.end
    return points
