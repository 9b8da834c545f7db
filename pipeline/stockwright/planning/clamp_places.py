"""Where clamps stand while one part of a face is cut, and then while the rest is. In: the room. Out: states.

Work frame, mm. Promise: at a region's border the machine's margin lies between an arm and the rim of the
cutter, and of every part of the assembly that comes as low; the regions of both states overlap by what is
asked.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.planning.clamping import FAR, GAP, beside_wall
from stockwright.planning.registered import registered
from stockwright.planning.top_clamps import LEAST_REACH, SPAN, Reaching, clamp_at
from stockwright.tooling import widest_stepover

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.hold_downs import TopClamp
    from stockwright.job import Zone
    from stockwright.machine import Machine
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.setup import FaceCut, Solid
    from stockwright.tooling import Tool

__all__ = [
    "CARD",
    "KEPT",
    "Band",
    "Room",
    "Stand",
    "State",
    "held_far_apart",
    "places_across",
    "places_along",
    "rims",
]

CARD = 1.0  # mm, the thickest card under an arm on a fresh face; common practice, no source
INSET = 8.0  # mm from a board's end to an arm, so that a crooked end is under it; common practice, no source
FEWEST = 3  # one is moved while two hold
KEPT = 2  # one is moved while the other holds, and stops say where the board lies
SLACK = 0.5  # mm: what rounding, and half a millimetre of region beyond the wood, add up to
ASIDE = 60.0  # mm a clamp may be moved along to a slot or hole; common practice, no source
SAMPLES = 9  # places along and across an arm where the wood's height is read; our own choice


@frozen(eq=False)
class Stand:
    """One clamp where it stands: `wood` is the height under its arm, `top` how high it may come."""

    arm: Solid
    body: Solid
    wood: float
    top: float


@frozen(eq=False)
class Band:
    """One region: `box` is clipped by the face; `begin` is the side across its passes where they begin."""

    box: shapely.Polygon
    begin: Literal["low", "high"]


@frozen(eq=False)
class State:
    """What stands while some regions are cut."""

    stands: tuple[Stand, ...]
    bands: tuple[Band, ...]


def rims(tool: Tool, stepover: float) -> tuple[float, float]:
    """Return how far the cutter's rim comes beyond a region's border where its passes begin, and end, mm.

    The first pass bites no wider than the stepover, so most of the cutter is outside; the last lies half a
    bite inside, where wood goes on beyond the region.
    """
    bite = min(stepover, widest_stepover(tool.flat))
    return tool.diameter - bite, tool.radius - bite / 2


@frozen(eq=False)
class Room:
    """What the places are worked out from. `first` and `second`: how far arms keep from a border's rim."""

    c: Clamping
    zone: Zone
    clamp: TopClamp
    cut: FaceCut
    overlap: float
    unsure: float
    standing: tuple[Solid, ...]
    outline: shapely.Polygon
    begins: float
    ends: float
    first: float
    second: float

    @classmethod
    def of(
        cls,
        c: Clamping,
        zone: Zone,
        clamp: TopClamp,
        cut: FaceCut,
        overlap: float,
        unsure: float,
        standing: tuple[Solid, ...],
    ) -> Room:
        """Work out what the cutter and what rides with it ask for."""
        begins, ends = rims(cut.tool, cut.stepover)
        rough = c.face_height + unsure + clamp.arm_height
        return cls(
            c=c,
            zone=zone,
            clamp=clamp,
            cut=cut,
            overlap=overlap,
            unsure=unsure,
            standing=standing,
            outline=c.wood.plan(c.place),
            begins=begins,
            ends=ends,
            first=_beside(cut.tool, cut.z, rough, c.shop.machine) + SLACK,
            second=_beside(cut.tool, cut.z, cut.z + CARD + clamp.arm_height, c.shop.machine) + SLACK,
        )

    @property
    def sides(self) -> tuple[bool, ...]:
        """From which edges clamps may reach in: True from the near one, False from the far one."""
        return tuple(
            near
            for near, y in ((True, -1.0), (False, 1.0))
            if self.c.place.side_looking(0.0, y) not in self.zone.clear_of
        )

    @property
    def fewest(self) -> int:
        """How many clamps there must be: two where stops would show a board that moved back to its place."""
        return KEPT if registered(self.outline, self.standing) else FEWEST

    def stand(
        self, x: float, reach: float, number: int, *, near: bool, fresh: bool, aside: tuple[int, ...]
    ) -> Stand | Finding:
        """Return a clamp at `x`, reaching in from the near edge or the far one, on fresh wood or rough.

        Where the bed has slots or holes, it may go `aside` from there (1, -1), to the nearest that fits.
        """
        h = replace(self.clamp, reach=reach)
        slotted = self.c.shop.bed.places is not None
        steps = (
            [0.0, *(float(way * by) for by in np.arange(1.0, ASIDE) for way in aside)] if slotted else [0.0]
        )
        name = f"{h.name} {number}"
        reaching = Reaching(self.c, self.zone, h, self.standing, near)
        first = found = clamp_at(reaching, x, name)
        for step in steps[1:]:
            if not isinstance(found, Finding) or found.rule != "no-place-for-hold-down":
                break
            found = clamp_at(reaching, x + step, name)
        if isinstance(found, Finding):
            return first if isinstance(first, Finding) else found
        arm, body = found
        if fresh:
            return Stand(arm, body, self.cut.z, self.cut.z + CARD + h.arm_height)
        wood = self._wood_under(arm)
        return Stand(arm, body, wood, wood + self.unsure + h.arm_height)

    def _wood_under(self, arm: Solid) -> float:
        """Return the highest wood under an arm as the setup finds it."""
        low, high = arm.outline.min(axis=0), arm.outline.max(axis=0)
        gx, gy = np.meshgrid(*np.linspace(low, high, SAMPLES).T)
        inside = shapely.contains_xy(self.outline.buffer(SLACK), gx, gy)
        return float(self.c.wood.top_heights(self.c.place, np.column_stack([gx[inside], gy[inside]])).max())

    def no_room(self, why: str, measured: float, limit: float, remedy: str) -> Finding:
        """Return the refusal of moving clamps on this board."""
        return Finding(
            rule="no-room-for-clamps",
            level="refuse",
            message=f"{self.clamp.name} cannot be moved so that all of {self.cut.name} is cut: {why}",
            remedy=remedy,
            measured=round(measured, 3),
            limit=round(limit, 3),
            setup=self.c.index,
        )

    def sideways(self, other: str) -> str:
        """Say what helps where the board is too small one way."""
        return (
            f"let the passes run {other}, ask for a smaller overlap, use a narrower cutter or clamp, or hold "
            "this board from its sides"
        )


