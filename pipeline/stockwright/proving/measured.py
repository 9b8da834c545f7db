"""A measured board on the cells of a grid. In: its readings. Out: highest and lowest at each cell's corners.

Promise: nothing between a cell's corners is assumed away: how far readings may bend there comes with them.
Computed in bands of rows, so that it needs no more memory than the result.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.packet.model import MeasuredBoard
    from stockwright.proving.sweep import Grid

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]

__all__ = ["cell_heights"]

BAND = 50_000  # corners: what a processor keeps near at hand
FEW = 16  # stations: up to here counting the passed ones is quicker than searching
STEPS = 3  # of the fixed point: each is out by the last one times the product of two slopes, far below 0.001


def cell_heights(
    board: MeasuredBoard, heights: Floats, side: int, to_grid: Floats, grid: Grid
) -> tuple[Floats, Floats, float]:
    """Give the greatest and the least height, outwards on a side, at each cell's corners, and the bend.

    Both (rows, columns) mm; between the corners the surface stands off them by no more than the bend.
    """
    high = np.empty((grid.rows, grid.columns))
    low = np.empty((grid.rows, grid.columns))
    surface = _Surface(board, heights, to_grid)
    x: Floats = grid.x0 + np.arange(grid.columns + 1, dtype=np.float64) * grid.cell
    y: Floats = grid.y0 + np.arange(grid.rows + 1, dtype=np.float64) * grid.cell
    steep = 0.0
    band = max(1, BAND // (grid.columns + 1))
    for first in range(0, grid.rows, band):
        last = min(grid.rows, first + band)
        at = side * surface.heights(x[None, :], y[first : last + 1, None])
        for pick, found in ((np.maximum, high), (np.minimum, low)):
            pairs = pick(at[:-1], at[1:])
            pick(pairs[:, :-1], pairs[:, 1:], out=found[first:last])
        for axis in (0, 1):
            steep = max(steep, float(np.abs(np.diff(at, axis=axis)).max()))
    # Between a cell's corners the readings may bend once; half a cell at the steepest slope bounds it.
    bends = len(board.x) > 1 or len(board.y) > 1
    return high, low, steep / 2 if bends else 0.0


class _Surface:
    """One face's readings, asked for heights in the grid frame."""

    def __init__(self, board: MeasuredBoard, heights: Floats, to_grid: Floats) -> None:
        self.back = np.linalg.inv(to_grid)
        self.x, self.y = np.array(board.x), np.array(board.y)
        self.read = heights
        self.mean = float(heights.mean())

    def heights(self, x: Floats, y: Floats) -> Floats:
        """Give the grid heights at x (1, n), y (m, 1): (m, n)."""
        back = self.back
        z: Floats | float = self.mean
        along, across = back[0, 0] * x + back[0, 1] * y, back[1, 0] * x + back[1, 1] * y
        for _ in range(STEPS):
            bx = along + back[0, 2] * z + back[0, 3]
            by = across + back[1, 2] * z + back[1, 3]
            z = self._bilinear(bx, by)
            z -= back[2, 0] * x
            z -= back[2, 1] * y
            z -= back[2, 3]
            z /= back[2, 2]
        assert isinstance(z, np.ndarray)
        return z

    def _bilinear(self, x: Floats, y: Floats) -> Floats:
        """Read the grid of heights at x, y, clamped beyond it."""
        i, u = _station(self.x, x)
        j, v = _station(self.y, y)
        flat, width = self.read.ravel(), self.read.shape[1]
        corner = i * width
        corner += j
        right = width if len(self.x) > 1 else 0
        up = 1 if len(self.y) > 1 else 0
        near: Floats = flat.take(corner)
        far: Floats = flat[up:].take(corner)
        far -= near
        far *= v
        near += far
        corner += right
        far = flat.take(corner)
        beyond = flat[up:].take(corner)
        beyond -= far
        beyond *= v
        far += beyond
        far -= near
        far *= u
        near += far
        return near


def _station(stations: Floats, at: Floats) -> tuple[Ints, Floats]:
    """Give the station before each place, and how far on to the next one it is, 0 to 1."""
    if len(stations) == 1:
        return np.zeros(at.shape, dtype=np.intp), np.zeros(at.shape)
    if len(stations) <= FEW:
        index = np.zeros(at.shape, dtype=np.intp)
        for passed in stations[1:-1].tolist():
            index += at > passed
    else:
        index = np.clip(np.searchsorted(stations, at) - 1, 0, len(stations) - 2)
    part: Floats = at - stations.take(index)
    part /= np.diff(stations).take(index)
    np.clip(part, 0.0, 1.0, out=part)
    return index, part
