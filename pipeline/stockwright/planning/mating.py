"""Two neighbours' edges cut by one pass between them. In: a job, two boards. Out: a setup, their wood.

Work frame, mm. Promise: one straight path makes both walls, a cutter's width apart, so that any error of the
machine along it appears in both edges alike and they still mate. The boards stand nearer together than the
cutter is wide, by the take on either side, and every place of both edges is cut.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding, Refused
from stockwright.hold_downs import ARM, TopClamp
from stockwright.job import EdgeStep, MateStep
from stockwright.planning.bed_marks import over_marks
from stockwright.planning.clamping import clear_height
from stockwright.planning.cuts import edge_cut, ring
from stockwright.planning.grips import fence_grips
from stockwright.planning.holding import fence_solids, hold
from stockwright.planning.lay import placed, wall_at
from stockwright.planning.on_bolts import clamping_at
from stockwright.planning.one_pass import one_take
from stockwright.planning.setup import Lies, Placing, Setup
from stockwright.planning.wood import Place
from stockwright.planning.words import notes_of, placing_of, touched_with, zero_how
from stockwright.units import format_length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.job import Job, Side
    from stockwright.machine import Shop
    from stockwright.planning.grips import Held
    from stockwright.planning.groups import Group
    from stockwright.planning.rows import Member
    from stockwright.planning.setup import Solid
    from stockwright.planning.wood import Wood

    Floats = NDArray[np.float64]

__all__ = ["mate_setup", "no_neighbour"]


def no_neighbour(job: Job, index: int) -> Finding:
    """Return the refusal of edges that are to mate with a neighbour's where there is one board."""
    return Finding(
        rule="no-neighbour",
        level="refuse",
        message=f"the edges of neighbours are cut to mate, and {job.name} has one board",
        remedy="name at least 2 boards in the job, in the order in which they lie side by side",
        measured=1.0,
        limit=2.0,
        setup=index,
    )


def mate_setup(
    job: Job, first: Member, second: Member, at: int, index: int
) -> tuple[Setup, tuple[Wood, Wood], list[Finding]]:
    """Plan the clamping in which edge-2 of `first` and edge-1 of `second` are cut by one pass.

    Raises `Refused` where the two do not lie side by side so.
    """
    shop, g = job.shop, first.groups[at]
    step = g.steps[0]
    assert isinstance(step, MateStep)
    takes = {m.board.name: own for m in (first, second) if isinstance(own := m.groups[at].steps[0], MateStep)}
    one_take(takes, index)
    lying = [Place(m.groups[at].place.up, m.groups[at].place.quarter_turns) for m in (first, second)]
    if lying[0] != lying[1] or lying[0].quarter_turns % 2:
        raise Refused((_askew(first, second, index),))
    away: Side = "edge-2" if lying[0].looks("edge-2")[1] > 0 else "edge-1"
    pair = (first, second) if away == "edge-2" else (second, first)  # the nearer one first
    towards: Side = "edge-1" if away == "edge-2" else "edge-2"
    sides: tuple[Side, Side] = (away, towards)
    steps = [_as_edge(step, side) for side in sides]
    place, keep_out = placed(shop, pair[0].wood, pair[0].piece, g)
    places = (place, _beyond(pair, sides, place, step.tool.diameter))
    held, standing, findings = _held(shop, pair, places, g, steps, index, keep_out)
    top = max(m.wood.highest(p) + m.wood.doubt(p.up) for m, p in zip(pair, places, strict=True))
    made = [edge_cut(m.piece, m.wood, p, own, top) for m, p, own in zip(pair, places, steps, strict=True)]
    ends = np.vstack([cut.line for cut, _, _ in made])[:, 0]
    low, high = float(ends.min()), float(ends.max())
    # The wood that stays is on the left of a wall's line: the nearer board's runs to the left.
    leads, follows = made[0][0], made[1][0]
    cuts = (
        replace(leads, line=_at(leads.line, high, low), between="leads"),
        replace(follows, line=_at(follows.line, low, high), between="follows"),
    )
    outlines = [m.wood.plan(p) for m, p in zip(pair, places, strict=True)]
    whole = shapely.union_all(outlines).convex_hull
    assert isinstance(whole, shapely.Polygon)
    solids = (*standing, *(s for each in held for s in each.solids))
    grips = [grip for each in held for grip in each.grips]
    if shop.fence is not None and g.against_fence:
        grips += fence_grips(shop.fence, standing, outlines[0], pair[0].board.name, top)
    setup = Setup(
        index=index,
        title=_title(pair, sides),
        cuts=cuts,
        lies=tuple(
            Lies(m.board.name, p.up, p.quarter_turns, m.wood.matrix(p), 0.0, ring(outline))
            for m, p, outline in zip(pair, places, outlines, strict=True)
        ),
        work_origin=(*shop.bed.mark, 0.0),
        zero_z="support",
        zero_how=zero_how(pair[0].wood, places[0]) + touched_with(shop),
        goals=tuple(goal for _, goal, _ in made),
        solids=solids,
        shims=(),
        placing=_placing(shop, pair, places, step, against_fence=g.against_fence),
        wood_outline=ring(whole),
        wood_top=top,
        clear_z=clear_height(shop, top, solids),
        seat_check=(),
        notes=(
            *notes_of(g),
            *_notes(shop, pair, step),
            *dict.fromkeys(note for each in held for note in each.notes),
            *over_marks(shop, whole),
        ),
        grips=tuple(grips),
    )
    woods = {
        m.board.name: m.wood.after_wall(side, kept)
        for m, side, (_, _, kept) in zip(pair, sides, made, strict=True)
    }
    return setup, (woods[first.board.name], woods[second.board.name]), findings


