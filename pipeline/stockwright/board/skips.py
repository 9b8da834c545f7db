"""How much thicker a board stays where the hidden face may keep skips. In: `Whole`, a share. Out: `Skips`.

Public:
    Skips(face, share, thickness, kept, deepest, x, y, slab)
    with_skips(board, whole, share, face) -> Skips      `face` "A" or "B" is the one that may keep skips
A skip is a place that the finished plane passes above (face A) or below (face B): hit-or-miss surfacing. The
other face comes out clean. For one tilt the plane is a quantile of the heights over the area; over all tilts
that is no linear program, and has several optima: so all tilts that could be better are searched, by halving
boxes of tilts and dropping those whose bound is no better than what is already had.
Promise: the share is kept on the measured surface itself, not only on samples; no share gives what the
thickest slab gives, and more share never less, but for a few micrometres.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.lp import Unit
from stockwright.board.slab import Slab, Solid, slab_at
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.pieces import Whole
    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["Skips", "with_skips"]

_ALONG, _ACROSS = 40, 20  # samples of equal area for the search
_FINE = 4  # times as many each way, when the plane found is laid
_WORTH = 0.002  # mm; a tilt that could give no more than that beyond what is had is not looked into
_MOST_BOXES = 600  # in one round; beyond it the least promising go, so the search always ends soon
_HALVINGS = 14  # rounds, the boxes half as wide in each


@frozen
class Skips:
    """The thickest slab whose `face` keeps skips on at most as much of its area as is asked.

    `kept` is the share of it that it does keep, counted high; `deepest` is how far the deepest skip lies
    below the finished plane, at `x`, `y` of the board frame. mm, before allowances.
    """

    face: Literal["A", "B"]
    thickness: float
    kept: float
    deepest: float
    x: float
    y: float
    slab: Slab


def with_skips(board: Board, whole: Whole, share: float, face: Literal["A", "B"] = "B") -> Skips:
    """Return the thickest slab of the whole's rectangle; at most `share` (0 to 0.5) of `face` is skips."""
    if not 0.0 <= share <= 0.5:
        raise ValueError(f"got a share of {share}, expected 0 to 0.5")
    # Face A's skips are face B's of the mirrored board.
    up = 1.0 if face == "B" else -1.0
    clean, hidden = (
        (whole.solid.top, whole.solid.bottom) if face == "B" else (-whole.solid.bottom, -whole.solid.top)
    )
    solid = Solid(whole.solid.xy, clean, hidden)
    plain = slab_at(solid, up * whole.slab.a, up * whole.slab.b)
    best, kept = plain, 0.0
    if share > 0.0:
        a, b = _tilt(board, whole, solid, plain, share, up)
        for tilt in ((a, b), (plain.a, plain.b)):
            laid, covered = _laid(board, whole, solid, tilt, share, up)
            if laid.thickness > best.thickness:
                best, kept = laid, covered
    off = solid.bottom - solid.xy @ np.array([best.a, best.b]) - best.bottom
    k = int(np.argmax(off))
    slab = best if face == "B" else Slab(-best.a, -best.b, -best.bottom, -best.top)
    return Skips(
        face=face,
        thickness=best.thickness,
        kept=kept,
        deepest=max(float(off[k]) / best.lean, 0.0),
        x=float(solid.xy[k, 0]),
        y=float(solid.xy[k, 1]),
        slab=slab,
    )


def _lattice(region: Floats, along: int, across: int) -> Floats:
    """Return the (along, across, 2) places at equal steps between the region's corners, rim included."""
    u, v = np.meshgrid(np.linspace(0.0, 1.0, along), np.linspace(0.0, 1.0, across), indexing="ij")
    xy: Floats = region[0] + u[..., None] * (region[1] - region[0]) + v[..., None] * (region[3] - region[0])
    return xy


def _heights(board: Board, xy: Floats, up: float) -> Floats:
    """Return the heights (n,) of the face that may keep skips, as face B of the board or of its mirror."""
    return board.bottom_at(xy) if up > 0.0 else -board.top_at(xy)


