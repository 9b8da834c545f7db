"""Places in no order made into a grid. In: places and what was read there, mm. Out: `Spread`.

Public:
    MOST_KNOTS
    lattice(xy (n, 2), values (n, k)) -> Spread | None   where the places are all corners of a lattice
    spread(xy, values) -> Spread | None                  any places: linear on Delaunay triangles
    Spread(outline, x, y, heights, triangles, off)
        outline (k, 2): the places' rectangle or hull; heights: k grids (n, m) at the stations x, y
        triangles (t, 3, 2): the corners of those in use, none on a lattice
        off (j, 2): stations that no triangle covers well, where the nearest place stands in
Promise: between places nothing is invented; how far apart they are comes with the grid.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["MOST_KNOTS", "Spread", "lattice", "spread"]

MOST_KNOTS = 20_000
_SAME = 1e-6  # mm; coordinates nearer than that are one station
_RIM = 1e-3  # mm; what lies no farther outside the hull lies on it, however its coordinates were rounded
_SLIVER = 4.0  # times the median longest side of the triangles


@frozen(eq=False)
class Spread:
    """Places as a grid; see the module docstring."""

    outline: Floats
    x: Floats
    y: Floats
    heights: tuple[Floats, ...]
    triangles: Floats
    off: Floats


def lattice(xy: Floats, values: Floats) -> Spread | None:
    """Return the grid where the places (n, 2) are all corners of a rectangular lattice, else None."""
    xs, i = _stations(xy[:, 0])
    ys, j = _stations(xy[:, 1])
    if len(xs) < 2 or len(ys) < 2 or len(xs) * len(ys) != len(xy) or len(xy) > MOST_KNOTS:
        return None
    taken = np.zeros((len(xs), len(ys)), dtype=bool)
    taken[i, j] = True
    if not taken.all():
        return None
    heights = []
    for column in values.T:
        grid = np.empty((len(xs), len(ys)))
        grid[i, j] = column
        heights.append(grid)
    outline = np.array([[xs[0], ys[0]], [xs[-1], ys[0]], [xs[-1], ys[-1]], [xs[0], ys[-1]]])
    return Spread(outline, xs, ys, tuple(heights), np.empty((0, 3, 2)), np.empty((0, 2)))


def _stations(values: Floats) -> tuple[Floats, NDArray[np.intp]]:
    order = np.argsort(values, kind="stable")
    new = np.concatenate([[True], np.diff(values[order]) > _SAME])
    index = np.empty(len(values), dtype=np.intp)
    index[order] = np.cumsum(new) - 1
    return values[order][new], index


def spread(xy: Floats, values: Floats) -> Spread | None:
    """Return the places (n, 2), no two the same, read off their triangles; None where all are in line."""
    import shapely

    points: Any = shapely.points(xy)
    hull = shapely.convex_hull(shapely.multipoints(points))
    if not isinstance(hull, shapely.Polygon) or hull.area < 1.0:
        return None
    outline = shapely.get_coordinates(shapely.orient_polygons(hull))[:-1]
    triangles = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(points)))
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    x_low, y_low, x_high, y_high = (round(v, 6) for v in hull.bounds)
    # As many places as points, spread as evenly: finer would invent, coarser would lose.
    count = min(4 * len(xy), MOST_KNOTS)
    pitch = float(np.sqrt((x_high - x_low) * (y_high - y_low) / count))
    nx = int(np.clip(np.ceil((x_high - x_low) / pitch), 2, MOST_KNOTS // 2))
    ny = int(np.clip(MOST_KNOTS // nx, 2, max(2, int(np.ceil((y_high - y_low) / pitch)))))
    # Stations that people can read out; the rounding is far below what the places are known to.
    digits = 1 if pitch > 1.0 else 6
    xs: Floats = np.linspace(x_low, x_high, nx).round(digits)
    ys: Floats = np.linspace(y_low, y_high, ny).round(digits)
    xx, yy = np.meshgrid(xs, ys, indexing="ij")
    knots: Any = shapely.points(xx.ravel(), yy.ravel())
    owner = shapely.STRtree(triangles).nearest(knots)
    at = shapely.get_coordinates(knots)
    a, b, c = corners[owner, 0], corners[owner, 1], corners[owner, 2]
    area = _cross(b - a, c - a)
    weights = np.stack([_cross(b - at, c - at), _cross(c - at, a - at), _cross(a - at, b - at)], axis=1)
    weights = np.clip(weights / area[:, None], 0.0, 1.0)
    weights /= weights.sum(axis=1, keepdims=True)
    used = _indices(xy, corners)[owner]
    # Beyond the hull, and in the slivers along it that join points far apart, the nearest point knows better.
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    sliver = sides.max(axis=1) > _SLIVER * np.median(sides.max(axis=1))
    poor = ~shapely.dwithin(hull, knots, _RIM) | sliver[owner]
    near: Any = shapely.STRtree(points).nearest(knots[poor])
    used[poor] = near[:, None]
    heights = tuple((weights * column[used]).sum(axis=1).reshape(nx, ny) for column in values.T)
    return Spread(outline, xs, ys, heights, corners[~sliver], at[poor])


def _indices(xy: Floats, corners: Floats) -> NDArray[np.intp]:
    """Return, for each corner (t, 3, 2), the index of the point it is (triangulation keeps coordinates)."""
    order = np.lexsort((xy[:, 1], xy[:, 0]))
    pair = np.dtype([("x", float), ("y", float)])
    placed = np.ascontiguousarray(xy[order]).view(pair).ravel()
    wanted = np.ascontiguousarray(corners.reshape(-1, 2)).view(pair).ravel()
    return order[np.searchsorted(placed, wanted)].reshape(corners.shape[:2])


def _cross(p: Floats, q: Floats) -> Floats:
    result: Floats = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    return result
