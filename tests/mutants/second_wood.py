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

__all__ = ["Piece", "outside_of", "pieces"]

PARTS = 8  # of a span between two stations: how finely a bilinear patch is drawn in triangles
FAR = 5e3  # mm: beyond any board here


@dataclass(eq=False)
class Piece:
    """One board as it lies. `may`, `sure`: its outline, as large and as small as it may be.

    `flat`: the upper face's z where it is a plane; else `mesh` (n, 3, 3) triangles of the measured face, and
    wood may stand `over` above it. `low`: lowest and highest z of its underside.
    """

    name: str
    may: BaseGeometry
    sure: BaseGeometry
    flat: float | None
    mesh: Floats
    over: float
    low: tuple[float, float]
    _kept: dict[tuple[float, bool], BaseGeometry] = field(default_factory=dict)

    @property
    def top(self) -> float:
        """Highest z at which wood may stand."""
        return self.flat if self.flat is not None else float(self.mesh[..., 2].max()) + self.over

    def above(self, z: float, *, surely: bool = False) -> BaseGeometry:
        """Give the area where the uncut upper face stands above z (at most, or `surely`)."""
        key = (z, surely)
        if key not in self._kept:
            self._kept[key] = self._above(z, surely=surely)
        return self._kept[key]

    def _above(self, z: float, *, surely: bool) -> BaseGeometry:
        outline = self.sure if surely else self.may
        if self.flat is not None:
            return outline if self.flat > z else shapely.Polygon()
        cut = z - (0.0 if surely else self.over)
        heights = self.mesh[..., 2]
        if float(heights.min()) > cut:
            return outline
        if float(heights.max()) <= cut:
            return shapely.Polygon()
        whole = (heights > cut).all(axis=1)
        parts: list[BaseGeometry] = [shapely.Polygon(triangle[:, :2]) for triangle in self.mesh[whole]]
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
    (ax, ay), (bx, by) = goal.path[0], goal.path[-1]
    size = math.hypot(bx - ax, by - ay)
    tx, ty = (bx - ax) / size, (by - ay) / size
    if endless:
        ax, ay, bx, by = ax - FAR * tx, ay - FAR * ty, bx + FAR * tx, by + FAR * ty
    to_left = (goal.inside == "left") == inside
    nx, ny = (-ty * reach, tx * reach) if to_left else (ty * reach, -tx * reach)
    return shapely.Polygon([(ax, ay), (bx, by), (bx + nx, by + ny), (ax + nx, ay + ny)])


def pieces(packet: Packet, index: int) -> list[Piece]:
    """Lay every board of the setup at `index`, cut as the setups before it were asked to."""
    setup = packet.setups[index]
    return [_piece(packet, packet.setups[:index], lies) for lies in setup.lies]


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
    planes: dict[str, float] = {}
    for setup in before:
        there = next((lie for lie in setup.lies if lie.board == lies.board), None)
        if there is None:
            continue
        over = here @ np.linalg.inv(_matrix(there))
        for goal in setup.goals:
            if goal.board != lies.board:
                continue
            if isinstance(goal, PlaneGoal):
                corners = np.array([[x, y, goal.z, 1.0] for x, y in goal.region]) @ over.T
                planes["top" if there.up == "A" else "bottom"] = float(corners[:, 2].mean())
                assert float(np.ptp(corners[:, 2])) < 0.01, (
                    "a face that is no longer level is not judged here"
                )
            else:
                may, sure = _walled(may, goal, over), _walled(sure, goal, over)
    mesh = _mesh(board.x, board.y, np.array(getattr(board, upper)), outline, here)
    under = _mesh(board.x, board.y, np.array(getattr(board, lower)), outline, here)[..., 2]
    low = (float(under.min()) - board.uncertainty, float(under.max()))
    if lower in planes:
        low = (planes[lower], planes[lower])
    return Piece(lies.board, may, sure, planes.get(upper), mesh, board.uncertainty, low)


def _walled(area: BaseGeometry, goal: WallGoal, over: Floats) -> BaseGeometry:
    """Take away what an earlier wall left outside it."""
    strip = outside_of(goal, FAR, endless=True)
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
