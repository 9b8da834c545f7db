"""From a person's readings to a `Board`. In: plain numbers (mm). Out: the board, or what is wrong with them.

Public:
    Problem                         see `problem`; a path is e.g. ("heights", "rows", 2, 1), keys as in YAML
    board_from_readings(name, lines, heights, thickness, turned_over=None, uncertainty=None)
                                                                    -> tuple[Board | None, list[Problem]]
        lines: what says the outline, see `outline`
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
from stockwright.board.outline import outline_of, stations_off
from stockwright.board.points import board_from_points
from stockwright.board.problem import Problem
from stockwright.board.surface import Board

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.board.outline import Lines

    Floats = NDArray[np.float64]
    Rows = Sequence[Sequence[float | None]]

__all__ = ["Problem", "board_from_points", "board_from_readings"]

_SLIP = 0.8  # of the thickness
_FEW = 4  # thicknesses: the middle of so many, itself among them, is moved by no single slip


def board_from_readings(
    name: str,
    lines: Lines,
    heights: tuple[Sequence[float], Sequence[float], Sequence[Sequence[float]]],
    thickness: Rows,
    turned_over: Sequence[Sequence[float]] | None = None,
    uncertainty: float | None = None,
) -> tuple[Board | None, list[Problem]]:
    """Return the board, or None and every problem found. Counts must fit (the document's model checks)."""
    notes: list[str] = []
    reading = uncertainty
    if reading is None:
        reading = READING
        notes.append(f"No uncertainty was given: {reading:g} mm is taken for one reading.")
    along, across = np.asarray(heights[0], dtype=float), np.asarray(heights[1], dtype=float)
    top = np.asarray(heights[2], dtype=float)
    outline, problems = outline_of(lines)
    if outline is not None:
        problems += stations_off(outline, along, across, lines)
    thick = np.array([[np.nan if t is None else t for t in row] for row in thickness], dtype=float)
    problems += _slips("heights", top, thick)
    if turned_over is not None:
        problems += _slips("turned-over", np.asarray(turned_over, dtype=float), thick)
    inside = _thin_air(top, thick, reading)  # names both readings, and so goes before
    places = {problem.path for problem in inside}
    problems += inside + [problem for problem in _slipped_thickness(thick) if problem.path not in places]
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


def _slips(where: str, heights: Floats, thick: Floats) -> list[Problem]:
    """Return a problem for each height that stands off those round it by nearly what the board is thick.

    No sawn board bends so across its width, and a decimal point that slips moves a height by nine tenths of
    itself or more: common practice, no source. Along it a long thin board may bow so, whole stations of it:
    what stands off together with a neighbour across is no slip.
    """
    if min(heights.shape) < 2 or not np.isfinite(thick).any():
        return []
    thickness = _middle(thick[np.isfinite(thick)])
    found = []
    for i, j in np.ndindex(*heights.shape):
        near = heights[max(i - 1, 0) : i + 2, max(j - 1, 0) : j + 2]
        # With itself among four or more, the middle of them is moved by no single slip.
        middle = _middle(near)
        off = abs(heights[i, j] - middle)
        across = [abs(heights[i, j] - heights[i, k]) for k in (j - 1, j + 1) if 0 <= k < heights.shape[1]]
        if min(off, *across) > _SLIP * thickness:
            found.append(
                Problem(
                    (where, "rows", i, j),
                    f"{heights[i, j]:g} mm stands {off:.1f} mm off what was read round it, and the board is "
                    f"{thickness:g} mm thick",
                    "is a digit or the decimal point wrong?",
                    code="out-of-range",
                )
            )
    return found


def _slipped_thickness(thick: Floats) -> list[Problem]:
    """Return a problem for each thickness that differs from those round it by nearly as much as they are.

    As with heights: a decimal point that slips makes of it a tenth or ten times as much.
    """
    whole = thick[np.isfinite(thick)]
    found = []
    for i, j in np.argwhere(np.isfinite(thick)).tolist():
        near = thick[max(i - 1, 0) : i + 2, max(j - 1, 0) : j + 2]
        near = near[np.isfinite(near)]
        near = near if near.size >= _FEW else whole
        middle = _middle(near)
        if near.size >= _FEW and abs(thick[i, j] - middle) > _SLIP * middle:
            found.append(
                Problem(
                    ("thickness", "rows", i, j),
                    f"{thick[i, j]:g} mm thick, and round it about {middle:g} mm were measured",
                    "is a digit or the decimal point wrong?",
                    code="out-of-range",
                )
            )
    return found


def _middle(values: Floats) -> float:
    """Return the median; numpy's own loads masked arrays, which nothing here needs."""
    ordered, n = np.sort(values, axis=None), values.size
    return float(ordered[(n - 1) // 2] + ordered[n // 2]) / 2.0


def _thin_air(top: Floats, thick: Floats, reading: float) -> list[Problem]:
    """Return a problem for each place where the underside would lie below the bed."""
    return [
        Problem(
            ("thickness", "rows", int(i), int(j)),
            f"the board is {thick[i, j]:g} mm thick where its upper face is {top[i, j]:g} mm above the bed: "
            f"the underside would be {thick[i, j] - top[i, j]:.1f} mm inside the bed",
            "one of the two readings is wrong, or the heights were not read above the bed",
            (("heights", "rows", int(i), int(j)),),
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
    return _seen_turned_over(along, across, top, thick, np.asarray(turned_over, dtype=float), reading)


def _seen_turned_over(
    along: Floats, across: Floats, top: Floats, thick: Floats, second: Floats, reading: float
) -> tuple[Floats | None, list[Problem], float]:
    """Return what `_underside` does where the other face was read too: `second`, the board turned over."""
    read, bottom, random = np.isfinite(thick), top - thick, float(np.sqrt(2.0)) * reading
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
    fit, wild = _tilt(plane, (bottom + second).ravel(), known, 3.0 * reading)
    turned = (plane @ fit).reshape(xx.shape) - second
    off = np.where(read, bottom - turned, 0.0)
    problems = [
        Problem(
            ("turned-over", "rows", int(i), int(j)),
            f"the two readings disagree by {abs(off[i, j]):.1f} mm at {along[i]:g} mm along, "
            f"{across[j]:g} mm across: height {top[i, j]:g} mm less thickness {thick[i, j]:g} mm, "
            f"against {second[i, j]:g} mm turned over",
            "read that place again on both faces; or the board rocked, or it was turned end over end",
            (("heights", "rows", int(i), int(j)), ("thickness", "rows", int(i), int(j))),
        )
        for i, j in np.argwhere(wild.reshape(off.shape))
    ]
    problems += [
        Problem(
            ("turned-over", "rows", int(i), int(j)),
            f"the underside, {second[i, j]:g} mm turned over, would stand {turned[i, j] - top[i, j]:.1f} "
            "mm above "
            f"the upper face, {top[i, j]:g} mm, at {along[i]:g} mm along, {across[j]:g} mm across",
            "one of the two readings is wrong",
            (("heights", "rows", int(i), int(j)),),
        )
        for i, j in np.argwhere(~read & (turned >= top))
    ]
    return np.where(read, bottom, turned), problems, random


def _tilt(
    plane: Floats, heights: Floats, known: NDArray[np.bool_], limit: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the plane (3,) through the known heights, and which of them lie off what the others say.

    The wildest is left out first and the plane fitted anew, so that one slip makes no neighbour look
    wrong; each is held against the plane without itself (textbook: deleted residuals).
    """
    kept = known.copy()
    while True:
        fit = np.asarray(np.linalg.lstsq(plane[kept], heights[kept], rcond=None)[0], dtype=float)
        own = np.einsum("ij,jk,ik->i", plane, np.linalg.pinv(plane[kept].T @ plane[kept]), plane)
        share = np.where(kept, np.maximum(1.0 - own, 0.1), 1.0)
        off = np.where(kept, np.abs(heights - plane @ fit) / share, 0.0)
        worst = int(np.argmax(off))
        if off[worst] <= limit + 1e-9 or kept.sum() <= 4:
            break
        kept[worst] = False
    return fit, known & (np.abs(heights - plane @ fit) > limit + 1e-9)


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
