"""A quick bound on how high wood stands. In: the field of a lying board. Out: a height that no wood exceeds.

Promise: never too low. Wood only gets lower while a setup runs, so an earlier look-up still holds; where it
is not low enough to decide, the field itself is looked at again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.proving.frames import Lay
    from stockwright.proving.wood import Wood

    Floats = NDArray[np.float64]

__all__ = ["Ceiling"]

THICKEST = 400.0  # mm: work heights stay within this
SIDE = 32  # cells: what a pass sweeps across is one or two tiles wide


class Ceiling:
    """The highest work z at which wood may stand, for each tile of cells. Only while nothing is raised."""

    def __init__(self, wood: Wood, lay: Lay) -> None:
        self.wood = wood
        self.lay = lay
        grid = wood.grid
        self.top: Floats = np.full((-(-grid.rows // SIDE), -(-grid.columns // SIDE)), np.inf)
        self.old = np.ones(self.top.shape, dtype=np.bool_)
        self.to_grid: list[list[float]] = lay.to_grid[:2].tolist()
        self.lean = float(np.hypot(lay.to_grid[0, 2], lay.to_grid[1, 2])) * THICKEST + grid.cell

    def below(self, low: Floats, high: Floats, z: float) -> bool:
        """Say whether no wood stands above work z anywhere in the box low..high (work x, y)."""
        part = self._tiles(low, high)
        if self.top[part].size == 0 or self.top[part].max() <= z:
            return True
        if not self.old[part].any():
            return False
        self._look(part)
        return bool(self.top[part].max() <= z)

    def cut(self, low: Floats, high: Floats) -> None:
        """Note that wood was cut in a box: it may be lower there than was looked up."""
        self.old[self._tiles(low, high)] = True

    def _tiles(self, low: Floats, high: Floats) -> tuple[slice, slice]:
        """Give the tiles that hold a box of the work frame, however the board may lean."""
        grid = self.wood.grid
        size = SIDE * grid.cell
        (x_low, y_low), (x_high, y_high) = low.tolist(), high.tolist()
        found: list[slice] = []  # in plain numbers: for a single box arrays take longer
        for (along, across, _, off), begin in zip(self.to_grid, (grid.x0, grid.y0), strict=True):
            x, y = (along * x_low, along * x_high), (across * y_low, across * y_high)
            least = min(x) + min(y) + off - begin - self.lean
            most = max(x) + max(y) + off - begin + self.lean
            found.append(slice(max(0, int(least / size)), max(0, int(most / size) + 1)))
        return found[1], found[0]

    def _look(self, part: tuple[slice, slice]) -> None:
        """Look up the tiles of a part anew."""
        grid, lay = self.wood.grid, self.lay
        rows, columns = (slice(s.start * SIDE, s.stop * SIDE) for s in part)
        field = self.wood.hi[lay.side][rows, columns]
        if field.size == 0:
            return
        field = np.stack([field[k : k + SIDE].max(axis=0) for k in range(0, len(field), SIDE)])
        field = np.maximum.reduceat(field, np.arange(0, field.shape[1], SIDE), axis=1)
        # A tilted plane over a tile is highest at a corner of it.
        centre_x, centre_y = (
            grid.x0 + (columns.start + (np.arange(field.shape[1]) + 0.5) * SIDE) * grid.cell,
            grid.y0 + (rows.start + (np.arange(field.shape[0]) + 0.5) * SIDE) * grid.cell,
        )
        top = np.asarray(lay.work_z(field, centre_x[None, :], centre_y[:, None]))
        corner = SIDE * grid.cell * lay.slope
        place = tuple(slice(s.start, s.start + n) for s, n in zip(part, field.shape, strict=True))
        self.top[place] = top + corner + lay.wobble
        self.old[place] = False
