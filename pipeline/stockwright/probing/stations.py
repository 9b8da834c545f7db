"""Where a board is read. In: its outline, how crooked it may be, what is in the way. Out: places, in order.

Board frame, mm. Promise: places are whole millimetres, inset from every side and hole, and close enough
together for any shape that must not be missed between them; the way from one to the next is short.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["bow_of", "count_across", "count_along", "in_order", "inset_for", "places", "station_pitch"]

# How many places along a board up to so long, and across one up to so wide; common practice, no source.
ALONG = ((400.0, 3), (900.0, 5), (1500.0, 7), (2500.0, 9))
ACROSS = ((150.0, 3),)
MOST_ACROSS = 5
LONGEST_PITCH = 2500.0 / 8  # mm: that of the longest row above, kept beyond it
MOST = 99  # places one way; a denser grid is a machine's own scan
# How far a board may be laid off its place on the bed, mm; common practice, no source.
LAID_OFF = 8.0
LEAST_INSET = 10.0  # mm from a side: sawn corners are rounded and split; common practice, no source
NARROWED = 0.8  # of the usual width: where an end's slant leaves less, places stand further in
COMMON = 0.75  # of the usual width: where straight rows keep less of a crooked board, rows follow its edges
NUDGES = 40.0  # mm: how far a place may give way to what stands beside it
NUDGE = 5.0  # mm a step


def station_pitch(length: float, bow: float, miss: float) -> float:
    """Give how far apart places may stand so that between them no more than `miss` of a `bow` is missed, mm.

    Between places p apart an even bow b over L stands b (p / L)^2 off the chord.
    """
    return length * math.sqrt(miss / bow) if bow > miss else length


def count_along(length: float, bow: float = 0.0, miss: float = 0.3) -> int:
    """Give how many places along a board, ends included; `bow` and `miss` in mm."""
    usual = next((n for limit, n in ALONG if length <= limit), math.ceil(length / LONGEST_PITCH) + 1)
    needed = math.ceil(length / station_pitch(length, bow, miss) - 1e-9) + 1
    return min(max(usual, needed), MOST)


def count_across(width: float) -> int:
    """Give how many places across a board, edges included."""
    return next((n for limit, n in ACROSS if width <= limit), MOST_ACROSS)


def bow_of(board: Board) -> float:
    """Give how far, mm, the upper face may stand off a straight line along the board.

    Where it was read at two stations or fewer nothing is known but its uncertainty.
    """
    if len(board.x) < 3:
        return board.uncertainty
    chord = board.top[:1] + (board.top[-1:] - board.top[:1]) * (
        (board.x - board.x[0]) / (board.x[-1] - board.x[0])
    ).reshape(-1, 1)
    return max(float(np.abs(board.top - chord).max()), board.uncertainty)


def inset_for(radius: float) -> float:
    """Give how far from every side a place stands, mm, for a tip of `radius`."""
    return max(LEAST_INSET, radius + LAID_OFF)


def places(
    board: Board, along: int, across: int, inset: float, free: Callable[[float, float], bool]
) -> tuple[list[tuple[float, float]], int]:
    """Return the places (x, y), row after row along, and how many had to be left out.

    `free` says whether nothing stands in the way there; a place that is not free gives way by up to 40 mm.
    """
    outline = shapely.Polygon(board.outline, board.holes)
    inner = outline.buffer(-inset, join_style="mitre")
    if inner.is_empty:
        return [], along * across
    found: list[tuple[float, float]] = []
    lost = 0
    for x, ys in _rows(inner, along, across):
        for y in ys:
            at = _given_way(x, y, inner.buffer(0.75), free)
            if at is None or at in found:
                lost += 1
            else:
                found.append(at)
    return found, lost


def _rows(inner: BaseGeometry, along: int, across: int) -> Iterable[tuple[float, Floats]]:
    """Yield x and the y of its places; the same y everywhere where the board is straight enough."""
    x0, _, x1, _ = inner.bounds
    usual = _width(inner, (x0 + x1) / 2)
    lo, hi = (_in_from(inner, end, (x0 + x1) / 2, usual) for end in (x0, x1))
    xs = np.round(np.linspace(lo, hi, along))
    spans = [_span(inner, float(x)) for x in xs]
    low, high = max(a for a, _ in spans), min(b for _, b in spans)
    straight = high - low >= COMMON * usual
    for x, (a, b) in zip(xs.tolist(), spans, strict=True):
        first, last = (low, high) if straight else (a, b)
        yield x, np.round(np.linspace(first, last, across))


def _in_from(inner: BaseGeometry, end: float, middle: float, usual: float) -> float:
    """Go in from an end until the board is nearly as wide as in its middle."""
    steps = np.linspace(end, middle, 101)
    return next((x for x in steps.tolist() if _width(inner, x) >= NARROWED * usual), middle)


def _width(inner: BaseGeometry, x: float) -> float:
    low, high = _span(inner, x)
    return high - low


def _span(inner: BaseGeometry, x: float) -> tuple[float, float]:
    """Give the widest stretch of y at `x`."""
    _, y0, _, y1 = inner.bounds
    line = inner.intersection(shapely.LineString([(x, y0 - 1.0), (x, y1 + 1.0)]))
    parts = [part.bounds for part in shapely.get_parts(line) if not part.is_empty]
    if not parts:
        middle = float(inner.representative_point().y)
        return middle, middle
    _, low, _, high = max(parts, key=lambda part: (part[3] - part[1], -part[1]))
    return float(low), float(high)


def _given_way(
    x: float, y: float, inner: BaseGeometry, free: Callable[[float, float], bool]
) -> tuple[float, float] | None:
    """Return the place nearest to x, y that is inside and free."""
    reach = np.arange(-NUDGES, NUDGES + 1.0, NUDGE)
    offsets = sorted(
        ((float(dx), float(dy)) for dx in reach for dy in reach), key=lambda o: (round(math.hypot(*o), 6), o)
    )
    for dx, dy in offsets:
        at = (x + dx, y + dy)
        if inner.covers(shapely.Point(at)) and free(*at):
            return at
    return None


def in_order(found: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the places in the order in which they are read: rows to and fro, along or across.

    Of the two the shorter way; equal ways give the one across.
    """
    ways = [_to_and_fro(found, axis) for axis in (0, 1)]
    return min(ways, key=lambda way: round(_length(way), 6))


def _to_and_fro(found: list[tuple[float, float]], axis: int) -> list[tuple[float, float]]:
    """Sort into rows of near-equal coordinate `axis` and walk them to and fro."""
    rows: list[list[tuple[float, float]]] = []
    gap = _row_gap(found, axis)
    for place in sorted(found, key=lambda p: (p[axis], p[1 - axis])):
        if rows and place[axis] - rows[-1][0][axis] <= gap:
            rows[-1].append(place)
        else:
            rows.append([place])
    way: list[tuple[float, float]] = []
    for number, row in enumerate(rows):
        way += sorted(row, key=lambda p: p[1 - axis], reverse=bool(number % 2))
    return way


def _row_gap(found: list[tuple[float, float]], axis: int) -> float:
    """Give what separates two rows from a row that is not quite straight: a third of the middle distance."""
    at = sorted({place[axis] for place in found})
    steps = [b - a for a, b in itertools.pairwise(at)]
    return max(steps) / 3 if steps else 0.0


def _length(way: list[tuple[float, float]]) -> float:
    return math.fsum(math.dist(a, b) for a, b in itertools.pairwise(way))
