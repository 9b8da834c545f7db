"""The measured surface on a grid that hides no ridge. In: the wood as it lies. Out: heights at the nodes.

Work frame, mm. Promise: nowhere in a cell does the measured surface stand over the cell's highest node by
more than a thousandth: it is bilinear between the stations, so it bends along their lines, and there we look.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.planning.wood import Place, Wood

    Floats = NDArray[np.float64]

__all__ = ["upper_heights"]

BEYOND = 20.0  # mm a station's line is followed past the outline: what stands there is read as wood, too


def upper_heights(wood: Wood, place: Place, grid_x: Floats, grid_y: Floats) -> Floats:
    """Return heights (n, m) at the nodes of an even grid: the surface, raised where a crease is higher."""
    gx, gy = np.meshgrid(grid_x, grid_y, indexing="ij")
    heights = wood.top_heights(place, np.column_stack([gx.ravel(), gy.ravel()])).reshape(gx.shape)
    if place.up in wood.faced:
        return heights
    cells = np.full((len(grid_x) - 1, len(grid_y) - 1), -np.inf)
    step = float(min(grid_x[1] - grid_x[0], grid_y[1] - grid_y[0])) / 2
    for line in _station_lines(wood, step):
        _raise_cells(cells, grid_x, grid_y, _as_it_lies(wood, place, line))
    corners = np.stack([heights[:-1, :-1], heights[1:, :-1], heights[:-1, 1:], heights[1:, 1:]])
    i, j = np.nonzero(cells > corners.max(axis=0))
    highest = corners[:, i, j].argmax(axis=0)
    np.maximum.at(heights, (i + highest % 2, j + highest // 2), cells[i, j])
    return heights


def _station_lines(wood: Wood, step: float) -> tuple[Floats, Floats]:
    """Return points (lines, points, 2) of the board's station lines, board frame, at most `step` apart."""
    board = wood.board
    low, high = board.outline.min(axis=0) - BEYOND, board.outline.max(axis=0) + BEYOND
    along = []
    for axis, stations in ((0, board.x), (1, board.y)):
        even = np.linspace(low[axis], high[axis], int(np.ceil((high[axis] - low[axis]) / step)) + 1)
        along.append(np.array(sorted({*even.tolist(), *stations.tolist()})))
    by_x = np.stack(np.meshgrid(board.x, along[1], indexing="ij"), axis=-1)
    by_y = np.stack(np.meshgrid(along[0], board.y, indexing="ij"), axis=-1).transpose(1, 0, 2)
    return by_x, by_y


def _as_it_lies(wood: Wood, place: Place, xy: Floats) -> Floats:
    """Return points (lines, points, 3) of the upper surface over `xy` (lines, points, 2), work frame."""
    read = wood.board.top_at if place.up == "A" else wood.board.bottom_at
    flat = np.ascontiguousarray(xy.reshape(-1, 2))
    points = np.column_stack([flat, read(flat), np.ones(len(flat))]) @ wood.matrix(place)[:3].T
    points[:, 2] += wood.lifted(place.up)
    return points.reshape(*xy.shape[:2], 3)


def _raise_cells(cells: Floats, grid_x: Floats, grid_y: Floats, points: Floats) -> None:
    """Raise the cells that the pieces between neighbouring points touch to the pieces' higher ends."""
    high = np.maximum(points[:, :-1, 2], points[:, 1:, 2])
    i = np.floor((points[..., 0] - grid_x[0]) / (grid_x[1] - grid_x[0])).astype(np.intp)
    j = np.floor((points[..., 1] - grid_y[0]) / (grid_y[1] - grid_y[0])).astype(np.intp)
    ends = (slice(None, -1), slice(1, None))
    # A piece is shorter than a cell: it lies in the cells of its ends and the two that make up their square.
    for a in ends:
        for b in ends:
            at_i, at_j = i[:, a], j[:, b]
            some = (at_i >= 0) & (at_i < cells.shape[0]) & (at_j >= 0) & (at_j < cells.shape[1])
            np.maximum.at(cells, (at_i[some], at_j[some]), high[some])
