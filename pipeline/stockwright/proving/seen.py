"""What a setup leaves, handed out as plain arrays. In: a board as it lay, its programs. Out: `Seen`.

For pictures and for questions beside the verdict; nothing flows back. Promise: a block's `high` is the
highest wood that may stand in it, its `low` the lowest that surely stands; all arrays are copies.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Setup
    from stockwright.proving.contact import Lying
    from stockwright.proving.run import Run

    Floats = NDArray[np.float64]

__all__ = ["Seen", "seen"]

MOST_ALONG, MOST_ACROSS = 240, 80  # blocks: finer than that nobody sees on paper


@frozen(eq=False)
class Seen:
    """One board (None: the bed) at the end of a setup, work frame, mm.

    `x` (n + 1,), `y` (m + 1,): borders of blocks in the board's own level frame; `to_work` (4, 4) takes it to
    work; `high`, `low` (m, n): work z, NaN where there is none. `before`, `after`: the outline, as large as
    it may be. `tops`: lowest and highest work z of the upper face when the setup began; `within`: how far a
    face may stand off its goal; `sides`: what lies at the low and the high end of y.
    """

    setup: Setup
    board: str | None
    up: str
    x: Floats
    y: Floats
    to_work: Floats
    high: Floats
    low: Floats
    before: BaseGeometry
    after: BaseGeometry
    tops: tuple[float, float]
    within: float
    sides: tuple[str, str]
    runs: tuple[Run, ...]


def seen(
    setup: Setup,
    lying: Lying,
    before: BaseGeometry,
    tops: tuple[float, float],
    within: float,
    runs: tuple[Run, ...],
) -> Seen:
    """Look at a board that has been cut and judged."""
    wood, lay = lying.wood, lying.lay
    grid = wood.grid
    size = max(1, -(-grid.columns // MOST_ALONG), -(-grid.rows // MOST_ACROSS))
    if grid.rows > grid.columns:
        size = max(1, -(-grid.rows // MOST_ALONG), -(-grid.columns // MOST_ACROSS))
    standing = wood.stands()
    firm = standing & np.isfinite(wood.lo[lay.side])
    high, low = wood.hi[lay.side], wood.lo[lay.side]
    if not lay.flat:
        x, y = grid.centres()
        high, low = (np.asarray(lay.work_z(field, x[None, :], y[:, None])) for field in (high, low))
    highest = _blocks(np.where(standing, high, -np.inf), size, -np.inf).max(axis=(1, 3))
    lowest = _blocks(np.where(firm, low, np.inf), size, np.inf).min(axis=(1, 3))
    if lay.flat:  # what is highest there is highest here, and of blocks there are few
        highest, lowest = (np.asarray(lay.work_z(each, 0.0, 0.0)) for each in (highest, lowest))
    rows, columns = highest.shape
    lies = {lie.board: lie.up for lie in setup.lies}
    return Seen(
        setup=setup,
        board=wood.name,
        up=lies.get(wood.name or "", "bed"),
        x=grid.x0 + np.arange(columns + 1) * size * grid.cell,
        y=grid.y0 + np.arange(rows + 1) * size * grid.cell,
        to_work=lay.to_work.copy(),
        high=np.where(np.isfinite(highest), highest, np.nan),
        low=np.where(np.isfinite(lowest), lowest, np.nan),
        before=shapely.simplify(before, 0.01),
        after=shapely.simplify(lying.may, 0.01),
        tops=tops,
        within=within,
        sides=wood.sides,
        runs=runs,
    )


def _blocks(field: Floats, size: int, empty: float) -> Floats:
    """Cut a field (rows, columns) into (m, size, n, size), filled up with `empty`."""
    rows, columns = field.shape
    more = ((0, -rows % size), (0, -columns % size))
    padded = np.pad(field, more, constant_values=empty)
    found: Floats = padded.reshape(padded.shape[0] // size, size, padded.shape[1] // size, size)
    return found
