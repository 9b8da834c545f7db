"""What many moves of one round cutter cover together, in cells. In: straight moves and a grid. Out: a patch.

Promise: the same cells as one call of `stadium_spans` for each move; a test compares them. What a call costs
is paid once for all moves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen
from stockwright.proving.sweep import HAIR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.proving.sweep import Grid

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]
    Mask = NDArray[np.bool_]

__all__ = ["Patch", "cover"]


FEW = 32  # cells of the box for each span: measured, from here on filling spans one by one is quicker


@frozen(eq=False)
class Patch:
    """Cells of a grid: `mask` (rows, columns), its low corner at row `first`, column `left`."""

    first: int
    left: int
    mask: Mask

    @property
    def part(self) -> tuple[slice, slice]:
        """Where it lies in a field of the grid."""
        rows, columns = self.mask.shape
        return slice(self.first, self.first + rows), slice(self.left, self.left + columns)


def cover(grid: Grid, a: Floats, b: Floats, radius: Floats | float, *, inside: bool) -> Patch | None:
    """Cells wholly inside, or touched by, any of the stadiums a-b (n, 2); None where there is no cell."""
    row, low, high = _spans_of(grid, a, b, radius, inside=inside)
    if len(row) == 0:
        return None
    first, left = int(row.min()), int(low.min())
    rows, columns = int(row.max()) - first + 1, int(high.max()) - left
    if FEW * len(row) < rows * columns:  # few and long: each is a slice
        mask: Mask = np.zeros((rows, columns), dtype=np.bool_)
        for k, begin, end in zip(
            (row - first).tolist(), (low - left).tolist(), (high - left).tolist(), strict=True
        ):
            mask[k, begin:end] = True
        return Patch(first, left, mask)
    at, size = (row - first) * (columns + 1), rows * (columns + 1)
    steps = np.bincount(at + low - left, minlength=size) - np.bincount(at + high - left, minlength=size)
    depth = steps.astype(np.int32).reshape(rows, columns + 1)
    np.cumsum(depth, axis=1, out=depth)
    return Patch(first, left, depth[:, :-1] > 0)


def _spans_of(
    grid: Grid, a: Floats, b: Floats, radius: Floats | float, *, inside: bool
) -> tuple[Ints, Ints, Ints]:
    """Give (row, first column, column after the last) of every span of every move that holds a cell."""
    radius = np.broadcast_to(np.asarray(radius, dtype=np.float64), (len(a),))
    kept = radius > 0
    along = (a == b).any(axis=1)
    found = [
        _spans(grid, a[k], b[k], radius[k], inside=inside, along=shape)
        for shape, k in ((True, kept & along), (False, kept & ~along))
        if k.any()
    ]
    if not found:
        none = np.empty(0, dtype=np.intp)
        return none, none, none
    row, low, high = (np.concatenate(columns) for columns in zip(*found, strict=True))
    return row, low, high


def _spans(
    grid: Grid, a: Floats, b: Floats, radius: Floats, *, inside: bool, along: bool
) -> tuple[Ints, Ints, Ints]:
    low_y = np.minimum(a[:, 1], b[:, 1]) - radius
    high_y = np.maximum(a[:, 1], b[:, 1]) + radius
    first = np.maximum(0, np.floor((low_y - grid.y0) / grid.cell)).astype(np.intp)
    last = np.minimum(grid.rows, np.ceil((high_y - grid.y0) / grid.cell)).astype(np.intp)
    count = np.where(first < last, last - first + 1, 0)  # the rows' edges: one more than the rows
    if not count.any():
        none = np.empty(0, dtype=np.intp)
        return none, none, none
    move = np.repeat(np.arange(len(a)), count)
    begin = np.cumsum(count) - count
    at = np.arange(len(move)) + np.repeat(first - begin, count)
    y = grid.y0 + at * grid.cell
    left, right = (_along if along else _slanting)(y, a, b, radius, count)
    # Each row lies between two edges of one move.
    edge = np.flatnonzero(at < np.repeat(last, count))
    row = at[edge]
    if inside:
        x_low = np.maximum(left[edge], left[edge + 1])
        x_high = np.minimum(right[edge], right[edge + 1])
        full = x_low < x_high
    else:
        x_low = np.fmin(left[edge], left[edge + 1])
        x_high = np.fmax(right[edge], right[edge + 1])
        _reach(x_low, x_high, y[edge], y[edge + 1], move[edge], _extremes(a, b, radius))
        full = x_low <= x_high
    row, x_low, x_high = row[full], x_low[full], x_high[full]
    out, back = (np.ceil, np.floor) if inside else (np.floor, np.ceil)
    hair = -HAIR if inside else HAIR
    low = np.clip(out((x_low - grid.x0) / grid.cell + hair), 0, grid.columns).astype(np.intp)
    high = np.clip(back((x_high - grid.x0) / grid.cell - hair), 0, grid.columns).astype(np.intp)
    full = low < high
    return row[full], low[full], high[full]


def _along(y: Floats, a: Floats, b: Floats, radius: Floats, count: Ints) -> tuple[Floats, Floats]:
    """Left and right x at heights y of stadiums along an axis; NaN where they are not. `count`: y a move."""
    low, high = np.minimum(a, b), np.maximum(a, b)
    off = np.maximum(np.repeat(low[:, 1], count) - y, y - np.repeat(high[:, 1], count))
    half = _half(np.repeat(radius, count), np.maximum(0.0, off, out=off))
    return np.repeat(low[:, 0], count) - half, np.repeat(high[:, 0], count) + half


def _slanting(y: Floats, a: Floats, b: Floats, radius: Floats, count: Ints) -> tuple[Floats, Floats]:
    """Do as `_along` for moves that go along neither axis."""
    r = np.repeat(radius, count)
    length = np.hypot(b[:, 0] - a[:, 0], b[:, 1] - a[:, 1])
    normal = np.column_stack([-(b[:, 1] - a[:, 1]) / length * radius, (b[:, 0] - a[:, 0]) / length * radius])
    x = np.repeat(a[:, 0], count)
    half = _half(r, y - np.repeat(a[:, 1], count))
    left, right = x - half, x + half
    x = np.repeat(b[:, 0], count)
    half = _half(r, y - np.repeat(b[:, 1], count))
    np.fmin(left, x - half, out=left)
    np.fmax(right, x + half, out=right)
    run = (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    for side in (normal, -normal):
        p, q = a + side, b + side
        x = (y - np.repeat(p[:, 1], count)) * np.repeat(run, count) + np.repeat(p[:, 0], count)
        low, high = np.minimum(p[:, 1], q[:, 1]), np.maximum(p[:, 1], q[:, 1])
        x[(y < np.repeat(low, count)) | (y > np.repeat(high, count))] = np.nan
        np.fmin(left, x, out=left)
        np.fmax(right, x, out=right)
    return left, right


def _half(radius: Floats, off: Floats) -> Floats:
    square = radius * radius - off * off
    # A corner that lies on the rim to within floating point is inside.
    square[square < -HAIR] = np.nan
    np.maximum(square, 0.0, out=square)
    return np.sqrt(square, out=square)


def _extremes(a: Floats, b: Floats, radius: Floats) -> list[Floats]:
    """Give the leftmost and the rightmost point (n, 2) of each move, as `sweep._extremes` does."""
    west = np.where((a[:, 0] <= b[:, 0])[:, None], a, b)
    east = np.where((a[:, 0] <= b[:, 0])[:, None], b, a)
    sideways = np.column_stack([radius, np.zeros(len(a))])
    return [west - sideways, east + sideways]


def _reach(
    x_low: Floats, x_high: Floats, y_low: Floats, y_high: Floats, move: Ints, points: list[Floats]
) -> None:
    """Widen spans, in place, by the extreme points that lie in their rows."""
    for point in points:
        y = point[move, 1]
        here = np.flatnonzero((y >= y_low) & (y <= y_high))
        x = point[move[here], 0]
        x_low[here] = np.fmin(x_low[here], x)
        x_high[here] = np.fmax(x_high[here], x)
