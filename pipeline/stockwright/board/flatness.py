"""How flat a face is. In: points of the face. Out: `Zone`, the thinnest space between two parallel planes.

Public:
    Contact(x, y, z)
    Zone(value, a, b, c, low, high)
        value: mm, measured perpendicular to the planes; the lower plane is z = a x + b y + c
        low, high: the `Contact`s on the lower and upper plane
    zone(points (n, 3)) -> Zone
Promise: minimum zone (ISO 1101 flatness; ISO 12781 names the reference plane), never the least-squares one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.growing import Bound, Cloud, Growing
from stockwright.board.lp import Unit
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Contact", "Zone", "zone"]

_TOUCH = 1e-6  # mm; how near to its plane a point counts as touching


@frozen
class Contact:
    """A point that touches a plane, mm."""

    x: float
    y: float
    z: float


@frozen
class Zone:
    """The space between the planes z = a x + b y + c and that plus `value` / cos(tilt)."""

    value: float
    a: float
    b: float
    c: float
    low: tuple[Contact, ...]
    high: tuple[Contact, ...]


def zone(points: Floats) -> Zone:
    """Return the minimum zone of `points` (n, 3), n >= 1.

    Solved along z, then measured across the planes: exact for level points, never less than the
    perpendicular zone, and beyond it by no more than a share of tilt^2 / 2.
    """
    given = np.asarray(points, dtype=float)
    xy, z = given[:, :2], given[:, 2]
    unit = Unit.of(xy)
    # A steep face would make the z-zone a bad measure of it: take the least-squares plane off first.
    uv = unit.scaled(xy)
    base, *_ = np.linalg.lstsq(np.column_stack([uv, np.ones(len(z))]), z, rcond=None)
    rest = z - uv @ base[:2] - base[2]
    box = 8.0 * float(np.abs(rest).max()) + 1.0
    cloud = Cloud(xy, rest)
    # Columns: slopes p, q, then c of the lower and of the upper plane.
    bounds = (Bound(cloud, "above", 2), Bound(cloud, "below", 3))
    p, q, r, _ = Growing(4, bounds, unit, [-box] * 4, [box] * 4).solve([0.0, 0.0, -1.0, 1.0])
    p, q, r = p + base[0], q + base[1], r + base[2]
    a, b = unit.slopes(p, q)
    above = z - uv @ np.array([p, q]) - r
    low, high = float(above.min()), float(above.max())
    return Zone(
        value=(high - low) / float(np.sqrt(1.0 + a * a + b * b)),
        a=a,
        b=b,
        c=unit.at_origin(p, q, r + low),
        low=_touching(given, above, low),
        high=_touching(given, above, high),
    )


def _touching(cloud: Floats, above: Floats, level: float) -> tuple[Contact, ...]:
    return tuple(Contact(*(float(v) for v in row)) for row in cloud[np.abs(above - level) <= _TOUCH])
