"""What a round cutter covers, in cells. In: straight moves and a grid. Out: spans of cells for each row.

Promise: *inside* holds only cells that lie wholly in the swept area, *touched* every cell that it enters; the
centre of a cell never decides. A swept area here is a stadium: all points within a radius of a segment.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]
    Mask = NDArray[np.bool_]

__all__ = ["HAIR", "Grid", "Spans", "fill", "patch_mask", "polygon_cells", "stadium_spans"]

HAIR = 1e-9  # of a cell: what floating point may be out by


@frozen
class Grid:
    """Square cells: row j spans y0 + j*cell .. y0 + (j+1)*cell, columns likewise along x; mm."""

    x0: float
    y0: float
    cell: float
    rows: int
    columns: int

    def centres(self) -> tuple[Floats, Floats]:
        """Give the x of the columns (columns,) and the y of the rows (rows,)."""
        x: Floats = self.x0 + (np.arange(self.columns, dtype=np.float64) + 0.5) * self.cell
        y: Floats = self.y0 + (np.arange(self.rows, dtype=np.float64) + 0.5) * self.cell
        return x, y


@frozen(eq=False)
class Spans:
    """Columns `low` (n,) up to but without `high` (n,), in rows `first`, `first` + 1, ..."""

    first: int
    low: Ints
    high: Ints

    def __len__(self) -> int:
        """Count the rows."""
        return len(self.low)


def stadium_spans(
    grid: Grid, a: tuple[float, float], b: tuple[float, float], radius: float, *, inside: bool
) -> Spans:
    """Cells wholly inside, or touched by, the area within `radius` of the segment a-b."""
    none = Spans(0, np.empty(0, dtype=np.intp), np.empty(0, dtype=np.intp))
    if radius <= 0:
        return none
    low_y, high_y = min(a[1], b[1]) - radius, max(a[1], b[1]) + radius
    first = max(0, math.floor((low_y - grid.y0) / grid.cell))
    last = min(grid.rows, math.ceil((high_y - grid.y0) / grid.cell))
    if first >= last:
        return none
    edges: Floats = grid.y0 + np.arange(first, last + 1, dtype=np.float64) * grid.cell
    left, right = _crossings(edges, a, b, radius)
    if inside:
        with np.errstate(invalid="ignore"):
            x_low = np.maximum(left[:-1], left[1:])
            x_high = np.minimum(right[:-1], right[1:])
        empty = ~(x_low < x_high)
        low = np.ceil((np.where(empty, 0.0, x_low) - grid.x0) / grid.cell - HAIR)
        high = np.floor((np.where(empty, 0.0, x_high) - grid.x0) / grid.cell + HAIR)
    else:
        x_low = np.fmin(left[:-1], left[1:])
        x_high = np.fmax(right[:-1], right[1:])
        points = np.array(_extremes(a, b, radius))
        here = (points[:, 1, None] >= edges[:-1]) & (points[:, 1, None] <= edges[1:])
        at = np.where(here, points[:, 0, None], np.nan)
        x_low = np.fmin(x_low, np.fmin.reduce(at, axis=0))
        x_high = np.fmax(x_high, np.fmax.reduce(at, axis=0))
        empty = ~(x_low <= x_high)
        low = np.floor((np.where(empty, 0.0, x_low) - grid.x0) / grid.cell + HAIR)
        high = np.ceil((np.where(empty, 0.0, x_high) - grid.x0) / grid.cell - HAIR)
    low = np.minimum(np.maximum(low, 0), grid.columns).astype(np.intp)
    high = np.where(empty, 0, np.minimum(np.maximum(high, 0), grid.columns)).astype(np.intp)
    return Spans(first, low, np.maximum(low, high))


def _crossings(
    y: Floats, a: tuple[float, float], b: tuple[float, float], radius: float
) -> tuple[Floats, Floats]:
    """Left and right x of the stadium at heights y; NaN where it is not there."""
    if a[0] == b[0] or a[1] == b[1]:  # along an axis, as nearly every pass: one bulge at each end
        off = np.maximum(0.0, np.maximum(min(a[1], b[1]) - y, y - max(a[1], b[1])))
        square = radius * radius - off * off
        # A corner that lies on the rim to within floating point is inside.
        half = np.sqrt(np.where(square >= -HAIR, np.maximum(square, 0.0), np.nan))
        return min(a[0], b[0]) - half, max(a[0], b[0]) + half
    lefts: list[Floats] = []
    rights: list[Floats] = []
    for x, y0 in (a, b):
        square = radius * radius - (y - y0) ** 2
        half = np.sqrt(np.where(square >= -HAIR, np.maximum(square, 0.0), np.nan))
        lefts.append(x - half)
        rights.append(x + half)
    length = float(np.hypot(b[0] - a[0], b[1] - a[1]))
    if length > 0:
        nx, ny = -(b[1] - a[1]) / length * radius, (b[0] - a[0]) / length * radius
        corners = (
            (a[0] + nx, a[1] + ny),
            (b[0] + nx, b[1] + ny),
            (b[0] - nx, b[1] - ny),
            (a[0] - nx, a[1] - ny),
        )
        for k in range(4):
            (x0, y0), (x1, y1) = corners[k], corners[(k + 1) % 4]
            if y0 == y1:
                continue  # its ends are the ends of its neighbours
            t = (y - y0) / (y1 - y0)
            side: Floats = np.where((t >= 0) & (t <= 1), x0 + t * (x1 - x0), np.nan)
            lefts.append(side)
            rights.append(side)
    left, right = lefts[0], rights[0]
    for more in lefts[1:]:
        left = np.fmin(left, more)
    for more in rights[1:]:
        right = np.fmax(right, more)
    return left, right


def _extremes(
    a: tuple[float, float], b: tuple[float, float], radius: float
) -> tuple[tuple[float, float], ...]:
    """Give the leftmost and the rightmost point of the stadium.

    They may lie between the edges of a row. So may the lowest and the highest, but the row's other edge, or
    these two where none crosses the stadium, spans what is over and under them.
    """
    west, east = (a, b) if a[0] <= b[0] else (b, a)
    return (west[0] - radius, west[1]), (east[0] + radius, east[1])


def fill(field: Floats, spans: Spans, value: float) -> None:
    """Lower `field` (rows, columns) to `value` in the spans, in place."""
    if len(spans) == 0:
        return
    low, high = int(spans.low.min()), int(spans.high.max())
    if high <= low:
        return
    if high - low > 48:  # a long span is a slice, a small patch a mask; measured to break even about here
        for k in range(len(spans)):
            row = field[spans.first + k, spans.low[k] : spans.high[k]]
            np.minimum(row, value, out=row)
        return
    patch = field[spans.first : spans.first + len(spans), low:high]
    np.minimum(patch, value, out=patch, where=patch_mask(spans, low, high))


def patch_mask(spans: Spans, low: int, high: int) -> Mask:
    """Give the spans as a mask over columns low..high, (rows, high - low)."""
    columns = np.arange(low, high)
    found: Mask = (columns >= spans.low[:, None]) & (columns < spans.high[:, None])
    return found


def polygon_cells(grid: Grid, rings: list[Floats]) -> tuple[Mask, Mask]:
    """Cells (wholly inside, touched) of the area bounded by closed rings (n, 2) under the even-odd rule.

    Cautious both ways: a cell within an eighth of a cell of a ring counts as crossed by it.
    """
    crossed: Mask = np.zeros((grid.rows, grid.columns), dtype=np.bool_)
    parity: Mask = np.zeros((grid.rows, grid.columns + 1), dtype=np.bool_)
    _, rows_y = grid.centres()
    for ring in rings:
        a, b = ring, np.roll(ring, -1, axis=0)
        _mark(grid, crossed, a, b)
        for (x0, y0), (x1, y1) in zip(a, b, strict=True):
            if y0 == y1:
                continue
            rows = np.flatnonzero((rows_y >= min(y0, y1)) & (rows_y < max(y0, y1)))
            x = x0 + (rows_y[rows] - y0) * ((x1 - x0) / (y1 - y0))
            column = np.clip(np.ceil((x - grid.x0) / grid.cell - 0.5), 0, grid.columns).astype(np.intp)
            parity[rows, column] ^= True  # each row once, so each crossing counts
    np.logical_xor.accumulate(parity, axis=1, out=parity)
    centre = parity[:, :-1]
    return centre & ~crossed, centre | crossed


def _mark(grid: Grid, crossed: Mask, a: Floats, b: Floats) -> None:
    """Mark every cell that the segments a-b (n, 2) enter, and some that they pass within an eighth of."""
    step = grid.cell / 4
    eighth = grid.cell / 8 * 1.01
    for start, end in zip(a, b, strict=True):
        count = max(1, int(np.ceil(float(np.hypot(*(end - start))) / step)))
        t = np.linspace(0.0, 1.0, count + 1)
        x, y = (start[axis] + t * (end[axis] - start[axis]) for axis in (0, 1))
        columns, rows = (
            [np.floor((at + off - low) / grid.cell).astype(np.intp) for off in (-eighth, eighth)]
            for at, low in ((x, grid.x0), (y, grid.y0))
        )
        for column in columns:
            inside = (column >= 0) & (column < grid.columns)
            for row in rows:
                known = inside & (row >= 0) & (row < grid.rows)
                crossed[row[known], column[known]] = True
