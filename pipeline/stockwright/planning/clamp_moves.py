"""A face cut under clamps that stand on it: regions, and clamps moved between them one at a time.

In: a clamping, the whole face's cut, a zone on the face. Out: one cut and one goal for each region, every
clamp in its first and its second place, their grips, shims under their arms. Work frame, mm. Promise: the
regions overlap and cover the face; each clamp stands on wood of the height it has at that moment, and clear
of what is cut meanwhile; while one clamp is moved, two others hold, or one where stops show the board's
place; what does not fit is a finding.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from stockwright.board.shims import LEAST, stacked
from stockwright.frozen import frozen
from stockwright.hold_downs import ARM, BODY, TopClamp
from stockwright.job import FaceStep
from stockwright.planning.clamp_places import CARD, KEPT, Room, held_far_apart, places_across, places_along
from stockwright.planning.clamping import none_listed
from stockwright.planning.cuts import ring, wood_over
from stockwright.planning.grips import bears_at, bolts_of, press_grip
from stockwright.planning.setup import PlaneGoal, ShimPlace
from stockwright.units import format_length

if TYPE_CHECKING:
    from stockwright.findings import Finding
    from stockwright.job import Zone
    from stockwright.planning.clamp_places import Stand
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.groups import Group
    from stockwright.planning.setup import FaceCut, Grip, Solid

__all__ = ["ClampMoves", "clamp_moves", "standing_still"]

PLACES = ("first place", "second place")
SEATING = 0.05  # mm that chips leave open under a flat face; common practice, no source
PAPER = 0.1  # mm, the finest filling under an arm where the shop lists no shims; common practice, no source
SAME_SHIM = 30.0  # mm: a shim no further from an arm's middle carries it; common practice, no source


@frozen(eq=False)
class ClampMoves:
    """What takes the place of a face's one cut: see the module."""

    cuts: tuple[FaceCut, ...] = ()
    goals: tuple[PlaneGoal, ...] = ()
    solids: tuple[Solid, ...] = ()
    grips: tuple[Grip, ...] = ()
    shims: tuple[ShimPlace, ...] = ()
    notes: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def standing_still(g: Group) -> tuple[Zone, ...]:
    """Return the zones whose hold-downs stay: all but those on a face that is being cut."""
    faced = any(isinstance(step, FaceStep) for step in g.steps)
    return tuple(zone for zone in g.hold if not (faced and zone.where == "face"))


def clamp_moves(
    c: Clamping,
    g: Group,
    step: FaceStep,
    whole: FaceCut,
    standing: tuple[Solid, ...],
    shims: tuple[ShimPlace, ...],
) -> ClampMoves:
    """Return how a face is cut: as a whole, unless clamps are to stand on it."""
    on_it = [zone for zone in g.hold if zone.where == "face"]
    if not on_it:
        goal = PlaneGoal(whole.board, whole.name, whole.z, whole.region)
        return ClampMoves(cuts=(whole,), goals=(goal,))
    return _cut_under_clamps(c, on_it[0], step, whole, standing, shims)


def _cut_under_clamps(
    c: Clamping,
    zone: Zone,
    step: FaceStep,
    whole: FaceCut,
    standing: tuple[Solid, ...],
    shims: tuple[ShimPlace, ...],
) -> ClampMoves:
    """Return the regions of `whole` and the clamps that move between them.

    Passes across the board: both ends are cut first, the clamps between them; then the middle, the clamps on
    the fresh ends. Passes along: the half away from the operator first. A region's passes run along its inner
    border and come to it last, so that none of them is a slot. `standing` stands all the while; `shims` lie
    under the board already.
    """
    kinds = [h for h in c.shop.hold_downs if isinstance(h, TopClamp)]
    if not kinds:
        return ClampMoves(findings=(none_listed(c, zone, "clamp for the face"),))
    h = max(kinds, key=lambda k: k.count)
    room = Room.of(c, zone, h, whole, step.overlap, c.wood.doubt(c.place.up), standing)
    found = places_across(room) if whole.passes == "across" else places_along(room)
    if not isinstance(found, tuple):
        return ClampMoves(findings=(found,))
    states = tuple(
        tuple(_lowered(stand, f"{h.name} {number}, {place}") for number, stand in enumerate(state, 1))
        for place, state in zip(PLACES, (found[0].stands, found[1].stands), strict=True)
    )
    names = tuple(
        (*(s.name for s in standing), *(s.name for pair in state for s in pair)) for state in states
    )
    count = len(found[0].stands)
    seam = _seam(c, alone=count == KEPT)
    cuts: list[FaceCut] = []
    for index, state in enumerate(found):
        for band in state.bands:
            for part in shapely.get_parts(shapely.Polygon(whole.region).intersection(band.box)):
                if isinstance(part, shapely.Polygon) and part.area > 0:
                    stood = names[index]
                    cuts.append(_region(c, whole, part, band.begin, stood, seam if index else 0.0))
    arms = tuple(arm for state in states for arm, _ in state)
    clamps = tuple(s for state in states for pair in state for s in pair)
    return ClampMoves(
        cuts=tuple(cuts),
        goals=tuple(PlaneGoal(whole.board, cut.name, cut.z, cut.region) for cut in cuts),
        solids=clamps,
        grips=tuple(press_grip(c, h, arm) for arm in arms),
        shims=_shims_under(c, arms, shims),
        notes=(*_notes(c, step, count, seam), *bolts_of(c, clamps)),
        findings=held_far_apart(room, found),
    )


