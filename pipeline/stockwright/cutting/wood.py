"""Where wood stands along a line. In: a polygon, or measured heights. Out: spans along the line.

Lines run along u; v goes across them. Promise: the spans cover all the wood; a measured cell counts as wood
up to its highest corner.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np
import shapely

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    Floats = NDArray[np.float64]
    Span = tuple[float, float]
    Box = tuple[float, float, float, float]

__all__ = ["Area", "Cells", "Span", "Wood", "merged", "mirrored"]


def merged(spans: list[Span]) -> tuple[Span, ...]:
    """Give spans sorted, those that touch made one."""
    out: list[Span] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return tuple(out)


def mirrored(spans: tuple[Span, ...], way: int) -> tuple[Span, ...]:
    """Give spans as seen in a direction: mirrored for -1, rising again."""
    return spans if way > 0 else tuple((-b, -a) for a, b in reversed(spans))


class Wood(Protocol):
    """Wood of one level."""

    @property
    def box(self) -> Box:
        """Low u, low v, high u, high v."""
        ...

    def spans(self, low: float, high: float) -> tuple[Span, ...]:
        """Give the spans of u that hold wood somewhere in low <= v <= high, rising and apart."""
        ...


class Area:
    """Wood wherever a polygon is."""

    def __init__(self, shape: BaseGeometry) -> None:
        """Keep the polygon or polygons, (u, v)."""
        self.shape = shape
        shapely.prepare(shape)

    @property
    def box(self) -> Box:
        """Low u, low v, high u, high v."""
        low_u, low_v, high_u, high_v = self.shape.bounds
        return float(low_u), float(low_v), float(high_u), float(high_v)

    def spans(self, low: float, high: float) -> tuple[Span, ...]:
        """Give the spans of u that hold wood somewhere in low <= v <= high, rising and apart."""
        left, _, right, _ = self.shape.bounds
        if not left <= right:
            return ()
        found = shapely.intersection(self.shape, shapely.box(left - 1, low, right + 1, high))
        parts = shapely.get_parts(found)
        bounds = shapely.bounds(parts[~shapely.is_empty(parts)])
        return merged([(float(row[0]), float(row[2])) for row in bounds])


@frozen(eq=False)
class Cells:
    """Wood wherever a cell of a grid is marked: `u` (n,), `v` (m,), `marked` (n - 1, m - 1), some of it."""

    u: Floats
    v: Floats
    marked: NDArray[np.bool_]

    @classmethod
    def above(cls, u: Floats, v: Floats, heights: Floats, level: float) -> Cells:
        """Mark the cells whose highest corner is over `level`; `heights` (n, m) stand at the grid's nodes."""
        corners = (heights[:-1, :-1], heights[1:, :-1], heights[:-1, 1:], heights[1:, 1:])
        return cls(u, v, np.maximum.reduce(corners) > level)

    @property
    def box(self) -> Box:
        """Low u, low v, high u, high v."""
        at_u = np.flatnonzero(self.marked.any(axis=1))
        at_v = np.flatnonzero(self.marked.any(axis=0))
        return (
            float(self.u[at_u[0]]),
            float(self.v[at_v[0]]),
            float(self.u[at_u[-1] + 1]),
            float(self.v[at_v[-1] + 1]),
        )

    def spans(self, low: float, high: float) -> tuple[Span, ...]:
        """Give the spans of u that hold wood somewhere in low <= v <= high, rising and apart."""
        # The rows with v[1:] >= low and v[:-1] <= high: v rises.
        first = max(0, int(self.v.searchsorted(low)) - 1)
        last = int(self.v.searchsorted(high, side="right"))
        held = np.zeros(len(self.u) + 1, dtype=bool)
        self.marked[:, first:last].any(axis=1, out=held[1:-1])
        edges = np.flatnonzero(held[1:] != held[:-1])
        return tuple((float(self.u[a]), float(self.u[b])) for a, b in edges.reshape(-1, 2))

    def joined(self, other: Cells) -> Cells:
        """Give the cells of both; of one grid."""
        return Cells(self.u, self.v, self.marked | other.marked)

    def parts(self, room: float) -> tuple[Cells, ...]:
        """Give the cells in parts between which no way along u or v is shorter than `room` mm.

        Rows' stretches are joined to those near them in the rows before: one walk over the grid.
        """
        if self.marked.all():
            return (self,)
        over = int(room / float(np.diff(self.u).min())) + 1
        rows_over = int(room / float(np.diff(self.v).min())) + 1
        rim = np.zeros((len(self.v) - 1, 1), dtype=np.int8)
        steps = np.diff(np.hstack([rim, self.marked.T.astype(np.int8), rim]), axis=1)
        rows, starts = (found.tolist() for found in np.nonzero(steps == 1))
        ends = np.nonzero(steps == -1)[1].tolist()
        part_of = list(range(len(rows)))

        def root(index: int) -> int:
            while part_of[index] != index:
                index = part_of[index]
            return index

        first = 0
        for here, row in enumerate(rows):
            while rows[first] < row - rows_over:
                first += 1
            for near in range(first, here):
                if starts[here] <= ends[near] + over and starts[near] <= ends[here] + over:
                    a, b = sorted((root(near), root(here)))
                    part_of[b] = a
        masks: dict[int, NDArray[np.bool_]] = {}
        for index, row in enumerate(rows):
            mask = masks.setdefault(root(index), np.zeros_like(self.marked))
            mask[starts[index] : ends[index], row] = True
        return tuple(Cells(self.u, self.v, mask) for mask in masks.values())
