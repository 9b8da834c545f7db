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

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.hiding import READING, hidden, together
from stockwright.board.problem import Problem
from stockwright.board.scatter import MOST_KNOTS, lattice, spread
from stockwright.board.surface import Board
from stockwright.board.trend import between, trend_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["MOST_KNOTS", "MOST_POINTS", "board_from_points"]

MOST_POINTS = 200_000  # a dense probing log; more would take minutes to triangulate
_SAME = 1e-6  # mm; places nearer than that are the same
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
    made = lattice(table[:, :2], table[:, 2:])
    missed = 0.0
    if made is None:
        made = spread(table[:, :2], table[:, 2:])
        if made is None:
            message = "the points lie on one line, expected points all over the board"
            return None, [Problem(("points",), message, "measure along both edges at least")]
        trial = Board(name, made.outline, made.x, made.y, made.heights[1], made.heights[0], 0.0)
        missed = max(
            float(np.abs(trial.top_at(table[:, :2]) - table[:, 3]).max()),
            float(np.abs(trial.bottom_at(table[:, :2]) - table[:, 2]).max()),
        )
        notes.append(
            f"The {len(table)} points lie on no lattice: they were joined by triangles and read off on "
            f"{len(made.x)} x {len(made.y)} places, which misses them by up to {missed:.2f} mm; "
            f"the outline is their hull."
        )
    xs, ys, (low, high) = made.x, made.y, made.heights
    bounds = (float(xs[0]), float(ys[0]), float(xs[-1]), float(ys[-1]))
    above, said = hidden(xs, ys, high, bounds)
    below, _ = hidden(xs, ys, low, bounds)
    # The grid is finer than the points, so its own creases show too little of what lies between them.
    below, above = (
        max(each, between(trend_of(table[:, :2], table[:, column]), made.triangles))
        for each, column in ((below, 2), (above, 3))
    )
    within = together(reading, max(above, below)) + missed
    return Board(name, made.outline, xs, ys, high, low, within, notes=(*notes, *said)), []


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
                f"x {table[again, 0]:g} mm, y {table[again, 1]:g} mm was measured before",
                "keep one of the two",
                (("points", first, "x"),),
            )
        )
    return problems
