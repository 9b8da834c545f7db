"""A board set on its edge: the same wood seen along its width.

In: `Wood` by its faces. Out: `Wood` by its edges, and what was cut there given back. The second frame is x,
-z, y of the grid: columns run from edge-1 to edge-2, side +1 is edge-2. Promise: in both directions wood that
may stand never shrinks and wood that surely stands never grows, except where it was cut. At a rim narrower
than two cells the faces' fields say nothing; there, wood that surely stands goes on as it does just inside.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.proving.run import HAIR
from stockwright.proving.sweep import Grid, polygon_cells
from stockwright.proving.walls import swept_area
from stockwright.proving.wood import PAD, Wood, rings

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.proving.contact import Lying, Trail

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["TURN", "back_to_faces", "edge_upright", "seen_along_width"]

TURN = np.array([[1.0, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])  # grid x, y, z to x, -z, y
RIM = 2.0  # cells: as far inside an outline may the first whole cell lie
FAR = 1e4  # mm: beyond any board
SAME = 1e-9  # mm


def seen_along_width(wood: Wood) -> Wood:
    """Build the fields of a board's edges from those of its faces."""
    grid = wood.grid
    x, _ = grid.centres()
    standing = wood.stands()
    top = float(wood.hi[1][standing].max(initial=0.0))
    bottom = float(wood.hi[-1][standing].max(initial=0.0))
    rows = int(np.ceil((top + bottom) / grid.cell)) + 2 * PAD
    turned = Grid(grid.x0, -top - PAD * grid.cell, grid.cell, rows, grid.columns)
    edges_y = grid.y0 + np.arange(grid.rows + 1) * grid.cell
    far_may, far_sure = (_chords(outline, x, grid.cell, widest=w) for outline, w in _both(wood))
    shape = (rows, grid.columns)
    hi = {1: np.full(shape, -np.inf), -1: np.full(shape, -np.inf)}
    lo = {1: np.full(shape, -np.inf), -1: np.full(shape, -np.inf)}
    for k in range(rows):
        z_high = -(turned.y0 + k * grid.cell)
        z_low = z_high - grid.cell
        may = standing & (wood.hi[1] > z_low) & (-wood.hi[-1] < z_high)
        here = may.any(axis=0)
        if here.any():
            first, last = may.argmax(axis=0), grid.rows - 1 - may[::-1].argmax(axis=0)
            hi[1][k] = np.where(here, np.minimum(edges_y[last + 1], far_may[1]), -np.inf)
            hi[-1][k] = np.where(here, -np.maximum(edges_y[first], far_may[0]), -np.inf)
        sure = (wood.lo[1] >= z_high) & (-wood.lo[-1] <= z_low)
        here = sure.any(axis=0)
        if here.any():
            first = sure.argmax(axis=0)
            gap = ~sure & (np.arange(grid.rows)[:, None] >= first)
            last = np.where(gap.any(axis=0), gap.argmax(axis=0), grid.rows)  # the first run, without its end
            low, high = edges_y[first], edges_y[last]
            inner = np.where((low - far_sure[0] <= RIM * grid.cell), np.minimum(low, far_sure[0]), low)
            outer = np.where((far_sure[1] - high <= RIM * grid.cell), np.maximum(high, far_sure[1]), high)
            lo[-1][k] = np.where(here, -inner, -np.inf)
            lo[1][k] = np.where(here, outer, -np.inf)
    x0, _, x1, _ = wood.may.bounds
    return Wood(
        wood.name,
        turned,
        hi,
        lo,
        _shadow(turned, (hi[1] + hi[-1]) > 0, -top, bottom).intersection(shapely.box(x0, -FAR, x1, FAR)),
        _shadow(turned, np.isfinite(lo[1]) & np.isfinite(lo[-1]), -top, bottom),
        TURN @ wood.to_grid,
        ("face A", "face B"),
    )


def _both(wood: Wood) -> tuple[tuple[BaseGeometry, bool], tuple[BaseGeometry, bool]]:
    return (wood.may, True), (wood.sure, False)


def _chords(outline: BaseGeometry, x: Floats, cell: float, *, widest: bool) -> tuple[Floats, Floats]:
    """Give lowest and highest y of an outline over each column, (columns,): anywhere or all over."""
    left, right = x - cell / 2, x + cell / 2
    far = np.full_like(x, FAR)
    found = np.asarray(shapely.bounds(shapely.intersection(shapely.box(left, -far, right, far), outline)))
    if widest:
        return found[:, 1], found[:, 3]
    # The nearest place, from the middle out, that does not belong to it.
    middle = np.nan_to_num((found[:, 1] + found[:, 3]) / 2)
    below = shapely.difference(shapely.box(left, -far, right, middle), outline)
    above = shapely.difference(shapely.box(left, middle, right, far), outline)
    return np.asarray(shapely.bounds(below))[:, 3], np.asarray(shapely.bounds(above))[:, 1]


