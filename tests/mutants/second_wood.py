"""The wood of one clamping, for the judge of mutants: outlines and heights as polygons, never as cells.

In: a packet and the place of a setup in it. Out: `Piece`s. The setups before are taken as proven: a face that
one of them asked for is the plane it asked for, a wall the line. What was measured and not yet cut is the
measured surface, drawn as triangles. mm, work frame. Written from PACKET.md's words alone.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.packet.model import PlaneGoal, WallGoal

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Lies, Packet, Setup

    Floats = NDArray[np.float64]

__all__ = ["BESIDE", "FAR", "Piece", "outside_of", "pieces"]

PARTS = 8  # of a span between two stations: how finely a bilinear patch is drawn in triangles
BESIDE = "the bed beside the skim"
FAR = 5e3  # mm: beyond any board here
EVERYWHERE = shapely.box(-FAR, -FAR, FAR, FAR)
BEYOND = 60.0  # mm: how far beyond a face's or a wall's own span its cutter may have cut


@dataclass(eq=False)
class Piece:
    """One board as it lies. `may`, `sure`: its outline, as large and as small as it may be.

    `flat`: the upper face's z where it is a plane; else `mesh` (n, 3, 3) triangles of the measured face. Wood
    may stand `over` above either, and a plane that has rested as much lower. `parts`: of a face cut in part
    only, the regions that are planes already, and their z. `low`: lowest and highest z of its underside.
    """

    name: str
    may: BaseGeometry
    sure: BaseGeometry
    flat: float | None
    mesh: Floats
    over: float
    low: tuple[float, float]
    parts: list[tuple[BaseGeometry, float]] = field(default_factory=list)
    _kept: dict[tuple[float, bool], BaseGeometry] = field(default_factory=dict)

    @property
    def top(self) -> float:
        """Highest z at which wood may stand."""
        return (self.flat if self.flat is not None else float(self.mesh[..., 2].max())) + self.over

    def above(self, z: float, *, surely: bool = False) -> BaseGeometry:
        """Give the area where the uncut upper face stands above z (at most, or `surely`)."""
        key = (z, surely)
        if key not in self._kept:
            self._kept[key] = self._above(z, surely=surely)
        return self._kept[key]

    def _above(self, z: float, *, surely: bool) -> BaseGeometry:
        outline = self.sure if surely else self.may
        if self.flat is not None:
            return outline if self.flat + (-self.over if surely else self.over) > z else shapely.Polygon()
        rough = self._rough(z, outline, surely=surely)
        if not self.parts:
            return rough
        # A cutter's radius beyond a region the wood may be gone too.
        flat = shapely.union_all([area for area, _ in self.parts])
        rough = rough.difference(flat.buffer(BEYOND) if surely else flat)
        high = [area for area, at in self.parts if at > z]
        return rough.union(outline.intersection(shapely.union_all(high))) if high else rough

    def _rough(self, z: float, outline: BaseGeometry, *, surely: bool) -> BaseGeometry:
        """Give the part of an outline where the measured face stands above z."""
        cut = z - (0.0 if surely else self.over)
        heights = self.mesh[..., 2]
        if float(heights.min()) > cut:
            return outline
        if float(heights.max()) <= cut:
            return shapely.Polygon()
        whole = (heights > cut).all(axis=1)
        # Neighbours share their corners to the last bit, so that their union need not look for crossings.
        parts: list[BaseGeometry] = [shapely.coverage_union_all(shapely.polygons(self.mesh[whole][..., :2]))]
        parts += [_clipped(one, cut) for one in self.mesh[(heights > cut).any(axis=1) & ~whole]]
        return shapely.intersection(shapely.union_all(parts), outline)


def _clipped(triangle: Floats, z: float) -> BaseGeometry:
    """Give the part of a triangle that stands above z, seen from above."""
    found = []
    for k in range(3):
        a, b = triangle[k], triangle[(k + 1) % 3]
        if a[2] > z:
            found.append((a[0], a[1]))
        if (a[2] > z) != (b[2] > z):
            low, high = (a, b) if a[2] < b[2] else (b, a)
            t = (z - low[2]) / (high[2] - low[2])
            found.append((low[0] + t * (high[0] - low[0]), low[1] + t * (high[1] - low[1])))
    return shapely.Polygon(found)


def outside_of(goal: WallGoal, reach: float, *, endless: bool, inside: bool = False) -> BaseGeometry:
    """Give the strip beside a wall, `reach` wide: along its span, or `endless`; outside, or inside it."""
    return _strip(goal, reach, FAR if endless else 0.0, inside=inside)


def _taken_by(goal: WallGoal, setup: Setup, *, may: bool) -> BaseGeometry:
    """Give what a wall takes off a board: on to its rough ends, but of an edge slid along its own span.

    The last position goes on to the ends; before it, `may` is the least that is taken, else a cutter's way
    more.
    """
    (ax, ay), (bx, by) = goal.path[0], goal.path[-1]
    part = setup.position is not None and setup.position.number < setup.position.count
    past = FAR if not part or abs(by - ay) > abs(bx - ax) else 0.0 if may else BEYOND
    return _strip(goal, FAR, past, inside=False)


def _strip(goal: WallGoal, reach: float, past: float, *, inside: bool) -> BaseGeometry:
    """Give what lies beside a wall, its ends carried `past` along the line between them; it may be hollow."""
    path = np.array(goal.path, dtype=np.float64)
    along = (path[-1] - path[0]) / math.dist(path[0], path[-1])
    if past:
        path = np.concatenate([[path[0] - past * along], path, [path[-1] + past * along]])
    to_left = (goal.inside == "left") == inside
    away = reach * np.array([-along[1], along[0]]) * (1.0 if to_left else -1.0)
    return shapely.Polygon(np.concatenate([path, path[::-1] + away]))


def pieces(packet: Packet, index: int) -> list[Piece]:
    """Lay every board of the setup at `index`, cut as the setups before it were asked to; "" is the bed."""
    setup = packet.setups[index]
    found = [_piece(packet, packet.setups[:index], lies) for lies in setup.lies]
    skims = [shapely.Polygon(g.region) for g in setup.goals if isinstance(g, PlaneGoal) and g.board is None]
    if skims:
        area, surface = shapely.union_all(skims), -setup.work_origin[2]
        found.append(Piece("", area, area, surface, np.empty((0, 3, 3)), 0.0, (-FAR, -FAR)))
    return found


def _matrix(lies: Lies) -> Floats:
    return np.array(lies.matrix, dtype=np.float64)


def _piece(packet: Packet, before: list[Setup], lies: Lies) -> Piece:
    board = packet.boards[lies.board]
    here = _matrix(lies)
    upper, lower = ("top", "bottom") if lies.up == "A" else ("bottom", "top")
    # A board's sides are upright in its own frame; tilted they lean by the height times the slope.
    heights = np.concatenate([np.ravel(board.top), np.ravel(board.bottom)])
    middle = float(heights.max() + heights.min()) / 2
    lean = float(np.hypot(here[0, 2], here[1, 2]) * (heights.max() - heights.min()) / 2)
    outline: BaseGeometry = shapely.Polygon(board.outline, board.holes)
    moved = shapely.transform(outline, lambda p: p @ here[:2, :2].T + here[:2, 2] * middle + here[:2, 3])
    may: BaseGeometry = moved.buffer(lean, join_style="mitre")
    sure: BaseGeometry = moved.buffer(-lean, join_style="mitre")
    planes: dict[str, list[tuple[BaseGeometry, float]]] = {"top": [], "bottom": []}
    rested = {"top": lies.moved, "bottom": lies.moved}
    for setup in before:
        there = next((lie for lie in setup.lies if lie.board == lies.board), None)
        if there is None:
            continue
        over = here @ np.linalg.inv(_matrix(there))
        for side in rested:
            rested[side] += there.moved
        for goal in setup.goals:
            if goal.board != lies.board:
                continue
            if isinstance(goal, PlaneGoal):
                corners = np.array([[x, y, goal.z, 1.0] for x, y in goal.region]) @ over.T
                side, z = "top" if there.up == "A" else "bottom", float(corners[:, 2].mean())
                rested[side] = lies.moved
                if setup.position is None:
                    planes[side] = [(EVERYWHERE, z)]
                else:
                    planes[side].append((shapely.Polygon(corners[:, :2]), z))
                assert float(np.ptp(corners[:, 2])) < 0.01, (
                    "a face that is no longer level is not judged here"
                )
            else:
                may = _walled(may, _taken_by(goal, setup, may=True), goal, over)
                sure = _walled(sure, _taken_by(goal, setup, may=False), goal, over)
    mesh = _mesh(board.x, board.y, np.array(getattr(board, upper)), outline, here)
    under = _mesh(board.x, board.y, np.array(getattr(board, lower)), outline, here)[..., 2]
    low = (float(under.min()) - board.uncertainty, float(under.max()))
    beneath = _whole(planes[lower], may)
    if beneath is not None:
        low = (beneath - rested[lower], beneath + rested[lower])
    flat = _whole(planes[upper], may)
    unsure = board.uncertainty if flat is None else rested[upper]
    return Piece(lies.board, may, sure, flat, mesh, unsure, low, planes[upper] if flat is None else [])


def _whole(planes: list[tuple[BaseGeometry, float]], outline: BaseGeometry) -> float | None:
    """Give the z of a face whose planes cover it at one height; None where positions do not yet."""
    if not planes:
        return None
    z = planes[-1][1]
    last = [area for area, at in planes if abs(at - z) < 0.01]
    return z if shapely.union_all(last).buffer(1.0).covers(outline) else None


def _walled(area: BaseGeometry, strip: BaseGeometry, goal: WallGoal, over: Floats) -> BaseGeometry:
    """Take away what an earlier wall left outside it."""
    moved = shapely.transform(strip, lambda p: p @ over[:2, :2].T + over[:2, 2] * goal.z[0] + over[:2, 3])
    return area.difference(moved)


def _mesh(xs: list[float], ys: list[float], heights: Floats, outline: BaseGeometry, here: Floats) -> Floats:
    """Draw a measured face as triangles, (n, 3, 3), work frame; beyond its readings it goes on level."""
    x0, y0, x1, y1 = outline.bounds
    x, y = _finer(xs, x0, x1), _finer(ys, y0, y1)
    along = np.array([np.interp(x, xs, column) for column in heights.T]).T
    z = np.array([np.interp(y, ys, row) for row in along])
    gx, gy = np.meshgrid(x, y, indexing="ij")
    points = np.stack([gx, gy, z, np.ones_like(z)], axis=-1) @ here.T
    p = points[..., :3]
    a, b, c, d = p[:-1, :-1], p[1:, :-1], p[1:, 1:], p[:-1, 1:]
    return np.concatenate(
        [np.stack([a, b, c], axis=2).reshape(-1, 3, 3), np.stack([a, c, d], axis=2).reshape(-1, 3, 3)]
    )


def _finer(stations: list[float], low: float, high: float) -> Floats:
    ends = sorted({low - 1.0, *stations, high + 1.0})
    found = [np.linspace(a, b, PARTS, endpoint=False) for a, b in itertools.pairwise(ends)]
    return np.concatenate([*found, [ends[-1]]])
