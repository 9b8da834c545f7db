"""What a board gives as a whole, and cut into shorter or narrower pieces first. In: `Board`. Out: sizes.

Public:
    Size(length, width, thickness)                  mm; thickness before allowances
    Whole(squared, slab, size)                      the largest rectangle, and the thickest slab in it
    Parts(lengthwise, crosswise, size, each)        equal pieces, each seated on its own; `each`: thicknesses
    whole(board) -> Whole
    parts(board, whole, lengthwise, crosswise) -> Parts
    solid_in(board, region) -> `slab.Solid`         of a convex part of the board
Promise: a piece never gives less thickness than the whole it is cut from. The saw's kerf is not taken off.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.frame import levelled_outlines, levelling
from stockwright.board.slab import Slab, Solid, thickest_slab
from stockwright.board.squared import Squared, squared
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["Parts", "Size", "Whole", "parts", "solid_in", "whole"]


@frozen
class Size:
    """A finished box, mm."""

    length: float
    width: float
    thickness: float


@frozen(eq=False)
class Whole:
    """The largest box with the whole outline squared; `region` (4, 2) is its rectangle, board frame."""

    squared: Squared
    slab: Slab
    solid: Solid
    region: Floats
    size: Size


@frozen
class Parts:
    """Equal pieces, `lengthwise` along the board and `crosswise` across it; `size` is what all can give."""

    lengthwise: int
    crosswise: int
    size: Size
    each: tuple[float, ...]


def whole(board: Board) -> Whole:
    """Return the largest rectangle of the outline and the thickest slab above and below it.

    The board's sides stand upright as measured, so they lean under the tilt that the slab wants: the
    rectangle lies inside the outline at both faces of the slab.
    """
    # The tilt decides how the sides lean, the rectangle which tilt is best: of the whole board's best tilt
    # it is less than a hundredth of a millimetre away.
    xy = board.critical_points()
    slab = thickest_slab(Solid(xy, board.top_at(xy), board.bottom_at(xy)))
    best = squared(levelled_outlines(board.outline, slab.a, slab.b, (slab.bottom, slab.top)))
    region = _as_measured(best.corners(), slab)
    solid = solid_in(board, region)
    slab = thickest_slab(solid)
    return Whole(best, slab, solid, region, Size(best.length, best.width, slab.thickness))


def parts(board: Board, whole: Whole, lengthwise: int, crosswise: int) -> Parts:
    """Return what equal pieces of the whole's rectangle give, each on its own best tilt.

    From end-1 to end-2, and within that from edge-1 to edge-2.
    """
    each = tuple(
        thickest_slab(solid_in(board, _as_measured(part, whole.slab))).thickness
        for part in whole.squared.parts(lengthwise, crosswise)
    )
    size = Size(whole.size.length / lengthwise, whole.size.width / crosswise, min(each))
    return Parts(lengthwise, crosswise, size, each)


def solid_in(board: Board, region: Floats) -> Solid:
    """Return points where a plane bound must hold to hold on all of `region` (k, 2), convex, anticlockwise.

    Inside a cell of the grid a surface less a plane is bilinear, so it is extreme on the rim of what the
    region holds of that cell: on grid lines, where it is linear, and on the region's sides, where it is
    quadratic and lies between its ends and the mean of the two other corners of the box around them (its
    Bezier point). So: the grid's knots in the region, the sides cut at the grid lines, and those corners.
    """
    found = [region]
    for p, q in zip(region, np.roll(region, -1, axis=0), strict=True):
        run = q - p
        shares = [np.array([0.0, 1.0])]
        for axis, lines in ((0, board.x), (1, board.y)):
            if run[axis] != 0.0:
                share = (lines - p[axis]) / run[axis]
                shares.append(share[(share > 0.0) & (share < 1.0)])
        on = p + np.unique(np.concatenate(shares))[:, None] * run
        found += [on, np.column_stack([on[:-1, 0], on[1:, 1]]), np.column_stack([on[1:, 0], on[:-1, 1]])]
    xx, yy = np.meshgrid(board.x, board.y, indexing="ij")
    knots = np.column_stack([xx.ravel(), yy.ravel()])
    inside = np.ones(len(knots), dtype=bool)
    for p, q in zip(region, np.roll(region, -1, axis=0), strict=True):
        run, off = q - p, knots - p
        inside &= run[0] * off[:, 1] - run[1] * off[:, 0] >= 0.0
    xy = np.unique(np.vstack([*found, knots[inside]]), axis=0)
    return Solid(xy, board.top_at(xy), board.bottom_at(xy))


def _as_measured(levelled: Floats, slab: Slab) -> Floats:
    """Return the board's xy of places (n, 2) on the middle of the slab, given in levelled xy."""
    turn = levelling(slab.a, slab.b)
    level = (slab.top + slab.bottom) / 2.0 / slab.lean
    points = np.column_stack([levelled, np.full(len(levelled), level)])
    return np.asarray((points @ turn)[:, :2], dtype=float)
