"""One face's touches as a grid. In: touches (n, 3) in the board frame, mm. Out: `Touched`, or what is wrong.

Public:
    MOST_TOUCHES
    Odd(face, row, x, y, z, off, limit)      a touch that strays
    Touched(touches, grid, places, reading, shape)
        .at(xy (n, 2)) -> (n,), .nearest(which, place) -> the path of the touch nearest to a place
    touched(which, touches, outline, lines, reading, notes, drop) -> (Touched | None, problems, list[Odd])
Promise: a touch is left out only where that was asked for; touches off the board, and faces too little
touched, are told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.hiding import UNSEEN, hidden
from stockwright.board.outline import OFF_BOARD, Lines, said_by
from stockwright.board.problem import Path, Problem
from stockwright.board.scatter import Spread, lattice, spread
from stockwright.board.surface import Board
from stockwright.board.trend import Stray, between, stray
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["MOST_TOUCHES", "Face", "Odd", "Touched", "touched"]

MOST_TOUCHES = 200_000  # of one face; more would take minutes to triangulate
_ONE_PLACE = 0.1  # mm; touches nearer than that are of one place
_TOLD = 5  # touches off the board that are told one by one

Face = Literal["upper", "lower"]


@frozen
class Odd:
    """A touch that strays: `off` mm above (below: negative) what its neighbours say, beyond `limit`."""

    face: Face
    row: int
    x: float
    y: float
    z: float
    off: float
    limit: float


@frozen(eq=False)
class Touched:
    """One face's touches, all of them and as a grid; half widths of reading and of what lies between."""

    touches: Floats
    grid: Spread
    places: Floats
    reading: float
    shape: float

    def at(self, xy: Floats) -> Floats:
        """Return the face's heights (n,) at `xy` (n, 2)."""
        g = self.grid
        return Board("", g.outline, g.x, g.y, g.heights[0], g.heights[0], 0.0).top_at(xy)

    def nearest(self, which: Face, place: Floats) -> Path:
        """Return the path of the touch nearest to a place."""
        return (which, int(np.argmin(np.hypot(*(self.touches[:, :2] - place[:2]).T))), "z")


def touched(
    which: Face,
    touches: Floats,
    outline: Floats,
    lines: Lines,
    reading: float,
    notes: list[str],
    *,
    drop: bool,
) -> tuple[Touched | None, list[Problem], list[Odd]]:
    """Return one face, every problem with its touches, and those that were left out."""
    if len(touches) > MOST_TOUCHES:
        message = f"got {len(touches)} touches, expected {MOST_TOUCHES} at most"
        return None, [Problem((which,), message, "thin the log out", code="too-large")], []
    problems = _off_board(which, touches, outline, lines)
    if problems:
        return None, problems, []
    xy, z = touches[:, :2], touches[:, 2]
    found = stray(xy, z, reading)
    odd = [
        Odd(which, int(row), *_three(touches[row]), float(found.off[row]), float(found.limit[row]))
        for row in np.nonzero(~found.kept)[0]
    ]
    if odd and not drop:
        return None, [_wild(each) for each in odd], []
    places, repeats = _places(touches[found.kept])
    if len(places) < 4:
        message = f"touches at {len(places)} places, expected 4 at least"
        return (
            None,
            [Problem((which,), message, "touch near all four corners and between them", code="wrong-count")],
            [],
        )
    grid = lattice(places[:, :2], places[:, 2:]) or spread(places[:, :2], places[:, 2:])
    if grid is None:
        message = "all touches lie on one line, expected touches all over the face"
        return None, [Problem((which,), message, "touch along both edges at least", code="wrong-count")], []
    if repeats > reading:
        notes.append(
            f"Touches of the {which} face at one place differ: {repeats:.2f} mm is taken for one touch, "
            f"rather than {reading:.2f} mm."
        )
    shape = _shape(which, grid, found, max(reading, repeats), places, outline, notes)
    return Touched(touches, grid, places, max(reading, repeats), shape), [], odd


