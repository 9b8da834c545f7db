"""Where a surface stands at least so high. In: heights on a lattice, a level. Out: closed loops.

Public:
    at_least(x (n,), y (m,), heights (n, m), level) -> list of (k, 2)
                        loops with the higher ground on their left; a hole is a loop the other way round
Promise: the loops are closed, also along the lattice's rim, so they may be filled (even-odd); the same
heights give the same loops.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["at_least"]

# The sides of a cell by number: 0 low y, 1 high x, 2 high y, 3 low x. Corners, in bits: (0, 0) 1, (1, 0) 2,
# (1, 1) 4, (0, 1) 8. For the corners that are high: from which side to which, high ground on the left.
_TURNS: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((0, 3),),
    2: ((1, 0),),
    3: ((1, 3),),
    4: ((2, 1),),
    6: ((2, 0),),
    7: ((2, 3),),
    8: ((3, 2),),
    9: ((0, 2),),
    11: ((1, 2),),
    12: ((3, 1),),
    13: ((0, 1),),
    14: ((3, 0),),
}
# Two opposite corners high: joined where the middle is high, else apart.
_SADDLES: dict[tuple[int, bool], tuple[tuple[int, int], ...]] = {
    (5, False): ((0, 3), (2, 1)),
    (5, True): ((0, 1), (2, 3)),
    (10, False): ((1, 0), (3, 2)),
    (10, True): ((1, 2), (3, 0)),
}


def at_least(x: Floats, y: Floats, heights: Floats, level: float) -> list[Floats]:
    """Return the loops around all ground of at least `level` (marching squares, textbook)."""
    # A rim of low ground of no width closes the loops along the lattice's own rim.
    xs, ys = np.concatenate([x[:1], x, x[-1:]]), np.concatenate([y[:1], y, y[-1:]])
    low = min(float(heights.min()), level) - 1.0
    z = np.full((len(xs), len(ys)), low)
    z[1:-1, 1:-1] = heights
    high = z >= level
    code = high[:-1, :-1] + 2 * high[1:, :-1] + 4 * high[1:, 1:] + 8 * high[:-1, 1:]
    onward: dict[tuple[int, int, int], tuple[int, int, int]] = {}
    for i, j in np.argwhere((code > 0) & (code < 15)):
        kind = int(code[i, j])
        middle = bool(z[i : i + 2, j : j + 2].mean() >= level)
        turns = _SADDLES[kind, middle] if kind in {5, 10} else _TURNS[kind]
        for come, go in turns:
            onward[_side(int(i), int(j), come)] = _side(int(i), int(j), go)
    loops = []
    while onward:
        start = next(iter(onward))
        side, loop = start, []
        while side in onward:
            loop.append(_crossing(xs, ys, z, side, level))
            side = onward.pop(side)
        loops.append(np.array(loop))
    return loops


def _side(i: int, j: int, side: int) -> tuple[int, int, int]:
    """Return a side's name, the same from both cells: its first corner, and 0 along x or 1 along y."""
    return ((i, j, 0), (i + 1, j, 1), (i, j + 1, 0), (i, j, 1))[side]


def _crossing(
    xs: Floats, ys: Floats, z: Floats, side: tuple[int, int, int], level: float
) -> tuple[float, float]:
    i, j, along = side
    i2, j2 = (i, j + 1) if along else (i + 1, j)
    a, b = float(z[i, j]), float(z[i2, j2])
    share = (level - a) / (b - a)
    return float(xs[i] + share * (xs[i2] - xs[i])), float(ys[j] + share * (ys[j2] - ys[j]))
