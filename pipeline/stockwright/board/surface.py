"""The rough board as measured. In: readings. Out: `Board`, two surfaces over an outline, with uncertainty.

Public:
    Board(name, outline, x, y, top, bottom, uncertainty, holes=(), notes=(), species, moisture, sawn)
        .top_at(xy (n, 2)) -> (n,), .bottom_at(xy) -> (n,)     bilinear, clamped beyond
        .bounds -> (x_low, y_low, x_high, y_high)              of the outline
        .critical_points(region=None) -> (k, 2)                where a plane bound decides for all
        .critical_parts(region=None) -> (k, 2), (n, m)         the same: on the rim, and which stations
        .mass_centre() -> (x, y)                               of the wood, thickness counted
Promise: a plane that stays clear of a surface at the critical points stays clear of it on the whole board.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Board"]


@frozen(eq=False)
class Board:
    """A measured board, board frame, mm.

    `x` (n,) and `y` (m,) are the stations, strictly rising; `top` and `bottom` are (n, m) heights at
    (x[i], y[j]), read bilinearly and clamped beyond the grid. `outline` is (k, 2), anticlockwise, not
    closed; `holes` likewise. `uncertainty` is the half width within which a height may be wrong.
    `species` (a name of the shipped table), `moisture` (%) and `sawn` say what wood it is, where that is
    known.
    """

    name: str
    outline: Floats
    x: Floats
    y: Floats
    top: Floats
    bottom: Floats
    uncertainty: float
    holes: tuple[Floats, ...] = ()
    notes: tuple[str, ...] = field(default=())
    species: str | None = None
    moisture: float | None = None
    sawn: Literal["flat", "quarter", "unknown"] = "unknown"

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """The outline's (x_low, y_low, x_high, y_high), mm."""
        low, high = self.outline.min(axis=0), self.outline.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def top_at(self, xy: Floats) -> Floats:
        """Return the heights (n,) of the upper surface (face A) at `xy` (n, 2)."""
        return self._at(self.top, xy)

    def bottom_at(self, xy: Floats) -> Floats:
        """Return the heights (n,) of the lower surface (face B) at `xy` (n, 2)."""
        return self._at(self.bottom, xy)

    def _at(self, heights: Floats, xy: Floats) -> Floats:
        points = np.atleast_2d(np.asarray(xy, dtype=float))
        i, u = _cell(self.x, points[:, 0])
        j, v = _cell(self.y, points[:, 1])
        i2, j2 = np.minimum(i + 1, len(self.x) - 1), np.minimum(j + 1, len(self.y) - 1)
        near = heights[i, j] * (1.0 - u) + heights[i2, j] * u
        far = heights[i, j2] * (1.0 - u) + heights[i2, j2] * u
        result: Floats = near * (1.0 - v) + far * v
        return result

    def critical_points(self, region: Floats | None = None) -> Floats:
        """Return the (k, 2) points at which a plane bound must hold to hold on all of `region`.

        `region` (k, 2) is a polygon, by default the outline. Inside one cell of the grid the surface less a
        plane is bilinear, so its extremes over the whole cell are at the cell's corners; beyond the grid the
        surface is constant in one direction, so there it is linear and its extremes are at the corners of
        cell and polygon, where the polygon's vertices and its crossings with the grid lines stand. So:
        the corners of every cell that the polygon touches, its vertices, its crossings.
        """
        rim, wanted = self.critical_parts(region)
        xx, yy = np.meshgrid(self.x, self.y, indexing="ij")
        points = np.vstack([rim, np.column_stack([xx[wanted], yy[wanted]])])
        points = points[np.lexsort((points[:, 1], points[:, 0]))]
        other = np.ones(len(points), dtype=bool)
        other[1:] = (points[1:] != points[:-1]).any(axis=1)
        return points[other]

    def critical_parts(self, region: Floats | None = None) -> tuple[Floats, NDArray[np.bool_]]:
        """Return the critical points in two parts: vertices and crossings (k, 2), stations (n, m)."""
        polygon = self.outline if region is None else np.asarray(region, dtype=float)
        first, last = polygon, np.roll(polygon, -1, axis=0)
        parts = [polygon]
        for axis, lines in ((0, self.x), (1, self.y)):
            p, q = first[:, axis], last[:, axis]
            with np.errstate(divide="ignore", invalid="ignore"):
                t = (lines[None, :] - p[:, None]) / (q - p)[:, None]
            edge, line = np.nonzero((t > 0.0) & (t < 1.0))
            crossing = first[edge] + t[edge, line][:, None] * (last - first)[edge]
            crossing[:, axis] = lines[line]
            parts.append(crossing)
        rim = np.vstack(parts)
        return rim, self._knots(polygon, rim)

    def _knots(self, polygon: Floats, rim: Floats) -> NDArray[np.bool_]:
        """Return the corners of the cells that `polygon` touches; `rim` are its vertices and crossings."""
        inside = _inside(polygon, self.x[:, None], self.y[None, :])
        # Every stretch of the rim between two neighbouring rim points lies in one cell: mark the cells of
        # the middles, found by sorting the rim points along each side.
        middles = _middles(polygon, rim)
        within = (
            (middles[:, 0] >= self.x[0])
            & (middles[:, 0] <= self.x[-1])
            & (middles[:, 1] >= self.y[0])
            & (middles[:, 1] <= self.y[-1])
        )
        i, _ = _cell(self.x, middles[within, 0])
        j, _ = _cell(self.y, middles[within, 1])
        wanted = inside.copy()
        for di in (0, 1):
            for dj in (0, 1):
                wanted[np.minimum(i + di, len(self.x) - 1), np.minimum(j + dj, len(self.y) - 1)] = True
        return wanted

    def mass_centre(self) -> tuple[float, float]:
        """Return (x, y) of the centre of the wood: the outline's area weighted with the thickness.

        Sampled on a 32 x 32 lattice of cell centres over the bounds: good to well under a millimetre.
        """
        x0, y0, x1, y1 = self.bounds
        steps = (np.arange(32) + 0.5) / 32
        xx, yy = np.meshgrid(x0 + steps * (x1 - x0), y0 + steps * (y1 - y0), indexing="ij")
        points = np.column_stack([xx.ravel(), yy.ravel()])
        inside = _inside(self.outline, points[:, 0], points[:, 1])
        for hole in self.holes:
            inside &= ~_inside(hole, points[:, 0], points[:, 1])
        points = points[inside]
        weight = self.top_at(points) - self.bottom_at(points)
        x, y = (points * weight[:, None]).sum(axis=0) / weight.sum()
        return float(x), float(y)


