"""Where shims go and what they are stacked from. In: `Board`, the shop's shims. Out: places, stacks.

Public:
    shim_places(board, longest=400.0) -> (k, 2)     two rails of places, board frame, near the rim
    stack(gap, shop) -> tuple of thicknesses        the stack nearest to the gap, thickest first, () for none
    stacked(gaps, shop, above=True) -> (k,)         how thick those stacks are; with above=False the thickest
                                                    that fit under; of few pieces, where that costs a hair
    reach_at(outline, x (k,)) -> low (k,), high (k,)    the outline's lowest and highest y there
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

__all__ = ["LEAST", "LONGEST", "reach_at", "shim_places", "stack", "stacked"]

LEAST = 0.05  # mm; a thinner shim is paper, not a shim: common practice, no source
FINEST = (10_000, 1_000)  # to a mm: what shims are counted in
EXACT = 1e-6  # of a unit: sums of decimals may differ by their last bits
SHORT = 10  # of these in the unit: the table of a deep gap is short enough
FEW = 5  # pieces beside those of the thickest size: what a hand puts in at once; common practice, no source
HAIR = LEAST  # mm: thinner than any shim, so a stack of few pieces may be off by so much more
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
    for x, low, high in zip(along, *reach_at(board.outline, np.array(along)), strict=True):
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


def reach_at(outline: Floats, x: Floats) -> tuple[Floats, Floats]:
    """Return the outline's lowest and highest y (k,) at each `x` (k,), as at the nearer end beyond it."""
    p, q = outline, np.roll(outline, -1, axis=0)
    p, q = p[p[:, 0] != q[:, 0]], q[p[:, 0] != q[:, 0]]
    at = np.clip(np.asarray(x, dtype=float), outline[:, 0].min(), outline[:, 0].max())[:, None]
    hit = (np.minimum(p[:, 0], q[:, 0]) <= at) & (np.maximum(p[:, 0], q[:, 0]) >= at)
    y = p[:, 1] + (at - p[:, 0]) / (q[:, 0] - p[:, 0]) * (q[:, 1] - p[:, 1])
    return np.where(hit, y, np.inf).min(axis=1), np.where(hit, y, -np.inf).max(axis=1)


@lru_cache(maxsize=4096)
def stack(gap: float, shop: tuple[float, ...]) -> tuple[float, ...]:
    """Return the stack of shims nearest to `gap` mm, fewest pieces, thickest first.

    Any number of each. Of two stacks equally near the thinner one: a board on a low shim still touches
    its neighbours. An empty tuple: no shim is nearest. What `stacked` gave is stacked so.
    """
    sizes, unit = _sizes(shop)
    if not sizes:
        return ()
    last, reachable, _ = _table(sizes, _upto(gap, sizes, unit))
    best = round(gap / unit)
    if abs(gap / unit - best) > EXACT or best not in reachable:
        best = round(float(stacked(np.array([gap]), shop)[0]) / unit)
    pieces = []
    while best > 0:
        pieces.append(round(int(last[best]) * unit, 6))
        best -= int(last[best])
    return tuple(sorted(pieces, reverse=True))


def stacked(gaps: Floats, shop: tuple[float, ...], *, above: bool = True) -> Floats:
    """Return how thick the stack nearest to each of the `gaps` (k,) is, mm; not `above` it if asked.

    Sizes of two kinds (thousandths beside sixty-fourths) come within a micrometre of any gap, by dozens of
    thin pieces: a stack of `FEW` pieces that is off by a `HAIR` more is taken instead. Below a gap alone,
    they lie twice as far apart.
    """
    sizes, unit = _sizes(shop)
    if not sizes:
        return np.zeros(len(gaps))
    _, every, few = _table(sizes, _upto(float(gaps.max()), sizes, unit))
    wanted = gaps / unit
    nearest, easy = (_nearest(wanted, totals, above=above) for totals in (every, few))
    hair = (HAIR if above else 2 * HAIR) / unit
    worse = np.abs(easy - wanted) > np.abs(nearest - wanted) + hair
    result: Floats = np.round(np.where(worse, nearest, easy) * unit, 6)
    return result


def _nearest(wanted: Floats, totals: NDArray[np.int64], *, above: bool) -> NDArray[np.int64]:
    """Return of the `totals`, rising, the nearest to each of the `wanted` (k,), or the nearest below it."""
    after = np.searchsorted(totals, wanted + EXACT, side="right")
    low = totals[np.maximum(after - 1, 0)]
    high = totals[np.minimum(after, len(totals) - 1)]
    result: NDArray[np.int64] = np.where(above & (high - wanted < wanted - low), high, low)
    return result


def _upto(gap: float, sizes: tuple[int, ...], unit: float) -> int:
    """Return how far to tabulate, in units; rounded up so that the shims of one board share one table."""
    return -(-(math.ceil(max(gap, 0.0) / unit) + sizes[0]) // 128) * 128


@lru_cache(maxsize=8)
def _sizes(shop: tuple[float, ...]) -> tuple[tuple[int, ...], float]:
    """Return the shop's sizes in units, thinnest first, and the unit in mm, their common divisor.

    Thousandths of an inch are whole only in tenths of a micrometre; rounded to micrometres, twenty thin
    shims would seem nearer than three thick ones. Where that makes the unit too small, and the table too
    long, micrometres do, the finest a shim is sold in.
    """
    sizes: list[int] = []
    unit, finest = 1, FINEST[-1]
    for finest in FINEST:
        sizes = sorted({round(s * finest) for s in shop if s > 0.0})
        unit = math.gcd(*sizes) if sizes else 1
        if unit >= SHORT:
            break
    return tuple(s // unit for s in sizes), unit / finest


@lru_cache(maxsize=8)
def _table(
    sizes: tuple[int, ...], upto: int
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Return the last piece of the fewest for each total up to `upto`, and the totals of a stack, of few."""
    count, last = [0, *[-1] * upto], [0] * (upto + 1)
    for total in range(1, upto + 1):
        for size in sizes:
            before = total - size
            if before >= 0 and count[before] >= 0 and (count[total] < 0 or count[before] + 1 <= count[total]):
                count[total], last[total] = count[before] + 1, size
    pieces = np.array(count)
    every = np.flatnonzero(pieces >= 0)
    few = every[pieces[every] <= FEW + every // sizes[-1]]
    return np.array(last, dtype=np.int64), every, few
