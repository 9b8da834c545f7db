"""One clamping of one board. In: a job, a board on its way, a clamping. Out: the setup, the wood after it.

Work frame, mm. Promise: the setup carries the board as it lies when it is clamped; what is handed on is the
wood that the cuts leave. What does not fit is among the findings, never left out in silence.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.frozen import frozen
from stockwright.job import EdgeStep, FaceStep
from stockwright.planning.bed_marks import over_marks, shims_over_marks
from stockwright.planning.clamp_moves import ClampMoves, clamp_moves, standing_still
from stockwright.planning.clamping import clear_height
from stockwright.planning.cuts import edge_cut, face_cut, ring
from stockwright.planning.grips import fence_grips
from stockwright.planning.holding import backings, fence_solids, hold
from stockwright.planning.hollow import hollow_notes
from stockwright.planning.lay import fence_too_little, placed
from stockwright.planning.long_cutters import bending_notes, for_its_cutter
from stockwright.planning.movement import after_rest, rest_moves
from stockwright.planning.on_bolts import clamping_at, onto_bolts
from stockwright.planning.risers import RISEN, on_bed_below, raised_zone, riser_of, risers_under, seen_from
from stockwright.planning.setup import FaceCut, Lies, Setup
from stockwright.planning.slide_words import fresh_heights, hangs_over, no_stands, slide_notes, slide_on
from stockwright.planning.sliding import edge_part, face_part, fresh_part
from stockwright.planning.words import (
    notes_of,
    placing_of,
    seat_check,
    shims_under,
    title_of,
    touched_with,
    zero_how,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stockwright.findings import Finding
    from stockwright.job import Job
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.grips import Held
    from stockwright.planning.groups import Group
    from stockwright.planning.rows import Member
    from stockwright.planning.setup import Cut, Goal, Grip, ShimPlace, Solid
    from stockwright.planning.sliding import Position
    from stockwright.planning.wood import Wood

__all__ = ["board_setup"]


@frozen(eq=False)
class _Here:
    """One clamping of one board before anything stands or is cut.

    `c` says how the board lies, and is seen from the height of the risers, `high` mm, where it lies on some;
    `keep_out` are the spans of x that the fence leaves free; `at` is the position, where the board is slid.
    """

    job: Job
    m: Member
    g: Group
    at: Position | None
    c: Clamping
    high: float
    keep_out: tuple[tuple[float, float], ...]

    @property
    def top(self) -> float:
        """How high wood may stand here."""
        return self.c.face_height + self.c.wood.doubt(self.c.place.up)


@frozen(eq=False)
class _Stands:
    """What stands round the board and lies under it, how it holds, and what is said of that."""

    solids: tuple[Solid, ...]
    shims: tuple[ShimPlace, ...]
    grips: tuple[Grip, ...]
    held: Held
    under: tuple[str, ...]
    findings: tuple[Finding, ...]


@frozen(eq=False)
class _Made:
    """The cuts, their goals, and the wood that they leave.

    `moves` are the clamps that stand on a face while it is cut; `lowered` is what of a face was cut at an
    earlier position.
    """

    cuts: tuple[Cut, ...]
    goals: tuple[Goal, ...]
    wood: Wood
    moves: ClampMoves
    lowered: tuple[tuple[NDArray[np.float64], float], ...]


def board_setup(
    job: Job, m: Member, g: Group, index: int, at: Position | None
) -> tuple[Setup, Wood, list[Finding]]:
    """Plan one clamping, or one position of it where the board is slid along, and the wood it hands on."""
    shop, board = job.shop, m.board
    moved = 0.0
    if g.moved is not None:
        moved = rest_moves(job, board, g.moved)
        m = replace(m, wood=m.wood.after_rest(moved))
    here = _lying(job, m, g, index, at)
    stands = _standing(here)
    made = _cut(here, stands)
    wood, place, bed = m.wood, here.c.place, here.c.bed
    solids, shims = (*stands.solids, *made.moves.solids), (*stands.shims, *made.moves.shims)
    found = [*stands.findings, *made.moves.findings, *shims_over_marks(here.c.shop, shims, index)]
    checks = seat_check(wood, place, g, bed)
    if at is not None:
        found.extend(no_stands(shop, board, wood, place, at, index))
        faces = [cut for cut in made.cuts if isinstance(cut, FaceCut)]
        lap = max((cut.tool.diameter for cut in faces), default=0.0)  # so far the cut before may have come
        rough = (max(bed[0], at.cut[0] + lap), min(bed[1], at.cut[1] - lap))
        z = faces[0].z if faces else 0.0
        checks = fresh_heights(shop, wood, place, at, z) or seat_check(wood, place, g, rough)
    setup = Setup(
        index=index,
        title=title_of(board, g, len(job.boards) > 1) + _which(at),
        cuts=made.cuts,
        lies=(Lies(board.name, place.up, place.quarter_turns, wood.matrix(place), moved),),
        work_origin=(*shop.bed.mark, here.high),
        zero_z="support",
        zero_how=zero_how(wood, place, stands.held.on_tape, riser_of(shop) if here.high else None)
        + touched_with(shop),
        goals=made.goals,
        solids=on_bed_below(solids, here.high) if here.high else solids,
        shims=shims,
        placing=placing_of(shop, wood, place, against_fence=g.against_fence, bed=bed),
        wood_outline=ring(wood.plan(place)),
        wood_top=here.top,
        clear_z=clear_height(shop, here.top, solids),
        seat_check=checks,
        notes=_notes(here, stands, made, moved),
        grips=(*stands.grips, *made.moves.grips),
        slid=None if at is None else replace(at.slid, then=slide_on(shop, at)),
        lowered=made.lowered,
    )
    return setup, made.wood, found


def _lying(job: Job, m: Member, g: Group, index: int, at: Position | None) -> _Here:
    """Return how the board lies on the bed, shifted to where what holds it can be bolted down."""
    shop, wood = job.shop, m.wood
    place, keep_out = placed(shop, wood, m.piece, g, None if at is None else at.shift)
    riser = None if raised_zone(g.hold) is None else riser_of(shop)
    high = 0.0 if riser is None else riser.height
    c = clamping_at(index, seen_from(shop, high) if high else shop, wood, m.piece, g, place)
    c = onto_bolts(c, m.piece, g, standing_still(g)) if at is None else replace(c, bed=at.bed)
    return _Here(job, m, g, at, c, high, keep_out)


def _standing(here: _Here) -> _Stands:
    """Return the fence, blocks and hold-downs, what carries the board, and how all of it holds."""
    c, g, shop = here.c, here.g, here.c.shop
    found: list[Finding] = []
    standing: list[Solid] = []
    if shop.fence is not None:
        standing.extend(fence_solids(shop, shop.fence, here.keep_out))
        every = fence_solids(shop, shop.fence, ())
        found.extend(fence_too_little(g, standing, c.lying, c.index, every))
    standing.extend(backings(c, here.m.groups))
    held = hold(c, standing_still(g), tuple(standing))
    found.extend(held.findings)
    raised = raised_zone(g.hold)
    under = risers_under(c, raised, held.grips, against_fence=g.against_fence) if raised else RISEN
    found.extend(under.findings)
    grips = held.grips
    if shop.fence is not None and g.against_fence:
        outline = c.wood.plan(c.place)
        grips = (*fence_grips(shop.fence, standing, outline, here.m.board.name, c.face_height), *grips)
    return _Stands(
        solids=(*under.solids, *standing, *held.solids),
        shims=shims_under(here.m.piece, c.wood, c.place),
        grips=grips,
        held=held,
        under=under.notes,
        findings=tuple(found),
    )


def _cut(here: _Here, stands: _Stands) -> _Made:
    """Return what each step cuts, one after another, each in the wood that the one before leaves."""
    c, g, at, place = here.c, here.g, here.at, here.c.place
    wood, top = c.wood, here.top
    pressure = c.shop.pressure_in((here.m.board.species,))
    cuts: list[Cut] = []
    goals: list[Goal] = []
    moves = ClampMoves()
    lowered: tuple[tuple[NDArray[np.float64], float], ...] = ()
    for step in g.steps:
        if isinstance(step, FaceStep):
            face = face_cut(wood, place, step, c.shop.machine.power, pressure)
            if at is not None:
                part, plane = face_part(wood, place, face, at)
                cuts.append(part)
                goals.append(plane)
                lowered = fresh_part(face, at)
            else:
                moves = clamp_moves(c, g, step, face, stands.solids, stands.shims)
                cuts.extend(moves.cuts)
                goals.extend(moves.goals)
            if at is None or at.last:
                wood = wood.after_face(step.face, wood.cut_to(step))
                top = min(top, face.z)  # a side cut in the same clamping begins there
        elif isinstance(step, EdgeStep):
            edge, goal, kept = edge_cut(here.m.piece, wood, place, step, top)
            if at is not None and abs(place.looks(step.side)[1]) > 0.5:
                edge, goal, wood = edge_part(wood, place, edge, goal, kept, at)
            else:
                wood = wood.after_wall(step.side, kept)
            cuts.append(for_its_cutter(edge, step, here.job.wanted.tolerance, pressure))
            goals.append(goal)
    return _Made(tuple(cuts), tuple(goals), wood, moves, lowered)


def _notes(here: _Here, stands: _Stands, made: _Made, moved: float) -> tuple[str, ...]:
    """Return what the sheet says of the clamping beside its steps; the board has rested by `moved` mm."""
    job, g, at, shop = here.job, here.g, here.at, here.job.shop
    wood, place = here.m.wood, here.c.place
    sides = tuple(s for s in g.steps if isinstance(s, EdgeStep))
    slid: tuple[str, ...] = ()
    if at is not None:
        turned = any(
            isinstance(s, FaceStep) and (s.passes, s.perimeter) != ("across", "none") for s in g.steps
        )
        slid = (
            *slide_notes(shop, at, made.cuts, turned=turned),
            *hangs_over(shop, here.m.board, wood, place, at),
        )
    return (
        *notes_of(g),
        *stands.under,
        *slid,
        *made.moves.notes,
        *stands.held.notes,
        *over_marks(shop, wood.plan(place)),
        *(after_rest(job, moved) if moved else ()),
        *hollow_notes(sides, shop.units),
        *bending_notes(made.cuts, sides, shop.units, shop.pressure_in((here.m.board.species,))),
    )


def _which(at: Position | None) -> str:
    return "" if at is None else f", position {at.slid.number} of {at.slid.count}"