def _off_board(which: Face, touches: Floats, outline: Floats, lines: Lines) -> list[Problem]:
    """Return a problem for the first few touches that lie off the board, and one for the rest."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    over = np.maximum(low - touches[:, :2], touches[:, :2] - high)
    rows = np.nonzero((over > OFF_BOARD).any(axis=1))[0]
    problems = []
    for row in rows[:_TOLD]:
        axis = int(np.argmax(over[row]))
        value = touches[row, axis]
        more = (
            f"; {len(rows) - _TOLD} more do so"
            if row == rows[min(_TOLD, len(rows)) - 1] and len(rows) > _TOLD
            else ""
        )
        problems.append(
            Problem(
                (which, int(row), "xy"[axis]),
                f"the touch at {'xy'[axis]} {value:g} mm lies off the board, which reaches from "
                f"{low[axis]:g} mm to {high[axis]:g} mm {('along', 'across')[axis]}{more}",
                "x counts from end-1, y from the line that edge-1 lies on",
                (said_by(lines, axis, at_end=bool(value > high[axis])),),
            )
        )
    return problems


def _wild(odd: Odd) -> Problem:
    side = "above" if odd.off > 0 else "below"
    return Problem(
        (odd.face, odd.row, "z"),
        f"the touch at x {odd.x:g} mm, y {odd.y:g} mm reads {odd.z:g} mm, {abs(odd.off):.1f} mm {side} "
        "what the "
        f"touches round it say, and {odd.limit:.1f} mm is the limit",
        "touch that place again and some beside it; or, where nothing stands or is missing there, say "
        "'drop-outliers: yes'",
        code="outlier",
    )


def _places(touches: Floats) -> tuple[Floats, float]:
    """Return the places (n, 3), each the mean of its touches, and how they repeat: half width, mm."""
    _, first, which, count = np.unique(
        np.round(touches[:, :2] / _ONE_PLACE),
        axis=0,
        return_index=True,
        return_inverse=True,
        return_counts=True,
    )
    which = which.ravel()
    mean = np.stack([np.bincount(which, weights=column) / count for column in touches.T], axis=1)
    # A place touched once keeps its own coordinates to the last digit: lattices are told by them.
    mean[:, :2] = np.where((count == 1)[:, None], touches[first, :2], mean[:, :2])
    spare = len(touches) - len(count)
    if spare < 3:
        return mean, 0.0
    # Pooled standard deviation, k = 2 (the method of NIST TN 1297).
    rest = touches[:, 2] - mean[which, 2]
    return mean, 2.0 * float(np.sqrt((rest @ rest) / spare))


def _shape(
    which: Face, grid: Spread, found: Stray, reading: float, places: Floats, outline: Floats, notes: list[str]
) -> float:
    """Return what a face may do between and beyond its touches, mm."""
    import shapely

    x_low, y_low = outline.min(axis=0)
    x_high, y_high = outline.max(axis=0)
    bounds = (float(x_low), float(y_low), float(x_high), float(y_high))
    if len(grid.triangles) == 0:
        hides, said = hidden(grid.x, grid.y, grid.heights[0], bounds)
        notes += [each for each in said if each not in notes]
        return hides
    # Lumps that no quadratic has: what touches differ from their neighbours beyond what reading explains.
    lumps = float(np.sqrt(max(found.rough**2 - reading**2, 0.0)))
    inner = between(found.trend, grid.triangles) + lumps
    if not found.trend.bend.any():
        longest = np.linalg.norm(grid.triangles - np.roll(grid.triangles, -1, axis=1), axis=2).max()
        inner = UNSEEN * float(longest)
        notes.append(
            f"Touches at {len(places)} places show no curve of the {which} face: {inner:.2f} mm are "
            "allowed for "
            "it; nine or more, three each way, would show it."
        )
    # Where no triangle reaches, the nearest touch stands in: what the face does on the way to it is missed.
    within = shapely.contains_xy(shapely.Polygon(outline), grid.off)
    far = np.vstack([outline, grid.off[within]])
    near = np.array([places[np.argmin(np.hypot(*(places[:, :2] - p).T)), :2] for p in far])
    return max(inner, float(np.abs(found.trend.at(far) - found.trend.at(near)).max()))


def _three(touch: Floats) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in touch)
    return x, y, z