def _tilt(
    board: Board, whole: Whole, solid: Solid, plain: Slab, share: float, up: float
) -> tuple[float, float]:
    """Return the slopes that give most, within `_WORTH`, as far as samples of equal area can tell."""
    corners = _lattice(whole.region, _ALONG + 1, _ACROSS + 1)
    middles = ((corners[1:, 1:] + corners[:-1, :-1]) / 2.0).reshape(-1, 2)
    unit = Unit.of(solid.xy)
    over, held = unit.scaled(middles), unit.scaled(solid.xy)
    slope = np.array([plain.a, plain.b])
    heights = _heights(board, middles, up) - middles @ slope
    places, upper = solid.xy, solid.top
    clean = upper - places @ slope
    # Among n samples, that many may stand above the plane.
    rank = len(heights) - 1 - int(share * len(heights))
    reach = float(clean.max() - heights.min()) - (plain.top - plain.bottom)
    half = np.array([max(reach, 0.0), max(reach, 0.0)])
    centres, best, found = np.zeros((1, 2)), -np.inf, np.zeros(2)
    for _ in range(_HALVINGS):
        room = clean[None, :] - centres @ held.T
        wood = heights[None, :] - centres @ over.T
        gives = room.min(axis=1) - np.partition(wood, rank, axis=1)[:, rank]
        k = int(np.argmax(gives))
        if gives[k] > best + 1e-9:
            best, found = float(gives[k]), centres[k]
        # Within a box no tilt moves a place by more than this.
        can = (room + np.abs(held) @ half).min(axis=1) - np.partition(
            wood - np.abs(over) @ half, rank, axis=1
        )[:, rank]
        order = np.argsort(-can, kind="stable")[:_MOST_BOXES]
        kept = centres[order[can[order] > best + _WORTH]]
        if not len(kept):
            break
        half = half / 2.0
        quarters = np.array([[-1.0, -1.0], [-1.0, 1.0], [1.0, -1.0], [1.0, 1.0]]) * half
        centres = (kept[:, None, :] + quarters[None, :, :]).reshape(-1, 2)
    a, b = unit.slopes(float(found[0]), float(found[1]))
    return plain.a + a, plain.b + b


def _laid(
    board: Board, whole: Whole, solid: Solid, tilt: tuple[float, float], share: float, up: float
) -> tuple[Slab, float]:
    """Return the slab of that tilt whose hidden face keeps at most `share`, and the share it keeps.

    The area is cut into small cells; a cell counts whole as soon as its highest place is above the plane. Its
    highest place is a corner of it, or stands where grid lines cross it: for those the fold's height over the
    cell is added.
    """
    xy = _lattice(whole.region, _FINE * _ALONG + 1, _FINE * _ACROSS + 1)
    flat = xy.reshape(-1, 2)
    off = (_heights(board, flat, up) - flat @ np.array(tilt)).reshape(xy.shape[:2])
    corners = np.stack([off[1:, 1:], off[1:, :-1], off[:-1, 1:], off[:-1, :-1]])
    highest = np.sort((corners.max(axis=0) + _folds(board, xy, up)).ravel())
    cells = len(highest)
    level = float(highest[cells - 1 - int(share * cells)])
    covered = float((highest > level + 1e-12).sum()) / cells
    slab = slab_at(solid, *tilt)
    # Never below the highest wood: there is no use in a plane above all of it.
    return Slab(slab.a, slab.b, slab.top, min(level, slab.bottom)), covered


def _folds(board: Board, xy: Floats, up: float) -> Floats:
    """Return by how much a cell between corners `xy` (n, m, 2) may be higher inside than at its corners.

    Where a grid line crosses a cell the surface is folded: by at most its change of slope times a quarter of
    the cell's size there (a tent over the cell; textbook geometry).
    """
    heights = board.bottom if up > 0.0 else -board.top
    more = np.zeros((xy.shape[0] - 1, xy.shape[1] - 1))
    for axis, lines, rows in ((0, board.x, heights), (1, board.y, heights.T)):
        if len(lines) < 2:
            continue
        slope = np.diff(rows, axis=0) / np.diff(lines)[:, None]
        # Beyond the grid the surface is level.
        level = np.zeros((1, rows.shape[1]))
        fold = np.abs(np.diff(np.vstack([level, slope, level]), axis=0)).max(axis=1)
        corner = np.stack([xy[1:, 1:, axis], xy[1:, :-1, axis], xy[:-1, 1:, axis], xy[:-1, :-1, axis]])
        low, high = corner.min(axis=0), corner.max(axis=0)
        for line, change in zip(lines, fold, strict=True):
            crossed = (low < line) & (line < high)
            more += np.where(crossed, change * (high - low) / 4.0, 0.0)
    return more