def _shadow(grid: Grid, there: Mask, low: float, high: float) -> BaseGeometry:
    """Give what cells cover, column by column, between the rows' bounds low..high."""
    rows = np.flatnonzero(there.any(axis=1))
    columns = np.flatnonzero(there.any(axis=0))
    if len(rows) == 0:
        return shapely.Polygon()
    first = there.argmax(axis=0)[columns]
    last = grid.rows - there[::-1].argmax(axis=0)[columns]
    bottom = np.maximum(grid.y0 + first * grid.cell, low)
    top = np.minimum(grid.y0 + last * grid.cell, high)
    return _boxes(grid, columns, bottom, top)


def _boxes(grid: Grid, columns: NDArray[np.intp], bottom: Floats, top: Floats) -> BaseGeometry:
    """Give columns from bottom to top as one area; those alike and side by side as one box."""
    breaks = np.flatnonzero(
        (np.diff(columns) != 1) | (np.abs(np.diff(bottom)) > SAME) | (np.abs(np.diff(top)) > SAME)
    )
    begin, end = np.concatenate([[0], breaks + 1]), np.concatenate([breaks, [len(columns) - 1]])
    x = grid.x0 + columns * grid.cell
    found: BaseGeometry = shapely.union_all(
        shapely.box(x[begin], bottom[begin], x[end] + grid.cell, top[begin])
    )
    return found


def edge_upright(normal: Floats) -> Floats:
    """Give the direction (3,) that runs up a planed edge, from its normal; both in the grid frame."""
    return np.array([0.0, -normal[2], normal[1]])


def back_to_faces(wood: Wood, lying: Lying, before: BaseGeometry, underside: float, trail: Trail) -> None:
    """Take from the fields of the faces what was cut with the board on its edge.

    `wood`: the board by its faces, which changes; `lying`: the same on its edge, cut; `before`: its outline
    there (work frame) when the setup began; `underside`: the highest place of what it lay on, work z.
    """
    edge = lying.wood
    grid = wood.grid
    standing = edge.stands()
    high = np.where(standing, edge.hi[1], -np.inf).max(axis=0)
    low = -np.where(standing, edge.hi[-1], -np.inf).max(axis=0)
    some: Mask = np.asarray(standing.any(axis=0), dtype=np.bool_)
    wood.may = wood.may.intersection(_strips(grid, low, high, some))
    kept = edge.may.bounds
    wood.may = wood.may.intersection(shapely.box(kept[0], -FAR, kept[2], FAR))

    known = np.isfinite(edge.lo[1]) & np.isfinite(edge.lo[-1])
    some = np.asarray(known.any(axis=0), dtype=np.bool_)
    if not some.any():
        wood.sure = shapely.Polygon()
    else:
        high = np.where(known, edge.lo[1], np.inf).min(axis=0)
        low = -np.where(known, edge.lo[-1], np.inf).min(axis=0)
        columns = np.flatnonzero(some)
        every = np.arange(grid.columns)
        right = columns[np.clip(np.searchsorted(columns, every), 0, len(columns) - 1)]
        left = columns[np.clip(np.searchsorted(columns, every, side="right") - 1, 0, len(columns) - 1)]
        nearest = np.where(np.abs(right - every) < np.abs(every - left), right, left)
        near = np.abs(nearest - every) <= RIM
        wood.sure = wood.sure.intersection(_strips(grid, low[nearest], high[nearest], near))
        for x0, x1 in _cut_through(lying, before, underside, trail):
            wood.sure = wood.sure.difference(shapely.box(x0, -FAR, x1, FAR))
    within, _ = polygon_cells(grid, rings(wood.sure))
    _, touched = polygon_cells(grid, rings(wood.may))
    for side in (1, -1):
        wood.hi[side][~touched] = -np.inf
        wood.lo[side][~within] = -np.inf


def _strips(grid: Grid, low: Floats, high: Floats, there: Mask) -> BaseGeometry:
    """Give the area between low and high (columns,) over the columns that are there."""
    columns = np.flatnonzero(there & (low < high))
    if len(columns) == 0:
        return shapely.Polygon()
    return _boxes(grid, columns, low[columns], high[columns])


def _cut_through(
    lying: Lying, before: BaseGeometry, underside: float, trail: Trail
) -> list[tuple[float, float]]:
    """Give the stretches of grid x in which a move went through the board, as wide as it may have been."""
    a, b, radius, low, _ = trail.columns()
    deep = np.flatnonzero(low <= underside + HAIR)
    if len(deep) == 0:
        return []
    areas = swept_area(a[deep], b[deep], radius[deep] + np.array(trail.slack)[deep], grown=True)
    gone = shapely.intersection(areas, before)
    m = lying.lay.to_grid
    found = []
    for part in gone:
        if not part.is_empty:
            points = shapely.get_coordinates(part)
            x = points @ m[0, :2] + m[0, 3]
            found.append((float(x.min()), float(x.max())))
    return found
