"""plan: job -> setups. Each knows the wood it receives and hands on what it has trued.

In: a bound job. Out: `Plan`, the setups in the order of work and what was noticed. Promise: every reference
is one made before; the board's measured shape is carried through every flip and turn; a job that cannot be
planned is refused with all its reasons.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding, Refused
from stockwright.forces.mechanics import PRESSURE
from stockwright.frozen import frozen
from stockwright.job import EdgeStep, FaceStep, Job, MateStep
from stockwright.planning.bed import CLEAR, plan_bed
from stockwright.planning.bed_marks import over_marks, shims_over_marks
from stockwright.planning.clamp_moves import ClampMoves, clamp_moves, standing_still
from stockwright.planning.common_face import common_takes, first_face_of
from stockwright.planning.cuts import edge_cut, face_cut, ring
from stockwright.planning.grips import fence_grips
from stockwright.planning.groups import Group, group
from stockwright.planning.holding import backings, fence_solids, hold
from stockwright.planning.hollow import hollow_notes
from stockwright.planning.lay import fence_too_little, placed
from stockwright.planning.long_cutters import bending_notes, for_its_cutter
from stockwright.planning.mating import mate_setup, no_neighbour
from stockwright.planning.movement import after_rest, movement_found, rest_moves
from stockwright.planning.on_bolts import clamping_at, onto_bolts
from stockwright.planning.piece import find_piece
from stockwright.planning.risers import (
    RISEN,
    not_raised,
    on_bed_below,
    raised_zone,
    riser_of,
    risers_under,
    seen_from,
)
from stockwright.planning.row_setup import row_setup
from stockwright.planning.rows import Member
from stockwright.planning.setup import (
    Cut,
    FaceCut,
    Goal,
    Lies,
    Setup,
    Solid,
)
from stockwright.planning.slide_words import fresh_heights, hangs_over, no_stands, slide_notes, slide_on
from stockwright.planning.sliding import edge_part, face_part, fresh_part, positions, steps_here
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
    from collections.abc import Sequence

    from stockwright.board.surface import Board
    from stockwright.job import Side
    from stockwright.planning.piece import Piece
    from stockwright.planning.sliding import Position
    from stockwright.planning.wood import Wood
    from stockwright.tooling import Tool

__all__ = ["Plan", "plan", "plan_board"]


@frozen(eq=False)
class Plan:
    """The setups in the order of work, the pieces by board name, and what planning noticed."""

    setups: tuple[Setup, ...]
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]


def plan(job: Job) -> Plan:
    """Plan every board of the job, then the bed where the recipe skims it.

    All boards go through one clamping before any goes on to the next: tools and fences stay as they are.
    Raises `Refused` with every reason of every board at once.
    """
    setups: list[Setup] = []
    found: list[Finding] = []
    members = _members(job, found)
    pieces = tuple(m.piece for m in members)
    for at in range(max((len(m.groups) for m in members), default=0)):
        here = [m for m in members if at < len(m.groups)]
        if here and not _each_alone(here[0].groups[at]):
            if len(members) < len(pieces):
                break  # boards that make no row: what comes after it cannot be told
            members = _side_by_side(job, members, at, setups, found)
        else:
            gone_on = {id(m): _alone(job, m, at, len(setups) + 1, setups, found) for m in here}
            members = [after for m in members if (after := gone_on.get(id(m), m)) is not None]
    setups.extend(plan_bed(job, len(setups) + 1))
    if any(f.level == "refuse" for f in found):
        raise Refused(tuple(found))
    return Plan(tuple(replace(setup, of=len(setups)) for setup in setups), pieces, tuple(found))


def plan_board(job: Job, place: int, first: Sequence[int], of: int) -> Plan:
    """Plan one board of a job by itself, the `place`th from 0, as `plan` plans it among all.

    `first` numbers the first setup of each of its clampings, `of` so many in all. Only where each board lies
    alone in all of them. Raises `Refused` with every reason.
    """
    setups: list[Setup] = []
    found: list[Finding] = []
    members = _members(job, found, place)
    pieces = tuple(m.piece for m in members)
    for m in members:
        board: Member | None = m
        for at in range(len(m.groups)):
            board = None if board is None else _alone(job, board, at, first[at], setups, found)
    if any(f.level == "refuse" for f in found):
        raise Refused(tuple(found))
    return Plan(tuple(replace(setup, of=of) for setup in setups), pieces, tuple(found))


def _members(job: Job, found: list[Finding], only: int | None = None) -> list[Member]:
    """Return every board with its piece; `found` takes what there is to say, and why a board has none.

    `only`: none but that one, counted from 0.
    """
    takes = common_takes(job)
    members = []
    for number, board in enumerate(job.boards, 1):
        if only not in {None, number - 1}:
            continue
        own = job.of(board.name)
        first, take = first_face_of(own), takes.get(board.name)
        if isinstance(take, Finding):
            found.append(take)
            continue
        if first is not None and take is not None:
            first = replace(first, take=take)
        try:
            piece = find_piece(own, board, first)
        except Refused as refused:
            found.extend(refused.findings)
            continue
        found.extend(piece.findings)
        found.extend(movement_found(own, piece))
        members.append(Member(board, piece, piece.wood, group(own.steps, number)))
    return members


def _each_alone(g: Group) -> bool:
    """Say whether a clamping takes one board at a time."""
    return g.together == 1 and not isinstance(g.steps[0], MateStep)


def _side_by_side(
    job: Job, members: list[Member], at: int, setups: list[Setup], found: list[Finding]
) -> list[Member]:
    """Plan a clamping that takes several boards; return what they then are, fewer where some cannot be."""
    g = members[0].groups[at]
    if raised_zone(g.hold) is not None:
        found.append(not_raised(len(members), len(setups) + 1))
        return []
    if isinstance(g.steps[0], MateStep):
        return _mated(job, members, at, setups, found)
    rows = [members[i : i + g.together] for i in range(0, len(members), g.together)]
    return [m for row in rows for m in _in_a_row(job, row, at, setups, found)]


def _in_a_row(
    job: Job, row: list[Member], at: int, setups: list[Setup], found: list[Finding]
) -> list[Member]:
    """Plan one clamping of several boards; return what they then are, none where they make no row."""
    if len(row) == 1:
        after = _alone(job, row[0], at, len(setups) + 1, setups, found)
        return [] if after is None else [after]
    try:
        setup, woods, more = row_setup(job, row, at, len(setups) + 1)
    except Refused as refused:
        found.extend(refused.findings)
        return []
    setups.append(setup)
    found.extend(more)
    return [replace(m, wood=wood) for m, wood in zip(row, woods, strict=True)]


def _mated(
    job: Job, members: list[Member], at: int, setups: list[Setup], found: list[Finding]
) -> list[Member]:
    """Plan the clampings in which each two neighbours' edges are cut; return what the boards then are."""
    if len(members) < 2:
        found.append(no_neighbour(job, len(setups) + 1))
        return []
    done = list(members)
    for i in range(len(done) - 1):
        try:
            setup, woods, more = mate_setup(job, done[i], done[i + 1], at, len(setups) + 1)
        except Refused as refused:
            found.extend(refused.findings)
            return []
        setups.append(setup)
        found.extend(more)
        done[i], done[i + 1] = replace(done[i], wood=woods[0]), replace(done[i + 1], wood=woods[1])
    return done


