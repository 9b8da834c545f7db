"""Warp as a grader measures it.

Source of the definitions: softwood grading-rule text on warp (bow, crook, cup, twist). Sagitta: textbook
geometry. Wedge: common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.board.hiding import hidden
from stockwright.board.seating import seat
from stockwright.board.surface import Board
from stockwright.board.warp import warps

X, Y = np.linspace(0.0, 1200.0, 5), np.linspace(0.0, 200.0, 3)
RECTANGLE = np.array([(0.0, 0.0), (1200.0, 0.0), (1200.0, 200.0), (0.0, 200.0)])


def board(shape: object, thickness: object = None, outline: np.ndarray = RECTANGLE) -> Board:
    """Return a board whose faces follow shape(x, y), 25.4 mm thick where nothing else is said."""
    x, y = np.meshgrid(X, Y, indexing="ij")
    low = np.asarray(shape(x, y)) + 0.0 * x  # type: ignore[operator]
    thick = 25.4 + 0.0 * x if thickness is None else thickness(x, y)  # type: ignore[operator]
    return Board("invented", outline, X, Y, low + thick, low, 0.0)


def test_bow_is_off_a_straight_line_end_to_end() -> None:
    """A face arched 4 mm over 1200 mm bows 4 mm, most in the middle, whatever way the board leans."""
    found = warps(board(lambda x, y: 4.0 * (1 - ((x - 600) / 600) ** 2) + 0.01 * x + 0.02 * y)).bow
    assert (found.value, found.x) == pytest.approx((4.0, 600.0))


def test_cup_is_off_a_straight_line_edge_to_edge() -> None:
    """A radius of 2500 over 200 mm cups 2.0 mm (sagitta w^2/8R; exact 2.0008), most in the middle."""
    found = warps(board(lambda _x, y: 2500.0 - np.sqrt(2500.0**2 - (y - 100.0) ** 2))).cup
    assert (found.value, found.y) == pytest.approx((2.0008, 100.0), abs=1e-4)
    assert found.value == pytest.approx(200.0**2 / (8 * 2500.0), abs=1e-3)
    assert "hollow" in found.where


def test_twist_is_how_far_one_corner_stands_off() -> None:
    """Corners 0, 1, 0.5, 4.5: with one end flat down a corner stands off 3.0; a tilt cancels."""
    found = warps(board(lambda x, y: x / 1200.0 + 0.5 * y / 200.0 + 3.0 * x / 1200.0 * y / 200.0)).twist
    assert found.value == pytest.approx(3.0)


def test_a_twisted_board_yields_its_thickness_less_half_the_gap() -> None:
    """The same twist leaves 25.4 - 3/2 = 23.9 parallel, and each face is flat within 1.5."""
    twisted = board(lambda x, y: x / 1200.0 + 0.5 * y / 200.0 + 3.0 * x / 1200.0 * y / 200.0)
    assert seat(twisted).best == pytest.approx(23.9, abs=1e-2)
    assert warps(twisted).face_a.value == pytest.approx(1.5, abs=1e-3)


def test_crook_is_off_a_straight_line_along_an_edge() -> None:
    """An edge hollow by 5 mm crooks 5 mm, though the edge leans."""
    crooked = np.array([(0.0, 1.0), (600.0, 6.5), (1200.0, 2.0), (1200.0, 210.0), (0.0, 210.0)])
    found = warps(board(lambda x, _y: 0.0 * x, outline=crooked)).crook
    assert found.value == pytest.approx(5.0, abs=1e-3)
    assert (found.x, "edge-1 is hollow" in found.where) == (600.0, True)


def test_wedge_is_the_thickness_between_the_edges() -> None:
    """A board 0.8 mm thicker at edge-2 wedges 0.8 mm, and neither bows nor cups nor twists for it."""
    found = warps(board(lambda x, _y: 0.0 * x, lambda _x, y: 25.4 + 0.8 * y / 200.0))
    assert found.wedge.value == pytest.approx(0.8)
    assert max(found.bow.value, found.cup.value, found.twist.value) < 1e-9


def test_what_a_bow_hides_between_readings() -> None:
    """A bow of 3 mm over 1200 read every 300 hides 0.1875 mm between two readings (k h^2 / 8)."""
    x, y = np.meshgrid(X, Y, indexing="ij")
    bow = 3.0 * (1 - ((x - 600) / 600) ** 2) + 0.0 * y
    found, notes = hidden(X, Y, bow, (0.0, 0.0, 1200.0, 200.0))
    assert found == pytest.approx(0.1875, abs=1e-12)
    assert notes == []


def test_crosscutting_takes_most_of_a_bow() -> None:
    """A third of a board that bows 4 mm bows a ninth of it: sagitta goes with the square of the length."""
    x = np.array([400.0, 600.0, 800.0])
    arch = np.tile((4.0 * (1 - ((x - 600) / 600) ** 2))[:, None], 2)
    third = Board("third", RECTANGLE, x, Y[[0, 2]], arch + 25.0, arch, 0.0)
    assert warps(third).bow.value == pytest.approx(4.0 / 9.0)