def places_across(room: Room) -> tuple[State, State] | Finding:
    """Give the states for passes across: both ends first, clamps between them; then the middle."""
    h, sides = room.clamp, room.sides
    each = 2 * len(sides)
    if each < room.fewest or h.count < each:
        need = max(4, each)
        why = f"passes across the board need {need} clamps, two at each edge; one moves while the others hold"
        return room.no_room(
            why, min(each, h.count), need, f"list {need} of them and let the zone keep clear of no edge"
        )
    x0, _, x1, _ = room.outline.bounds
    width, length = h.width, x1 - x0
    held_ends = INSET + width + room.begins + room.second + room.overlap
    least = max(held_ends, room.cut.stepover + room.cut.tool.radius)
    middle = 2 * (room.ends + room.first + width) + GAP
    if length < 2 * least + middle:
        why = f"it is {length:.0f} mm long; two ends and the middle need {2 * least + middle:.0f} mm"
        return room.no_room(why, length, 2 * least + middle, room.sideways("along"))
    # As far between clamps in the second state as twice what is free at an end in the first.
    even = (length + 2 * (room.overlap + room.begins + room.second) - 2 * (room.ends + room.first)) / 4
    end = float(np.ceil(np.clip(even, least, (length - middle) / 2) - 1e-9))
    a, b = x0 + end, x1 - end
    between = (
        float(np.ceil(a + room.ends + room.first + width / 2)),
        float(np.floor(b - room.ends - room.first - width / 2)),
    )
    keep = room.overlap + room.begins + room.second + width / 2
    outside = (float(np.floor(a - keep)), float(np.ceil(b + keep)))
    reach = _reach(room, (*between, *outside))
    states = []
    for fresh, xs in ((False, between), (True, outside)):
        inward = -1 if fresh else 1
        places = [
            (float(x), near, (way,)) for x, way in zip(xs, (inward, -inward), strict=True) for near in sides
        ]
        stands = _all(room, places, reach, fresh=fresh)
        if isinstance(stands, Finding):
            return stands
        bands = (
            (_band(a - room.overlap, b + room.overlap, 0, "low"),)
            if fresh
            else (_band(-FAR, a, 0, "low"), _band(b, FAR, 0, "high"))
        )
        states.append(State(stands, bands))
    return states[0], states[1]