def _lowered(stand: Stand, name: str) -> tuple[Solid, Solid]:
    """Return arm and body under their name, the arm on the wood as high as it is there."""
    arm, body = stand.arm, stand.body
    return (
        replace(arm, name=name + ARM, bottom=stand.wood, top=stand.top),
        replace(body, name=name + BODY, top=stand.top),
    )


def _region(
    c: Clamping,
    whole: FaceCut,
    part: shapely.Polygon,
    begin: Literal["low", "high"],
    standing: tuple[str, ...],
    seam: float,
) -> FaceCut:
    """Return the cut of one region. Its grid ends at its own border, so that no cell reaches past it."""
    grid_x, grid_y, heights = wood_over(c.wood, c.place, part)
    return replace(
        whole,
        region=ring(part),
        grid_x=grid_x,
        grid_y=grid_y,
        wood=heights,
        perimeter="none",
        begin=begin,
        around=whole.region,
        standing=standing,
        seam=seam,
    )


def _seam(c: Clamping, *, alone: bool) -> float:
    """Return how far regions may stand off from one another, mm: the clamps press elsewhere for the second.

    Nothing is taken again between them, neither zero nor cutter, so only the board can move: by what its
    support leaves open under an arm, and by what the face below may have warped. Where one clamp holds
    `alone` while the other is moved, the board may have been set again: its seat counts once more.
    """
    stated = c.shop.errors.seating
    rests_flat = c.under in c.wood.faced
    if stated is not None:
        open_under = stated.value + stated.within
    else:
        open_under = SEATING if rests_flat else min(c.shop.shims, default=PAPER)
    return open_under * (2 if alone else 1) + c.wood.lifted(c.place.up)


def _shims_under(c: Clamping, arms: tuple[Solid, ...], lying: tuple[ShimPlace, ...]) -> tuple[ShimPlace, ...]:
    """Return a shim under each arm that would else bend a rough board down on nothing."""
    if c.place.up == "B" or "B" in c.wood.faced:
        return ()
    board, matrix = c.wood.board, c.wood.matrix(c.place)
    back = np.linalg.inv(matrix)
    found: list[ShimPlace] = []
    for arm in arms:
        x, y = bears_at(c, arm)
        if any(np.hypot(x - s.x, y - s.y) < SAME_SHIM for s in (*lying, *found)):
            continue
        under = 0.0
        for _ in range(3):  # the tilt is small: each turn shrinks the error by the slope squared
            there = back @ np.array([x, y, under, 1.0])
            low = float(board.bottom_at(there[None, :2])[0])
            under = float(matrix[2] @ np.array([there[0], there[1], low, 1.0]))
        if c.shop.shims:
            gap = float(stacked(np.array([max(under, 0.0)]), c.shop.shims, above=False)[0])
        else:
            gap = float(np.floor(under / PAPER) * PAPER)
        if gap >= LEAST:
            found.append(ShimPlace(board.name, round(x, 1), round(y, 1), gap))
    return tuple(found)


def _notes(c: Clamping, step: FaceStep, count: int, seam: float) -> tuple[str, ...]:
    units = c.shop.units
    rough = c.place.up == "A" and "B" not in c.wood.faced
    overlap, step_left = format_length(step.overlap, units), format_length(seam, units, 2)
    notes = [
        (
            f"This face is cut under its clamps in two parts: {count} clamps, moved once, one at a time. The "
            "board stays where it lies all the while, and no zero is taken again."
        ),
        (
            f"The parts overlap by {overlap}. Where they meet, a step of up to {step_left} is reckoned with: "
            "tighten every clamp alike, and only over wood that something carries."
        ),
        (
            f"A bare arm bruises the fresh face: lay card, at most {format_length(CARD, units)} thick, under "
            "each one that stands on it."
        ),
    ]
    if count == KEPT:
        notes.append(
            "Before a clamp is moved: spindle off, and off at the mains too. Move one while the other holds, "
            "the board kept by hand against fence and stop, no shim touched. Then try by hand that it does "
            "not move, and read anew those heights of the seat that are on uncut wood: where one is not as "
            "before, push the board back against fence and stop, and begin the move again."
        )
    if rough:
        notes.append(
            "Under the board, below every arm in its first and in its second place, lies a shim: slide it in "
            "until it just touches, before the clamp is tightened."
        )
    if step.perimeter != "none":
        notes.append("No pass goes round the rim here: it would run into the clamps.")
    return tuple(notes)
