"""From a log of points to a board."""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.board.points import MOST_KNOTS, board_from_points


def low(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the underside of an invented board: bow 2.5 mm over a metre, a slight slope across."""
    heights: np.ndarray = 1e-5 * (x - 500) ** 2 + 0.002 * y
    return heights


def test_a_lattice_in_any_order_is_taken_as_it_is() -> None:
    """24 points of a lattice, shuffled, are the board's readings, unaltered."""
    x, y = (v.ravel() for v in np.meshgrid(np.linspace(0, 1000, 6), np.linspace(0, 200, 4)))
    mixed = np.random.default_rng(3).permutation(24)
    x, y = x[mixed], y[mixed]
    board, problems = board_from_points("log", x, y, low(x, y), low(x, y) + 30.0, 0.1)
    assert problems == []
    assert board is not None
    assert board.bottom_at(np.column_stack([x, y])) == pytest.approx(low(x, y), abs=1e-12)
    assert board.bounds == (0.0, 0.0, 1000.0, 200.0)


@pytest.mark.parametrize("count", [40, 400, 4000])
def test_scattered_points_lie_within_the_uncertainty(count: int) -> None:
    """However many points there are, each lies on the board within its uncertainty."""
    rng = np.random.default_rng(count)
    x, y = rng.uniform(0, 1000, count), rng.uniform(0, 200, count)
    board, problems = board_from_points("log", x, y, low(x, y), low(x, y) + 30.0, 0.05)
    assert problems == []
    assert board is not None
    off = board.bottom_at(np.column_stack([x, y])) - low(x, y)
    assert np.abs(off).max() <= board.uncertainty
    assert board.top.size <= MOST_KNOTS
    area = board.outline[:, 0] @ np.roll(board.outline[:, 1], -1) - board.outline[:, 1] @ np.roll(
        board.outline[:, 0], -1
    )
    assert area > 0, "the outline runs anticlockwise"


def test_the_order_of_scattered_points_does_not_matter() -> None:
    """The same points in another order make the same board, to the last bit."""
    rng = np.random.default_rng(9)
    x, y = rng.uniform(0, 800, 60), rng.uniform(0, 150, 60)
    z = rng.uniform(0, 1, 60)
    boards = []
    for order in (np.arange(60), rng.permutation(60)):
        board, _ = board_from_points("log", x[order], y[order], z[order], z[order] + 20, 0.1)
        assert board is not None
        boards.append(board)
    assert np.array_equal(boards[0].top, boards[1].top)
    assert np.array_equal(boards[0].outline, boards[1].outline)


def test_every_bad_point_is_named() -> None:
    """A missing number, a bottom above its top, and too few points are all said, with their rows."""
    _, problems = board_from_points("log", [0, 1, 2], [0, 0, np.nan], [1, 2, 3], [2, 1, 4])
    assert [p.path for p in problems] == [("points", 2, "y"), ("points", 1, "bottom"), ("points",)]


def test_a_place_measured_twice() -> None:
    """One place with two heights is a problem at the later row, naming the earlier."""
    _, problems = board_from_points("log", [0, 9, 0, 9, 9], [0, 0, 9, 9, 9], [0] * 5, [20, 20, 20, 20, 21])
    assert [(p.path, p.against) for p in problems] == [(("points", 4, "x"), (("points", 3, "x"),))]


def test_points_in_line_make_no_board() -> None:
    """Points along one line say nothing about the width."""
    board, problems = board_from_points("log", [0, 100, 200, 300], [5] * 4, [0] * 4, [20] * 4)
    assert board is None
    assert "one line" in problems[0].message