def places_along(room: Room) -> tuple[State, State] | Finding:
    """Give the states for passes along: the far half first, clamps at the near edge; then the near half."""
    h = room.clamp
    if len(room.sides) < 2:
        why = "passes along the board need clamps at either edge in turn"
        return room.no_room(
            why, len(room.sides), 2, "let the passes run across, or let the zone keep clear of no edge"
        )
    x0, _, x1, _ = room.outline.bounds
    span = x1 - x0 - 2 * INSET - h.width
    fewest = room.fewest
    count = min(h.count, max(fewest, int(np.ceil(span / SPAN)) + 1))
    need = fewest * (h.width + GAP) - GAP + 2 * INSET
    if count < fewest:
        why = f"{h.count} of them are there, and while one is moved two must hold"
        remedy = f"list at least {fewest} of them"
        if h.count == KEPT:
            remedy += "; or let the board stand against the fence and a stop at an end, which show its place"
        return room.no_room(why, h.count, fewest, remedy)
    if x1 - x0 < need:
        why = f"the board is {x1 - x0:.0f} mm long; {fewest} clamps beside one another need {need:.0f} mm"
        return room.no_room(why, x1 - x0, need, "use narrower clamps, or hold this board from its sides")
    # Two hold best a quarter from either end: as far between them as twice beyond them.
    inset = (x1 - x0) / 4 if count == KEPT else INSET + h.width / 2
    xs = [float(x) for x in np.round(np.linspace(x0 + inset, x1 - inset, count))]
    widths = [_across(room.outline, x, h.width) for x in xs]
    near_edge, far_edge = max(lo for lo, _ in widths), min(hi for _, hi in widths)
    reach = min(h.reach, (far_edge - near_edge - room.overlap) / 2 - room.ends - max(room.first, room.second))
    if reach < LEAST_REACH:
        keep = 2 * (LEAST_REACH + room.ends + max(room.first, room.second)) + room.overlap
        why = f"it is {far_edge - near_edge:.0f} mm wide where they stand; {keep:.0f} mm are needed"
        return room.no_room(why, far_edge - near_edge, keep, room.sideways("across"))
    states, borders = [], []
    middle = (near_edge + far_edge) / 2
    for fresh in (False, True):
        stands = _all(room, [(x, not fresh, (1, -1)) for x in xs], reach, fresh=fresh)
        if isinstance(stands, Finding):
            return stands
        if fresh:
            tips = min(float(s.arm.outline[:, 1].min()) for s in stands) - room.ends - room.second
            borders.append(min(tips, middle + room.overlap / 2))
            band = _band(-FAR, borders[-1], 1, "low")
        else:
            tips = max(float(s.arm.outline[:, 1].max()) for s in stands) + room.ends + room.first
            borders.append(max(tips, middle - room.overlap / 2))
            band = _band(borders[-1], FAR, 1, "high")
        states.append(State(stands, (band,)))
    shared = borders[1] - borders[0]
    if shared < room.overlap - 1e-6:  # a clamp moved aside to a slot or hole, where the board is narrower
        why = f"where they are bolted its halves overlap by {shared:.0f} mm, {room.overlap:.0f} mm are needed"
        return room.no_room(why, shared, room.overlap, room.sideways("across"))
    return states[0], states[1]