def _alone(
    job: Job, m: Member, clamping: int, first: int, setups: list[Setup], found: list[Finding]
) -> Member | None:
    """Plan one clamping of one board, its setups numbered from `first`; return what it then is.

    None where it cannot be planned, and `found` says why.
    """
    job, wood = job.of(m.board.name), m.wood
    g = m.groups[clamping]
    slid = positions(job, wood, g, first)
    if isinstance(slid, Finding):
        found.append(slid)
        return None
    made = 0
    for at in slid or (None,):
        here = g if at is None else steps_here(m.piece, wood, g, at)
        if not here.steps:
            continue
        setup, wood, more = _setup(job, m.board, m.piece, wood, here, m.groups, first + made, at)
        made += 1
        setups.append(setup)
        found.extend(more)
    return replace(m, wood=wood)


def _setup(
    job: Job,
    board: Board,
    piece: Piece,
    wood: Wood,
    g: Group,
    groups: tuple[Group, ...],
    index: int,
    at: Position | None,
) -> tuple[Setup, Wood, list[Finding]]:
    """Plan one clamping, where the board is slid along one position of it, and the wood it hands on."""
    shop = job.shop
    found: list[Finding] = []
    tools: dict[Side, Tool] = {s.side: s.tool for s in g.steps if isinstance(s, EdgeStep)}
    moved = 0.0
    if g.moved is not None:
        moved = rest_moves(job, board, g.moved)
        wood = wood.after_rest(moved)
    place, keep_out = placed(shop, wood, piece, g, tools, None if at is None else at.shift)
    zones = standing_still(g)
    raised = raised_zone(g.hold)
    riser = None if raised is None else riser_of(shop)
    high = 0.0 if riser is None else riser.height
    shop = seen_from(shop, high) if high else shop
    clamping = clamping_at(index, shop, wood, piece, g, tools, place)
    clamping = onto_bolts(clamping, piece, g, zones) if at is None else replace(clamping, bed=at.bed)
    place, face_height = clamping.place, clamping.face_height
    top = face_height + (0.0 if place.up in wood.faced else board.uncertainty)

    standing: list[Solid] = []
    if shop.fence is not None:
        standing.extend(fence_solids(shop, shop.fence, keep_out))
        found.extend(fence_too_little(g, standing, index))
    standing.extend(backings(clamping, groups))
    held = hold(clamping, zones, tuple(standing))
    found.extend(held.findings)
    under = risers_under(clamping, raised, held.grips, against_fence=g.against_fence) if raised else RISEN
    found.extend(under.findings)
    solids = (*under.solids, *standing, *held.solids)
    grips = held.grips
    if shop.fence is not None and g.against_fence:
        against = fence_grips(shop.fence, standing, wood.plan(place), board.name, face_height)
        grips = (*against, *grips)

    sides = tuple(s for s in g.steps if isinstance(s, EdgeStep))
    pressure = shop.cutting_pressure or PRESSURE
    cuts: list[Cut] = []
    goals: list[Goal] = []
    matrix = wood.matrix(place)
    outline = ring(wood.plan(place))
    bed = clamping.bed
    placing = placing_of(shop, wood, place, against_fence=g.against_fence, bed=bed)
    before = wood
    shims = shims_under(piece, before, place, matrix, board)
    moves = ClampMoves()
    lowered: tuple[tuple[np.ndarray, float], ...] = ()
    for step in g.steps:
        if isinstance(step, FaceStep):
            face = face_cut(board, wood, place, step, shop.machine.power)
            if at is not None:
                part, plane = face_part(board, wood, place, face, at)
                cuts.append(part)
                goals.append(plane)
                lowered = fresh_part(face, at)
                wood = wood.after_face(step.face, wood.cut_to(step)) if at.last else wood
                continue
            moves = clamp_moves(clamping, g, step, face, board, solids, shims)
            cuts.extend(moves.cuts)
            goals.extend(moves.goals)
            solids, shims = (*solids, *moves.solids), (*shims, *moves.shims)
            grips = (*grips, *moves.grips)
            found.extend(moves.findings)
            wood = wood.after_face(step.face, wood.cut_to(step))
        elif isinstance(step, EdgeStep):
            edge, goal, kept = edge_cut(board, piece, wood, place, step, top)
            if at is not None and abs(place.looks(step.side)[1]) > 0.5:
                edge, goal, wood = edge_part(wood, place, edge, goal, kept, at)
            else:
                wood = wood.after_wall(step.side, kept)
            cuts.append(for_its_cutter(edge, step, job.wanted.tolerance, pressure))
            goals.append(goal)

    found.extend(shims_over_marks(shop, shims, index))
    turned = any(isinstance(s, FaceStep) and (s.passes, s.perimeter) != ("across", "none") for s in g.steps)
    checks = seat_check(board, before, place, matrix, g, bed)
    if at is not None:
        found.extend(no_stands(shop, board, before, place, at, index))
        z = next((cut.z for cut in cuts if isinstance(cut, FaceCut)), 0.0)
        checks = fresh_heights(shop, before, place, at, z) or checks
    ceiling = max([top, *(s.top for s in solids)])
    setup = Setup(
        index=index,
        title=title_of(board, g, len(job.boards) > 1) + _which(at),
        cuts=tuple(cuts),
        lies=(Lies(board.name, place.up, place.quarter_turns, matrix, moved),),
        work_origin=(*shop.bed.mark, high),
        zero_z="support",
        zero_how=zero_how(before, place, held.on_tape, riser) + touched_with(shop),
        goals=tuple(goals),
        solids=on_bed_below(solids, high) if high else solids,
        shims=shims,
        placing=placing,
        wood_outline=outline,
        wood_top=top,
        clear_z=float(np.ceil(ceiling + shop.machine.margin + CLEAR)),
        seat_check=checks,
        notes=(
            *notes_of(g),
            *under.notes,
            *(() if at is None else slide_notes(shop, at, tuple(cuts), turned=turned)),
            *(() if at is None else hangs_over(shop, board, before, place, at)),
            *moves.notes,
            *held.notes,
            *over_marks(shop, before.plan(place)),
            *(after_rest(job, moved) if moved else ()),
            *hollow_notes(sides, shop.units),
            *bending_notes(tuple(cuts), sides, shop.units, pressure),
        ),
        grips=grips,
        slid=None if at is None else replace(at.slid, then=slide_on(shop, at)),
        lowered=lowered,
    )
    return setup, wood, found


def _which(at: Position | None) -> str:
    return "" if at is None else f", position {at.slid.number} of {at.slid.count}"
