"""The smooth shape that touches follow. In: places and heights, mm. Out: `Trend`, and the touches that stray.

Public:
    Trend(...)   z as a quadratic in x and y (a plane where there are too few places)
        .at(xy (n, 2)) -> (n,), .bend: second derivatives (2, 2), 1/mm
    trend_of(xy (n, 2), z (n,)) -> Trend
    between(trend, triangles (t, 3, 2)) -> mm     what planes through the corners of triangles miss
    stray(xy, z, reading) -> Stray(off (n,), limit (n,), kept (n,), trend, rough)
        off: by how much each touch stands above (below: negative) what the others say; touches beyond their
        `limit` are not `kept`; rough: half width, mm, of what the kept ones differ from their neighbours
Bow, cup and twist are quadratics, and a wedge is a plane: what is left over is reading, lumps and mistakes.
Promise: one wild touch never hides another, nor makes its neighbours look wild.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.lp import Unit
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]

__all__ = ["Stray", "Trend", "between", "stray", "trend_of"]

BEYOND_READING = 3.0  # times the half width of one reading: as readings turned over are held to each other
BEYOND_SCATTER = 6.0  # times the standard deviation: real wood has lumps; common practice, no source
_NORMAL = 1.4826  # standard deviations in a median absolute deviation, of a normal distribution (textbook)
_ENOUGH = 9  # places for a quadratic's six terms and three to check it; below them a plane
_BLOCK = 3  # touches in a block; a touch is compared with those of its own and of the eight blocks round it
_FEW = 12  # touches in those nine that say more than the trend does
_MOST_BLOCKS = 20_000  # one way, and in all: a log of a million touches stays quick
_ROUNDS = 60  # each leaves out all that are half as wild as the wildest: a few do for any board
_NEAREST = 8  # touches at other places, as many as surround one on a lattice
_WITNESSES = 2  # of those that stand as a wild one does make it a lump: one may be wild itself
_MOST_WILD = 2000  # beyond them the log as a whole is no board's
_ONE_PLACE = 0.1  # mm; touches nearer than that are of one place, and no witnesses for each other
_ALONE = 0.05  # share of its own height a touch must leave to the others, or nothing can be said of it


@frozen(eq=False)
class Trend:
    """z over unit coordinates u, v: `terms` of 1, u, v, u u, u v, v v, the last three 0 for a plane."""

    unit: Unit
    terms: Floats

    def at(self, xy: Floats) -> Floats:
        """Return the heights (n,) at `xy` (n, 2)."""
        result: Floats = _basis(self.unit.scaled(xy), full=True) @ self.terms
        return result

    @property
    def bend(self) -> Floats:
        """The matrix (2, 2) of second derivatives, 1/mm."""
        _, _, _, uu, uv, vv = self.terms
        sx, sy = self.unit.sx, self.unit.sy
        return np.array([[2 * uu / sx**2, uv / (sx * sy)], [uv / (sx * sy), 2 * vv / sy**2]])


@frozen(eq=False)
class Stray:
    """Which touches stray; see the module docstring."""

    off: Floats
    limit: Floats
    kept: Flags
    trend: Trend
    rough: float


def trend_of(xy: Floats, z: Floats) -> Trend:
    """Return the least-squares trend of touches `xy` (n, 2), `z` (n,)."""
    unit = Unit.of(xy)
    basis = _basis(unit.scaled(xy), full=_curved(xy))
    terms, *_ = np.linalg.lstsq(basis, z, rcond=None)
    return Trend(unit, np.concatenate([terms, np.zeros(6 - len(terms))]))


def between(trend: Trend, triangles: Floats) -> float:
    """Return by how much planes through the corners of `triangles` (t, 3, 2) miss the trend, mm.

    A quadratic of second derivatives H is missed by half the squared radius of the smallest circle round the
    triangle, measured in the lengths that H gives: the sagitta, along and across each by its own curve.
    """
    if len(triangles) == 0:
        return 0.0
    values, ways = np.linalg.eigh(trend.bend)
    corners = triangles @ (ways * np.sqrt(np.abs(values)))
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    return float((_circle(sides) ** 2).max()) / 2.0


def _circle(sides: Floats) -> Floats:
    """Return the radius (t,) of the smallest circle round triangles of `sides` (t, 3); textbook geometry."""
    a, b, c = np.sort(sides, axis=1).T
    half = (a + b + c) / 2.0
    area = np.sqrt(np.maximum(half * (half - a) * (half - b) * (half - c), 0.0))
    acute = (a * a + b * b > c * c) & (area > 0.0)
    round_all = a * b * c / np.where(acute, 4.0 * area, 1.0)
    result: Floats = np.where(acute, round_all, c / 2.0)
    return result


def stray(xy: Floats, z: Floats, reading: float) -> Stray:
    """Return which of the touches `xy` (n, 2), `z` (n,) stand where their neighbours say nothing stands."""
    blocks = _blocks(xy)
    kept = np.ones(len(z), dtype=bool)
    off, limit, rough = _against_others(xy, z, kept, blocks, reading)
    for _ in range(_ROUNDS):
        over = np.where(kept, np.abs(off) / limit, 0.0)
        if over.max() <= 1.0 or kept.sum() - (over > 1.0).sum() < 4:
            break
        # The wildest first: a wild touch pulls the shape, and so makes honest ones look wild.
        kept &= (over <= 1.0) | (over < 0.5 * over.max())
        off, limit, rough = _against_others(xy, z, kept, blocks, reading)
    kept = np.abs(off) <= limit
    if kept.any():  # where all stray from all others, none of them is the odd one
        kept |= _agreed(xy, z - trend_of(xy[kept], z[kept]).at(xy), ~kept, limit)
    if kept.sum() < 4:
        kept = np.ones(len(z), dtype=bool)
    return Stray(off, limit, kept, trend_of(xy[kept], z[kept]), rough)


def _against_others(
    xy: Floats,
    z: Floats,
    kept: Flags,
    blocks: list[tuple[NDArray[np.intp], NDArray[np.intp]]],
    reading: float,
) -> tuple[Floats, Floats, float]:
    """Return how far each touch lies off what the others say, its limit, and how rough the kept ones are."""
    trend = trend_of(xy[kept], z[kept])
    basis = _basis(trend.unit.scaled(xy), full=_curved(xy[kept]))
    inverse = np.linalg.pinv(basis[kept].T @ basis[kept])
    share = np.where(kept, 1.0 - np.einsum("ij,jk,ik->i", basis, inverse, basis), 1.0)
    share = np.where(share > _ALONE, share, np.inf)
    off = (z - trend.at(xy)) / share
    local = np.zeros(len(z))
    for own, near in blocks:
        others = near[kept[near]]
        if len(others) >= _FEW:
            local[own] = np.median(off[others])
    off = off - local
    # How far the others scatter, once by their median, which several wild touches do not move, and once by
    # their squares with each touch itself left out (textbook: deleted residuals), which few touches suffice
    # for. The lesser is taken.
    median = _NORMAL * float(np.median(np.abs(off[kept])))
    left = np.where(np.isfinite(share), share, 1.0)
    all_squares = float(((off * left)[kept] ** 2).sum())
    spare = max(int(kept.sum()) - basis.shape[1] - 1, 1)
    without = np.maximum(all_squares - np.where(kept, off**2 * left, 0.0), 0.0)
    deleted = np.sqrt(without / spare / left)
    limit = np.maximum(BEYOND_READING * reading, BEYOND_SCATTER * np.minimum(median, deleted))
    return off, limit, 2.0 * median


def _agreed(xy: Floats, off: Floats, wild: Flags, limit: Floats) -> Flags:
    """Return which of the `wild` touches stand where others beside them stand: on a lump of wood."""
    found = np.zeros(len(xy), dtype=bool)
    rows = np.nonzero(wild)[0]
    for row in rows if len(rows) <= _MOST_WILD else ():
        away = np.hypot(*(xy - xy[row]).T)
        away[away < _ONE_PLACE] = np.inf
        nearest = np.argsort(away, kind="stable")[:_NEAREST]
        found[row] = (np.abs(off[row] - off[nearest]) <= limit[row]).sum() >= _WITNESSES
    return found


def _curved(xy: Floats) -> bool:
    """Return whether the places can show a curve both ways."""
    return len(np.unique(np.round(xy, 1), axis=0)) >= _ENOUGH and all(
        len(np.unique(np.round(column, 1))) >= 3 for column in xy.T
    )


def _basis(uv: Floats, *, full: bool) -> Floats:
    u, v = uv.T
    plane = [np.ones(len(u)), u, v]
    return np.column_stack([*plane, u * u, u * v, v * v] if full else plane)


def _blocks(xy: Floats) -> list[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """Return for each block of touches their indices, and those of it and of the blocks round it."""
    low, size = xy.min(axis=0), np.maximum(np.ptp(xy, axis=0), 1e-9)
    count = max(min(len(xy) / _BLOCK, _MOST_BLOCKS), 1.0)
    side = max(float(np.sqrt(size[0] * size[1] / count)), float(size.max()) / _MOST_BLOCKS)
    cell = ((xy - low) / side).astype(int)
    columns = int(cell[:, 1].max()) + 3
    key = (cell[:, 0] + 1) * columns + cell[:, 1] + 1
    order = np.argsort(key, kind="stable")
    keys, first = np.unique(key[order], return_index=True)
    members = dict(zip(keys.tolist(), np.split(order, first[1:]), strict=True))
    nothing = np.empty(0, dtype=np.intp)
    return [
        (
            own,
            np.concatenate(
                [members.get(k + di * columns + dj, nothing) for di in (-1, 0, 1) for dj in (-1, 0, 1)]
            ),
        )
        for k, own in members.items()
    ]