def held_far_apart(room: Room, states: tuple[State, State]) -> tuple[Finding, ...]:
    """Warn where the board is held nowhere over a longer span than is usual, in either state."""
    x0, _, x1, _ = room.outline.bounds
    worst, place, gaps = 0.0, x0, 0
    for state in states:
        arms = sorted(
            (float(s.arm.outline[:, 0].min()), float(s.arm.outline[:, 0].max())) for s in state.stands
        )
        spans = [(2 * (arms[0][0] - x0), x0), (2 * (x1 - arms[-1][1]), x1)]
        spans += [(b[0] - a[1], (a[1] + b[0]) / 2) for a, b in pairwise(arms)]
        worst, place = max([(worst, place), *spans])
        gaps = max(gaps, len(set(arms)) - 1)
    if worst <= SPAN + 1e-6:
        return ()
    # Clamps are spread over the board: of what it is shorter each gap has its part, twice an end a half. They
    # stand at whole millimetres.
    shorter = np.ceil(max(2, gaps) * (worst - SPAN) - 1e-6) + 4.0
    return (
        Finding(
            rule="held-far-apart",
            level="warn",
            message=f"between {room.clamp.name}s that move, or twice beyond the last of them, {worst:.0f} mm "
            f"of the board are held by nothing; {SPAN:.0f} mm are usual",
            remedy=f"put a stop or a low side clamp at x {place:.0f} mm, lower than {room.cut.z:.1f} mm, or "
            f"cut the board {shorter:.0f} mm shorter first",
            measured=round(worst, 3),
            limit=SPAN,
            setup=room.c.index,
        ),
    )


def _all(
    room: Room, places: Sequence[tuple[float, bool, tuple[int, ...]]], reach: float, *, fresh: bool
) -> tuple[Stand, ...] | Finding:
    """Return a clamp for each place (x, whether from the near edge, ways aside), or why one does not fit."""
    stands = []
    for number, (x, near, aside) in enumerate(places, 1):
        stand = room.stand(x, reach, number, near=near, fresh=fresh, aside=aside)
        if isinstance(stand, Finding):
            return stand
        stands.append(stand)
    return tuple(stands)


def _reach(room: Room, xs: tuple[float, ...]) -> float:
    """Return how far arms at `xs` reach in; from both edges they keep apart."""
    if len(room.sides) < 2:
        return room.clamp.reach
    narrow = min(far - near for near, far in (_across(room.outline, x, room.clamp.width) for x in xs))
    return min(room.clamp.reach, (narrow - GAP) / 2)


def _across(outline: shapely.Polygon, x: float, width: float) -> tuple[float, float]:
    """Return the outline's innermost near and far edge over a strip about `x`."""
    ys = [
        outline.intersection(shapely.LineString([(at, -FAR), (at, FAR)])).bounds
        for at in (x - width / 2, x, x + width / 2)
    ]
    found = [b for b in ys if np.isfinite(b[1])]
    return max(float(b[1]) for b in found), min(float(b[3]) for b in found)


def _band(low: float, high: float, axis: int, begin: Literal["low", "high"]) -> Band:
    box = shapely.box(low, -FAR, high, FAR) if axis == 0 else shapely.box(-FAR, low, FAR, high)
    return Band(box, begin)


def _beside(tool: Tool, tip: float, top: float, machine: Machine) -> float:
    """Return how far an arm of height `top` keeps from the cutter's rim with its tip at `tip`, mm."""
    wide = [
        float(np.hypot(*np.asarray(a.outline, dtype=float).T).max()) - tool.radius
        for a in machine.attached
        if a.moves_with == "z" and not a.soft and tip + tool.nose + a.bottom < top + machine.margin
    ]
    return max(beside_wall(tool, tip, top, machine.margin), *(w + machine.margin for w in wide), 0.0)
