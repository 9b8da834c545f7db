"""What a program's moves clear, seen from the moves alone. In: a `Program`. Out: polygons, descents."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.motion.moves import moves

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.motion.nodes import Program

MM = 0.001
INCH = 0.00254  # 0.0001 in


def level_feeds(program: Program) -> list[tuple[float, NDArray[np.float64]]]:
    """Give (z, (2, 2) from and to) of every feed move that stays level, in order."""
    columns = moves(program)
    keep = ~columns.rapid & (columns.start[:, 2] == columns.end[:, 2])
    both = zip(columns.start[keep], columns.end[keep], strict=True)
    return [(float(b[2]), np.array([a[:2], b[:2]])) for a, b in both]


def depths(program: Program) -> list[float]:
    """Give the heights of level feeds, falling."""
    return sorted({z for z, _ in level_feeds(program)}, reverse=True)


def swept(program: Program, z: float, radius: float) -> BaseGeometry:
    """Give what level feeds at `z` clear; chords lie inside the circle, so never too much."""
    lines = [shapely.LineString(line) for at, line in level_feeds(program) if at == z]
    return shapely.union_all(shapely.buffer(lines, radius, quad_segs=64))


def descents(program: Program) -> list[tuple[float, float, float]]:
    """Give (x, y, lowest z) of every straight move down, once its place is known."""
    columns = moves(program)
    found = []
    for a, b in zip(columns.start, columns.end, strict=True):
        if np.isfinite(a).all() and b[2] < a[2]:
            assert (a[:2] == b[:2]).all()
            found.append((float(b[0]), float(b[1]), float(b[2])))
    return found


def off_grid(program: Program, resolution: float) -> float:
    """Give the greatest distance of a coordinate from a whole step, in steps."""
    columns = moves(program)
    values = columns.end[np.isfinite(columns.end)] / resolution
    return float(np.abs(values - np.round(values)).max())
