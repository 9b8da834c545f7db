"""Where the finished piece lies in the rough board. In: a board, what is wanted. Out: `Piece`, or why not.

Promise: the piece lies wholly inside the measured wood, or the job is refused with the size the board can
give and the reading that limits it; a size inside the readings' uncertainty is planned, and said.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.frame import levelled_outlines, piece_from_board
from stockwright.board.placing import (
    Margins,
    Placement,
    Spare,
    TooSmall,
    largest_rectangle,
    place_along,
    place_piece,
)
from stockwright.board.seating import Seating, seat
from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.job import EdgeStep, FaceStep
from stockwright.planning.already import along_true_edge, faced, mated_sides, true_sides
from stockwright.planning.clamping import told_apart
from stockwright.planning.supports import badly_supported
from stockwright.planning.wood import Wood

if TYPE_CHECKING:
    from stockwright.board.surface import Board
    from stockwright.job import Job, Side

__all__ = ["Piece", "find_piece", "seated"]

NOTHING = 1.0  # mm: what is narrower is no board; our own choice


@frozen(eq=False)
class Piece:
    """The finished piece in its board: the wood as it arrives, how it is seated, where the piece lies."""

    wood: Wood
    seating: Seating
    placement: Placement
    findings: tuple[Finding, ...]


def find_piece(job: Job, board: Board, first_face: FaceStep | None) -> Piece:
    """Seat the board and place the piece in it.

    Raises `Refused` with every way in which the board is too small, at once.
    """
    if "faces" in job.already:
        return _faced_already(job, board)
    least = board.uncertainty  # a face that loses less may keep spots the readings did not show
    seating, surplus = seated(job, board, first_face)
    found: list[Finding] = []
    first_slab, finished = _thicknesses(job)
    thickness = finished if finished is not None else seating.thickness - least
    slab = first_slab if first_slab is not None else thickness
    if surplus < 0:
        found.append(_too_thin(board, seating, slab, slab - thickness, 2 * least))
    elif first_slab is not None and surplus < 2 * least:
        found.append(
            Finding(
                rule="board-barely-thick-enough",
                level="warn",
                message=f"{board.name}: {surplus:.2f} mm of wood over the finished thickness, and the "
                f"readings are sure of both faces within {2 * least:.2f} mm only",
                remedy="read the board at more places, or expect spots to be left",
                measured=round(surplus, 3),
                limit=round(2 * least, 3),
            )
        )
    face_a = _face_a(seating, surplus, first_face, least)
    root = float(np.sqrt(1 + seating.a**2 + seating.b**2))
    if first_face is not None and surplus >= 0:
        left = (face_a - seating.bottom) / root
        found += badly_supported(board, seating, left, job.shop.longest_span, job.wanted.tolerance.flatness)
    height = _first_height(job, thickness)
    outlines = levelled_outlines(
        board.outline, seating.a, seating.b, (face_a - (height - thickness) * root, face_a - height * root)
    )
    placement = _place(job, board, outlines, found)
    if placement is None or any(f.level == "refuse" for f in found):
        raise Refused(tuple(found))
    matrix = piece_from_board(seating.a, seating.b, face_a, placement, height)
    under = (seating.rest - face_a) / root + height
    wood = replace(Wood.rough(board, matrix, height, under), cut=_straight(job, board))
    return Piece(wood, seating, placement, tuple(found))


def _straight(job: Job, board: Board) -> frozenset[Side]:
    """Return the edges that stand where the piece's do when the board comes."""
    return true_sides(job) - set(mated_sides(job, board))


def seated(job: Job, board: Board, first_face: FaceStep | None) -> tuple[Seating, float]:
    """Return how a rough board lies for its first face, and how much thicker it is than needed, mm."""
    first_slab, finished = _thicknesses(job)
    seating = seat(
        board,
        policy=first_face.seat if first_face else "as-it-lies",
        required=first_slab,
        allow_a=board.uncertainty,
        allow_b=board.uncertainty,
        shop_shims=job.shop.shims,
        longest_span=job.shop.longest_span,
    )
    thickness = finished if finished is not None else seating.thickness - board.uncertainty
    return seating, seating.thickness - (first_slab if first_slab is not None else thickness)


