"""Sections through a seated board. In: `Account`, `Shown`. Out: `Section`s, and their drawing.

Public:
    STOPS                       how near to the slab's face a place must be to be marked as stopping it, mm
    Section(title, low, high, over (n, 2), under (n, 2), rest, shims, stops, levels, thickness)
    long_sections(account, shown, told), cross_sections(account, shown, told) -> list of Section
    nice_factor(sections, scale) -> how much larger heights are drawn than lengths
    section_svg(section, left, top, scale, factor, told) -> (parts, where it ends)
Promise: both surfaces are drawn by the same factor from the slab's own faces; the slab is a band of its own.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.strokes import number, pairs, text
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.board.account import Account
    from stockwright.board.in_units import InUnits
    from stockwright.board.shown import Shown
    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["STOPS", "Section", "cross_sections", "long_sections", "nice_factor", "section_svg"]

_FACTORS = (200.0, 100.0, 50.0, 40.0, 25.0, 20.0, 10.0, 5.0, 4.0, 2.0, 1.0)
_TALL = 42.0  # of what stands off the slab on one side, drawn
_ROOMY = 190.0  # drawn; a section this wide has room for words beside its middle
_BAND = 24.0  # of the slab, drawn
_SHIM = 12.0  # width of a shim, drawn
_LONG = 0.6  # of the board, for a section along it to be worth drawing
STOPS = 0.01  # mm; of the slab's face, for a place that stops it


@frozen(eq=False)
class Section:
    """Both surfaces along a line from `low` to `high` (mm on that line).

    `over` (n, 2) is (place, wood above the slab), `under` (n, 2) (place, wood below it); `rest` is how far
    the support lies below the slab; `shims` are (place, thickness); `stops` (place, above or not); `levels`
    (above or not, off the slab, from, to); mm.
    """

    title: str
    low: float
    high: float
    over: Floats
    under: Floats
    rest: float
    shims: tuple[tuple[float, float], ...]
    stops: tuple[tuple[float, bool], ...]
    levels: tuple[tuple[bool, float, float, float], ...]
    thickness: float


def long_sections(account: Account, shown: Shown, told: InUnits) -> list[Section]:
    """Return a section along each rail of shims, near edge-1 and near edge-2."""
    board = account.board
    found = []
    for edge, which in (("edge-1", 0), ("edge-2", 1)):
        y = _rail(board, which)
        shims = [
            (s.x, s.thickness)
            for s in shown.seating.shims
            if (abs(s.y - board.y[0]) > abs(s.y - board.y[-1])) == bool(which)
        ]
        title = f"Along {edge}, {told.length(y)} across; end-1 at the left"
        found.append(_section(account, shown, title, 0, y, shims))
    return found


def _rail(board: Board, which: int) -> float:
    """Return the y of the outermost stations near an edge, moved in until the board is long there."""
    x_low, y_low, x_high, y_high = board.bounds
    first, inwards = (float(board.y[0]), 1.0) if which == 0 else (float(board.y[-1]), -1.0)
    steps = [first + inwards * step * (y_high - y_low) / 16.0 for step in range(7)]
    for y in steps:
        low, high = _reach(board.outline, 0, y)
        if high - low >= _LONG * (x_high - x_low):
            return round(y, 1)
    return round(steps[-1], 1)


def cross_sections(account: Account, shown: Shown, told: InUnits) -> list[Section]:
    """Return sections across the board: near both ends, in the middle and where it cups most."""
    board = account.board
    middle = float(board.x[len(board.x) // 2])
    places = {float(board.x[0]), account.warps.cup.x, middle, float(board.x[-1])}
    found = []
    for x in sorted(places):
        near = float(board.x[1] - board.x[0]) / 2.0
        shims = [(s.y, s.thickness) for s in shown.seating.shims if abs(s.x - x) <= near]
        found.append(_section(account, shown, f"Across, {told.length(x)} along", 1, x, shims))
    return found


def _section(
    account: Account,
    shown: Shown,
    title: str,
    axis: int,
    fixed: float,
    shims: Sequence[tuple[float, float]],
) -> Section:
    board, best = account.board, shown.seating
    low, high = _reach(board.outline, axis, fixed)
    stations = board.x if axis == 0 else board.y
    at = np.unique(np.concatenate([[low], stations[(stations > low) & (stations < high)], [high]]))
    if len(at) > 200:
        at = np.linspace(low, high, 200)
    other = np.full(len(at), fixed)
    xy = np.column_stack([at, other] if axis == 0 else [other, at])
    lean = math.sqrt(1.0 + best.a**2 + best.b**2)
    tilt = xy @ np.array([best.a, best.b])
    over = (board.top_at(xy) - tilt - best.top) / lean
    under = (best.bottom - board.bottom_at(xy) + tilt) / lean
    stops = [
        (float(place), above)
        for heights, above in ((over, True), (under, False))
        for place in at[heights <= STOPS]
    ]
    return Section(
        title=title,
        low=low,
        high=high,
        over=np.column_stack([at, over]),
        under=np.column_stack([at, under]),
        rest=(best.bottom - best.rest) / lean,
        shims=tuple(shims),
        stops=tuple(stops),
        levels=tuple(
            (level.face == "A", level.height, max(start, low), min(end, high))
            for level in shown.levels
            for start, end in level.spans(axis, fixed)
            if end > low and start < high
        ),
        thickness=(best.top - best.bottom) / lean,
    )


def _reach(outline: Floats, axis: int, fixed: float) -> tuple[float, float]:
    """Return from where to where the line crosses the outline, by its outermost crossings."""
    p, q = outline, np.roll(outline, -1, axis=0)
    off_p, off_q = p[:, 1 - axis] - fixed, q[:, 1 - axis] - fixed
    hit = (np.minimum(off_p, off_q) <= 0.0) & (np.maximum(off_p, off_q) >= 0.0) & (off_p != off_q)
    if not hit.any():
        return float(outline[:, axis].min()), float(outline[:, axis].max())
    share = off_p[hit] / (off_p[hit] - off_q[hit])
    at = p[hit, axis] + share * (q[hit, axis] - p[hit, axis])
    return float(at.min()), float(at.max())


def nice_factor(sections: Sequence[Section], scale: float) -> float:
    """Return the greatest of a few round factors with which all sections stay within their room."""
    most = max(max(_above(s), s.rest, float(s.under[:, 1].max()), 1e-6) for s in sections)
    return next((each for each in _FACTORS if most * each * scale <= _TALL), _FACTORS[-1])


def _above(section: Section) -> float:
    """Return how far wood or a level stands above the slab, mm."""
    return max([float(section.over[:, 1].max()), *(level[1] for level in section.levels if level[0])])


def section_svg(
    section: Section, left: float, top: float, scale: float, factor: float, told: InUnits
) -> tuple[list[str], float]:
    """Return the drawing and where it ends; `scale` is the drawing's size of a mm of length."""
    tall = scale * factor
    face_a = top + 20 + tall * max(_above(section), 0.0)
    face_b = face_a + _BAND
    bed = face_b + tall * section.rest

    def across(place: float) -> float:
        return left + scale * (place - section.low)

    over = [(across(p), face_a - tall * h) for p, h in section.over]
    under = [(across(p), face_b + tall * h) for p, h in section.under]
    start, end = across(section.low), across(section.high)
    parts = [
        text(start, top + 10, section.title, "small"),
        f'<polygon class="waste" points="{pairs([(start, face_a), *over, (end, face_a)])}"/>',
        f'<polygon class="waste" points="{pairs([(start, face_b), *under, (end, face_b)])}"/>',
        _slab(start, end, face_a),
        _name(section, start, end, face_a, told),
        _level("bed", start - 14, end + 14, bed),
    ]
    for above, off, first, last in section.levels:
        y = face_a - tall * off if above else face_b + tall * off
        parts.append(_level("level", across(first), across(last), y))
    for place, above in section.stops:
        # Within the slab, where no shim hides it.
        x, y, way = across(place), face_a if above else face_b, 1.0 if above else -1.0
        mark = pairs([(x, y), (x - 4.5, y + way * 9), (x + 4.5, y + way * 9)])
        parts.append(f'<polygon class="dot" points="{mark}"/>')
    for place, thickness in section.shims:
        x = min(max(across(place), start + _SHIM / 2), end - _SHIM / 2)
        height = tall * thickness
        parts.append(
            f'<rect class="shim" x="{number(x - _SHIM / 2)}" y="{number(bed - height)}" '
            f'width="{number(_SHIM)}" height="{number(height)}"/>'
        )
        parts.append(text(x, bed + 15, told.height(thickness), "small", "middle"))
    return parts, bed + 20


def _name(section: Section, start: float, end: float, top: float, told: InUnits) -> str:
    """Return the slab's thickness, beside where it is stopped as a rule: at its ends and in its middle."""
    wide = end - start
    at = start + (0.27 if wide >= _ROOMY / 2 else 0.5) * wide
    return text(
        at,
        top + 16.5,
        f"{told.height(section.thickness)} {told.name}",
        "" if wide >= _ROOMY else "small",
        "middle",
    )


def _slab(start: float, end: float, top: float) -> str:
    place = f'x="{number(start)}" y="{number(top)}" width="{number(end - start)}" height="{number(_BAND)}"'
    return f'<rect class="slab" {place}/>'


def _level(kind: str, start: float, end: float, y: float) -> str:
    return f'<line class="{kind}" x1="{number(start)}" y1="{number(y)}" x2="{number(end)}" y2="{number(y)}"/>'
