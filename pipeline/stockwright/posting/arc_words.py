"""An arc in whole counts. In: its ends as rounded, its centre as meant. Out: I and J, or R; or None.

Promise: the result is a valid arc of the published language after rounding (NISTIR 6556, section 3.5.3) and
turns by the angle that was meant; where no count near the centre gives one, the result is None and the arc
goes out as chords.
"""

from __future__ import annotations

import math

__all__ = ["Place", "centre_counts", "radius_count"]

Place = tuple[float, float]
# Of the two radii's difference that the standard allows, what is used: a reader works it out in floats.
_SHARE = 0.9
_OFF = 2.0  # counts that the middle of the written arc may stand off the meant one


def centre_counts(
    start: Place, end: Place, centre: Place, unlike: float, *, clockwise: bool
) -> tuple[int, int] | None:
    """Give I and J, counts from `start`, the best of the nine counts about the centre; all in counts.

    `unlike` is by how much the radii at both ends may differ. None where none of the nine fits, the ends are
    one, or rounding would turn the arc by something else than was meant.
    """
    if start == end:
        return None
    i, j = round(centre[0] - start[0]), round(centre[1] - start[1])
    best: tuple[float, float, int, int] | None = None
    for di in (-1, 0, 1):
        for dj in (-1, 0, 1):
            at = (start[0] + i + di, start[1] + j + dj)
            r0, r1 = math.dist(start, at), math.dist(end, at)
            if min(r0, r1) > 0:
                found = (abs(r0 - r1), math.dist(at, centre), i + di, j + dj)
                best = found if best is None else min(best, found)
    if best is None or best[0] > _SHARE * unlike:
        return None
    at = (start[0] + best[2], start[1] + best[3])
    meant = _middle(start, end, centre, clockwise=clockwise)
    said = _middle(start, end, at, clockwise=clockwise)
    return best[2:] if meant and said and math.dist(meant, said) <= _OFF else None


def radius_count(start: Place, end: Place, centre: Place, *, clockwise: bool) -> int | None:
    """Give R as a count, above 0: the arc is the shorter one. None as for `centre_counts`."""
    half = math.dist(start, end) / 2
    meant = _middle(start, end, centre, clockwise=clockwise)
    if half <= 0 or meant is None:
        return None
    near = round((math.dist(start, centre) + math.dist(end, centre)) / 2)
    best: tuple[float, int] | None = None
    for radius in (near - 1, near, near + 1):
        if radius <= half:
            continue
        rise = radius - math.sqrt(radius * radius - half * half)
        x, y = (end[0] - start[0]) / (2 * half), (end[1] - start[1]) / (2 * half)
        # The bow stands right of the chord where the arc is anticlockwise.
        side = -1.0 if clockwise else 1.0
        at = ((start[0] + end[0]) / 2 + side * y * rise, (start[1] + end[1]) / 2 - side * x * rise)
        found = (math.dist(at, meant), radius)
        best = found if best is None else min(best, found)
    return best[1] if best is not None and best[0] <= _OFF else None


def _middle(start: Place, end: Place, centre: Place, *, clockwise: bool) -> Place | None:
    """Give the middle of an arc of less than half a turn; None where it turns by more."""
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (a0 - a1 if clockwise else a1 - a0) % (2 * math.pi)
    if not 0 < turn < math.pi:
        return None
    angle = a0 - turn / 2 if clockwise else a0 + turn / 2
    radius = (math.dist(start, centre) + math.dist(end, centre)) / 2
    return (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
