"""Boards that arrive with true faces or edges. In: a measured board, what is said to be true. Out: `Piece`.

Promise: what is said to be true is compared with the readings, and refused where they contradict it; the
piece's frame is then the one that the fence gives, with the board pushed against it by the true edge.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import affinity

from stockwright.board.frame import levelled_outlines, piece_from_board
from stockwright.board.placing import Placement, Spare
from stockwright.board.seating import seat
from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.job import MateStep
from stockwright.planning.clamping import told_apart
from stockwright.planning.wood import Wood

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.seating import Seating
    from stockwright.board.surface import Board
    from stockwright.job import Job, Side

    Floats = NDArray[np.float64]

__all__ = ["CLEANS", "Faced", "along_true_edge", "faced", "mated_sides", "true_sides"]

# mm a face or an edge said to be true may be out by where nothing is asked; common practice, no source
FLAT = 0.3
# mm of wood that an end loses at most before the length is counted off; common practice, no source
CLEANS = 2.0
CORNER = 0.5  # mm: a corner broken by less is no fault of an end; common practice, no source
STATIONS = 61  # across a board


@frozen(eq=False)
class Faced:
    """A board with true faces: how it lies, its wood, and the outline seen from above at both faces."""

    seating: Seating
    thickness: float
    face_a: float
    outlines: tuple[Floats, ...]

    def wood(self, board: Board, placement: Placement) -> Wood:
        """Return the wood with both faces flat, each as far off as the readings leave open."""
        matrix = piece_from_board(self.seating.a, self.seating.b, self.face_a, placement, self.thickness)
        rough = Wood.rough(board, matrix, self.thickness, 0.0)
        wood = rough.after_face("A", self.thickness).after_face("B", 0.0)
        return wood.after_rest(board.uncertainty)


def true_sides(job: Job) -> frozenset[Side]:
    """Return the edges that are true when a board comes."""
    edges: tuple[Side, ...] = ("edge-1", "edge-2")
    return frozenset(edge for edge in edges if edge in job.already)


def mated_sides(job: Job, board: Board) -> dict[Side, float]:
    """Return what a mating pass takes off each edge of a board, mm; the outer edges of all keep theirs."""
    step = next((s for s in job.steps if isinstance(s, MateStep)), None)
    if step is None:
        return {}
    place = next(i for i, each in enumerate(job.boards) if each.name == board.name)
    mated: dict[Side, float] = {}
    if place > 0:
        mated["edge-1"] = step.take
    if place < len(job.boards) - 1:
        mated["edge-2"] = step.take
    return mated


def faced(job: Job, board: Board) -> Faced:
    """Return how a board with true faces lies on one of them.

    Raises `Refused` where the readings say that a face is not flat, or the two not parallel.
    """
    seating = seat(board, policy="as-it-lies", longest_span=job.shop.longest_span)
    root = float(np.sqrt(1 + seating.a**2 + seating.b**2))
    points = board.critical_points()
    level = points @ np.array([seating.a, seating.b])
    tops, bottoms = board.top_at(points) - level, board.bottom_at(points) - level
    flatness = job.wanted.tolerance.flatness
    most = FLAT if flatness is None else flatness
    found = []
    for face, off, what in (
        ("A", float(np.ptp(tops)), "out of flat, or not parallel to face B,"),
        ("B", float(np.ptp(bottoms)), "out of flat"),
    ):
        if off > most:
            found.append(
                Finding(
                    rule="face-not-true",
                    level="refuse",
                    message=f"face {face} of {board.name} is said to be true, and by its readings it is "
                    f"{what} by {off:.2f} mm",
                    remedy="cut both faces first, or take `faces` out of the recipe's `already`",
                    measured=round(off, 3),
                    limit=most,
                )
            )
    if found:
        raise Refused(tuple(found))
    face_a, rest = float(tops.max()), float(bottoms.min())
    return Faced(
        seating,
        (face_a - rest) / root,
        face_a,
        levelled_outlines(board.outline, seating.a, seating.b, (rest, face_a)),
    )


def along_true_edge(
    job: Job, board: Board, outlines: tuple[Floats, ...], found: list[Finding]
) -> Placement | None:
    """Place the piece along the edge that is true; `found` takes why there is no place for it.

    The edge's line is that of a straight fence pushed against it: a side of the outline's hull.
    """
    shape = shapely.Polygon(outlines[0])
    for other in outlines[1:]:
        both = shape.intersection(shapely.Polygon(other))
        assert isinstance(both, shapely.Polygon)
        shape = both
    first = "edge-1" in job.already
    mated = mated_sides(job, board)
    angle = _lies_along(shape, low=first)
    straight = affinity.rotate(shape, -angle, origin=(0.0, 0.0))
    lows, highs, x0, x1 = _sides(straight)
    asked = job.wanted.tolerance.straightness
    most = FLAT if asked is None else asked
    for edge, off in (("edge-1", lows - lows.min()), ("edge-2", highs.max() - highs)):
        if edge in job.already and float(off.max()) > most:
            found.append(_crooked(board, edge, float(off.max()), most))
        elif edge in mated and float(off.max()) >= mated[edge]:
            found.append(_not_cleaned(board, edge, float(off.max()), mated[edge]))
    if any(f.rule == "edge-not-true" for f in found):
        return None  # what it gives squared to an edge that is none says nothing
    # What a mating pass takes is no part of the piece.
    y0 = float(lows.min()) + mated.get("edge-1", 0.0)
    y1 = float(highs.max()) - mated.get("edge-2", 0.0)
    width = y1 - y0 if job.wanted.width is None else job.wanted.width
    y = y0 if first else y1 - width
    low, high = y, y + width
    if job.wanted.width is None:  # the belly of an edge that stays as it grew has no ends to be square
        low = low if first else float(lows.max())
        high = float(highs.min()) if first and "edge-2" not in job.already else high
    left, right = _ends(straight, low + CORNER, high - CORNER, x0, x1)
    length = right - left if job.wanted.length is None else job.wanted.length
    if length > right - left:
        found.append(_short(board, right - left, length))
    if width > y1 - y0:
        found.append(_narrow(board, y1 - y0, width))
    if any(f.level == "refuse" for f in found):
        return None
    spare = right - left - length
    x = left + min(CLEANS, spare / 2)  # a length that nobody asks for is as much as has wood all across
    turn = np.radians(angle)
    corner = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]) @ (x, y)
    wood = Spare(y - y0, y1 - y - width, x - left, right - x - length)
    return Placement(angle, float(corner[0]), float(corner[1]), length, width, wood)


def _lies_along(shape: shapely.Polygon, *, low: bool) -> float:
    """Return the angle, degrees, of the hull's side that a fence would touch under the board's middle."""
    hull = shape.convex_hull
    assert isinstance(hull, shapely.Polygon)
    ring = np.asarray(shapely.geometry.polygon.orient(hull).exterior.coords)
    away = np.diff(ring, axis=0)
    middle = shape.centroid.x
    # Anticlockwise, so the low sides run to the right and the high ones to the left.
    forward = away[:, 0] > 0 if low else away[:, 0] < 0
    under = (np.minimum(ring[:-1, 0], ring[1:, 0]) <= middle) & (
        np.maximum(ring[:-1, 0], ring[1:, 0]) >= middle
    )
    side = away[np.flatnonzero(forward & under)[0]] * (1.0 if low else -1.0)
    return float(np.degrees(np.arctan2(side[1], side[0])))


def _sides(shape: shapely.Polygon) -> tuple[Floats, Floats, float, float]:
    """Return where the low and the high side run at stations along the board, and its ends' outermost x."""
    x0, y0, x1, y1 = shape.bounds
    inset = min(0.02 * (x1 - x0), 10.0)
    at = np.linspace(x0 + inset, x1 - inset, STATIONS)
    lines = shapely.linestrings([[(x, y0 - 1), (x, y1 + 1)] for x in at])
    bounds = np.asarray(shapely.bounds(shapely.intersection(lines, shape)))
    return bounds[:, 1], bounds[:, 3], x0, x1


