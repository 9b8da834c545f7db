"""Arcs of RS274/NGC as chords. In: ends, plane and centre or radius. Out: points on the arc.

Written from NISTIR 6556, section 3.5.3. Promise: no chord stands farther off the arc than it says.
"""

from __future__ import annotations

import math

from stockwright.frozen import frozen

__all__ = ["SAGITTA", "Arc", "NotAnArc", "arc_by_centre", "arc_by_radius"]

SAGITTA = 0.005  # mm a chord may stand off its arc: half of what walls are judged to
RADII_MM = 0.002  # section 3.5.3.2: start and end radius may differ by this ...
RADII_INCH = 0.0002 * 25.4  # ... or, in inches, by this
SHORT_RADIUS = 1e-9  # mm; a half chord this much beyond the radius is a floating-point hair


class NotAnArc(Exception):  # noqa: N818 - it says what the words do not make
    """The words make no arc; the message says why."""


@frozen
class Arc:
    """An arc in the plane (a, b) about `centre`; `sweep` in radians, above 0 anticlockwise."""

    centre: tuple[float, float]
    radius: float
    start_angle: float
    sweep: float
    start: tuple[float, float, float]
    end: tuple[float, float, float]

    @property
    def length(self) -> float:
        """Length along the arc or helix, mm."""
        return math.hypot(self.radius * self.sweep, self.end[2] - self.start[2])

    def points(self) -> list[tuple[float, float, float]]:
        """Give chord ends after the start, (a, b, c), the last exactly `end`."""
        reach = min(1.0, SAGITTA / self.radius)
        step = 2 * math.acos(1 - reach)
        count = max(1, math.ceil(abs(self.sweep) / step))
        out: list[tuple[float, float, float]] = []
        for k in range(1, count):
            angle = self.start_angle + self.sweep * k / count
            rise = self.start[2] + (self.end[2] - self.start[2]) * k / count
            out.append(
                (
                    self.centre[0] + self.radius * math.cos(angle),
                    self.centre[1] + self.radius * math.sin(angle),
                    rise,
                )
            )
        out.append(self.end)
        return out


def arc_by_centre(
    start: tuple[float, float, float],
    end: tuple[float, float, float],
    offset: tuple[float, float],
    *,
    clockwise: bool,
    inch: bool,
) -> Arc:
    """Build an arc from the centre's distance from the start (section 3.5.3.2); mm."""
    centre = (start[0] + offset[0], start[1] + offset[1])
    r0 = math.hypot(offset[0], offset[1])
    r1 = math.hypot(end[0] - centre[0], end[1] - centre[1])
    if r0 == 0 or r1 == 0:
        raise NotAnArc("the centre of the arc stands on one of its ends")
    if abs(r0 - r1) > (RADII_INCH if inch else RADII_MM):
        raise NotAnArc(f"the arc's radius is {r0:.4f} mm at its start and {r1:.4f} mm at its end")
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    same = start[0] == end[0] and start[1] == end[1]
    turn = a0 - a1 if clockwise else a1 - a0
    if same or turn <= 0:
        turn += 2 * math.pi
    if same:
        turn = 2 * math.pi
    return Arc(centre, (r0 + r1) / 2, a0, -turn if clockwise else turn, start, end)


def arc_by_radius(
    start: tuple[float, float, float], end: tuple[float, float, float], radius: float, *, clockwise: bool
) -> Arc:
    """Build an arc from its radius (section 3.5.3.1); below 0 means the longer way round; mm."""
    half = math.hypot(end[0] - start[0], end[1] - start[1]) / 2
    if half == 0:
        raise NotAnArc("a whole circle cannot be told by its radius")
    size = abs(radius)
    if half > size + SHORT_RADIUS:
        raise NotAnArc(f"the radius {size:g} mm is too small for ends {2 * half:g} mm apart")
    off = math.sqrt(max(0.0, size * size - half * half))
    # Left of the chord for the shorter anticlockwise arc; every change of sense or length mirrors it.
    if clockwise != (radius < 0):
        off = -off
    ux, uy = (end[0] - start[0]) / (2 * half), (end[1] - start[1]) / (2 * half)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    centre = (middle[0] - uy * off, middle[1] + ux * off)
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = a0 - a1 if clockwise else a1 - a0
    if turn <= 0:
        turn += 2 * math.pi
    return Arc(centre, size, a0, -turn if clockwise else turn, start, end)
