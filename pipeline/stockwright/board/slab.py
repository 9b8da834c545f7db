"""Planes against a measured solid. In: points with their top and bottom. Out: slabs and how a board rests.

Public:
    Solid(xy (n, 2), top (n,), bottom (n,))         the points at which bounds must hold
    Slab(a, b, top, bottom)                         planes z = a x + b y + top, + bottom; .thickness
    slab_at(solid, a, b) -> Slab                    the thickest slab of that tilt, closed form
    thickest_slab(solid) -> Slab                    LP1: of any tilt
    Rest(a, b, c), rest(xy (n, 2), z (n,), under=(x, y)) -> Rest
                                                    the plane a rigid body stands on, its weight at `under`
    Resting(solid, on (k, 2)).stands(z (k,), unders) -> list[Rest]
                                                    on shims, for several places of the weight
    pressed(weight, centre, force, at) -> (x, y)    where weight and press together act: hand it to `rest`
    least_shims(solid, whole, supports_xy (j, 2), supports_z (j,), demand) -> Rest
                                                    LP2: the support plane with the smallest shims whose
                                                    slab is `demand` thick, measured along z (None: no demand)
Promise: optima of linear programs, made unique by further objectives, so the same board gives the same tilt.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.growing import Bound, Cloud, Growing
from stockwright.board.lp import Unit
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Rest", "Resting", "Slab", "Solid", "least_shims", "pressed", "rest", "slab_at", "thickest_slab"]

_SLACK = 1e-7  # mm; by how much an earlier objective may yield to a later one


@frozen(eq=False)
class Solid:
    """Points of a measured solid: `xy` (n, 2), heights `top` and `bottom` (n,), mm."""

    xy: Floats
    top: Floats
    bottom: Floats

    @cached_property
    def tops(self) -> Cloud:
        """The upper surface's points."""
        return Cloud(self.xy, self.top)

    @cached_property
    def bottoms(self) -> Cloud:
        """The lower surface's points."""
        return Cloud(self.xy, self.bottom)

    @cached_property
    def unit(self) -> Unit:
        """The unit of its points."""
        return Unit.of(self.xy)


@frozen
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


@frozen
class Rest:
    """The plane z = a x + b y + c that the board stands on."""

    a: float
    b: float
    c: float


def slab_at(solid: Solid, a: float, b: float) -> Slab:
    """Return the thickest slab with slopes `a`, `b` inside the solid."""
    return Slab(a, b, float(solid.tops.off(a, b).min()), float(solid.bottoms.off(a, b).max()))


def thickest_slab(solid: Solid) -> Slab:
    """Return the thickest slab of any tilt inside the solid."""
    lower, upper = solid.bottom, solid.top
    box = _box(upper, lower)
    # Columns: slopes p, q, then c of the lower and of the upper plane.
    bounds = (Bound(solid.tops, "above", 3), Bound(solid.bottoms, "below", 2))
    p, q, _, _ = Growing(4, bounds, solid.unit, [-box] * 4, [box] * 4).solve([0.0, 0.0, 1.0, -1.0])
    return slab_at(solid, *solid.unit.slopes(p, q))


def rest(xy: Floats, z: Floats, under: tuple[float, float]) -> Rest:
    """Return the plane below all points that is highest at `under`: least potential energy.

    `xy` (n, 2), `z` (n,) are the places where the body can touch its support.
    """
    return Resting(Solid(xy, z, z), np.empty((0, 2))).stands(np.empty(0), [under])[0]


class Resting:
    """How the underside of a solid rests on shims at given places, whatever their heights."""

    def __init__(self, solid: Solid, on: Floats) -> None:
        self._solid, self._on = solid, on
        self._rows = np.hstack([solid.unit.scaled(on), np.ones((len(on), 1))])
        self._growing: Growing | None = None

    def stands(self, z: Floats, unders: Sequence[tuple[float, float]]) -> list[Rest]:
        """Return the plane of rest for each place where the weight may act.

        `z` (k,) is how low the support may be at the places: the underside less the shim.
        """
        solid, unit, growing = self._solid, self._solid.unit, self._growing
        if growing is not None and growing.in_solver:
            growing.limit(z)
        else:
            box = _box(solid.bottom, z)
            bounds = [Bound(solid.bottoms, "above", 2)]
            growing = Growing(3, bounds, unit, [-box] * 3, [box] * 3, self._rows, z)
            self._growing = growing
        found = []
        for u, v in unit.scaled(np.array(unders)):
            p, q, _ = growing.solve([-u, -v, -1.0])
            a, b = unit.slopes(p, q)
            # The highest plane of that tilt below all points: the solver's tolerance goes.
            c = float(solid.bottoms.off(a, b).min())
            found.append(Rest(a, b, min([c, *(z - self._on @ np.array([a, b])).tolist()])))
        return found


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
    solid: Solid, whole: Solid, supports_xy: Floats, supports_z: Floats, demand: float | None
) -> Rest:
    """Return the support plane under `whole` that needs the least shims.

    First the largest shim is made least, then their sum, then the slab in `solid` thick, then the tilt
    small. Raises `lp.InfeasibleError` where no tilt gives `demand`.
    """
    unit = whole.unit
    s = unit.scaled(supports_xy)
    count = len(s)
    # Columns: slopes p, q; c of the lower, the upper and the support plane; largest shim; |p|, |q|.
    rows = np.zeros((count + 5, 8))
    rows[:count, :2], rows[:count, 4], rows[:count, 5] = -s, -1.0, -1.0
    rows[count, [2, 3]] = 1.0, -1.0
    for row, (column, sign, size) in enumerate(((0, 1, 6), (0, -1, 6), (1, 1, 7), (1, -1, 7)), start=1):
        rows[count + row, column], rows[count + row, size] = sign, -1.0
    box = _box(solid.top, whole.bottom)
    slab = -demand if demand is not None else 2.0 * box
    most = np.concatenate([-supports_z, [slab, 0.0, 0.0, 0.0, 0.0]])
    low, high = np.full(8, -box), np.full(8, box)
    low[5:] = 0.0
    bounds = (
        Bound(solid.tops, "above", 3),
        Bound(solid.bottoms, "below", 2),
        Bound(whole.bottoms, "above", 4),
    )
    aims = np.zeros((4, 8))
    aims[0, 5] = 1.0
    aims[1, :2], aims[1, 4] = -s.sum(axis=0), -float(count)
    aims[2, [2, 3]] = 1.0, -1.0
    aims[3, 6:] = 1.0
    x = Growing(8, bounds, unit, low, high, rows, most).in_turn(list(aims), _SLACK)
    a, b = unit.slopes(x[0], x[1])
    return Rest(a, b, float(whole.bottoms.off(a, b).min()))


def _box(*heights: Floats) -> float:
    """Return a bound no sensible plane reaches: the first few rows alone may leave a plane free to run."""
    return 100.0 * max(max(abs(float(h.min())), abs(float(h.max()))) for h in heights if len(h)) + 100.0