def _ends(shape: shapely.Polygon, low: float, high: float, x0: float, x1: float) -> tuple[float, float]:
    """Return the span along the board in which there is wood all across from `low` to `high`."""
    at = np.linspace(low, high, STATIONS)
    lines = shapely.linestrings([[(x0 - 1, y), (x1 + 1, y)] for y in at])
    bounds = np.asarray(shapely.bounds(shapely.intersection(lines, shape)))
    return float(np.nanmax(bounds[:, 0])), float(np.nanmin(bounds[:, 2]))


def _crooked(board: Board, edge: str, off: float, most: float) -> Finding:
    return Finding(
        rule="edge-not-true",
        level="refuse",
        message=f"{edge} of {board.name} is said to be true, and by its readings it is {off:.2f} mm out of "
        "straight",
        remedy=f"cut {edge} first, or take it out of the recipe's `already`",
        measured=round(off, 3),
        limit=most,
    )


def _not_cleaned(board: Board, edge: str, off: float, take: float) -> Finding:
    return Finding(
        rule="edge-not-cleaned",
        level="refuse",
        message=f"{edge} of {board.name} is {off:.2f} mm out of straight by its readings, and the mating "
        f"pass takes {take:g} mm off it: it would not come clean",
        remedy=f"joint {edge} straighter first",
        measured=round(off, 3),
        limit=round(take, 3),
    )


def _short(board: Board, most: float, length: float) -> Finding:
    most = max(most, 0.0)
    gives, asked = told_apart(most, length)
    return Finding(
        rule="board-too-short",
        level="refuse",
        message=f"{board.name}: squared to its true edge it gives at most {gives} mm, {asked} mm are wanted",
        remedy=f"ask for {np.floor(most):.0f} mm or less, or take a longer board"
        if most >= 1
        else "take a longer board, or one whose ends are squarer",
        measured=round(most, 3),
        limit=round(length, 3),
    )


def _narrow(board: Board, most: float, width: float) -> Finding:
    gives, asked = told_apart(most, width)
    return Finding(
        rule="board-too-narrow",
        level="refuse",
        message=f"{board.name}: from its true edge it is {gives} mm wide, {asked} mm are wanted",
        remedy=f"ask for {np.floor(most):.0f} mm or less, or take a wider board",
        measured=round(most, 3),
        limit=round(width, 3),
    )