def _cell(stations: Floats, at: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return the index of the cell and the share 0..1 within it, clamped beyond the stations."""
    if len(stations) == 1:
        return np.zeros(len(at), dtype=np.intp), np.zeros(len(at))
    i = np.clip(np.searchsorted(stations, at, side="right") - 1, 0, len(stations) - 2)
    share = np.clip((at - stations[i]) / (stations[i + 1] - stations[i]), 0.0, 1.0)
    return i, share


def _inside(polygon: Floats, x: Floats, y: Floats) -> NDArray[np.bool_]:
    """Return which points lie inside the polygon (even-odd rule; points on the rim may go either way).

    `x` and `y` may be of any two shapes that broadcast, so that a grid costs no more than it must.
    """
    result = np.zeros(np.broadcast_shapes(x.shape, y.shape), dtype=bool)
    for (x1, y1), (x2, y2) in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        if y1 == y2:
            continue
        crosses = (y1 > y) != (y2 > y)
        result ^= crosses & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
    return result


def _middles(polygon: Floats, rim: Floats) -> Floats:
    """Return the middles of the stretches into which the `rim` points cut the polygon's sides."""
    found = []
    for p, q in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        run = q - p
        span = float(run @ run)
        if span == 0.0:
            continue
        t = (rim - p) @ run / span
        off = np.abs((rim - p) @ np.array([-run[1], run[0]])) / np.sqrt(span)
        on = np.array(sorted(set(t[(off < 1e-9) & (t >= 0.0) & (t <= 1.0)].tolist())))
        found.append(p + ((on[:-1] + on[1:]) / 2.0)[:, None] * run)
    return np.vstack(found)
