"""How near moving parts come to something that stands.

In: paths, parts, a solid. Out: exact distances in plan. Each move is first clipped to where the part and the
solid share heights; the clearance is the distance in plan from what is left of it, less the part's radius.
Bounding boxes exclude most moves before any exact distance is computed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.checking.parts import Part
    from stockwright.checking.paths import Paths
    from stockwright.planning.setup import Solid

    Floats = NDArray[np.float64]

__all__ = ["Near", "clipped", "nearest"]

NEAR = 1e-6  # mm; exactly the margin is enough, whatever the last bits say
STILL = 1e-9  # mm; a move along an axis by less is none, and dividing by it would overflow


@frozen(eq=False)
class Near:
    """How one part comes nearest to a solid, mm.

    `beside` is the clearance in plan and `above` the one in height, of the move for which the greater of
    the two is least; both below 0: it goes into the solid. `swept` is the rectangle (x0, y0, x1, y1) that
    the part passes over at the solid's heights, all moves together, and `lowest` its lowest underside
    among the moves that are too near.
    """

    part: Part
    beside: float
    above: float
    at: tuple[float, float, float]
    swept: tuple[float, float, float, float]
    lowest: float

    @property
    def clear(self) -> float:
        """The clearance: beside where there is any, else above."""
        return max(self.beside, self.above)


def clipped(a: Floats, b: Floats, low: float, high: float) -> tuple[NDArray[np.bool_], Floats, Floats]:
    """Clip lines a-b (n, 3) to heights between `low` and `high`; return which are left, and their ends."""
    fall = b[:, 2] - a[:, 2]
    flat = np.abs(fall) < STILL
    slope = np.where(flat, 1.0, fall)
    t0, t1 = (low - a[:, 2]) / slope, (high - a[:, 2]) / slope
    inside = (a[:, 2] > low) & (a[:, 2] < high)
    enter = np.where(flat, np.where(inside, 0.0, 2.0), np.clip(np.minimum(t0, t1), 0.0, 1.0))
    leave = np.where(flat, np.where(inside, 1.0, -1.0), np.clip(np.maximum(t0, t1), 0.0, 1.0))
    left = enter < leave
    step = b - a
    return left, a + enter[:, None] * step, a + leave[:, None] * step


def nearest(paths: Paths, part: Part, solid: Solid, margin: float) -> Near | None:
    """Return how the part comes nearer than `margin` to the solid; None where it does not.

    The cutting part needs no margin above a height it may cut to, and is not judged there.
    """
    reach = solid.top + margin
    if part.cuts and solid.may_cut_to is not None:
        if solid.may_cut_to <= solid.bottom + NEAR:
            return None
        reach = solid.may_cut_to
    low, high = solid.bottom - margin + NEAR, reach - NEAR
    a, b = paths.a, paths.b
    if part.fixed:
        if not (part.bottom < high and part.top > low):
            return None
        left = np.ones(len(paths), dtype=bool)
    else:
        low, high = low - part.top, high - part.bottom
        bottom, above = np.minimum(a[:, 2], b[:, 2]), np.maximum(a[:, 2], b[:, 2])
        if not ((bottom < high) & (above > low)).any():
            return None
        left, start, end = clipped(a, b, low, high)
        whole = paths.boxed & (bottom < high) & (above > low)
        left = (left & ~paths.boxed) | whole
        a, b = np.where(paths.boxed[:, None], a, start), np.where(paths.boxed[:, None], b, end)
    rows = np.flatnonzero(left)
    if not len(rows):
        return None
    a, b = a[rows], b[rows]
    grow = _grown(part)
    x0, y0 = (np.minimum(a, b)[:, :2] - grow).T
    x1, y1 = (np.maximum(a, b)[:, :2] + grow).T
    (sx0, sy0), (sx1, sy1) = solid.outline.min(axis=0), solid.outline.max(axis=0)
    close = (x0 < sx1 + margin) & (x1 > sx0 - margin) & (y0 < sy1 + margin) & (y1 > sy0 - margin)
    if not close.any():
        return None
    shape = shapely.Polygon(solid.outline)
    near = np.flatnonzero(close)
    shapes = _shapes(a[near], b[near], paths.boxed[rows[near]], part)
    gaps = shapely.distance(shapes, shape) - (0.0 if part.outline is not None else part.radius)
    bad = gaps < margin - NEAR
    if not bad.any():
        return None
    tips = np.minimum(a[near, 2], b[near, 2])
    under = np.full(len(near), part.bottom) if part.fixed else tips + part.bottom
    over = under - (reach if part.cuts and solid.may_cut_to is not None else solid.top)
    row = int(np.where(bad, np.maximum(gaps, over), np.inf).argmin())
    x, y = shapely.get_coordinates(shapely.shortest_line(shapes[row], shape))[0]
    lowest = float(under[bad].min())
    swept = (float(x0.min()), float(y0.min()), float(x1.max()), float(y1.max()))
    return Near(
        part, float(gaps[row]), float(over[row]), (float(x), float(y), float(tips[row])), swept, lowest
    )


def _grown(part: Part) -> Floats:
    """Return how far a part reaches from the spindle axis along x and y, (2,)."""
    if part.outline is None:
        return np.array([part.radius, part.radius])
    reach: Floats = np.abs(part.outline).max(axis=0)
    return reach


def _shapes(a: Floats, b: Floats, boxed: NDArray[np.bool_], part: Part) -> NDArray[np.object_]:
    """Return what moves in plan: the axis' path, or everything an outline passes over."""
    low, high = np.minimum(a, b), np.maximum(a, b)
    lines = np.asarray(shapely.linestrings(np.stack([a[:, :2], b[:, :2]], axis=1)), dtype=object)
    wide = boxed & ((high - low)[:, :2] > STILL).all(axis=1)
    if wide.any():
        lines[wide] = shapely.box(low[wide, 0], low[wide, 1], high[wide, 0], high[wide, 1])
    if part.outline is not None:
        corners = [shapely.get_coordinates(line) for line in lines]
        lines = np.array(
            [
                shapely.MultiPoint((c[:, None, :] + part.outline[None, :, :]).reshape(-1, 2)).convex_hull
                for c in corners
            ],
            dtype=object,
        )
    return lines
