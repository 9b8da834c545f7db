"""What holds a board from its sides. In: a clamping, a zone at sides, what stands. Out: solids and grips.

Work frame, mm. Promise: nothing stands where a wall is cut, or as high as a face cut comes; where the shop
states slots and holes, everything stands on one; of several kinds the one known to hold best is taken, and
the sheet says why.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.forces.holding_force import LOCKING_FRICTION, wedge_locks
from stockwright.frozen import frozen
from stockwright.hold_downs import Beside, LeverStop, SideClamp, Stop, Wedge
from stockwright.planning.clamping import box, none_listed, none_low_enough, refusal, told_apart
from stockwright.planning.grips import beside_force
from stockwright.planning.places import BoltPlaces, none_fits
from stockwright.planning.setup import Grip, Solid
from stockwright.planning.slants import SLANT, slant_at, slanting

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from stockwright.job import Side, Zone
    from stockwright.planning.clamping import Clamping

    Floats = NDArray[np.float64]

__all__ = ["PUSHERS", "Placed", "hold_beside"]

FROM_END = 0.14  # of the length: where the first side clamp stands; common practice, no source
TOUCHES = 1.0  # mm: a fence this near stands at the side already
STEP = 5.0  # mm between the places tried along a side
# Of its own length each takes along a side, so that a hand comes between; common practice, no source
TAKES = 1.5
FROM_CORNER = 5.0  # mm at least from a foot to the board's corner; common practice, no source
KINDS = {SideClamp: "side-clamp", Stop: "stop", LeverStop: "lever-stop", Wedge: "wedge"}
PUSHERS = (SideClamp, Wedge, LeverStop)


@dataclass
class Placed:
    """What has been placed in one clamping so far, and how many of each hold-down are taken."""

    solids: list[Solid] = field(default_factory=list)
    grips: list[Grip] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    found: list[Finding] = field(default_factory=list)
    taken: dict[str, int] = field(default_factory=dict)
    on_tape: float = 0.0

    def left(self, h: Beside) -> int:
        """Return how many of a hold-down are still in the drawer."""
        return h.count - self.taken.get(h.name, 0)


@frozen
class _Asked:
    """What a zone asks of the sides in one clamping, and what bears on it.

    `standing` stands already, what is added goes into `placed`; nothing may be higher than `low`, mm.
    """

    c: Clamping
    zone: Zone
    low: float
    standing: Sequence[Solid]
    placed: Placed


def hold_beside(
    c: Clamping, zone: Zone, sides: Sequence[Side], standing: Sequence[Solid], placed: Placed, spare: int
) -> None:
    """Hold the board from `sides`; `spare` stops are kept back for the ends of other zones."""
    asked = _Asked(c, zone, c.below(zone), standing, placed)
    free = []
    for side in sides:
        if side in c.walls:
            placed.found.append(_is_cut(c, zone, side))
        elif not _fence_at(c, side, standing):
            free.append(side)
    edges = [s for s in free if s.startswith("edge")]
    ends = [s for s in free if s.startswith("end")]
    for group, kinds, what in ((edges, PUSHERS, "side clamp"), (ends, (Stop,), "stop")):
        if not group:
            continue
        chosen = _choose(asked, group, kinds, what, spare if kinds is PUSHERS else 0)
        for number, (side, h, count) in enumerate(chosen):
            why = _stand(asked, h, side, count)
            if why is not None and not _instead(asked, h, side, kinds, len(chosen) - number):
                placed.found.append(why)


def _choose(
    asked: _Asked, sides: Sequence[Side], kinds: tuple[type[Beside], ...], what: str, spare: int
) -> list[tuple[Side, Beside, int]]:
    """Say which hold-down goes to which side, and how many; and say why in a note."""
    c, low, placed = asked.c, asked.low, asked.placed
    every: list[Beside] = [h for h in c.shop.hold_downs if isinstance(h, Beside) and placed.left(h)]
    fitting = [h for h in every if isinstance(h, kinds)]
    if not any(h.fits_under(low) for h in fitting):
        # Anything that pushes may stand at an end too; stops alone never hold two edges.
        fitting = fitting if kinds is PUSHERS else every
    ranked = sorted((h for h in fitting if h.fits_under(low)), key=_rank)
    if not ranked:
        if fitting:
            why = none_low_enough(c, asked.zone, what, min(h.height for h in fitting), low)
        else:
            taken = [h.name for h in c.shop.hold_downs if isinstance(h, PUSHERS) and not placed.left(h)]
            why = none_listed(c, asked.zone, what, low, taken)
        placed.found.append(why)
        return []
    best = ranked[0]
    stops = sorted((h for h in every if isinstance(h, Stop) and h.fits_under(low)), key=_rank)
    stops = [h for h in stops if h is not best and placed.left(h) > spare]
    placed.notes.append(_why(sides, best, [h for h in fitting if h is not best], low))
    if len(sides) == 2 and stops and (isinstance(best, Wedge | LeverStop) or placed.left(best) < 2):
        # What pushes from one side wants something firm opposite: pushed from the operator's side.
        near, far = sorted(sides, key=lambda s: (c.place.looks(s)[1], c.place.looks(s)[0]))
        firm = stops[0]
        placed.notes.append(f"{firm.name} stands firm at {far}, opposite {best.name}.")
        return [(near, best, placed.left(best)), (far, firm, placed.left(firm) - spare)]
    if placed.left(best) >= len(sides):
        return [(side, best, placed.left(best) // len(sides)) for side in sides]
    out: list[tuple[Side, Beside, int]] = []
    pool = [h for h in ranked for _ in range(placed.left(h))]
    for side, h in zip(sides, pool, strict=False):
        out.append((side, h, 1))
    for side in sides[len(pool) :]:
        placed.found.append(_too_few(c, asked.zone, side, len(pool), len(sides)))
    return out


def _instead(asked: _Asked, best: Beside, side: Side, kinds: tuple[type[Beside], ...], sides: int) -> bool:
    """Stand the next best of the same kind where the best one has no room; say whether one has.

    Of what is left, a fair part stays for the other `sides` that are still to be held.
    """
    placed = asked.placed
    others = [
        h
        for h in asked.c.shop.hold_downs
        if isinstance(h, Beside)
        and isinstance(h, kinds if isinstance(best, kinds) else type(best))
        and h is not best
        and h.fits_under(asked.low)
        and placed.left(h)
    ]
    for h in sorted(others, key=_rank):
        if _stand(asked, h, side, max(1, placed.left(h) // sides)) is None:
            placed.notes.append(f"{side}: {h.name}, for {best.name} has no room there.")
            return True
    return False


def _rank(h: Beside) -> tuple[bool, float, float, str]:
    """Known before guessed, strong before weak, high before low, then by name."""
    force = beside_force(h)
    return (force.guessed, -force.newtons, -h.height, h.name)


def _why(sides: Sequence[Side], best: Beside, others: Sequence[Beside], low: float) -> str:
    force = beside_force(best)
    does = "carries up to" if isinstance(best, Stop) else "pushes with"
    text = f"{' and '.join(sides)}: {best.name}, each {does} {force.newtons:.0f} N ({force.source})"
    for h in sorted(others, key=_rank):
        other = beside_force(h)
        why = (
            f"{h.height:g} mm high, and {low:.1f} mm is free"
            if not h.fits_under(low)
            else f"{other.newtons:.0f} N{' guessed' if other.guessed else ''}"
            if (other.guessed, -other.newtons) != (force.guessed, -force.newtons)
            else f"no stronger, {h.height:g} mm high"
        )
        text += f"; not {h.name}: {why}"
    return text + "."


def _stand(asked: _Asked, h: Beside, side: Side, count: int) -> Finding | None:
    """Stand up to `count` of one hold-down along a side, each touching the wood; return why none fits."""
    c, placed = asked.c, asked.placed
    places = BoltPlaces.of(c.shop)
    feet = _feet(asked, h, side, count, places)
    if isinstance(feet, Finding):
        return feet
    nx, ny = c.place.looks(side)
    force, top = beside_force(h), min(h.height, c.face_height)
    if isinstance(h, Wedge) and h.angle > wedge_locks(LOCKING_FRICTION):
        placed.found.append(_slips(c, h))
    for number, foot in enumerate(feet, 1):
        name = f"{h.name} {number} at {side}"
        placed.solids.append(Solid(name, KINDS[type(h)], foot, 0.0, h.height))
        x, y = foot.mean(axis=0)
        at_x, at_y = float(x - nx * h.depth / 2), float(y - ny * h.depth / 2)
        placed.grips.append(
            Grip(
                name,
                c.wood.board.name,
                "carry" if isinstance(h, Stop) else "push",
                (at_x, at_y, top / 2),
                force.newtons,
                force.source,
                way=(-nx + 0.0, -ny + 0.0),
            )
        )
        if told := places.told(name, float(x), float(y)):
            placed.notes.append(told)
    placed.taken[h.name] = placed.taken.get(h.name, 0) + len(feet)
    return None


def _feet(asked: _Asked, h: Beside, side: Side, count: int, places: BoltPlaces) -> list[Floats] | Finding:
    """Return the outlines of up to `count` feet along a side, each (4, 2), in order; or why none fits.

    They are wanted evenly spread; each goes to the nearest place that is free and near enough to a slot or
    hole.
    """
    c = asked.c
    outline = c.wood.plan(c.place)
    nx, ny = c.place.looks(side)
    lo, hi = _span(c, h, c.lying, across=abs(nx) > abs(ny))
    count = min(count, max(1, int((hi - lo) // (h.length * TAKES))))
    inset = max(FROM_END * (hi - lo), h.length / 2 + FROM_CORNER)
    wanted = np.linspace(lo + inset, hi - inset, count) if count > 1 else np.array([(lo + hi) / 2])
    tried = np.arange(lo + h.length / 2, hi - h.length / 2 + 1e-6, STEP)
    chosen: list[tuple[float, Floats]] = []
    off = least = np.inf
    stands = (*asked.standing, *asked.placed.solids)
    obstacles = [shapely.Polygon(s.outline) for s in stands if s.bottom < h.height]
    for target in wanted:
        for at in itertools.chain((float(target),), _outwards(tried, float(target))):
            if any(abs(at - other) < h.length + TOUCHES for other, _ in chosen):
                continue
            if c.walls and not lo + h.length / 2 - 1e-6 <= at <= hi - h.length / 2 + 1e-6:
                continue
            foot = _foot(outline, h, (nx, ny), at)
            x, y = foot.mean(axis=0)
            away = places.nearest(float(x), float(y))[0]
            off = min(off, away)
            shape = shapely.Polygon(foot)
            if away > places.play + 1e-6 or any(_meets(shape, o) for o in obstacles):
                continue
            slant = slant_at(outline, foot, (nx, ny))  # last, since it is the dearest to ask
            least = min(least, slant)
            if slant <= SLANT:
                chosen.append((at, foot))
                break
    if chosen:
        return [foot for _, foot in sorted(chosen, key=lambda each: each[0])]
    if places.places and off > places.play:
        return none_fits(c.index, h.name, side, off, places.play)
    if np.isfinite(least) and least > SLANT:
        return slanting(c, asked.zone, h, side, least)
    return _no_room(c, asked.zone, h, side, hi - lo)


def _outwards(places: Floats, first: float) -> Iterator[float]:
    """Yield places (n,) from the nearest to `first` on; put in order only if it comes to asking for one."""
    yield from sorted(places.tolist(), key=lambda place: (abs(place - first), place))


def _span(c: Clamping, h: Beside, outline: shapely.Polygon, *, across: bool) -> tuple[float, float]:
    """Return the span along a side, clear of the walls cut at its two ends."""
    x0, y0, x1, y1 = outline.bounds
    if not c.walls:
        return (y0, y1) if across else (x0, x1)
    inside = c.inside_walls(0.0, h.height).bounds
    if across:
        return max(y0, inside[1]), min(y1, inside[3])
    return max(x0, inside[0]), min(x1, inside[2])


def _foot(outline: shapely.Polygon, h: Beside, looks: tuple[float, float], at: float) -> Floats:
    """Return the outline of one foot with its middle at `at` along the side, touching the wood."""
    x0, y0, x1, y1 = outline.bounds
    nx, ny = looks
    a, b = at - h.length / 2, at + h.length / 2
    if abs(nx) > abs(ny):
        touched = outline.intersection(shapely.box(x0 - 1, a, x1 + 1, b)).bounds
        edge = (touched[2] if nx > 0 else touched[0]) if touched[0] == touched[0] else x1 if nx > 0 else x0
        return box(min(edge, edge + nx * h.depth), a, max(edge, edge + nx * h.depth), b)
    touched = outline.intersection(shapely.box(a, y0 - 1, b, y1 + 1)).bounds
    edge = (touched[3] if ny > 0 else touched[1]) if touched[0] == touched[0] else y1 if ny > 0 else y0
    return box(a, min(edge, edge + ny * h.depth), b, max(edge, edge + ny * h.depth))


def _meets(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    return bool(one.intersects(other)) and one.intersection(other).area > TOUCHES


def _fence_at(c: Clamping, side: Side, standing: Sequence[Solid]) -> bool:
    """Say whether the fence stands at a side already."""
    if c.place.looks(side)[1] > -0.5:
        return False
    x0, y0, x1, _ = c.wood.plan(c.place).bounds
    return any(
        s.kind == "fence"
        and abs(float(s.outline[:, 1].max()) - y0) <= TOUCHES
        and s.outline[:, 0].max() > x0
        and s.outline[:, 0].min() < x1
        for s in standing
    )


def _is_cut(c: Clamping, zone: Zone, side: Side) -> Finding:
    lowest = min((h.height for h in c.shop.hold_downs if isinstance(h, Beside)), default=0.0)
    return refusal(
        c,
        "hold-down-where-cut",
        f"zone {zone.name} holds {side}, which is cut in this clamping: the tip comes down to "
        f"{c.tip:.1f} mm there, and the lowest hold-down is {lowest:.1f} mm high",
        f"leave {side} out of the zone, or cut it in a clamping of its own",
        lowest,
        c.tip,
    )


def _too_few(c: Clamping, zone: Zone, side: Side, have: int, want: int) -> Finding:
    return refusal(
        c,
        "no-hold-down",
        f"zone {zone.name} holds {want} sides, the shop has {have} left, and {side} goes without",
        f"list {want - have} more in the shop's hold-downs, or leave {side} out of the zone",
        float(have),
        float(want),
    )


def _no_room(c: Clamping, zone: Zone, h: Beside, side: Side, room: float) -> Finding:
    room = max(0.0, room)
    long, left = told_apart(h.length, room)
    return refusal(
        c,
        "no-room-for-clamps",
        f"{h.name} does not fit zone {zone.name}: it is {long} mm long, and {side} leaves {left} mm clear of "
        "what is cut and of what else stands",
        f"list one at most {room:.1f} mm long, or hold this side elsewhere"
        if room > 0
        else "hold this side elsewhere, or cut it in a clamping of its own",
        h.length,
        room,
    )


def _slips(c: Clamping, h: Wedge) -> Finding:
    steepest = wedge_locks(LOCKING_FRICTION)
    return Finding(
        rule="wedge-slips-back",
        level="warn",
        message=f"{h.name} has {h.angle:.1f} degrees; above {steepest:.1f} degrees a smooth wedge shaken by "
        "a cutter can slide back",
        remedy=f"cut wedges of at most {int(steepest)} degrees, or secure them with a screw",
        measured=round(h.angle, 3),
        limit=round(steepest, 3),
        setup=c.index,
    )