def _faced_already(job: Job, board: Board) -> Piece:
    """Return the piece of a board that comes with both faces true; raises `Refused`."""
    found: list[Finding] = []
    lying = faced(job, board)
    placement = _place(job, board, lying.outlines, found)
    if placement is None:
        raise Refused(tuple(found))
    wood = replace(lying.wood(board, placement), cut=_straight(job, board))
    return Piece(wood, lying.seating, placement, tuple(found))


def _thicknesses(job: Job) -> tuple[float | None, float | None]:
    """Return how thick the first cuts of both faces leave the board, and how thick it is in the end."""
    asked = [s.to for s in job.steps if isinstance(s, FaceStep) and s.to is not None]
    wanted = job.wanted.thickness
    if not asked:
        return wanted, wanted
    return asked[0], wanted if wanted is not None else asked[-1]


def _first_height(job: Job, thickness: float) -> float:
    """Return the z of the first cut of face A, so that the last cut of face B lies at 0.

    Each later cut of a face stands its own `to` away from the other face.
    """
    a = b = 0.0
    for step in job.steps:
        if isinstance(step, FaceStep) and step.face == "B":
            b = a - (step.to if step.to is not None else thickness)
        elif isinstance(step, FaceStep) and step.to is not None:
            a = b + step.to
    cut = any(isinstance(s, FaceStep) and s.face == "B" for s in job.steps)
    return round(-b, 9) if cut else thickness


def _face_a(seating: Seating, surplus: float, first_face: FaceStep | None, least: float) -> float:
    """Return c of face A's plane: how much of the surplus the first face takes."""
    take = first_face.take if first_face else "least"
    if take == "half-of-surplus":
        return seating.below_top(max(surplus, 0.0) / 2)
    if take == "least":
        return seating.below_top(min(least, max(surplus, 0.0) / 2))
    assert isinstance(take, float)
    return seating.below_top(take)


def _too_thin(board: Board, seating: Seating, thickness: float, later: float, unsure: float) -> Finding:
    """Return the refusal; `later` is what of the thickness comes off in a second visit.

    `unsure`: how much more than it needs a board has to have, mm, to be sure to come clean.
    """
    most = seating.thickness - later
    sure = most - unsure
    surely = (
        f", {np.floor(sure * 10) / 10:.1f} mm or less to be sure that no spot is left" if sure > 0 else ""
    )
    return Finding(
        rule="board-too-thin",
        level="refuse",
        message=(
            f"{board.name} can be at most {seating.thickness:.2f} mm thick seated so, "
            f"{thickness:.2f} mm are wanted{_for_later(later)}; {seating.why}"
        ),
        remedy=(
            f"ask for {np.floor(most * 10) / 10:.1f} mm or less{surely}; or take a thicker board, "
            "or cut it into shorter or narrower pieces first"
        ),
        measured=round(seating.thickness, 3),
        limit=round(thickness, 3),
    )


def _for_later(later: float) -> str:
    return f", {later:.2f} mm of them to come off once it has rested" if later > 0 else ""


