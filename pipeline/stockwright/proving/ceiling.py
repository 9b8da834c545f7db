"""A quick bound on how high wood stands. In: a lying board's field. Out: a height that no wood is above.

Promise: never too low. Wood only ever falls while a setup runs, so what was looked up earlier still holds;
where that is not low enough, the field itself is looked at again.
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
        grid, m = self.wood.grid, self.lay.to_grid
        corners = np.array([(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])])
        at = corners @ m[:2, :2].T + m[:2, 3]
        lean = float(np.hypot(m[0, 2], m[1, 2])) * THICKEST + grid.cell
        size = SIDE * grid.cell
        x0, y0 = (at.min(axis=0) - lean - (grid.x0, grid.y0)) / size
        x1, y1 = (at.max(axis=0) + lean - (grid.x0, grid.y0)) / size
        return slice(max(0, int(y0)), max(0, int(y1) + 1)), slice(max(0, int(x0)), max(0, int(x1) + 1))

    def _look(self, part: tuple[slice, slice]) -> None:
        """Look up the tiles of a part anew."""
        grid, lay = self.wood.grid, self.lay
        rows, columns = (slice(s.start * SIDE, s.stop * SIDE) for s in part)
        field = self.wood.hi[lay.side][rows, columns]
        if field.size == 0:
            return
        for axis in (0, 1):
            field = np.maximum.reduceat(field, np.arange(0, field.shape[axis], SIDE), axis=axis)
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
