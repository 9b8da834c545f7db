"""From a list of measured points to a `Board`. In: x, y, bottom, top (mm). Out: the board, or what is wrong.

Public:
    MOST_POINTS, MOST_KNOTS
    board_from_points(name, x (n,), y (n,), bottom (n,), top (n,), uncertainty=None)
        -> tuple[Board | None, list[Problem]]
        a Problem's path is ("points", row, column) with the row counted from 0, or ("points",)
Points on a rectangular lattice, in any order, are taken as they are, the outline their bounding rectangle.
Others: the outline is their convex hull, the heights are linear on Delaunay triangles, read off on a lattice.
Promise: regridding is honest: by how much the lattice misses the points is added to the uncertainty.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.board.hiding import READING, hidden, together
from stockwright.board.problem import Problem
from stockwright.board.surface import Board

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["MOST_KNOTS", "MOST_POINTS", "board_from_points"]

MOST_POINTS = 200_000  # a dense probing log; more would take minutes to triangulate
MOST_KNOTS = 20_000
_SAME = 1e-6  # mm; coordinates nearer than that are one station
_SLIVER = 4.0  # times the median longest side of the triangles
_COLUMNS = ("x", "y", "bottom", "top")


def board_from_points(
    name: str,
    x: ArrayLike,
    y: ArrayLike,
    bottom: ArrayLike,
    top: ArrayLike,
    uncertainty: float | None = None,
) -> tuple[Board | None, list[Problem]]:
    """Return the board, or None and every problem found."""
    table = np.column_stack([np.asarray(column, dtype=float) for column in (x, y, bottom, top)])
    problems = _problems(table)
    if problems:
        return None, problems
    notes: list[str] = []
    reading = READING if uncertainty is None else uncertainty
    if uncertainty is None:
        notes.append(f"No uncertainty was given: {reading:g} mm is taken for one reading.")
    lattice = _lattice(table)
    missed = 0.0
    if lattice is None:
        made = _triangulated(table)
        if made is None:
            message = "the points lie on one line, expected points all over the board"
            return None, [Problem(("points",), message, "measure along both edges at least")]
        outline, xs, ys, low, high = made
        trial = Board(name, outline, xs, ys, high, low, 0.0)
        missed = max(
            float(np.abs(trial.top_at(table[:, :2]) - table[:, 3]).max()),
            float(np.abs(trial.bottom_at(table[:, :2]) - table[:, 2]).max()),
        )
        notes.append(
            f"The {len(table)} points lie on no lattice: they were joined by triangles and read off on "
            f"{len(xs)} x {len(ys)} places, which misses them by up to {missed:.2f} mm; "
            f"the outline is their hull."
        )
    else:
        xs, ys, low, high = lattice
        outline = np.array([[xs[0], ys[0]], [xs[-1], ys[0]], [xs[-1], ys[-1]], [xs[0], ys[-1]]])
    bounds = (float(xs[0]), float(ys[0]), float(xs[-1]), float(ys[-1]))
    above, said = hidden(xs, ys, high, bounds)
    below, _ = hidden(xs, ys, low, bounds)
    within = together(reading, max(above, below)) + missed
    return Board(name, outline, xs, ys, high, low, within, notes=(*notes, *said)), []


def _problems(table: Floats) -> list[Problem]:
    """Return every problem with single points, and with their number."""
    problems = [
        Problem(("points", int(row), _COLUMNS[int(column)]), "not a finite number", "expected millimetres")
        for row, column in np.argwhere(~np.isfinite(table))
    ]
    upside = np.nonzero(table[:, 2] >= table[:, 3])[0]
    problems += [
        Problem(
            ("points", int(row), "bottom"),
            f"bottom {table[row, 2]:g} mm is not below top {table[row, 3]:g} mm",
            "are the columns x,y,bottom,top in this order?",
        )
        for row in upside
    ]
    if len(table) < 4:
        problems.append(
            Problem(("points",), f"got {len(table)} points, expected 4 or more", "measure the corners")
        )
    if len(table) > MOST_POINTS:
        problems.append(
            Problem(
                ("points",), f"got {len(table)} points, expected {MOST_POINTS} at most", "thin the log out"
            )
        )
    if problems:
        return problems
    order = np.lexsort((table[:, 1], table[:, 0]))
    placed = table[order, :2]
    twice = np.nonzero((np.abs(np.diff(placed, axis=0)) < _SAME).all(axis=1))[0]
    for k in twice:
        first, again = sorted((int(order[k]), int(order[k + 1])))
        problems.append(
            Problem(
                ("points", again, "x"),
                f"x {table[again, 0]:g} mm, y {table[again, 1]:g} mm was measured before, in row {first + 1}",
                "keep one of the two",
            )
        )
    return problems


def _lattice(table: Floats) -> tuple[Floats, Floats, Floats, Floats] | None:
    """Return stations and heights where the points are all corners of a rectangular lattice, else None."""
    xs, i = _stations(table[:, 0])
    ys, j = _stations(table[:, 1])
    if len(xs) < 2 or len(ys) < 2 or len(xs) * len(ys) != len(table) or len(table) > MOST_KNOTS:
        return None
    # Each place is taken once, since no two points are the same.
    low, high = np.empty((len(xs), len(ys))), np.empty((len(xs), len(ys)))
    low[i, j], high[i, j] = table[:, 2], table[:, 3]
    return xs, ys, low, high


def _stations(values: Floats) -> tuple[Floats, NDArray[np.intp]]:
    order = np.argsort(values, kind="stable")
    new = np.concatenate([[True], np.diff(values[order]) > _SAME])
    index = np.empty(len(values), dtype=np.intp)
    index[order] = np.cumsum(new) - 1
    return values[order][new], index


def _triangulated(table: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats] | None:
    """Return outline, stations and heights read off the triangles; None where all points are in line."""
    import shapely

    points: Any = shapely.points(table[:, :2])
    hull = shapely.convex_hull(shapely.multipoints(points))
    if not isinstance(hull, shapely.Polygon) or hull.area < 1.0:
        return None
    outline = shapely.get_coordinates(shapely.orient_polygons(hull))[:-1]
    triangles = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(points)))
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    x_low, y_low, x_high, y_high = hull.bounds
    # As many places as points, spread as evenly: finer would invent, coarser would lose.
    count = min(4 * len(table), MOST_KNOTS)
    pitch = float(np.sqrt((x_high - x_low) * (y_high - y_low) / count))
    nx = int(np.clip(np.ceil((x_high - x_low) / pitch), 2, MOST_KNOTS // 2))
    ny = int(np.clip(MOST_KNOTS // nx, 2, max(2, int(np.ceil((y_high - y_low) / pitch)))))
    xs, ys = np.linspace(x_low, x_high, nx), np.linspace(y_low, y_high, ny)
    xx, yy = np.meshgrid(xs, ys, indexing="ij")
    knots: Any = shapely.points(xx.ravel(), yy.ravel())
    owner = shapely.STRtree(triangles).nearest(knots)
    at = shapely.get_coordinates(knots)
    a, b, c = corners[owner, 0], corners[owner, 1], corners[owner, 2]
    area = _cross(b - a, c - a)
    weights = np.stack([_cross(b - at, c - at), _cross(c - at, a - at), _cross(a - at, b - at)], axis=1)
    weights = np.clip(weights / area[:, None], 0.0, 1.0)
    weights /= weights.sum(axis=1, keepdims=True)
    used = _indices(table[:, :2], corners)[owner]
    # Beyond the hull, and in the slivers along it that join points far apart, the nearest point knows better.
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2).max(axis=1)
    poor = ~shapely.intersects(hull, knots) | (sides > _SLIVER * np.median(sides))[owner]
    near: Any = shapely.STRtree(points).nearest(knots[poor])
    used[poor] = near[:, None]
    low = (weights * table[used, 2]).sum(axis=1).reshape(nx, ny)
    high = (weights * table[used, 3]).sum(axis=1).reshape(nx, ny)
    return outline, xs, ys, low, high


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
