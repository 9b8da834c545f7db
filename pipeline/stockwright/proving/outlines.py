"""An outline of the packet as an area. In: its points. Out: a polygon that plan geometry can work with.

Promise: the area is the same whichever way round the points run; an outline that touches itself is taken
apart and never enlarged.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.packet.model import DECIMALS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

__all__ = ["area_of"]


def area_of(
    outline: Sequence[tuple[float, float]], holes: Sequence[Sequence[tuple[float, float]]] = ()
) -> BaseGeometry:
    """Give what lies within an outline and in none of its holes; (n, 2) each, mm.

    Corners within a nanometre are one: between those nearer still, a distance divides by nothing.
    """
    corners, *inner = (np.round(np.asarray(each, dtype=float), DECIMALS) for each in (outline, *holes))
    polygon: BaseGeometry = shapely.Polygon(corners, inner)
    return polygon if polygon.is_valid else shapely.make_valid(polygon)