def _place(
    job: Job, board: Board, outlines: tuple[np.ndarray, ...], found: list[Finding]
) -> Placement | None:
    """Place the finished rectangle; where a measure is not asked for, the board keeps its own."""
    if true_sides(job):
        return along_true_edge(job, board, outlines, found)
    length, width = job.wanted.length, job.wanted.width
    edges = [s for s in job.steps if isinstance(s, EdgeStep) and s.side in {"edge-1", "edge-2"}]
    if width is None and len(edges) == 1:
        return _along_one_edge(board, outlines, edges[0], length, found)
    if length is None and width is None:
        # Nothing is squared here: the frame follows the board, and the piece is its bounding box.
        low = np.min([o.min(axis=0) for o in outlines], axis=0)
        high = np.max([o.max(axis=0) for o in outlines], axis=0)
        size = high - low
        return Placement(0.0, float(low[0]), float(low[1]), float(size[0]), float(size[1]), Spare(0, 0, 0, 0))
    if length is None:  # as long as the board gives it at that width; its ends stay
        length = largest_rectangle(outlines, width=width)[0] or _least(outlines, 0)
    elif width is None:
        width = largest_rectangle(outlines, length=length)[1] or _least(outlines, 1)
    assert width is not None
    result = place_piece(outlines, length, width, Margins())
    if isinstance(result, Placement):
        return result
    found.extend(_too_small(board, result, length, width))
    return None


def _along_one_edge(
    board: Board,
    outlines: tuple[np.ndarray, ...],
    step: EdgeStep,
    length: float | None,
    found: list[Finding],
) -> Placement | None:
    """Place the piece along the only edge that is cut, as little off it as the readings are sure to clean."""
    take = board.uncertainty if step.take is None else step.take
    lies = place_along(outlines, "edge-1" if step.side == "edge-1" else "edge-2", length, take)
    there = max(lies.length + min(lies.spare.end_1, 0.0) + min(lies.spare.end_2, 0.0), 0.0)
    width = lies.width if lies.width > NOTHING else 0.0
    wanted = NOTHING if length is None else length
    if not width:
        found.append(
            Finding(
                rule="board-too-narrow",
                level="refuse",
                message=f"{board.name}: {take:.1f} mm off its {step.side} leave no wood",
                remedy="let the step take less, or take a wider board",
                measured=width,
                limit=NOTHING,
            )
        )
    elif there < wanted:
        gives, asked = told_apart(there, wanted)
        found.append(
            Finding(
                rule="board-too-short",
                level="refuse",
                message=f"{board.name}: square to its {step.side} it gives at most {gives} mm with wood all "
                f"across, {asked} mm are wanted",
                remedy="take a longer board, or one whose ends are squarer"
                if there < NOTHING
                else f"ask for {np.floor(there):.0f} mm or less, or take a longer board",
                measured=round(there, 3),
                limit=round(wanted, 3),
            )
        )
    return lies if width and there > 0 else None


def _least(outlines: tuple[np.ndarray, ...], axis: int) -> float:
    """Return how far the board reaches along an axis, mm: what is asked where no such piece is in it."""
    return min(float(np.ptp(o[:, axis])) for o in outlines)


def _too_small(board: Board, small: TooSmall, length: float, width: float) -> list[Finding]:
    found = []
    if small.largest_length < length and small.largest_length > 0:
        gives, asked = told_apart(small.largest_length, length)
        found.append(
            Finding(
                rule="board-too-short",
                level="refuse",
                message=f"{board.name}: {width:.1f} mm wide, it gives at most {gives} mm, {asked} mm are "
                f"wanted; {small.limiting}",
                remedy=f"ask for {np.floor(small.largest_length):.0f} mm or less, or take a longer board",
                measured=round(small.largest_length, 3),
                limit=round(length, 3),
            )
        )
    wide = max(small.largest_width, 0.0)
    if wide < width or not found:
        gives, asked = told_apart(wide, width)
        found.append(
            Finding(
                rule="board-too-narrow",
                level="refuse",
                message=f"{board.name}: {length:.1f} mm long, it gives at most {gives} mm, {asked} mm are "
                f"wanted; {small.limiting}",
                remedy=f"ask for {np.floor(wide):.0f} mm or less, or take a wider board"
                if wide >= NOTHING
                else "take a wider board, or one whose edges are straighter",
                measured=round(wide, 3),
                limit=round(width, 3),
            )
        )
    return found