def _at(line: Floats, start: float, end: float) -> Floats:
    """Return a wall's line from one x to another."""
    return np.array([[start, line[0, 1]], [end, line[0, 1]]])


def _title(pair: tuple[Member, Member], sides: tuple[Side, Side]) -> str:
    near, far = (m.board.name for m in pair)
    return f"{near} and {far}: {sides[0]} and {sides[1]} in one pass between them"


def _as_edge(step: MateStep, side: Side) -> EdgeStep:
    return EdgeStep(
        side=side,
        tool=step.tool,
        to=None,
        stepover=step.tool.stepover,
        stepdown=step.stepdown,
        below=step.below,
        light=step.take,
        hold=(),
        spring=False,
    )


def _beyond(pair: tuple[Member, Member], sides: tuple[Side, Side], place: Place, diameter: float) -> Place:
    """Return where the farther board lies: its wall a cutter's width beyond the nearer one's."""
    near, far = pair
    lying = Place(place.up, place.quarter_turns)
    left = lying.side_looking(-1.0, 0.0)
    x = wall_at(near.piece, place, left) - wall_at(far.piece, lying, left)
    y = wall_at(near.piece, place, sides[0]) + diameter - wall_at(far.piece, lying, sides[1])
    return replace(lying, shift=(x, y, far.wood.rests_at(lying.up)))


def _held(
    shop: Shop,
    pair: tuple[Member, Member],
    places: tuple[Place, Place],
    g: Group,
    steps: list[EdgeStep],
    index: int,
    keep_out: tuple[tuple[float, float], ...],
) -> tuple[list[Held], tuple[Solid, ...], list[Finding]]:
    """Hold each board by itself, half of the shop's hold-downs for each: nothing may stand in the gap."""
    standing = () if shop.fence is None else fence_solids(shop, shop.fence, keep_out)
    half = replace(
        shop,
        hold_downs=tuple(
            replace(h, count=h.count // 2) if isinstance(h, TopClamp) else h for h in shop.hold_downs
        ),
    )
    held: list[Held] = []
    for m, place, step in zip(pair, places, steps, strict=True):
        own = replace(g, steps=(step,))
        zones = tuple(replace(zone, clear_of=(step.side,)) for zone in g.hold)
        c = clamping_at(index, half, m.wood, m.piece, own, place)
        before = (*standing, *(s for each in held for s in each.solids))
        stand = sum(s.name.endswith(ARM) for each in held for s in each.solids)
        held.append(_counted_on(hold(c, zones, before), stand))
    return held, standing, [f for each in held for f in each.findings]


def _counted_on(held: Held, after: int) -> Held:
    """Count the second board's clamps on from the first one's: no two things have one name."""

    def renamed(name: str) -> str:
        return re.sub(r" (\d+)(?= |$)", lambda found: f" {int(found[1]) + after}", name, count=1)

    return replace(
        held,
        solids=tuple(replace(s, name=renamed(s.name)) for s in held.solids),
        grips=tuple(replace(grip, name=renamed(grip.name)) for grip in held.grips),
    )


def _placing(
    shop: Shop,
    pair: tuple[Member, Member],
    places: tuple[Place, Place],
    step: MateStep,
    *,
    against_fence: bool,
) -> tuple[Placing, ...]:
    near, far = pair
    found = [
        replace(p, text=f"{near.board.name}: {p.text}")
        for p in placing_of(shop, near.wood, places[0], against_fence=against_fence)
    ]
    x0 = float(far.wood.plan(places[1]).bounds[0])
    gap = format_length(step.gap, shop.units, 1)
    side = "right" if x0 >= 0 else "left"
    text = (
        f"{far.board.name}: {gap} from {near.board.name}, by a straight strip that thick between them; "
        f"{format_length(round(abs(x0), 1), shop.units)} along x from the mark to its left end, which lies "
        f"{side} of it"
    )
    return (*found, Placing(x0, round(step.gap, 3), text))


def _notes(shop: Shop, pair: tuple[Member, Member], step: MateStep) -> tuple[str, ...]:
    near, far = pair
    take = format_length(step.take, shop.units)
    return (
        (
            f"The cutter goes once between the boards and takes {take} off each: off {far.board.name} with "
            f"the wood on its right, climbing, off {near.board.name} against it. It must take both at once, "
            "or they do not mate."
        ),
        (
            "Take the strip out once both boards are clamped, and try with it again: the gap is the same at "
            "both ends."
        ),
        (
            f"Mark {near.board.name} and {far.board.name} across the joint, so that these edges come "
            "together again."
        ),
    )


def _askew(first: Member, second: Member, index: int) -> Finding:
    return Finding(
        rule="neighbours-lie-askew",
        level="refuse",
        message=f"{first.board.name} and {second.board.name} do not lie with the same face up, the grain "
        "along the fence",
        remedy="flip every board, or none, before their edges are cut to mate",
        measured=1.0,
        limit=0.0,
        setup=index,
    )
