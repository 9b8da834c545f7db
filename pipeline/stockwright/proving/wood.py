"""A board in cells, carried through every setup. In: the measured board and swept moves. Out: what stands.

Promise: two fields for each side. `hi` is wood that may stand, lowered only where a whole cell was swept;
`lo` is wood that is surely there, lowered where any part was touched. Spots left standing are judged on `hi`,
cuts that are too deep on `lo`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.proving.measured import cell_heights
from stockwright.proving.outlines import area_of
from stockwright.proving.sweep import Grid, fill, patch_mask, polygon_cells, stadium_spans

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import MeasuredBoard
    from stockwright.proving.frames import Lay

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["CELL", "PAD", "Wood", "cell_for", "plank", "rings", "slab"]

CELL = 1.0  # mm
MOST_CELLS = 4_000_000  # four fields of 8 bytes: 128 MB
PAD = 3  # cells beyond the outline, so that a swept rim stays on the grid
DROP = 0.05  # mm a sloped move falls within one piece of it


@dataclass(eq=False)
class Wood:
    """One board's wood in its grid frame; it changes as it is cut.

    `hi`, `lo`: side (+1 face A, -1 face B) -> (rows, columns) heights counted outwards, -inf where there
    is none. `may`, `sure`: its outline seen along z, as large and as small as it may be. `sides` are the
    names of what lies at the low and the high end of y.
    """

    name: str | None
    grid: Grid
    hi: dict[int, Floats]
    lo: dict[int, Floats]
    may: BaseGeometry
    sure: BaseGeometry
    to_grid: Floats
    sides: tuple[str, str] = ("edge-1", "edge-2")

    def warp(self, up: int, moved: float) -> None:
        """Let both faces have warped by `moved` mm since they were cut, the side `up` now uppermost.

        What lies underneath touches the support with its lowest places, so it stands nowhere farther out; in
        between it may stand as much farther in, and all that is above it as much higher.
        """
        self.hi[up] = np.where(self.stands(), self.hi[up] + moved, self.hi[up])
        self.lo[up] -= moved
        self.lo[-up] -= moved

    def known(self) -> Mask:
        """Say of which cells both faces surely stand somewhere.

        Whether a slanting rim crosses a cell's corner is told by points along it, so that a cell just inside
        an outline drawn anew may count as crossed by the first: of such a cell nothing is known.
        """
        return np.asarray(np.isfinite(self.lo[1]) & np.isfinite(self.lo[-1]), dtype=np.bool_)

    def stands(self) -> Mask:
        """Cells where wood may stand, (rows, columns)."""
        found: Mask = self.hi[1] + self.hi[-1] > 0
        return found

    def top(self, lay: Lay) -> float:
        """Give the highest work z at which wood may stand, -inf without any."""
        return self._outermost(lay, lay.side, self.hi)

    def bottom(self, lay: Lay, *, sure: bool) -> float:
        """Give the lowest work z of wood, or with `sure` the highest place of its underside."""
        standing = self.stands()
        if sure:
            standing &= self.lo[1] + self.lo[-1] > 0
        if not standing.any():
            return np.inf
        field = (self.lo if sure else self.hi)[-lay.side]
        if lay.flat:
            edge = _least(field, standing) if sure else _greatest(field, standing)
            return float(lay.work_z(-edge, 0.0, 0.0)) + (lay.wobble if sure else -lay.wobble)
        x, y = self.grid.centres()
        z = np.asarray(lay.work_z(-field, x[None, :], y[:, None]))
        return _greatest(z, standing) + lay.wobble if sure else _least(z, standing) - lay.wobble

    def _outermost(self, lay: Lay, side: int, fields: dict[int, Floats]) -> float:
        standing = self.stands()
        if not standing.any():
            return -np.inf
        if lay.flat:
            return float(lay.work_z(_greatest(fields[side], standing), 0.0, 0.0)) + lay.wobble
        x, y = self.grid.centres()
        z = np.asarray(lay.work_z(fields[side], x[None, :], y[:, None]))
        return _greatest(z, standing) + lay.slope * self.grid.cell

    def cut(self, lay: Lay, a: Floats, b: Floats, radius: float, slack: float, corner: float = 0.0) -> None:
        """Sweep a cutter's tip from a to b (3,), work frame; `slack`: how far the true path may stand off.

        What its `corner`s, round over so many mm, leave is not counted as cut, but as what may be cut.
        """
        drop = abs(float(a[2] - b[2]))
        run = float(np.hypot(a[0] - b[0], a[1] - b[1]))
        pieces = 1
        if drop > 0 and run > 0:
            pieces = max(1, min(int(np.ceil(drop / DROP)), int(np.ceil(2 * run / self.grid.cell))))
        slack += lay.slope * max(0.0, self.top(lay) - min(a[2], b[2])) if lay.slope else 0.0
        for k in range(pieces):
            p = a + (b - a) * (k / pieces)
            q = a + (b - a) * ((k + 1) / pieces)
            if run == 0:  # straight down: everything above the lower end
                p = q = p if p[2] < q[2] else q
            self._cut_level(lay, p, q, radius, slack, corner)

    def _cut_level(self, lay: Lay, p: Floats, q: Floats, radius: float, slack: float, corner: float) -> None:
        a2, b2 = self._flat_points(lay, p), self._flat_points(lay, q)
        high, low = max(p[2], q[2]), min(p[2], q[2])
        side = lay.side
        # Its flat down to the tip; all of it only above its corners.
        surely = [(stadium_spans(self.grid, a2, b2, radius - corner - slack, inside=True), high)]
        if corner > 0:
            surely.append((stadium_spans(self.grid, a2, b2, radius - slack, inside=True), high + corner))
        touched = stadium_spans(self.grid, a2, b2, radius + slack, inside=False)
        if lay.flat:
            for within, down_to in surely:
                fill(self.hi[side], within, float(lay.height(down_to, 0.0, 0.0)) + lay.wobble)
            fill(self.lo[side], touched, float(lay.height(low, 0.0, 0.0)) - lay.wobble)
            return
        tilt = lay.slope * self.grid.cell  # a plane over a cell stands off its centre by less than this
        sure = [(self.hi, within, down_to, tilt) for within, down_to in surely]
        for field, spans, z, off in (*sure, (self.lo, touched, low, -tilt)):
            if len(spans) == 0 or int(spans.high.max()) <= int(spans.low.min()):
                continue
            first, left, right = spans.first, int(spans.low.min()), int(spans.high.max())
            x, y = self._centres(first, first + len(spans), left, right)
            plane = np.asarray(lay.height(z, x[None, :], y[:, None])) + off
            patch = field[side][first : first + len(spans), left:right]
            np.minimum(patch, plane, out=patch, where=patch_mask(spans, left, right))

    @staticmethod
    def _flat_points(lay: Lay, point: Floats) -> tuple[float, float]:
        m = lay.to_grid
        return (
            float(m[0, 0] * point[0] + m[0, 1] * point[1] + m[0, 2] * point[2] + m[0, 3]),
            float(m[1, 0] * point[0] + m[1, 1] * point[1] + m[1, 2] * point[2] + m[1, 3]),
        )

    def _centres(self, first: int, last: int, left: int, right: int) -> tuple[Floats, Floats]:
        x: Floats = self.grid.x0 + (np.arange(left, right, dtype=np.float64) + 0.5) * self.grid.cell
        y: Floats = self.grid.y0 + (np.arange(first, last, dtype=np.float64) + 0.5) * self.grid.cell
        return x, y

    def above(self, lay: Lay, a: Floats, b: Floats, radius: float, z: float, tolerance: float) -> Floats:
        """Find cells that a disc moving from a to b touches and where wood may stand above work z.

        Gives their (n, 3): grid x, grid y of the cell's centre and the work z of the wood.
        """
        slack = lay.slope * max(0.0, self.top(lay) - z) if lay.slope else 0.0
        spans = stadium_spans(
            self.grid, self._flat_points(lay, a), self._flat_points(lay, b), radius + slack, inside=False
        )
        if len(spans) == 0 or int(spans.high.max()) <= int(spans.low.min()):
            return np.empty((0, 3))
        left, right = int(spans.low.min()), int(spans.high.max())
        mask = patch_mask(spans, left, right)
        return self._standing(lay, spans.first, left, mask, z, tolerance)

    def above_box(
        self, lay: Lay, low: Floats, high: Floats, radius: float, z: float, tolerance: float
    ) -> Floats:
        """Do as `above` for a disc anywhere in the box low..high (work x, y)."""
        x, y = self.grid.centres()
        at = self.to_work_xy(lay, *np.meshgrid(x, y), z)
        reach = radius + self.grid.cell + lay.slope * max(0.0, self.top(lay) - z)
        mask: Mask = np.logical_and.reduce(
            [(at[..., k] >= low[k] - reach) & (at[..., k] <= high[k] + reach) for k in (0, 1)]
        )
        return self._standing(lay, 0, 0, mask, z, tolerance)

    def thicker(
        self, lay: Lay, a: Floats, b: Floats, radius: float, z: float, depth: float, block: int
    ) -> tuple[float, float, float] | None:
        """Find where a cut from a to b, tip at work z, would take more than `depth` at once.

        Only whole cells of the swept area count, in squares of `block` by `block` of them: a strip so narrow
        that no square fits is passed over. Gives work x, y and the z of the wood's top, the thickest place.
        """
        spans = stadium_spans(
            self.grid, self._flat_points(lay, a), self._flat_points(lay, b), radius, inside=True
        )
        if len(spans) == 0 or int(spans.high.max()) <= int(spans.low.min()):
            return None
        first, left, right = spans.first, int(spans.low.min()), int(spans.high.max())
        part = (slice(first, first + len(spans)), slice(left, right))
        x, y = self._centres(first, first + len(spans), left, right)
        upper = self.hi[lay.side][part]
        plane = np.asarray(lay.height(z + depth, x[None, :], y[:, None]))
        thick = upper > plane
        if not thick.any():  # nearly always, and then the rest is not worth doing
            return None
        thick &= patch_mask(spans, left, right)
        if not thick.any():
            return None
        thick &= upper + self.hi[-lay.side][part] > 0
        square = thick
        for _ in range(block - 1):
            square = square[1:, :] & square[:-1, :]
        for _ in range(block - 1):
            square = square[:, 1:] & square[:, :-1]
        if not square.any():
            return None
        row, column = np.unravel_index(int(np.where(thick, upper - plane, -np.inf).argmax()), thick.shape)
        top = float(np.asarray(lay.work_z(upper[row, column], x[column], y[row])))
        at = self.to_work_xy(lay, x[column], y[row], z)
        return float(at[0]), float(at[1]), top

    @staticmethod
    def to_work_xy(lay: Lay, x: Floats, y: Floats, z: float) -> Floats:
        """Give the work x, y, (..., 2), of grid points whose work z is z."""
        m = lay.to_work
        height = np.asarray(lay.height(z, x, y)) * lay.side
        return np.stack([m[k, 0] * x + m[k, 1] * y + m[k, 2] * height + m[k, 3] for k in (0, 1)], axis=-1)

    def _standing(self, lay: Lay, first: int, left: int, mask: Mask, z: float, tolerance: float) -> Floats:
        rows, columns = mask.shape
        part = (slice(first, first + rows), slice(left, left + columns))
        x, y = self._centres(first, first + rows, left, left + columns)
        height = np.asarray(lay.height(z, x[None, :], y[:, None])) + tolerance - lay.wobble
        upper = self.hi[lay.side][part]
        found = mask & (upper > height) & (upper + self.hi[-lay.side][part] > 0)
        row, column = np.nonzero(found)
        tops = np.asarray(lay.work_z(upper[row, column], x[column], y[row]))
        return np.column_stack([x[column], y[row], tops]) if len(row) else np.empty((0, 3))


def _greatest(field: Floats, where: Mask) -> float:
    """Give the greatest value of a part of a field, without a copy of it."""
    return float(np.max(field, where=where, initial=-np.inf))


def _least(field: Floats, where: Mask) -> float:
    return float(np.min(field, where=where, initial=np.inf))


def cell_for(width: float, height: float) -> float:
    """Choose a cell: 1 mm, or the whole millimetres that keep a large board within memory."""
    cell = CELL
    while (width / cell + 2 * PAD) * (height / cell + 2 * PAD) > MOST_CELLS:
        cell += CELL
    return cell


def rings(geometry: BaseGeometry) -> list[Floats]:
    """Give every ring of a polygon or several, open, each (n, 2)."""
    found: list[Floats] = []
    for part in shapely.get_parts(geometry):
        if part.geom_type == "Polygon":
            found += [np.asarray(ring.coords)[:-1] for ring in (part.exterior, *part.interiors)]
    return found


def plank(name: str, board: MeasuredBoard, to_grid: Floats) -> Wood:
    """Build the wood of a measured board; `to_grid` (4, 4) from the board frame."""
    outline = area_of(board.outline, board.holes)
    top, bottom = np.array(board.top), np.array(board.bottom)
    low, high = float(bottom.min()), float(top.max())
    # The outline is upright in the board frame; in the grid frame it leans, and its shadow moves with height.
    at_low, at_high = (_shifted(outline, to_grid, z) for z in (low, high))
    lean = float(np.hypot(to_grid[0, 2], to_grid[1, 2]) * (high - low) / 2)
    middle = _shifted(outline, to_grid, (low + high) / 2)
    may = middle.buffer(lean, join_style="mitre").union(at_low).union(at_high) if lean > 0 else middle
    sure = middle.buffer(-lean, join_style="mitre") if lean > 0 else middle
    x0, y0, x1, y1 = may.bounds
    cell = cell_for(x1 - x0, y1 - y0)
    grid = Grid(
        x0 - PAD * cell,
        y0 - PAD * cell,
        cell,
        int(np.ceil((y1 - y0) / cell)) + 2 * PAD,
        int(np.ceil((x1 - x0) / cell)) + 2 * PAD,
    )
    within, _ = polygon_cells(grid, rings(sure))
    _, touched = polygon_cells(grid, rings(may))
    hi: dict[int, Floats] = {}
    lo: dict[int, Floats] = {}
    for side, heights in ((1, top), (-1, bottom)):
        high_at, low_at, bend = cell_heights(board, heights, side, to_grid, grid)
        high_at += bend + board.uncertainty
        low_at -= bend
        high_at[~touched] = low_at[~within] = -np.inf
        hi[side], lo[side] = high_at, low_at
    return Wood(name, grid, hi, lo, may, sure, to_grid)


def slab(outline: BaseGeometry, top: float, bottom: float) -> Wood:
    """Build wood that is level from the start, such as the bed's own, in the work frame."""
    x0, y0, x1, y1 = outline.bounds
    cell = cell_for(x1 - x0, y1 - y0)
    size = (int(np.ceil((y1 - y0) / cell)) + 2 * PAD, int(np.ceil((x1 - x0) / cell)) + 2 * PAD)
    grid = Grid(x0 - PAD * cell, y0 - PAD * cell, cell, *size)
    within, touched = polygon_cells(grid, rings(outline))
    hi = {1: np.where(touched, top, -np.inf), -1: np.where(touched, -bottom, -np.inf)}
    lo = {1: np.where(within, top, -np.inf), -1: np.where(within, -bottom, -np.inf)}
    return Wood(None, grid, hi, lo, outline, outline, np.eye(4))


def _shifted(outline: BaseGeometry, matrix: Floats, z: float) -> BaseGeometry:
    """Move an outline at height z by a matrix, seen along z."""

    def move(points: Floats) -> Floats:
        return points @ matrix[:2, :2].T + (matrix[:2, 2] * z + matrix[:2, 3])

    moved: BaseGeometry = shapely.transform(outline, move)
    return moved
