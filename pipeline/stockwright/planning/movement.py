"""What moisture does to a board before and after its last cut. In: a job, a board. Out: findings, figures.

Promise: once a board's moisture and its place's are both known, a difference is always reported; what a rest
may do to the wood is planned for, and where the allowance is too small for it the job is refused.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.moving import UNKNOWN_WARP, Movement, movement_of, while_resting
from stockwright.board.species import SPECIES
from stockwright.findings import Finding
from stockwright.job import FaceStep, PauseStep
from stockwright.units import format_length

if TYPE_CHECKING:
    from stockwright.board.surface import Board
    from stockwright.job import Job
    from stockwright.planning.piece import Piece

__all__ = ["after_rest", "finished_moves", "in_words", "movement_found", "rest_moves", "rests"]

NOTICED = 0.5  # mm a size or a face may change where the recipe asks for nothing; common practice, no source
TENTHS = 1  # of a mm are told: nothing of a movement is known closer
STEP = 0.1  # mm to which what a rest may do is rounded up: no figure of it is finer


def rests(job: Job) -> bool:
    """Say whether the board rests, and is flattened again after it."""
    return any(isinstance(s, PauseStep) and s.moved is not None for s in job.steps)


def finished_moves(job: Job, board: Board) -> Movement | None:
    """Return how the finished piece moves on its way to its place; None where too little is known."""
    _, y0, _, y1 = board.bounds
    width = job.wanted.width if job.wanted.width is not None else y1 - y0
    thickness = job.wanted.thickness
    if thickness is None:
        thickness = float(np.mean(board.top - board.bottom))
    return _moves(job, board, width, thickness)


def rest_moves(job: Job, board: Board, said: float | Literal["by-moisture"]) -> float:
    """Return how far the board may warp in a rest, mm: as the recipe says, or by its moisture."""
    if said != "by-moisture":
        return said
    return round(float(np.ceil(round(while_resting(_resting(job, board)) / STEP, 6))) * STEP, 6)


def after_rest(job: Job, moved: float) -> tuple[str, ...]:
    """Return what the sheet says of the first clamping after a rest."""
    units = job.shop.units
    told = [
        (
            f"It has rested and may have moved by up to {format_length(moved, units, TENTHS)}: "
            "lay it so that it does not rock, shims under it where daylight shows. Press nothing flat: "
            "what is pressed flat springs back."
        ),
        "This face will be as flat as what the board rests on, not as the face below, which has moved too.",
        (
            "If it rocks by more than that, or you want the least waste, measure the board anew and plan "
            "it as a new board from those readings."
        ),
    ]
    if job.place is not None:
        told.insert(0, f"The rest is over when the board's moisture reads {job.place:.1f} %, its place's.")
    return tuple(told)


def in_words(moves: Movement, job: Job) -> str:
    """Return what a movement comes to, one sentence without its stop."""
    units = job.shop.units
    across, through = _range(moves.width, job), _range(moves.thickness, job)
    narrower, thinner = ("narrower", "thinner") if moves.shrinks else ("wider", "thicker")
    cup = format_length(moves.cup[1], units, TENTHS)
    return (
        f"from {moves.now:.1f} % to {moves.there:.1f} % it gets {across} {narrower} and {through} {thinner}, "
        f"and stands up to {cup} hollow while one face is there before the other"
    )


def movement_found(job: Job, piece: Piece) -> tuple[Finding, ...]:
    """Return what is to be said of a board's movement: of the finished piece, then of a rest before."""
    return (*_finished(job, piece.wood.board), *_while_it_rests(job, piece))


def _finished(job: Job, board: Board) -> list[Finding]:
    """Say what the finished piece does, or what would have to be known to say it."""
    moves = finished_moves(job, board)
    if moves is None:
        return _half_known(job, board)
    asked = job.wanted.tolerance
    changes = [
        ("width", abs(moves.width[1]), asked.width),
        ("thickness", abs(moves.thickness[1]), asked.thickness),
        ("flatness", moves.cup[1], asked.flatness),
    ]
    # The change that goes farthest beyond what is asked.
    what, measured, limit = max(
        ((name, size, NOTICED if within is None else within) for name, size, within in changes),
        key=lambda change: change[1] / change[2],
    )
    whose = "the recipe's tolerance" if getattr(asked, what) is not None else "more would be noticed"
    words = in_words(moves, job)
    sawn = "" if board.sawn != "unknown" else "; how it is sawn is not said, hence the range"
    if rests(job):
        # It agrees with its place before the last cut, so these are figures of what the rest takes out.
        return [
            Finding(
                rule="moves-before-the-last-cut",
                level="note",
                message=f"{board.name}: {words}{sawn}; it is cut to size after the rest, when that is done",
                remedy="let it rest until a meter reads its place's moisture on both faces",
                measured=round(measured, 3),
                limit=round(limit, 3),
            )
        ]
    if measured <= limit:
        return [
            Finding(
                rule="moves-a-little",
                level="note",
                message=f"{board.name}: {words}{sawn}; its {what} stays within {limit:g} mm, {whose}",
                remedy="nothing to do, as long as its place is as you said",
                measured=round(measured, 3),
                limit=round(limit, 3),
            )
        ]
    return [
        Finding(
            rule="will-move",
            level="warn",
            message=f"{board.name}: {words}{sawn}; that is more in {what} than {limit:g} mm, {whose}",
            remedy=(
                f"let it come to {moves.there:.1f} % before the last cut, stickered with air all round, or "
                "take a recipe with two visits, such as two-visits"
            ),
            measured=round(measured, 3),
            limit=round(limit, 3),
        )
    ]


