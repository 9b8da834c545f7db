"""plan: job -> setups. Each knows the wood it receives and hands on what it has trued.

In: a bound job. Out: `Plan`, the setups in the order of work and what was noticed. Promise: every reference
is one made before; the board's measured shape is carried through every flip and turn; a job that cannot be
planned is refused with all its reasons.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding, Refused
from stockwright.job import EdgeStep, FaceStep, Job
from stockwright.planning.bed import CLEAR, plan_bed
from stockwright.planning.clamping import Clamping
from stockwright.planning.cuts import edge_cut, face_cut, ring
from stockwright.planning.groups import Group, group
from stockwright.planning.holding import (
    backing_block,
    fence_solids,
    hold,
)
from stockwright.planning.lay import fence_too_little, placed, wall_at
from stockwright.planning.movement import after_rest, movement_found, rest_moves
from stockwright.planning.piece import Piece, find_piece
from stockwright.planning.setup import (
    Cut,
    Goal,
    Lies,
    PlaneGoal,
    Setup,
    Solid,
)
from stockwright.planning.words import notes_of, placing_of, seat_check, shims_under, title_of, zero_how

if TYPE_CHECKING:
    from stockwright.board.surface import Board
    from stockwright.job import Side
    from stockwright.planning.wood import Wood
    from stockwright.tooling import Tool

__all__ = ["Plan", "plan"]


@dataclass(frozen=True, eq=False)
class Plan:
    """The setups in the order of work, the pieces by board name, and what planning noticed."""

    setups: tuple[Setup, ...]
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]


def plan(job: Job) -> Plan:
    """Plan every board of the job, then the bed where the recipe skims it.

    Raises `Refused` with every reason of every board at once.
    """
    setups: list[Setup] = []
    pieces: list[Piece] = []
    found: list[Finding] = []
    groups = group(job.steps)
    first_face = next((s for s in job.steps if isinstance(s, FaceStep)), None)
    for board in job.boards:
        try:
            piece = find_piece(job, board, first_face)
        except Refused as refused:
            found.extend(refused.findings)
            continue
        pieces.append(piece)
        found.extend(piece.findings)
        found.extend(movement_found(job, piece))
        wood = piece.wood
        for g in groups:
            setup, wood, more = _setup(job, board, piece, wood, g, groups, len(setups) + 1)
            setups.append(setup)
            found.extend(more)
    setups.extend(plan_bed(job, len(setups) + 1))
    if any(f.level == "refuse" for f in found):
        raise Refused(tuple(found))
    return Plan(tuple(setups), tuple(pieces), tuple(found))


def _setup(
    job: Job, board: Board, piece: Piece, wood: Wood, g: Group, groups: tuple[Group, ...], index: int
) -> tuple[Setup, Wood, list[Finding]]:
    """Plan one clamping and return it with the wood it hands on."""
    shop = job.shop
    found: list[Finding] = []
    tools: dict[Side, Tool] = {s.side: s.tool for s in g.steps if isinstance(s, EdgeStep)}
    moved = 0.0
    if g.moved is not None:
        moved = rest_moves(job, board, g.moved)
        wood = wood.after_rest(moved)
    place, keep_out = placed(shop, wood, piece, g, tools)
    face_height = wood.highest(place)
    top = face_height + (0.0 if place.up in wood.faced else board.uncertainty)
    lines = {s: wall_at(piece, place, s) for s in tools}
    tip = -max((s.below for s in g.steps if isinstance(s, EdgeStep)), default=0.0)
    clamping = Clamping(index, shop, wood, place, face_height, tip, tools, lines)

    standing: list[Solid] = []
    if shop.fence is not None:
        standing.extend(fence_solids(shop, shop.fence, keep_out))
        found.extend(fence_too_little(g, standing, index))
    standing.extend(_backing(clamping, groups, found))
    held, more = hold(clamping, g.hold, tuple(standing))
    found.extend(more)
    solids = (*standing, *held)

    cuts: list[Cut] = []
    goals: list[Goal] = []
    matrix = wood.matrix(place)
    outline = ring(wood.plan(place))
    placing = placing_of(shop, wood, place, against_fence=g.against_fence)
    before = wood
    for step in g.steps:
        if isinstance(step, FaceStep):
            face = face_cut(board, wood, place, step, shop.machine.power)
            cuts.append(face)
            goals.append(PlaneGoal(board.name, face.name, face.z, face.region))
            wood = wood.after_face(step.face, wood.cut_to(step))
        else:
            edge, goal, kept = edge_cut(board, piece, wood, place, step, top)
            cuts.append(edge)
            goals.append(goal)
            wood = wood.after_wall(step.side, kept)

    ceiling = max([top, *(s.top for s in solids)])
    setup = Setup(
        index=index,
        title=title_of(board, g, len(job.boards) > 1),
        cuts=tuple(cuts),
        lies=(Lies(board.name, place.up, place.quarter_turns, matrix, moved),),
        work_origin=(*shop.bed.mark, 0.0),
        zero_z="support",
        zero_how=zero_how(before, place),
        goals=tuple(goals),
        solids=solids,
        shims=shims_under(piece, before, place, matrix, board),
        placing=placing,
        wood_outline=outline,
        wood_top=top,
        clear_z=float(np.ceil(ceiling + shop.machine.margin + CLEAR)),
        seat_check=seat_check(board, before, place, matrix, g),
        notes=(*notes_of(g), *(after_rest(job, moved) if moved else ())),
    )
    return setup, wood, found


def _backing(c: Clamping, groups: tuple[Group, ...], found: list[Finding]) -> list[Solid]:
    """Scrap where teeth leave the wood at a finished corner: at the left, the corner nearer the operator.

    With a cutter turning clockwise the end lying to the left breaks out at the near edge, the end to the
    right at the far edge; an edge still to be cut takes the breakout with it.
    """
    later = [s.side for other in groups for s in other.steps if isinstance(s, EdgeStep)]
    blocks = []
    for side in c.walls:
        nx, _ = c.place.looks(side)
        near = c.place.side_looking(0.0, -1.0)
        if nx < 0 and (near in c.wood.cut or near not in later):
            y = c.stop_lines.get(near, float(c.wood.plan(c.place).bounds[1]))
            block, finding = backing_block(c, side, c.stop_lines[side], y)
            blocks += [block] if block else []
            found += [finding] if finding else []
    return blocks
