"""A board's outline from a taut line or a tape. In: offsets and ends, or a size (mm). Out: corners (k, 2).

Public:
    OFF_BOARD
    Lines(edge_1, edge_2, ends, size, ring)
        either the first three, or `size` = (length, width), or `ring`: x and y of the corners all round
    outline_of(lines) -> (outline (k, 2) anticlockwise from edge-1's first corner | None, problems)
    voids_of(outline, voids) -> (holes ((k, 2), ...), problems)
    stations_off(outline, along, across, lines) -> problems
    said_by(lines, axis, at_end) -> the path of the reading that says where the board ends
Promise: an outline that crosses itself is a problem that names both of the readings that make it do so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.problem import Problem
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Line = tuple[Sequence[float], Sequence[float]]

__all__ = ["OFF_BOARD", "Lines", "outline_of", "said_by", "stations_off", "voids_of"]

OFF_BOARD = 1.0  # mm; how far a place may lie off the outline, as a tape is read; common practice, no source


@frozen
class Lines:
    """What says the outline: edges as (along, offset) and ((near, far), (near, far)) ends, a size, or `ring`.

    `ring`: the places (along, across) of its corners, one after the other, either way round.
    """

    edge_1: Line | None = None
    edge_2: Line | None = None
    ends: tuple[tuple[float, float], tuple[float, float]] | None = None
    size: tuple[float, float] | None = None
    ring: Line | None = None


def outline_of(lines: Lines) -> tuple[Floats | None, list[Problem]]:
    """Return the outline (k, 2), anticlockwise from edge-1's first corner, or None and why."""
    if lines.size is not None:
        length, width = lines.size
        return np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]]), []
    if lines.ring is not None:
        ring, problem = _ring(lines.ring, ("outline",), "the outline")
        return ring, [problem] if problem else []
    edge_1, edge_2, ends = lines.edge_1, lines.edge_2, lines.ends
    if edge_1 is None or edge_2 is None or ends is None:
        return None, [Problem((), "the outline is missing", "give edge-1, edge-2 and ends, or size")]
    problems = []
    for side, which in (("near", 0), ("far", 1)):
        first, last = ends[0][which], ends[1][which]
        if last <= first:
            problems.append(
                Problem(
                    ("ends", "end-2", side),
                    f"end-2 at {last:g} mm does not lie beyond end-1 at {first:g} mm",
                    "both are measured along the same line, from end-1 towards end-2",
                    (("ends", "end-1", side),),
                )
            )
    if problems:
        return None, problems
    near = _edge(edge_1, ends[0][0], ends[1][0])
    far = _edge(edge_2, ends[0][1], ends[1][1])
    for i, x in enumerate(edge_2[0]):
        low = float(np.interp(x, near[:, 0], near[:, 1]))
        if edge_2[1][i] <= low:
            nearest = int(np.argmin(np.abs(np.asarray(edge_1[0]) - x)))
            problems.append(
                Problem(
                    ("edge-2", "offset", i),
                    f"edge-2 at {edge_2[1][i]:g} mm does not lie beyond edge-1 at {low:g} mm",
                    "both offsets are from the same taut line, along the near edge",
                    (("edge-1", "offset", nearest),),
                )
            )
    return (None if problems else np.vstack([near, far[::-1]])), problems


def voids_of(outline: Floats, voids: Sequence[Line]) -> tuple[tuple[Floats, ...], list[Problem]]:
    """Return the rings of places where a board has no wood, and a problem for each that cannot be."""
    import shapely

    holes: list[Floats] = []
    problems: list[Problem] = []
    board = shapely.Polygon(outline)
    for number, void in enumerate(voids):
        ring, problem = _ring(void, ("voids", number), "the void")
        if ring is None or problem is not None:
            problems += [problem] if problem else []
            continue
        shape = shapely.Polygon(ring)
        met = next((i for i, other in enumerate(holes) if shapely.Polygon(other).intersects(shape)), None)
        if not board.contains_properly(shape):
            problems.append(
                Problem(
                    ("voids", number),
                    "the void does not lie wholly inside the board's outline",
                    "let the outline itself run round what is open to its rim",
                )
            )
        elif met is not None:
            problems.append(
                Problem(
                    ("voids", number),
                    "the void meets another",
                    "write one void round both",
                    (("voids", met),),
                )
            )
        holes.append(ring)
    return tuple(holes), problems


def _ring(line: Line, path: tuple[str | int, ...], what: str) -> tuple[Floats | None, Problem | None]:
    """Return corners (k, 2) as an anticlockwise ring that begins at the first, or what is wrong with them."""
    import shapely

    corners = np.column_stack([np.asarray(line[0], dtype=float), np.asarray(line[1], dtype=float)])
    if len(corners) > 1 and (corners[0] == corners[-1]).all():
        corners = corners[:-1]  # closed by hand
    sides = [shapely.LineString(pair) for pair in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    still = next((i for i, side in enumerate(sides) if side.length == 0), None)
    if still is not None:
        twice = f"{what} has the same place twice, one after the other"
        return None, Problem((*path, "along", still), twice, "leave one of them out")
    for i, one in enumerate(sides):
        for j in range(i + 2, len(sides) - (i == 0)):
            if one.intersects(sides[j]):
                return None, Problem(
                    (*path, "along", i),
                    f"{what} crosses itself: its side from corner {i + 1} meets its side from corner {j + 1}",
                    "give the corners in order, all the way round",
                )
    shape = shapely.Polygon(corners)
    if not shape.is_valid or shape.area == 0:
        return None, Problem(
            (*path, "along"), f"{what} encloses no area", "give its corners all the way round"
        )
    if not shapely.is_ccw(shape.exterior):
        corners = np.vstack([corners[:1], corners[:0:-1]])
    return corners, None


def _edge(line: Line, first: float, last: float) -> Floats:
    """Return the edge's points (k, 2) from one corner to the other; beyond its stations the offset stays."""
    x, y = np.asarray(line[0], dtype=float), np.asarray(line[1], dtype=float)
    at = np.concatenate([[first], x[(x > first) & (x < last)], [last]])
    return np.column_stack([at, np.interp(at, x, y)])


def stations_off(outline: Floats, along: Floats, across: Floats, lines: Lines) -> list[Problem]:
    """Return a problem for each station of a grid that lies off the board."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    return [
        Problem(
            ("heights", key, i),
            f"the station at {value:g} mm lies off the board, which reaches from "
            f"{low[axis]:g} mm to {high[axis]:g} mm {key}",
            "stations and outline are measured from the same corner and line",
            (said_by(lines, axis, at_end=value > high[axis]),),
        )
        for axis, (key, stations) in enumerate((("along", along), ("across", across)))
        for i, value in enumerate(stations)
        if not low[axis] - OFF_BOARD <= value <= high[axis] + OFF_BOARD
    ]


def said_by(lines: Lines, axis: int, *, at_end: bool) -> tuple[str | int, ...]:
    """Return the path of the reading that says where the board ends along `axis`, 0 along or 1 across."""
    if lines.size is not None:
        return ("size", ("length", "width")[axis])
    if lines.ring is not None:
        return ("outline", ("along", "across")[axis])
    if axis == 0:
        return ("ends", "end-2" if at_end else "end-1")
    return ("edge-2" if at_end else "edge-1", "offset")
