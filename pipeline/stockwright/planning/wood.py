"""The wood as it now is. In: a measured board, how its piece lies in it. Out: outlines and heights.

Piece frame: x along edge-1 from end-1, y across from edge-1, z from face B (0) up to face A (T), mm. Promise:
the board's measured shape is carried rigidly through every flip and turn; nothing is measured anew, and no
surface counts as flat before a cutter has made it flat.
"""

from __future__ import annotations

from dataclasses import field, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely import affinity

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from stockwright.board.surface import Board
    from stockwright.job import FaceStep, Side

    Floats = NDArray[np.float64]

__all__ = ["Place", "Up", "Wood", "flipped", "turn_to_near"]

Up = Literal["A", "B"]

_OTHER: dict[Up, Up] = {"A": "B", "B": "A"}
"""The face across from each."""

_QUARTERS = (
    ((1.0, 0.0), (0.0, 1.0)),
    ((0.0, -1.0), (1.0, 0.0)),
    ((-1.0, 0.0), (0.0, -1.0)),
    ((0.0, 1.0), (-1.0, 0.0)),
)
"""Anticlockwise quarter turns seen from above, exact."""

_OUTWARD: dict[str, tuple[float, float]] = {
    "edge-1": (0.0, -1.0),
    "edge-2": (0.0, 1.0),
    "end-1": (-1.0, 0.0),
    "end-2": (1.0, 0.0),
}
"""Which way each side looks in the piece frame."""


@frozen
class Place:
    """How the piece frame lies in the work frame: face up, quarter turns, then a shift (mm)."""

    up: Up
    quarter_turns: int
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def under(self) -> Up:
        """The face that lies underneath."""
        return _OTHER[self.up]

    def matrix(self) -> Floats:
        """Return the rigid (4, 4) matrix, piece frame to work frame."""
        turn = np.eye(4)
        turn[:2, :2] = _QUARTERS[self.quarter_turns % 4]
        over = np.diag([1.0, 1.0, 1.0, 1.0] if self.up == "A" else [1.0, -1.0, -1.0, 1.0])
        shift = np.eye(4)
        shift[:3, 3] = self.shift
        return np.asarray(shift @ turn @ over + 0.0)

    def plan(self, shape: shapely.Polygon) -> shapely.Polygon:
        """Return a plan-view shape of the piece frame as it lies in the work frame."""
        m = self.matrix()
        laid = affinity.affine_transform(shape, [m[0, 0], m[0, 1], m[1, 0], m[1, 1], m[0, 3], m[1, 3]])
        assert isinstance(laid, shapely.Polygon)
        return laid

    def looks(self, side: Side) -> tuple[float, float]:
        """Return the outward direction of a side in the work frame, a unit vector along an axis."""
        x, y = _OUTWARD[side]
        m = self.matrix()
        return (float(m[0, 0] * x + m[0, 1] * y), float(m[1, 0] * x + m[1, 1] * y))

    def side_looking(self, x: float, y: float) -> Side:
        """Return the side whose outward direction in the work frame is (x, y)."""
        sides: tuple[Side, ...] = ("edge-1", "edge-2", "end-1", "end-2")
        return next(s for s in sides if np.allclose(self.looks(s), (x, y)))


def flipped(place: Place, how: Literal["edge-over-edge", "end-over-end"]) -> Place:
    """Return the place after turning the board over, about the work x axis or the work y axis."""
    # Half a turn about x takes the turns k to -k; about y it adds half a turn in the plane.
    turns = -place.quarter_turns + (0 if how == "edge-over-edge" else 2)
    return Place(place.under, turns % 4)


def turn_to_near(place: Place, side: Side) -> Place:
    """Return the place turned on the bed until `side` looks towards the operator (low y)."""
    for turns in range(4):
        turned = Place(place.up, turns)
        if np.allclose(turned.looks(side), (0.0, -1.0)):
            return turned
    raise AssertionError(side)


