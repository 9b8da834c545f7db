"""A board as it lies in a setup. In: its wood, and how it lies. Out: whether a moving disc can come near it.

Promise: "beside" and "below" are answered only where that is certain; otherwise the cells must be looked at.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from stockwright.proving.ceiling import Ceiling

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.proving.frames import Lay
    from stockwright.proving.wood import Wood

    Floats = NDArray[np.float64]

__all__ = ["Lying", "box"]

BESIDE = 2.0  # mm beyond its outline where a board surely has no wood, an arc's chords allowed for
THICKEST = 400.0  # mm: no board is thicker, so a tilted one leans by no more than its slope times this


def box(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Give the low and the high corner in plan of all that lies between a and b, (3,) or (n, 3)."""
    low, high = np.minimum(a, b)[..., :2], np.maximum(a, b)[..., :2]
    return (low, high) if low.ndim == 1 else (low.min(axis=0), high.max(axis=0))


@dataclass(eq=False)
class Lying:
    """One board as it lies in a setup; `may`, `sure` its outlines in the work frame, as they now are.

    `known` are pieces that have come off it.
    """

    wood: Wood
    lay: Lay
    may: BaseGeometry
    sure: BaseGeometry
    known: list[BaseGeometry] = field(default_factory=list)
    bounds: tuple[float, float, float, float] = field(init=False)
    ceiling: Ceiling = field(init=False)

    def __post_init__(self) -> None:
        """Note how far the wood reaches; it never grows."""
        self.ceiling = Ceiling(self.wood, self.lay)
        x0, y0, x1, y1 = self.may.bounds
        more = BESIDE + self.lay.slope * THICKEST
        self.bounds = (x0 - more, y0 - more, x1 + more, y1 + more)

    def below(self, a: Floats, b: Floats, radius: float, z: float) -> bool:
        """Say whether surely nothing stands above work z in the box of a disc's way; a, b (3,) or (n, 3)."""
        low, high = box(a, b)
        return self.ceiling.below(low - radius, high + radius, z)

    def beside(self, a: Floats, b: Floats, radius: float) -> bool:
        """Say whether a disc on its way from a to b stays clear of the whole board in plan."""
        x0, y0, x1, y1 = self.bounds
        return bool(
            max(a[0], b[0]) + radius < x0
            or min(a[0], b[0]) - radius > x1
            or max(a[1], b[1]) + radius < y0
            or min(a[1], b[1]) - radius > y1
        )
