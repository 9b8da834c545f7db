"""Where shims go and what they are stacked from. In: `Board`, the shop's shims. Out: places, stacks.

Public:
    shim_places(board, longest=400.0) -> (k, 2)     two rails of places, board frame, near the rim
    stack(gap, shop) -> tuple of thicknesses        the stack nearest to the gap, thickest first, () for none
Promise: every place is on the board, at a station where one is near enough, and neighbours along a rail are
no more than `longest` apart.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["LEAST", "LONGEST", "shim_places", "stack"]

LEAST = 0.05  # mm; a thinner shim is paper, not a shim: common practice, no source
LONGEST = 400.0  # mm between shims along a rail; common practice, no source
_INSET = 10.0  # mm from the rim to the middle of a shim; common practice, no source


def shim_places(board: Board, longest: float = LONGEST) -> Floats:
    """Return the (k, 2) places for shims: two rails, near edge-1 and near edge-2, from end to end.

    Along, the fewest stations that leave no span beyond `longest`; where stations lie wider apart, places
    between them (the underside is interpolated there). Across, the outermost stations, moved inwards where
    the crooked outline asks for it.
    """
    along = _along(board, longest)
    places = []
    for x in along:
        low, high = _across(board.outline, x)
        inset = min(_INSET, (high - low) / 4.0)
        near = float(np.clip(board.y[0], low + inset, high - inset))
        far = float(np.clip(board.y[-1], low + inset, high - inset))
        places += [(x, near), (x, far)]
    return np.array(places)


def _along(board: Board, longest: float) -> list[float]:
    x_low, _, x_high, _ = board.bounds
    inset = min(_INSET, (x_high - x_low) / 4.0)
    first = float(np.clip(board.x[0], _end(board.outline, -1) + inset, x_high - inset))
    last = float(np.clip(board.x[-1], first, _end(board.outline, 1) - inset))
    stations = [float(x) for x in board.x if first < x < last]
    chosen = [first]
    while last - chosen[-1] > longest:
        reachable = [x for x in stations if chosen[-1] < x <= chosen[-1] + longest]
        if reachable:
            chosen.append(reachable[-1])
            continue
        following = min([x for x in stations if x > chosen[-1]] + [last])
        gap = following - chosen[-1]
        chosen.append(chosen[-1] + gap / math.ceil(gap / longest))
    return [*chosen, last]


def _end(outline: Floats, side: int) -> float:
    """Return how far the end reaches at its shortest: the less far of its two corners."""
    reach = outline @ np.array([side * 1.0, 0.0])
    span = float(np.ptp(outline[:, 0])) / 4.0
    y_middle = float(outline[:, 1].min() + outline[:, 1].max()) / 2.0
    ends = [
        float(reach[half].max()) if half.any() else float(reach.max())
        for half in (outline[:, 1] < y_middle, outline[:, 1] >= y_middle)
    ]
    return side * max(min(ends), float(reach.max()) - span)


def _across(outline: Floats, x: float) -> tuple[float, float]:
    """Return the outline's lowest and highest y at `x`."""
    p, q = outline, np.roll(outline, -1, axis=0)
    hit = (np.minimum(p[:, 0], q[:, 0]) <= x) & (np.maximum(p[:, 0], q[:, 0]) >= x) & (p[:, 0] != q[:, 0])
    t = (x - p[hit, 0]) / (q[hit, 0] - p[hit, 0])
    y = p[hit, 1] + t * (q[hit, 1] - p[hit, 1])
    return float(y.min()), float(y.max())


def stack(gap: float, shop: tuple[float, ...]) -> tuple[float, ...]:
    """Return the stack of shims nearest to `gap` mm, fewest pieces, thickest first.

    Any number of each. Of two stacks equally near the thinner one: a board on a low shim still touches
    its neighbours. An empty tuple: no shim is nearest.
    """
    # Counted in micrometres, the finest a shim is sold in; by the common divisor to keep the table short.
    sizes = tuple(sorted({round(s * 1000.0) for s in shop if s > 0.0}))
    if not sizes:
        return ()
    unit = math.gcd(*sizes)
    table = _fewest(tuple(s // unit for s in sizes), math.ceil(gap * 1000.0 / unit) + sizes[0] // unit)
    reachable = np.nonzero(table[:, 0] >= 0)[0]
    best = int(reachable[np.argmin(np.abs(reachable * unit - gap * 1000.0))])
    pieces = []
    while best > 0:
        piece = int(table[best, 1])
        pieces.append(piece * unit / 1000.0)
        best -= piece
    return tuple(sorted(pieces, reverse=True))


@lru_cache(maxsize=8)
def _table(sizes: tuple[int, ...], upto: int) -> NDArray[np.int64]:
    table = np.full((upto + 1, 2), -1, dtype=np.int64)
    table[0] = 0
    for total in range(1, upto + 1):
        for size in sizes:
            before = total - size
            if before >= 0 and table[before, 0] >= 0:
                pieces = table[before, 0] + 1
                if table[total, 0] < 0 or pieces <= table[total, 0]:
                    table[total] = pieces, size
    return table


def _fewest(sizes: tuple[int, ...], upto: int) -> NDArray[np.int64]:
    """Return rows (pieces, last piece) for each total up to `upto`; -1 where no stack has that total."""
    # Rounded up so that shims of one board share one table.
    return _table(sizes, -(-upto // 128) * 128)[: upto + 1]
