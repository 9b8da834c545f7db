"""A board raised off the bed. In: a clamping, the shop's risers, where clamps press. Out: what carries it.

Work frame, mm; z zero is the risers' upper side, so the bed lies their height below it. Promise: risers stand
wholly under the board, clear of every wall that is cut past it, no farther apart than the shop's longest
span, and under what presses on the board; only a face that is flat already is laid on them.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.hold_downs import Backing, Beside, Riser, TopClamp
from stockwright.planning.clamping import box, none_listed, refusal
from stockwright.planning.setup import Solid
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from stockwright.job import Zone
    from stockwright.machine import Shop
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.setup import Grip

__all__ = [
    "RISEN",
    "Risen",
    "not_raised",
    "on_bed_below",
    "raised_zone",
    "riser_of",
    "risers_under",
    "seen_from",
]

INSET = 5.0  # mm from the board's edge to a riser, so that one laid askew is still under it; common practice
ASIDE = 2.0  # mm beyond the margin, from a wall that is cut to a riser; common practice, no source
BEARS = 3.0  # mm of a hold-down that must stand above the risers to bear on the board; common practice
FEWEST = 2  # one lets a board rock


@frozen
class Risen:
    """What carries a board off the bed: solids, sentences for the sheet, and why nothing can."""

    solids: tuple[Solid, ...] = ()
    notes: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


RISEN = Risen()


def raised_zone(zones: Sequence[Zone]) -> Zone | None:
    """Return the zone that asks for risers, if one does."""
    return next((zone for zone in zones if zone.where == "raised"), None)


def riser_of(shop: Shop) -> Riser | None:
    """Return the risers that the shop has: of several kinds the lowest, for it moves least."""
    kinds = [h for h in shop.hold_downs if isinstance(h, Riser)]
    return min(kinds, key=lambda h: (h.height, h.name), default=None)


def seen_from(shop: Shop, height: float) -> Shop:
    """Return the shop as seen from above risers; what is then too low to bear on the board is left out."""
    held: list[Beside | TopClamp | Backing | Riser] = []
    for h in shop.hold_downs:
        if isinstance(h, Beside):
            if h.height - height >= BEARS:
                held.append(replace(h, height=h.height - height))
        elif isinstance(h, TopClamp | Backing | Riser):
            held.append(h)
    fence = shop.fence if shop.fence is None else replace(shop.fence, height=shop.fence.height - height)
    return replace(shop, hold_downs=tuple(held), fence=fence)


def on_bed_below(solids: Sequence[Solid], height: float) -> tuple[Solid, ...]:
    """Return the solids with what stands on the bed reaching down to it, `height` below z zero."""
    return tuple(replace(s, bottom=-height) if s.bottom == 0.0 else s for s in solids)


def risers_under(c: Clamping, zone: Zone, pressing: Sequence[Grip], *, against_fence: bool) -> Risen:
    """Return the risers, sentences for the sheet, and why they cannot stand."""
    h = riser_of(c.shop)
    if h is None:
        return Risen(findings=(none_listed(c, zone, "riser"),))
    against = _against(c, h, against_fence=against_fence)
    if against is not None:
        return Risen(findings=(against,))
    room = _room(c)
    x0, y0, x1, y1 = room.bounds if not room.is_empty else (0.0, 0.0, 0.0, 0.0)
    a, b, far_a, far_b = c.lying.bounds
    along = 0 if far_a - a >= far_b - b else 1
    (lo, hi), (low, high) = ((x0, x1), (y0, y1)) if along == 0 else ((y0, y1), (x0, x1))
    if h.length > high - low or FEWEST * h.width > hi - lo:
        return Risen(findings=(_no_room(c, h, high - low, hi - lo),))
    lo, hi, middle = lo + h.width / 2, hi - h.width / 2, (low + high) / 2
    ends = ((a, far_a), (b, far_b))[along]
    wanted = sorted({round(float(np.clip(g.at[along], lo, hi)), 1) for g in pressing if g.how == "press"})
    places = _spread(wanted, (lo, hi), ends, h, c.shop.longest_span)
    reach = _longest(places, ends) if len(places) >= FEWEST else ends[1] - ends[0]
    if len(places) < FEWEST or reach > c.shop.longest_span + 0.5:
        return Risen(findings=(_too_few(c, h, reach, ends),))
    solids = []
    for number, at in enumerate(places, 1):
        half, long = h.width / 2, h.length / 2
        outline = (
            box(at - half, middle - long, at + half, middle + long)
            if along == 0
            else box(middle - long, at - half, middle + long, at + half)
        )
        solids.append(Solid(f"{h.name} {number}", "riser", outline, -h.height, 0.0))
    units = c.shop.units
    spots = ", ".join(format_length(v, units, 0) for v in places)
    note = (
        f"{h.name}: set {len(places)}, {format_length(h.height, units)} high and planed together, across the "
        f"board with their middles at {'xy'[along]} {spots} from the mark, before the board is laid. No part "
        "of the board bears elsewhere."
    )
    return Risen(tuple(solids), (note,))


def not_raised(boards: int, index: int) -> Finding:
    """Return the refusal of risers under boards that lie side by side."""
    return Finding(
        rule="no-room-for-risers",
        level="refuse",
        message=f"{boards} boards lie side by side in one clamping, and risers carry 1",
        remedy="let each board lie alone in that clamping (leave `together` out), or leave the risers out",
        measured=float(boards),
        limit=1.0,
        setup=index,
    )


def _room(c: Clamping) -> BaseGeometry:
    """Return where a riser may lie: wholly under the board, clear of the walls that are cut."""
    return c.lying.buffer(-INSET, join_style="mitre").intersection(c.inside_walls(ASIDE, 0.0))


def _spread(
    wanted: Sequence[float],
    room: tuple[float, float],
    ends: tuple[float, float],
    h: Riser,
    longest: float,
) -> list[float]:
    """Return where risers stand: under what presses first, then where the longest span is, one at a time.

    `wanted` and `room` rise.
    """
    places: list[float] = []
    for at in wanted or room:
        if len(places) < h.count and all(abs(at - other) >= h.width for other in places):
            places.append(at)
    while len(places) < h.count and (len(places) < FEWEST or _longest(places, ends) > longest):
        gaps = [(b - a, (a + b) / 2) for a, b in pairwise(places)]
        gaps += [(2 * (places[0] - ends[0]), room[0]), (2 * (ends[1] - places[-1]), room[1])]
        free = [g for g in gaps if all(abs(g[1] - other) >= h.width for other in places)]
        if not free:
            break
        places = sorted([*places, max(free)[1]])
    return places


def _longest(places: Sequence[float], ends: tuple[float, float]) -> float:
    """Return the longest span between risers; beyond the last one a board hangs, and that counts twice."""
    inner = [b - a for a, b in pairwise(places)]
    return max([*inner, 2 * (places[0] - ends[0]), 2 * (ends[1] - places[-1])])


def _against(c: Clamping, h: Riser, *, against_fence: bool) -> Finding | None:
    if c.under not in c.wood.faced:
        return refusal(
            c,
            "riser-under-rough-face",
            f"face {c.under}, which would lie on {h.name}, is rough, and nothing says where it would bear",
            f"cut face {c.under} flat first, with the board on the bed",
            0.0,
            1.0,
        )
    doubt = c.wood.moved.get(c.under, 0.0)
    if c.walls and -c.tip < doubt:  # between risers and beyond them it may hang lower than they are
        return refusal(
            c,
            "riser-under-rough-face",
            f"face {c.under}, which would lie on {h.name}, is known within {doubt:.2f} mm, and the cutter "
            f"goes {-c.tip:.2f} mm below it",
            f"let `below` be at least {np.ceil(doubt * 100) / 100:.2f} mm, or read the face at more places",
            -c.tip,
            doubt,
        )
    if against_fence and c.shop.fence is not None and c.shop.fence.height < BEARS:
        stands = c.shop.fence.height + h.height
        return refusal(
            c,
            "fence-below-riser",
            f"the fence is {stands:.1f} mm high, and on {h.name} the board begins at {h.height:.1f} mm",
            f"take a fence at least {h.height + BEARS:.1f} mm high, or risers at most "
            f"{stands - BEARS:.1f} mm high",
            stands,
            h.height + BEARS,
        )
    return None


def _no_room(c: Clamping, h: Riser, across: float, along: float) -> Finding:
    least = h.length > across
    have, want = (across, h.length) if least else (along, FEWEST * h.width)
    return refusal(
        c,
        "no-room-for-risers",
        f"{h.name} is {h.length:.1f} mm long and {h.width:.1f} mm wide, and clear of what is cut the board "
        f"leaves {max(0.0, across):.1f} mm across and {max(0.0, along):.1f} mm along",
        f"list risers at most {max(0.0, np.floor(across * 10) / 10):.1f} mm long"
        if least
        else f"list risers at most {max(0.0, np.floor(along / FEWEST * 10) / 10):.1f} mm wide",
        max(0.0, have),
        want,
    )


def _too_few(c: Clamping, h: Riser, span: float, ends: tuple[float, float]) -> Finding:
    longest = c.shop.longest_span
    need = max(FEWEST, h.count + 1, int(np.ceil((ends[1] - ends[0]) / longest)))
    return refusal(
        c,
        "too-few-risers",
        f"{h.count} of {h.name} leave {span:.0f} mm of the board on nothing, and the shop allows spans of "
        f"{longest:.0f} mm",
        f"list at least {need} of {h.name}, or lay this board on the bed",
        span,
        longest,
    )
