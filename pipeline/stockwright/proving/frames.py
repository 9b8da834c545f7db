"""How a board lies, as numbers the proof can use. In: `lies` matrices. Out: `Lay`, grid to work and back.

The grid frame is the board turned so that its first clamping is level; later ones are then level too, or a
little tilted, which is carried along. Promise: what cannot be carried soundly raises `CannotLie`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.packet.model import Lies

    Floats = NDArray[np.float64]

__all__ = ["AS_FACE", "CannotLie", "Lay", "grid_frame", "lay", "turned_by_hand"]

RIGID = 1e-4  # how far a written matrix may be from a rotation: four decimals of it
STEEP = 0.2  # about 11 degrees between two clampings; beyond it columns of wood say too little
# Matrices written to six decimals are out by up to this; heights then get an allowance instead of a plane.
LEVEL = 5e-6
OVER: dict[str, Floats] = {  # what brings a side up: half a turn about x, or a quarter turn
    "A": np.eye(3),
    "B": np.diag([1.0, -1.0, -1.0]),
    "edge-2": np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]]),
    "edge-1": np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]]),
}
AS_FACE = {"edge-2": "A", "edge-1": "B"}  # in the frame of a board on its edge: x, -z, y of the grid


class CannotLie(Exception):  # noqa: N818 - a board that lies so cannot be proven
    """The board lies in a way that is no rigid motion, or that the proof cannot carry."""


@frozen(eq=False)
class Lay:
    """One board in one setup. `to_work`, `to_grid` (4, 4); `side` +1 with face A or edge-2 up, else -1.

    `flat`: the work plane is level in the grid frame but for `wobble` mm of height at most.
    """

    to_work: Floats
    to_grid: Floats
    side: int
    flat: bool
    wobble: float
    slope: float

    def height(self, z: float, x: Floats | float, y: Floats | float) -> Floats | float:
        """Give the grid height, counted outwards on the upper side, of the work plane z at grid x, y."""
        ux, uy, uz, t = self.to_work[2]
        if self.flat:  # one height for every place
            return float(self.side * (z - t) / uz)
        found: Floats | float = self.side * (z - t - ux * x - uy * y) / uz
        return found

    def work_z(self, height: Floats | float, x: Floats | float, y: Floats | float) -> Floats | float:
        """Give the work z of a grid height on the upper side at grid x, y."""
        ux, uy, uz, t = self.to_work[2]
        if self.flat:
            level: Floats | float = uz * self.side * height + t
            return level
        found: Floats | float = ux * x + uy * y + uz * self.side * height + t
        return found


def turned_by_hand(up: str, quarter_turns: int) -> Floats:
    """Give the rotation a board is given by hand: which side is up, then turns seen from above."""
    c, s = (1, 0, -1, 0)[quarter_turns], (0, 1, 0, -1)[quarter_turns]
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]], dtype=np.float64)
    return turn @ OVER[up]


def _rigid(lies: Lies) -> Floats:
    matrix = np.array(lies.matrix, dtype=np.float64)
    rotation = matrix[:3, :3]
    off = float(np.abs(rotation @ rotation.T - np.eye(3)).max())
    if off > RIGID or np.linalg.det(rotation) < 0 or not np.allclose(matrix[3], [0, 0, 0, 1]):
        raise CannotLie(f"the matrix that lays {lies.board} is no rigid motion")
    u, _, v = np.linalg.svd(rotation)
    matrix[:3, :3] = u @ v
    return matrix


def grid_frame(first: Lies) -> Floats:
    """Give the matrix (4, 4) from the board frame to the grid frame, from the first clamping.

    Raises `CannotLie` for a matrix that is no rigid motion or disagrees with its words.
    """
    matrix = np.eye(4)
    matrix[:3, :3] = turned_by_hand(first.up, first.quarter_turns).T @ _rigid(first)[:3, :3]
    if float(np.arccos(np.clip(matrix[2, 2], -1, 1))) > STEEP or matrix[0, 0] < np.cos(2 * STEEP):
        raise CannotLie(f"the matrix that lays {first.board} disagrees with {first.up} up and its turns")
    return matrix


def lay(lies: Lies, board_to_grid: Floats, extent: float) -> Lay:
    """Place a board in a setup; `extent` is how far its wood reaches from the grid's origin, mm.

    `board_to_grid` is the matrix of the wood's own frame: for a board on its edge that of its edges.

    Raises `CannotLie` as `grid_frame` does.
    """
    to_work = _rigid(lies) @ np.linalg.inv(board_to_grid)
    seen = AS_FACE.get(lies.up, lies.up)
    side = 1 if seen == "A" else -1
    expected = turned_by_hand(seen, lies.quarter_turns)
    if float((to_work[:3, :3] * expected).sum()) < 1 + 2 * np.cos(STEEP):
        raise CannotLie(f"the matrix that lays {lies.board} disagrees with {lies.up} up and its turns")
    slope = float(np.hypot(to_work[2, 0], to_work[2, 1]) / abs(to_work[2, 2]))
    flat = slope <= LEVEL
    return Lay(
        to_work=to_work,
        to_grid=np.linalg.inv(to_work),
        side=side,
        flat=flat,
        wobble=slope * extent if flat else 0.0,
        slope=0.0 if flat else slope,
    )