def _half_known(job: Job, board: Board) -> list[Finding]:
    if (job.place is None) == (board.moisture is None):
        return []
    missing, add = (
        ("where the piece will live is not said", "add `place: {moisture: 8 %}` or its climate to the job")
        if job.place is None
        else ("its moisture is not said", "read it with a meter: add `species` and `moisture` to the board")
    )
    return [
        Finding(
            rule="movement-unknown",
            level="note",
            message=f"{board.name}: {missing}, so nothing can be said of how it will move",
            remedy=add,
            measured=0.0,
            limit=1.0,
        )
    ]


def _while_it_rests(job: Job, piece: Piece) -> list[Finding]:
    """Refuse an allowance that the rest may use up; warn of a board that gets too narrow meanwhile."""
    found: list[Finding] = []
    board = piece.wood.board
    for at, step in enumerate(job.steps):
        if not isinstance(step, PauseStep) or step.moved is None:
            continue
        moved = rest_moves(job, board, step.moved)
        allowance = _allowance(job, at)
        if moved > allowance + 1e-6:
            found.append(_allowance_too_small(board, moved, allowance))
        else:
            found.append(_rest_noted(board, moved, allowance, estimated=step.moved == "by-moisture", job=job))
    moves = _resting(job, board)
    spare = piece.placement.spare
    room = min(spare.edge_1, spare.edge_2)
    if found and moves is not None and moves.shrinks and abs(moves.width[1]) > room:
        found.append(
            Finding(
                rule="narrower-after-the-rest",
                level="warn",
                message=(
                    f"{board.name}: it may lose {abs(moves.width[1]):.1f} mm of its width while it rests, "
                    f"and beside one finished edge stand only {room:.1f} mm"
                ),
                remedy="ask for a narrower piece or take a wider board, or measure it anew after the rest",
                measured=round(abs(moves.width[1]), 3),
                limit=round(room, 3),
            )
        )
    return found


def _allowance(job: Job, rest: int) -> float:
    """Return how much the cuts after the step `rest` take off a face at least, mm; 0 where one is not cut."""
    before = [s.to for s in job.steps[:rest] if isinstance(s, FaceStep)][-1:]
    after = [s for s in job.steps[rest:] if isinstance(s, FaceStep)]
    thick = [t for t in (*before, *(s.to for s in after)) if t is not None]
    if {s.face for s in after} != {"A", "B"} or len(thick) <= len(after):
        return 0.0
    return min(a - b for a, b in pairwise(thick))


def _allowance_too_small(board: Board, moved: float, allowance: float) -> Finding:
    return Finding(
        rule="moves-more-than-allowance",
        level="refuse",
        message=(
            f"{board.name}: it may warp by {moved:.1f} mm while it rests, and the second visit takes only "
            f"{allowance:.1f} mm off a face: spots would be left"
        ),
        remedy=(
            f"leave {np.ceil(round(moved * 10, 6)) / 10:.1f} mm or more on each face for the second visit, "
            "or dry the board nearer to its place's moisture first"
        ),
        measured=round(moved, 3),
        limit=round(allowance, 3),
    )


def _rest_noted(board: Board, moved: float, allowance: float, *, estimated: bool, job: Job) -> Finding:
    why = "as the recipe says"
    if estimated:
        known = _resting(job, board)
        why = (
            "by its moisture"
            if known is not None and while_resting(known) > UNKNOWN_WARP
            else "what stress alone may do"
        )
    return Finding(
        rule="moves-while-it-rests",
        level="note",
        message=(
            f"{board.name}: after the rest it is taken to stand up to {moved:.1f} mm off its place, {why}; "
            f"the second visit takes {allowance:.1f} mm off each face"
        ),
        remedy="measure it after the rest; if it has moved farther, plan it anew from those readings",
        measured=round(moved, 3),
        limit=round(allowance, 3),
    )


def _resting(job: Job, board: Board) -> Movement | None:
    """Return how the whole board, as thick as the first visit leaves it, moves while it rests."""
    _, y0, _, y1 = board.bounds
    thickness = next((s.to for s in job.steps if isinstance(s, FaceStep) and s.to is not None), None)
    if thickness is None:
        thickness = float(np.mean(board.top - board.bottom))
    return _moves(job, board, y1 - y0, thickness)


def _moves(job: Job, board: Board, width: float, thickness: float) -> Movement | None:
    if job.place is None or board.moisture is None or board.species is None:
        return None
    return movement_of(SPECIES[board.species], board.sawn, width, thickness, board.moisture, job.place)


def _range(span: tuple[float, float], job: Job) -> str:
    units = job.shop.units
    low, high = (format_length(abs(v), units, TENTHS) for v in span)
    return low if low == high else f"{low.rpartition(' ')[0]} to {high}"
