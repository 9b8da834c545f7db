"""The rigid frame of the piece."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.board.frame import levelled_outlines, levelling, piece_from_board
from stockwright.board.placing import Placement, Spare, place_piece

TILT = st.floats(-0.05, 0.05)
NO_SPARE = Spare(0.0, 0.0, 0.0, 0.0)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(TILT, TILT, st.floats(-50, 50), st.floats(-8, 8))
def test_the_frame_is_rigid_and_levels_face_a(a: float, b: float, face_a: float, angle: float) -> None:
    """F is a rotation to the last digits, and every point of face A's plane lands on z = T."""
    matrix = piece_from_board(a, b, face_a, Placement(angle, 12.0, 7.0, 900.0, 150.0, NO_SPARE), 21.0)
    turn = matrix[:3, :3]
    assert np.abs(turn @ turn.T - np.eye(3)).max() < 1e-14
    assert np.linalg.det(turn) == pytest.approx(1.0, abs=1e-14)
    xy = np.array([(0.0, 0.0), (1200.0, 0.0), (300.0, 220.0)])
    points = np.column_stack([xy, xy @ np.array([a, b]) + face_a, np.ones(3)])
    assert (points @ matrix.T)[:, 2] == pytest.approx(np.full(3, 21.0), abs=1e-10)


def test_the_placed_corners_are_the_pieces_corners() -> None:
    """The corners of the placement land on (0, 0), (L, 0), (L, W) and (0, W)."""
    a, b, face_a = 0.004, -0.011, 33.0
    outline = np.array([(0.0, 0.0), (1000.0, 4.0), (1000.0, 210.0), (0.0, 204.0)])
    outlines = levelled_outlines(outline, a, b, (face_a, face_a - 21.0))
    placed = place_piece(outlines, 950.0, 190.0)
    assert isinstance(placed, Placement)
    level = face_a / np.sqrt(1 + a * a + b * b)
    upright = np.column_stack([placed.corners(), np.full(4, level)])
    board = upright @ levelling(a, b)  # back to the board frame: the inverse of a rotation is its transpose
    matrix = piece_from_board(a, b, face_a, placed, 21.0)
    piece = board @ matrix[:3, :3].T + matrix[:3, 3]
    assert piece == pytest.approx(
        np.array([(0, 0, 21), (950, 0, 21), (950, 190, 21), (0, 190, 21)]), abs=1e-9
    )


def test_a_level_board_is_only_moved() -> None:
    """Without tilt or turn F is a shift."""
    matrix = piece_from_board(0.0, 0.0, 30.0, Placement(0.0, 5.0, 6.0, 900.0, 150.0, NO_SPARE), 21.0)
    assert matrix.tolist() == [[1, 0, 0, -5], [0, 1, 0, -6], [0, 0, 1, -9], [0, 0, 0, 1]]


def test_under_a_tilt_the_sides_lean() -> None:
    """Two planes 20 mm apart cut a board that leans 2 % across 0.4 mm apart."""
    outline = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)])
    high, low = levelled_outlines(outline, 0.0, 0.02, (20.0, 0.0))
    assert (high - low)[:, 1] == pytest.approx(np.full(4, 20.0 * 0.02 / np.sqrt(1 + 0.02**2)))