@frozen(eq=False)
class Wood:
    """A board on its way to a piece.

    `to_piece` (4, 4) takes the board frame to the piece frame; `face_a` is where the first cut of face A
    lies (z); `outline` is the plan of what wood is left, piece frame; `heights` says where the faces lie
    (z) that are already flat, `cut` which sides are already straight. `under` is where the bed lies in the
    piece frame while face A is up and face B is still rough (z of the bed plane). `moved` says of faces how
    far they may have warped, mm, since they were last flat.
    """

    board: Board
    to_piece: Floats
    face_a: float
    outline: shapely.Polygon
    under: float
    heights: Mapping[str, float] = field(default_factory=dict)
    cut: frozenset[str] = frozenset()
    moved: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def rough(cls, board: Board, to_piece: Floats, face_a: float, under: float) -> Wood:
        """Return the board as it arrives: its outline seen along the piece's z at half its height."""
        rings = []
        for corners in (board.outline, *board.holes):
            xy = np.asarray(corners, dtype=float)
            middle = (board.top_at(xy) + board.bottom_at(xy)) / 2
            rings.append((np.column_stack([xy, middle, np.ones(len(xy))]) @ to_piece.T)[:, :2])
        return cls(board, to_piece, face_a, shapely.Polygon(rings[0], rings[1:]), under)

    @property
    def faced(self) -> frozenset[str]:
        """The faces that have been cut flat."""
        return frozenset(self.heights)

    def cut_to(self, step: FaceStep) -> float:
        """Return the z to which a face is cut: `to` over the other face, where that is flat already."""
        other = self.heights.get(_OTHER[step.face])
        if step.to is None or other is None:
            return self.face_a if step.face == "A" else 0.0
        return other + step.to if step.face == "A" else other - step.to

    def after_face(self, face: str, height: float) -> Wood:
        """Return the wood once a face is flat at z = `height`."""
        still = {f: m for f, m in self.moved.items() if f != face}
        return replace(self, heights={**self.heights, face: height}, moved=still)

    def after_rest(self, moved: float) -> Wood:
        """Return the wood after a rest in which either face may have warped by `moved` mm."""
        return replace(self, moved={face: self.moved.get(face, 0.0) + moved for face in ("A", "B")})

    def lifted(self, up: Up) -> float:
        """Return how far what is up may stand over its place, mm: the face below may have warped.

        A warped face touches the support with its lowest places, so the wood over it can only be higher. Once
        the face below is flat again, the one above hangs on the support that it was cut over.
        """
        return self.moved.get(_OTHER[up], 0.0)

    def after_wall(self, side: Side, kept: shapely.Geometry) -> Wood:
        """Return the wood once a side is cut; `kept` is the half plane that stays, piece frame."""
        left = self.outline.intersection(kept)
        if isinstance(left, shapely.MultiPolygon):
            left = max(left.geoms, key=lambda p: p.area)
        assert isinstance(left, shapely.Polygon)
        return replace(self, outline=left, cut=self.cut | {side})

    def after_part(self, kept: shapely.Geometry) -> Wood:
        """Return the wood once a part of a side is cut; `kept` is what stays, piece frame."""
        return replace(self.after_wall("edge-1", kept), cut=self.cut)

    def rests_at(self, up: Up) -> float:
        """Return the z shift that puts what is underneath on the support, piece frame to work frame."""
        if up == "B":
            # Face A lies on the support; while it is rough, with its highest place.
            return self.heights["A"] if "A" in self.heights else self.highest(Place("A", 0))
        return -self.heights.get("B", self.under) + 0.0

    def matrix(self, place: Place) -> Floats:
        """Return the (4, 4) matrix, board frame to work frame."""
        return place.matrix() @ self.to_piece

    def plan(self, place: Place) -> shapely.Polygon:
        """Return the outline in the work frame."""
        return shapely.geometry.polygon.orient(place.plan(self.outline))

    def top_heights(self, place: Place, xy: Floats) -> Floats:
        """Return the wood's upper height at `xy` (n, 2), work frame; the measured surface read as it lies."""
        lifted = self.lifted(place.up)
        if place.up in self.faced:
            z = place.matrix()[2] @ np.array([0.0, 0.0, self.heights[place.up], 1.0])
            return np.full(len(xy), float(z) + lifted)
        matrix = self.matrix(place)
        back = np.linalg.inv(matrix)
        read = self.board.top_at if place.up == "A" else self.board.bottom_at
        z = np.zeros(len(xy))
        for _ in range(4):  # the tilt is small: each turn shrinks the error by the slope squared
            at = np.column_stack([xy, z, np.ones(len(xy))]) @ back.T
            seen = read(np.ascontiguousarray(at[:, :2]))
            z = np.column_stack([at[:, :2], seen, np.ones(len(xy))]) @ matrix[2]
        return np.asarray(z + lifted)

    def doubt(self, up: Up) -> float:
        """Return by how much the face that is up may stand over its readings, mm; once cut, not at all."""
        return 0.0 if up in self.faced else self.board.uncertainty

    def highest(self, place: Place) -> float:
        """Return the highest measured wood in the work frame, uncertainty not added."""
        if place.up in self.faced:
            return float(self.top_heights(place, np.zeros((1, 2)))[0])
        points = self.board.critical_points()
        read = self.board.top_at if place.up == "A" else self.board.bottom_at
        z = np.column_stack([points, read(points), np.ones(len(points))]) @ self.matrix(place)[2]
        return float(z.max()) + self.lifted(place.up)
