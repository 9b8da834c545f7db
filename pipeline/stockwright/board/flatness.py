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

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.lp import Unit, extremes, grow

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Contact", "Zone", "zone"]

_TOUCH = 1e-6  # mm; how near to its plane a point counts as touching


@dataclass(frozen=True)
class Contact:
    """A point that touches a plane, mm."""

    x: float
    y: float
    z: float


@dataclass(frozen=True)
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
    cloud = np.asarray(points, dtype=float)
    xy, z = cloud[:, :2], cloud[:, 2]
    unit = Unit.of(xy)
    # A steep face would make the z-zone a bad measure of it: take the least-squares plane off first.
    uv = unit.scaled(xy)
    base, *_ = np.linalg.lstsq(np.column_stack([uv, np.ones(len(z))]), z, rcond=None)
    rest = z - uv @ base[:2] - base[2]
    count = len(rest)
    ones = np.ones((count, 1))
    rows = np.vstack([np.hstack([uv, ones, 0 * ones]), np.hstack([-uv, -ones, -ones])])
    most = np.concatenate([rest, -rest])
    box = 8.0 * float(np.abs(rest).max()) + 1.0
    first = extremes(uv, rest)
    p, q, r, _ = grow(
        [0.0, 0.0, 0.0, 1.0],
        rows,
        most,
        [-box, -box, -box, 0.0],
        [box, box, box, box],
        np.concatenate([first, first + count]),
    )
    p, q, r = p + base[0], q + base[1], r + base[2]
    a, b = unit.slopes(p, q)
    above = z - uv @ np.array([p, q]) - r
    low, high = float(above.min()), float(above.max())
    return Zone(
        value=(high - low) / float(np.sqrt(1.0 + a * a + b * b)),
        a=a,
        b=b,
        c=unit.at_origin(p, q, r + low),
        low=_touching(cloud, above, low),
        high=_touching(cloud, above, high),
    )


def _touching(cloud: Floats, above: Floats, level: float) -> tuple[Contact, ...]:
    return tuple(Contact(*(float(v) for v in row)) for row in cloud[np.abs(above - level) <= _TOUCH])
