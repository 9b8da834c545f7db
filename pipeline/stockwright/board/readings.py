"""From a person's readings to a `Board`. In: plain numbers (mm). Out: the board, or what is wrong with them.

Public:
    Problem(path, message, hint)    `path` into the document, e.g. ("heights", "rows", 2, 1), keys as in YAML
    board_from_readings(name, edge_1, edge_2, ends, heights, thickness, turned_over=None, uncertainty=None,
                        size=None) -> tuple[Board | None, list[Problem]]
        edge_1, edge_2: (along, offset), or None where `size` = (length, width) is given
        ends: ((near, far) of end-1, (near, far) of end-2), or None with `size`
        heights: (along, across, rows); thickness: rows of float or None; turned_over: rows of float or None
        uncertainty: half width of one reading; None: a cautious value, said in the notes
      The board is None exactly where there are problems.
    board_from_points(name, x, y, bottom, top, uncertainty=None)    the CSV form, see `points`
Promise: nothing is guessed silently: what was not read is said in `Board.notes` and widens its uncertainty.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.hiding import READING, hidden, together
from stockwright.board.points import board_from_points
from stockwright.board.problem import Problem
from stockwright.board.surface import Board

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Line = tuple[Sequence[float], Sequence[float]]
    Rows = Sequence[Sequence[float | None]]

__all__ = ["Problem", "board_from_points", "board_from_readings"]

_OFF_BOARD = (
    1.0  # mm; how far a station may lie off the outline, as a tape is read; common practice, no source
)


def board_from_readings(
    name: str,
    edge_1: Line | None,
    edge_2: Line | None,
    ends: tuple[tuple[float, float], tuple[float, float]] | None,
    heights: tuple[Sequence[float], Sequence[float], Sequence[Sequence[float]]],
    thickness: Rows,
    turned_over: Sequence[Sequence[float]] | None = None,
    uncertainty: float | None = None,
    size: tuple[float, float] | None = None,
) -> tuple[Board | None, list[Problem]]:
    """Return the board, or None and every problem found. Counts must fit (the document's model checks)."""
    notes: list[str] = []
    reading = uncertainty
    if reading is None:
        reading = READING
        notes.append(f"No uncertainty was given: {reading:g} mm is taken for one reading.")
    along, across = np.asarray(heights[0], dtype=float), np.asarray(heights[1], dtype=float)
    top = np.asarray(heights[2], dtype=float)
    outline, problems = _outline(edge_1, edge_2, ends, size)
    if outline is not None:
        problems += _stations(outline, along, across)
    thick = np.array([[np.nan if t is None else t for t in row] for row in thickness], dtype=float)
    problems += _thin_air(top, thick, reading)
    bottom, more, random = _underside(along, across, top, thick, turned_over, reading, notes)
    problems += more
    if outline is None or problems:
        return None, problems
    assert bottom is not None
    low, high = outline.min(axis=0), outline.max(axis=0)
    bounds = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    above, said = hidden(along, across, top, bounds)
    below, _ = hidden(along, across, bottom, bounds)
    notes += said
    within = together(random, max(above, below))
    notes.append(
        f"Heights are taken as right within {within:.2f} mm: {random:.2f} mm for reading, "
        f"{max(above, below):.2f} mm for what the board may do between and beyond the stations."
    )
    return Board(name, outline, along, across, top, bottom, within, notes=tuple(notes)), []


def _outline(
    edge_1: Line | None,
    edge_2: Line | None,
    ends: tuple[tuple[float, float], tuple[float, float]] | None,
    size: tuple[float, float] | None,
) -> tuple[Floats | None, list[Problem]]:
    """Return the outline (k, 2), anticlockwise from edge-1's first corner."""
    if size is not None:
        length, width = size
        return np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]]), []
    if edge_1 is None or edge_2 is None or ends is None:
        return None, [Problem((), "the outline is missing", "give edge-1, edge-2 and ends, or size")]
    problems = []
    for side, which in (("near", 0), ("far", 1)):
        first, last = ends[0][which], ends[1][which]
        if last <= first:
            problems.append(
                Problem(
                    ("ends", "end-2", side),
                    f"end-2 at {last:g} mm does not lie beyond end-1 at {first:g} mm",
                    "both are measured along the same line, from end-1 towards end-2",
                )
            )
    if problems:
        return None, problems
    near = _edge(edge_1, ends[0][0], ends[1][0])
    far = _edge(edge_2, ends[0][1], ends[1][1])
    for i, x in enumerate(edge_2[0]):
        low = float(np.interp(x, near[:, 0], near[:, 1]))
        if edge_2[1][i] <= low:
            problems.append(
                Problem(
                    ("edge-2", "offset", i),
                    f"edge-2 at {edge_2[1][i]:g} mm does not lie beyond edge-1 at {low:g} mm",
                    "both offsets are from the same taut line, along the near edge",
                )
            )
    return (None if problems else np.vstack([near, far[::-1]])), problems


def _edge(line: Line, first: float, last: float) -> Floats:
    """Return the edge's points (k, 2) from one corner to the other; beyond its stations the offset stays."""
    x, y = np.asarray(line[0], dtype=float), np.asarray(line[1], dtype=float)
    at = np.concatenate([[first], x[(x > first) & (x < last)], [last]])
    return np.column_stack([at, np.interp(at, x, y)])


