"""Two bilinear surfaces over an outline."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.board.surface import Board

X, Y = np.array([10.0, 300.0, 590.0]), np.array([15.0, 100.0, 180.0])
CROOKED = np.array([(0.0, 2.0), (280.0, 30.0), (600.0, 0.0), (590.0, 200.0), (300.0, 190.0), (3.0, 205.0)])


def board_of(seed: int) -> Board:
    """Return a board with random heights."""
    rng = np.random.default_rng(seed)
    low = rng.uniform(0.0, 3.0, (3, 3))
    return Board("random", CROOKED, X, Y, low + rng.uniform(20.0, 24.0, (3, 3)), low, 0.2)


def points_of_the_outline(count: int) -> np.ndarray:
    """Return points all over the outline, its rim included."""
    import shapely

    lattice = np.array([(x, y) for x in np.linspace(0, 600, count) for y in np.linspace(0, 205, count)])
    inside = lattice[shapely.intersects_xy(shapely.Polygon(CROOKED), lattice)]
    share = np.linspace(0, 1, 20)[:, None]
    rim = [p + share * (q - p) for p, q in zip(CROOKED, np.roll(CROOKED, -1, axis=0), strict=True)]
    return np.vstack([inside, *rim])


def test_readings_are_met() -> None:
    """At its own stations the surface is what was read."""
    board = board_of(1)
    xx, yy = np.meshgrid(X, Y, indexing="ij")
    stations = np.column_stack([xx.ravel(), yy.ravel()])
    assert board.top_at(stations) == pytest.approx(board.top.ravel())
    assert board.bottom_at(stations) == pytest.approx(board.bottom.ravel())


def test_halfway_is_the_mean_of_four() -> None:
    """In the middle of a cell the height is the mean of its corners."""
    board = board_of(2)
    assert board.top_at(np.array([(155.0, 57.5)]))[0] == pytest.approx(board.top[:2, :2].mean())


def test_beyond_the_grid_the_height_stays() -> None:
    """Beyond the last station the height is the last station's."""
    board = board_of(3)
    assert board.top_at(np.array([(-500.0, -500.0), (900.0, 15.0)])).tolist() == [
        board.top[0, 0],
        board.top[2, 0],
    ]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.floats(-0.05, 0.05), st.floats(-0.05, 0.05))
def test_critical_points_decide_for_the_whole_board(seed: int, a: float, b: float) -> None:
    """Nowhere on the board is less room above or below any plane than at the critical points."""
    board = board_of(seed)
    critical, everywhere = board.critical_points(), points_of_the_outline(25)
    slope = np.array([a, b])
    for heights in (board.top_at, board.bottom_at):
        there, all_over = heights(critical) - critical @ slope, heights(everywhere) - everywhere @ slope
        assert all_over.min() >= there.min() - 1e-9
        assert all_over.max() <= there.max() + 1e-9


def test_critical_points_of_a_region_inside_one_cell() -> None:
    """A region that touches one cell only has that cell's corners and its own."""
    region = np.array([(100.0, 30.0), (200.0, 30.0), (150.0, 60.0)])
    found = board_of(4).critical_points(region)
    assert {tuple(p) for p in found} == {(10, 15), (10, 100), (300, 15), (300, 100), *map(tuple, region)}


def test_bounds_are_the_outlines() -> None:
    """The bounds are those of the outline, not of the readings."""
    assert board_of(5).bounds == (0.0, 0.0, 600.0, 205.0)


def test_mass_centre_leans_to_the_thick_side() -> None:
    """A wedge twice as thick at one edge has its centre at 5/9 of the width (a trapezium's centroid)."""
    outline = np.array([(0.0, 0.0), (600.0, 0.0), (600.0, 180.0), (0.0, 180.0)])
    low = np.zeros((2, 2))
    board = Board("wedge", outline, np.array([0.0, 600.0]), np.array([0.0, 180.0]),
                  np.array([[10.0, 20.0], [10.0, 20.0]]), low, 0.0)  # fmt: skip
    assert board.mass_centre() == pytest.approx((300.0, 100.0), abs=0.1)
