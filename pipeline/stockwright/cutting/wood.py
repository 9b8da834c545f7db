"""Where wood stands, asked strip by strip. In: a polygon, or measured heights. Out: spans along a line.

Lines run along u; v goes across them. Promise: a span never leaves wood out; a measured cell counts as wood
by its highest corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    Floats = NDArray[np.float64]
    Span = tuple[float, float]

__all__ = ["Area", "Cells", "Wood", "merged"]


def merged(spans: list[Span]) -> tuple[Span, ...]:
    """Give spans sorted, those that touch made one."""
    out: list[Span] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return tuple(out)


class Wood(Protocol):
    """Wood of one level."""

    def spans(self, low: float, high: float) -> tuple[Span, ...]:
        """Give the spans of u that hold wood somewhere in low <= v <= high, rising and apart."""
        ...


class Area:
    """Wood wherever a polygon is."""

    def __init__(self, shape: BaseGeometry) -> None:
        """Keep the polygon or polygons, (u, v)."""
        self.shape = shape
        shapely.prepare(shape)

    def spans(self, low: float, high: float) -> tuple[Span, ...]:
        """Give the spans of u that hold wood somewhere in low <= v <= high, rising and apart."""
        left, _, right, _ = self.shape.bounds
        if not left <= right:
            return ()
        found = shapely.intersection(self.shape, shapely.box(left - 1, low, right + 1, high))
        parts = shapely.get_parts(found)
        bounds = shapely.bounds(parts[~shapely.is_empty(parts)])
        return merged([(float(row[0]), float(row[2])) for row in bounds])


@dataclass(frozen=True, eq=False)
class Cells:
    """Wood wherever a cell of a grid is marked: `u` (n,), `v` (m,), `marked` (n - 1, m - 1)."""

    u: Floats
    v: Floats
    marked: NDArray[np.bool_]

    @classmethod
    def above(cls, u: Floats, v: Floats, heights: Floats, level: float) -> Cells:
        """Mark the cells whose highest corner is over `level`; `heights` (n, m) stand at the grid's nodes."""
        corners = (heights[:-1, :-1], heights[1:, :-1], heights[:-1, 1:], heights[1:, 1:])
        return cls(u, v, np.maximum.reduce(corners) > level)

    def spans(self, low: float, high: float) -> tuple[Span, ...]:
        """Give the spans of u that hold wood somewhere in low <= v <= high, rising and apart."""
        rows = (self.v[1:] >= low) & (self.v[:-1] <= high)
        held = np.concatenate([[False], self.marked[:, rows].any(axis=1), [False]])
        edges = np.flatnonzero(held[1:] != held[:-1])
        return tuple((float(self.u[a]), float(self.u[b])) for a, b in edges.reshape(-1, 2))