def _stations(outline: Floats, along: Floats, across: Floats) -> list[Problem]:
    """Return a problem for each station that lies off the board."""
    low, high = outline.min(axis=0) - _OFF_BOARD, outline.max(axis=0) + _OFF_BOARD
    return [
        Problem(
            ("heights", key, i),
            f"the station at {value:g} mm lies off the board, which reaches from "
            f"{low[axis] + _OFF_BOARD:g} mm to {high[axis] - _OFF_BOARD:g} mm {key}",
            "stations and outline are measured from the same corner and line",
        )
        for axis, (key, stations) in enumerate((("along", along), ("across", across)))
        for i, value in enumerate(stations)
        if not low[axis] <= value <= high[axis]
    ]


def _thin_air(top: Floats, thick: Floats, reading: float) -> list[Problem]:
    """Return a problem for each place where the underside would lie below the bed."""
    return [
        Problem(
            ("thickness", "rows", int(i), int(j)),
            f"the board is {thick[i, j]:g} mm thick where its upper face is {top[i, j]:g} mm above the bed: "
            f"the underside would be {thick[i, j] - top[i, j]:.1f} mm inside the bed",
            "one of the two readings is wrong, or the heights were not read above the bed",
        )
        for i, j in np.argwhere(thick - top > 2.0 * reading + 1e-9)
    ]


def _underside(
    along: Floats,
    across: Floats,
    top: Floats,
    thick: Floats,
    turned_over: Sequence[Sequence[float]] | None,
    reading: float,
    notes: list[str],
) -> tuple[Floats | None, list[Problem], float]:
    """Return the lower heights (n, m), the problems, and the half width of their reading error."""
    read = np.isfinite(thick)
    # A lower height is an upper height less a thickness: two readings.
    random = float(np.sqrt(2.0)) * reading
    bottom = top - thick
    if read.all():
        return bottom, [], random
    if turned_over is None:
        if not read.any():
            return (
                None,
                [Problem(("thickness", "rows"), "no thickness was read", "callipers reach round the rim")],
                random,
            )
        filled = _harmonic(along, across, thick)
        # Inside, a sawn board's thickness strays from its rim's about as far as the rim's own readings
        # differ: common practice, no source.
        stray = float(np.nanmax(thick) - np.nanmin(thick)) / 2.0
        notes.append(
            f"The underside was not read at {int((~read).sum())} of {read.size} stations: there the "
            f"thickness is taken from the rim, {stray:.2f} mm more uncertain. "
            "Reading the board turned over would tell."
        )
        return top - filled, [], float(np.hypot(random, stray))
    second = np.asarray(turned_over, dtype=float)
    xx, yy = np.meshgrid(along, across, indexing="ij")
    plane = np.column_stack([xx.ravel(), yy.ravel(), np.ones(xx.size)])
    known = read.ravel()
    if known.sum() < 4 or np.linalg.matrix_rank(plane[known] / [xx.max(), yy.max(), 1.0]) < 3:
        message = "too few thicknesses to tell how the board lay when it was turned over"
        return (
            None,
            [Problem(("thickness", "rows"), message, "read the thickness at all four corners")],
            random,
        )
    # Turned edge over edge, half a turn about x: the underside is read from above, on a new tilt.
    fit, *_ = np.linalg.lstsq(plane[known], (bottom + second).ravel()[known], rcond=None)
    turned = (plane @ fit).reshape(xx.shape) - second
    off = np.where(read, bottom - turned, 0.0)
    problems = [
        Problem(
            ("turned-over", "rows", int(i), int(j)),
            f"the two readings disagree by {abs(off[i, j]):.1f} mm at {along[i]:g} mm along, "
            f"{across[j]:g} mm across: height {top[i, j]:g} mm less thickness {thick[i, j]:g} mm, "
            f"against {second[i, j]:g} mm turned over",
            "read that place again on both faces; or the board rocked, or it was turned end over end",
        )
        for i, j in np.argwhere(np.abs(off) > 3.0 * reading + 1e-9)
    ]
    return np.where(read, bottom, turned), problems, random


def _harmonic(along: Floats, across: Floats, values: Floats) -> Floats:
    """Return `values` (n, m) with the gaps filled each lying between its neighbours (Laplace)."""
    n, m = values.shape
    size = n * m
    matrix, right = np.zeros((size, size)), np.zeros(size)
    for i in range(n):
        for j in range(m):
            k = i * m + j
            if np.isfinite(values[i, j]):
                matrix[k, k], right[k] = 1.0, values[i, j]
                continue
            for di, dj in ((-1, 0), (1, 0), (0, -1), (0, 1)):
                p, q = i + di, j + dj
                if 0 <= p < n and 0 <= q < m:
                    weight = 1.0 / float(abs(along[p] - along[i]) + abs(across[q] - across[j]))
                    matrix[k, k] += weight
                    matrix[k, p * m + q] -= weight
    filled: Floats = np.linalg.solve(matrix, right).reshape(n, m)
    return filled
