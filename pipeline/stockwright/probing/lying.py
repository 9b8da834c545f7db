"""How a board lies while it is measured. In: a shop, a board, its setup's number. Out: `Lying`.

Work frame, mm, unless said. Promise: the board is as unsure as it may lie when it is laid anew, so that its
highest and its least wood are cautious both ways; a stop beside it is lower than the least.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.hold_downs import Stop
from stockwright.planning.clamping import GAP, box
from stockwright.planning.holding import fence_solids, room_beside
from stockwright.planning.setup import Lies, Placing, Setup, Solid
from stockwright.units import format_length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.surface import Board
    from stockwright.machine import Shop

    Floats = NDArray[np.float64]

__all__ = ["By", "Lying", "laid"]

By = Literal["probe", "hand"]

# How much differently a flat board may lie when it is laid anew, mm; common practice, no source.
LIES_ANEW = 1.0


@frozen(eq=False)
class Lying:
    """A board on the bed of `shop`, face A up, in setup `index`; `board` is as unsure as it may lie.

    `shift` (2,) and `lift` bring the board's frame to work; `outline` (n, 2) is where it lies, and `solids`
    stand round it. No wood is higher than `highest`.
    """

    shop: Shop
    board: Board
    index: int
    shift: Floats
    lift: float
    outline: Floats
    solids: tuple[Solid, ...]
    highest: float

    def top(self, x: float, y: float) -> float:
        """Return the height of the upper face at a place of the board, as far as it is known."""
        return float(self.board.top_at(np.array([[x, y]]))[0]) + self.lift

    def least(self, points: Floats) -> float:
        """Return the least height that the upper face may have at `points` (n, 2) of the board."""
        return _least(self.board, points, self.lift)

    def setup(self, clear: float, by: By) -> Setup:
        """Return the setup in which the board is read; programs travel at `clear`."""
        matrix = np.eye(4)
        matrix[:3, 3] = (*self.shift, self.lift)
        what = "the probe's tip" if by == "probe" else "what touches the wood later"
        mark = self.shop.bed.mark
        return Setup(
            index=self.index,
            title=f"{self.board.name}: heights of the upper face",
            cuts=(),
            lies=(Lies(self.board.name, "A", 0, matrix),),
            work_origin=(*mark, 0.0),
            zero_z="bed",
            zero_how=f"z on the bed beside the board, with {what}; x and y at the mark on the bed",
            goals=(),
            solids=self.solids,
            shims=(),
            placing=_placing(self.shop, self.outline),
            wood_outline=self.outline,
            wood_top=self.highest,
            clear_z=clear,
            seat_check=(),
            notes=(),
        )


def laid(shop: Shop, board: Board, index: int) -> Lying:
    """Lay a board beside the fence, or at the bed's near side, in the middle along x."""
    points = board.critical_points()
    bottom = board.bottom_at(points)
    # The board touches the bed, and once laid anew it may tilt by as much as its underside is out of flat.
    lift = -float(bottom.min())
    anew = max(LIES_ANEW, float(np.ptp(bottom)))
    unsure = replace(board, uncertainty=round(board.uncertainty + anew, 3))
    shift = _shift(shop, board)
    outline = np.asarray(board.outline, dtype=float) + shift
    solids = _solids(shop, outline, _least(unsure, points, lift))
    highest = float(board.top_at(points).max()) + lift + unsure.uncertainty
    return Lying(shop, unsure, index, shift, lift, outline, solids, highest)


def _shift(shop: Shop, board: Board) -> Floats:
    """Return where the board's own zero comes to lie: in the middle of the bed, beside the fence, (2,)."""
    x0, y0, x1, _ = board.bounds
    mark_x, mark_y = shop.bed.mark
    middle = (shop.bed.x[0] + shop.bed.x[1]) / 2 - mark_x
    near = (shop.fence.face if shop.fence else shop.bed.y[0]) - mark_y + room_beside(shop) + GAP
    return np.array([round(middle - (x0 + x1) / 2), round(near - y0)], dtype=float)


def _least(board: Board, points: Floats, lift: float) -> float:
    return float(board.top_at(points).min()) + lift - board.uncertainty


def _solids(shop: Shop, outline: Floats, least: float) -> tuple[Solid, ...]:
    """Return the fence as it stands, and a stop at each end where the shop has one that is low enough."""
    solids = list(fence_solids(shop, shop.fence, ())) if shop.fence else []
    low = [h for h in shop.hold_downs if isinstance(h, Stop) and h.height < least and h.count >= 2]
    if not low:
        return tuple(solids)
    stop = max(low, key=lambda h: (h.height, h.name))
    wood = shapely.Polygon(outline)
    x0, y0, x1, y1 = wood.bounds
    a, b = (y0 + y1 - stop.length) / 2, (y0 + y1 + stop.length) / 2
    touched = wood.intersection(shapely.box(x0 - 1, a, x1 + 1, b)).bounds
    left, right = float(touched[0]), float(touched[2])
    solids += [
        Solid(f"{stop.name} at end-1", "stop", box(left - stop.depth, a, left, b), 0.0, stop.height),
        Solid(f"{stop.name} at end-2", "stop", box(right, a, right + stop.depth, b), 0.0, stop.height),
    ]
    return tuple(solids)


def _placing(shop: Shop, outline: Floats) -> tuple[Placing, ...]:
    """Two distances that lay the board: its ends' line along x, its near corner from the fence."""
    wood = shapely.Polygon(outline)
    x0, _, x1, _ = wood.bounds
    line_y = shop.fence.face - shop.bed.mark[1] if shop.fence else 0.0
    line = "the fence's face" if shop.fence else "the line through the mark, along x"
    found = []
    for x in (x0 + 0.1 * (x1 - x0), x1 - 0.1 * (x1 - x0)):
        across = wood.intersection(shapely.LineString([(x, -1e5), (x, 1e5)])).bounds
        gap = round(float(across[1]) - line_y, 1)
        where = format_length(round(float(x)), shop.units)
        text = f"{format_length(gap, shop.units)} from {line} to the board's near edge, at x = {where}"
        found.append(Placing(round(float(x), 1), gap, text))
    side = "right" if x0 >= 0 else "left"
    far = format_length(round(abs(x0), 1), shop.units)
    text = f"{far} along x from the mark to the board's left end, which lies {side} of it"
    return (*found, Placing(round(float(x0), 1), round(abs(float(x0)), 1), text))
