"""The area that a cutter has covered.

In: a setup's runs. Out: areas in plan, inscribed, so never too large.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.checking.situation import Run
    from stockwright.motion.moves import Moves
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = [
    "Miss",
    "deepest_lines",
    "half_plane",
    "level_lines",
    "lines_of",
    "miss_of",
    "strip",
    "swept",
]

QUARTER = 48  # chords in a quarter turn: at R 25 an inscribed cap is short by under 0.01 mm
FINE = 0.05  # mm between the points looked at on the rim of what was missed
MANY = 5000  # of them at most
FEW = 8  # lines of one shape: 2300 at a 70th of the cutter's width take 0.2 s, in one shape 25 s and 2 GB
FAR = 1e5  # mm: beyond every board


@frozen
class Miss:
    """What would clear what was missed, mm: `at` is a place in its largest part.

    With the passes `further` on at both ends all is cleared; where that cannot be, 0, a pass must come
    `nearer` by so much.
    """

    at: tuple[float, float]
    nearer: float
    further: float


def level_lines(moves: Moves, low: float, high: float) -> Floats:
    """Return the feed moves that stay between two heights of the tip, (n, 2, 2), in plan."""
    keep = moves.known & ~moves.rapid
    for end in (moves.start, moves.end):
        keep &= (end[:, 2] >= low) & (end[:, 2] <= high)
    lines: Floats = np.stack([moves.start[keep, :2], moves.end[keep, :2]], axis=1)
    return lines


def deepest_lines(moves: Moves, high: float) -> Floats:
    """Return the feed moves whose tip stays at or below `high`, (n, 2, 2), in plan."""
    return level_lines(moves, -np.inf, high)


def swept(
    runs: tuple[Run, ...], lines: Callable[[Moves], Floats], radius: Callable[[Tool], float]
) -> BaseGeometry:
    """Return the area that the chosen moves of the runs clear in plan, mm; arcs are inscribed chords."""
    areas: list[BaseGeometry] = []
    for run in runs:
        if run.program.purpose != "cut":
            continue
        chosen = lines(run.moves)
        # Joined end to end first: a chain of a few lines is one shape, and cheaper than many. A long one
        # whose lines lie close to each other crosses itself all over, and costs the square of their number.
        few = [part for chain in _chains(chosen) for part in _few_by_few(chain)]
        shapes = [shapely.LineString(part) for part in few]
        areas.extend(shapely.buffer(shapes, radius(run.program.tool), quad_segs=QUARTER))
    return shapely.union_all(areas) if areas else shapely.Polygon()


def lines_of(runs: tuple[Run, ...], lines: Callable[[Moves], Floats]) -> Floats:
    """Return the chosen lines of all cutting runs, (n, 2, 2)."""
    every = [lines(run.moves) for run in runs if run.program.purpose == "cut"]
    return np.concatenate(every) if every else np.empty((0, 2, 2))


def miss_of(left: BaseGeometry, area: BaseGeometry, lines: Floats, radius: float) -> Miss:
    """Return what would clear `left`, which lines of a cutter's radius have not; `area` is what they have."""
    parts = [p for p in shapely.get_parts(left) if isinstance(p, shapely.Polygon) and p.area > 0]
    place = max(parts, key=lambda part: float(part.area)).representative_point()
    at = (float(place.x), float(place.y))
    corners = shapely.get_coordinates(parts)
    if area.is_empty:
        return Miss(at, 2 * float(shapely.minimum_bounding_radius(shapely.MultiPoint(corners))), 0.0)
    # A strip between two passes is widest in its middle, where it has no corner.
    middles = [shapely.maximum_inscribed_circle(part) for part in parts]
    inner = max(float(shapely.length(each)) for each in middles)
    nearer = max(inner, float(np.max(shapely.distance(shapely.points(corners), area))))
    deepest = np.array([shapely.get_coordinates(each)[0] for each in middles])
    # Between two passes the rim is furthest from both where it has no corner: look all along it.
    rim = shapely.boundary(left)
    apart = max(FINE, float(shapely.length(rim)) / MANY)
    points = np.vstack([shapely.get_coordinates(shapely.segmentize(rim, apart)), deepest])
    further = _further(points, lines, radius)
    return Miss(at, nearer, further + apart if further else 0.0)


def _further(points: Floats, lines: Floats, radius: float) -> float:
    """Return how far lines must run on at their ends until a disc on them covers every point; 0: never.

    A point h beside a line, u past its end, is covered once the end lies sqrt(R2 - h2) short of it.
    """
    step = lines[:, 1] - lines[:, 0]
    length = np.hypot(step[:, 0], step[:, 1])
    lines, step, length = lines[length > 0], step[length > 0], length[length > 0]
    if not len(lines):
        return 0.0
    along = step / length[:, None]
    away = points[:, None, :] - lines[None, :, 0, :]
    u = (away * along).sum(axis=2)
    beside = np.abs(away[..., 0] * along[:, 1] - away[..., 1] * along[:, 0])
    past = np.maximum(np.maximum(-u, u - length), 0.0)
    inside = beside < radius
    short = np.where(inside, past - np.sqrt(np.maximum(radius**2 - beside**2, 0.0)), np.inf)
    most = float(np.maximum(short.min(axis=1), 0.0).max())
    # A cap is drawn with chords, which fall short of the circle by under this much.
    return most + 0.01 if np.isfinite(most) and most > 0 else 0.0


def _chains(lines: Floats) -> list[Floats]:
    """Join lines that follow one another into chains, each (n, 2)."""
    if len(lines) == 0:
        return []
    breaks = np.flatnonzero(np.abs(lines[1:, 0] - lines[:-1, 1]).max(axis=1) > 0) + 1
    return [np.vstack([part[:1, 0], part[:, 1]]) for part in np.split(lines, breaks)]


def _few_by_few(chain: Floats) -> list[Floats]:
    """Cut a chain (n, 2) into chains of a few lines each, which meet at their ends."""
    return [chain[at : at + FEW + 1] for at in range(0, len(chain) - 1, FEW)]


def strip(line: Floats, side: str, low: float, high: float, grow: float = 0.0) -> shapely.Polygon:
    """Return the band from `low` to `high` beside a line, on its "left" or "right"; `grow` lengthens it."""
    along = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    out = np.array([-along[1], along[0]]) * (1 if side == "left" else -1)
    a, b = line[0] - along * grow, line[1] + along * grow
    return shapely.Polygon([a + out * low, b + out * low, b + out * high, a + out * high])


def half_plane(line: Floats, side: str) -> shapely.Polygon:
    """Return everything on one side of a line, as far as any board reaches."""
    return strip(line, side, 0.0, FAR, grow=FAR)
