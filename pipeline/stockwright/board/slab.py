"""Planes against a measured solid. In: points with their top and bottom. Out: slabs and how a board rests.

Public:
    Solid(xy (n, 2), top (n,), bottom (n,))         the points at which bounds must hold
    Slab(a, b, top, bottom)                         planes z = a x + b y + top, + bottom; .thickness
    slab_at(solid, a, b) -> Slab                    the thickest slab of that tilt, closed form
    thickest_slab(solid) -> Slab                    LP1: of any tilt
    Rest(a, b, c), rest(xy (n, 2), z (n,), under=(x, y)) -> Rest
                                                    the plane a rigid body stands on, its weight at `under`
    pressed(weight, centre, force, at) -> (x, y)    where weight and press together act: hand it to `rest`
    least_shims(solid, under_xy (k, 2), under_z (k,), supports_xy (j, 2), supports_z (j,), demand) -> Rest
                                                    LP2: the support plane with the smallest shims whose
                                                    slab is `demand` thick, measured along z (None: no demand)
Promise: optima of linear programs, made unique by further objectives, so the same board gives the same tilt.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.lp import Unit, extremes, grow

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Rest", "Slab", "Solid", "least_shims", "pressed", "rest", "slab_at", "thickest_slab"]

_SLACK = 1e-7  # mm; by how much an earlier objective may yield to a later one


@dataclass(frozen=True, eq=False)
class Solid:
    """Points of a measured solid: `xy` (n, 2), heights `top` and `bottom` (n,), mm."""

    xy: Floats
    top: Floats
    bottom: Floats


@dataclass(frozen=True)
class Slab:
    """The slab between z = a x + b y + `bottom` and z = a x + b y + `top`."""

    a: float
    b: float
    top: float
    bottom: float

    @property
    def lean(self) -> float:
        """A length along z per length across the planes."""
        return float(np.sqrt(1.0 + self.a**2 + self.b**2))

    @property
    def thickness(self) -> float:
        """Across the planes, mm; negative where no slab fits."""
        return (self.top - self.bottom) / self.lean


@dataclass(frozen=True)
class Rest:
    """The plane z = a x + b y + c that the board stands on."""

    a: float
    b: float
    c: float


def slab_at(solid: Solid, a: float, b: float) -> Slab:
    """Return the thickest slab with slopes `a`, `b` inside the solid."""
    lean = solid.xy @ np.array([a, b])
    return Slab(a, b, float((solid.top - lean).min()), float((solid.bottom - lean).max()))


def thickest_slab(solid: Solid) -> Slab:
    """Return the thickest slab of any tilt inside the solid."""
    unit = Unit.of(solid.xy)
    uv = unit.scaled(solid.xy)
    count = len(uv)
    one, none = np.ones((count, 1)), np.zeros((count, 1))
    # Columns: slopes p, q, then c of the lower and of the upper plane.
    rows = np.vstack([np.hstack([uv, none, one]), np.hstack([-uv, -one, none])])
    lower, upper = solid.bottom, solid.top
    most = np.concatenate([upper, -lower])
    box = _box(upper, lower)
    first = np.concatenate([extremes(uv, upper), extremes(uv, lower) + count])
    p, q, _, _ = grow([0.0, 0.0, 1.0, -1.0], rows, most, [-box] * 4, [box] * 4, first)
    return slab_at(solid, *unit.slopes(p, q))


def rest(xy: Floats, z: Floats, under: tuple[float, float]) -> Rest:
    """Return the plane below all points that is highest at `under`: least potential energy.

    `xy` (n, 2), `z` (n,) are the places where the body can touch its support.
    """
    unit = Unit.of(xy)
    uv = unit.scaled(xy)
    u, v = unit.scaled(np.array([under]))[0]
    box = _box(z, z)
    rows = np.hstack([uv, np.ones((len(uv), 1))])
    p, q, _ = grow([-u, -v, -1.0], rows, z, [-box] * 3, [box] * 3, extremes(uv, z))
    return _grounded(xy, z, *unit.slopes(p, q))


def pressed(
    weight: float, centre: tuple[float, float], force: float, at: tuple[float, float]
) -> tuple[float, float]:
    """Return the place where a board's `weight` (N) at `centre` and a `force` (N) down `at` act as one."""
    total = weight + force
    return (
        (weight * centre[0] + force * at[0]) / total,
        (weight * centre[1] + force * at[1]) / total,
    )


def least_shims(
    solid: Solid,
    under_xy: Floats,
    under_z: Floats,
    supports_xy: Floats,
    supports_z: Floats,
    demand: float | None,
) -> Rest:
    """Return the support plane that needs the least shims.

    First the largest shim is made least, then their sum, then the slab thick, then the tilt small. Raises
    `lp.InfeasibleError` where no tilt gives `demand`.
    """
    unit = Unit.of(under_xy)
    held, uv, s = unit.scaled(solid.xy), unit.scaled(under_xy), unit.scaled(supports_xy)
    n, k, j = len(held), len(uv), len(s)
    # Columns: slopes p, q; c of the lower, the upper and the support plane; largest shim; |p|, |q|.
    blocks = [np.zeros((n, 8)), np.zeros((n, 8)), np.zeros((k, 8)), np.zeros((j, 8)), np.zeros((5, 8))]
    blocks[0][:, :2], blocks[0][:, 3] = held, 1.0
    blocks[1][:, :2], blocks[1][:, 2] = -held, -1.0
    blocks[2][:, :2], blocks[2][:, 4] = uv, 1.0
    blocks[3][:, :2], blocks[3][:, 4], blocks[3][:, 5] = -s, -1.0, -1.0
    blocks[4][0, [2, 3]] = 1.0, -1.0
    for row, (column, sign, size) in enumerate(((0, 1, 6), (0, -1, 6), (1, 1, 7), (1, -1, 7)), start=1):
        blocks[4][row, column], blocks[4][row, size] = sign, -1.0
    rows = np.vstack(blocks)
    box = _box(solid.top, under_z)
    slab = -demand if demand is not None else 2.0 * box
    lower, upper = solid.bottom, solid.top
    most = np.concatenate([upper, -lower, under_z, -supports_z, [slab, 0.0, 0.0, 0.0, 0.0]])
    low, high = np.full(8, -box), np.full(8, box)
    low[5:] = 0.0
    start = np.concatenate(
        [
            extremes(held, solid.top),
            n + extremes(held, solid.bottom),
            2 * n + extremes(uv, under_z),
            np.arange(2 * n + k, len(rows)),
        ]
    )
    aims = np.zeros((4, 8))
    aims[0, 5] = 1.0
    aims[1, :2], aims[1, 4] = -s.sum(axis=0), -float(j)
    aims[2, [2, 3]] = 1.0, -1.0
    aims[3, 6:] = 1.0
    x = np.zeros(8)
    for aim in aims:
        x = grow(aim, rows, most, low, high, start)
        rows, most = np.vstack([rows, aim]), np.append(most, float(aim @ x) + _SLACK)
        start = np.append(start, len(rows) - 1)
    return _grounded(under_xy, under_z, *unit.slopes(x[0], x[1]))


def _grounded(xy: Floats, z: Floats, a: float, b: float) -> Rest:
    """Return the highest plane of that tilt below all points: the solver's tolerance goes."""
    return Rest(a, b, float((z - xy @ np.array([a, b])).min()))


def _box(*heights: Floats) -> float:
    """Return a bound no sensible plane reaches: the first few rows alone may leave a plane free to run."""
    return 100.0 * max(float(np.abs(h).max()) for h in heights) + 100.0
