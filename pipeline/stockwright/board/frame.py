"""The rigid frame of the finished piece. In: tilt, face-A plane, placement, thickness. Out: 4x4 matrices.

Public:
    levelling(a, b) -> (3, 3)                       board frame -> levelled frame, where such planes are level
    levelled_outlines(outline, a, b, heights) -> tuple of (k, 2)
                                                    the outline cut by planes of that tilt, levelled xy;
                                                    hand them to `placing.place_piece`
    piece_from_board(a, b, face_a, placement, thickness) -> (4, 4)
                                                    F: board frame -> piece frame, exactly orthonormal
Promise: F is a rotation and a shift, never a shear; face A's plane lands on z = thickness exactly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from stockwright.board.placing import Placement

    Floats = NDArray[np.float64]

__all__ = ["levelled_outlines", "levelling", "piece_from_board"]


def levelling(a: float, b: float) -> Floats:
    """Return the (3, 3) least rotation that turns the normal of the planes z = a x + b y + c upright.

    The axis is horizontal, so the board is tilted but not swivelled (Rodrigues' formula, textbook geometry).
    """
    s = float(np.sqrt(1.0 + a * a + b * b))
    nx, ny, nz = -a / s, -b / s, 1.0 / s
    k = 1.0 / (1.0 + nz)
    return np.array(
        [
            [1.0 - k * nx * nx, -k * nx * ny, -nx],
            [-k * nx * ny, 1.0 - k * ny * ny, -ny],
            [nx, ny, nz],
        ]
    )


def levelled_outlines(outline: Floats, a: float, b: float, heights: Iterable[float]) -> tuple[Floats, ...]:
    """Return the (k, 2) outline, levelled xy, where each plane z = a x + b y + c, c in `heights`, cuts it.

    The board's sides stand upright in the board frame, so under a tilt they lean in the levelled frame; a
    piece that fits inside the outline at face A and at face B fits everywhere between.
    """
    turn = levelling(a, b)
    xy = np.asarray(outline, dtype=float)
    cut = []
    for c in heights:
        points = np.column_stack([xy, xy @ np.array([a, b]) + c])
        cut.append((points @ turn.T)[:, :2])
    return tuple(cut)


def piece_from_board(a: float, b: float, face_a: float, placement: Placement, thickness: float) -> Floats:
    """Return F (4, 4), board frame -> piece frame, mm.

    `face_a` is c of face A's plane z = a x + b y + c (board frame); `placement` is in levelled xy, see
    `levelled_outlines`; the plane lands on z = `thickness`, the placement's corner on x = y = 0 and its
    direction on +x.
    """
    turn = levelling(a, b)
    angle = np.radians(placement.angle)
    co, si = float(np.cos(angle)), float(np.sin(angle))
    swivel = np.array([[co, si, 0.0], [-si, co, 0.0], [0.0, 0.0, 1.0]])
    rotation = swivel @ turn
    # c / s is the distance of the plane from the board's origin, and so its height once level.
    level = face_a / float(np.sqrt(1.0 + a * a + b * b))
    corner = swivel @ np.array([placement.x0, placement.y0, level - thickness])
    matrix = np.eye(4)
    matrix[:3, :3] = rotation
    matrix[:3, 3] = -corner
    return matrix
