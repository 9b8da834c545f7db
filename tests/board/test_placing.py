"""The finished piece in the crooked outline."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.board.placing import Margins, Placement, TooSmall, largest_rectangle, place_piece

CROOKED = np.array(
    [
        (0, 2),
        (295, 5.5),
        (590, 7),
        (885, 5),
        (1182, 1.5),
        (1179, 226),
        (885, 229),
        (590, 230),
        (295, 228.5),
        (3, 225.5),
    ],
    dtype=float,
)


def turned(points: np.ndarray, degrees: float) -> np.ndarray:
    """Return points turned anticlockwise about the origin."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    result: np.ndarray = points @ np.array([[c, s], [-s, c]])
    return result


def test_a_rectangle_in_a_rectangle_is_centred() -> None:
    """In a 1000 x 200 board a 900 x 190 piece has 5 mm beyond each edge and 50 mm beyond each end."""
    found = place_piece(np.array([(0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (0.0, 200.0)]), 900, 190)
    assert isinstance(found, Placement)
    spare = found.spare
    assert (spare.edge_1, spare.edge_2, spare.end_1, spare.end_2) == pytest.approx((5, 5, 50, 50))
    assert (found.angle, found.x0, found.y0) == pytest.approx((0, 50, 5), abs=1e-9)


def test_the_piece_turns_with_the_board() -> None:
    """A board measured 7 degrees askew holds its piece 7 degrees askew, with the same spares."""
    board = np.array([(0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (0.0, 200.0)])
    found = place_piece(turned(board, 7.0), 900, 190)
    assert isinstance(found, Placement)
    assert found.angle == pytest.approx(7.0)
    assert found.spare.edge_1 == pytest.approx(5.0)


def test_the_crooked_board_holds_the_tread() -> None:
    """1150 x 200 lies inside the crooked outline, with the spare it says on every side."""
    found = place_piece(CROOKED, 1150, 200)
    assert isinstance(found, Placement)
    piece, wood = shapely.Polygon(found.corners()), shapely.Polygon(CROOKED)
    assert wood.covers(piece)
    assert found.spare.edge_1 == pytest.approx(found.spare.edge_2)
    assert wood.exterior.distance(piece) == pytest.approx(found.spare.edge_1, abs=1e-3)


def test_margins_move_the_piece() -> None:
    """Four millimetres more wanted beyond edge-1 put the piece two farther from it."""
    plain, moved = place_piece(CROOKED, 1150, 200), place_piece(CROOKED, 1150, 200, Margins(edge_1=4.0))
    assert isinstance(plain, Placement)
    assert isinstance(moved, Placement)
    assert moved.spare.edge_1 - plain.spare.edge_1 == pytest.approx(2.0, abs=1e-6)


def test_too_wide_says_how_wide_it_can_be() -> None:
    """230 does not fit; the width it names does, and 0.1 mm more does not."""
    found = place_piece(CROOKED, 1150, 230)
    assert isinstance(found, TooSmall)
    assert "edge-1" in found.limiting
    assert isinstance(place_piece(CROOKED, 1150, found.largest_width - 0.01), Placement)
    assert isinstance(place_piece(CROOKED, 1150, found.largest_width + 0.1), TooSmall)


def test_too_long_says_how_long_it_can_be() -> None:
    """1250 does not fit; the length it names does, and 0.1 mm more does not."""
    found = place_piece(CROOKED, 1250, 200)
    assert isinstance(found, TooSmall)
    assert "end-1" in found.limiting
    assert isinstance(place_piece(CROOKED, found.largest_length - 0.01, 200), Placement)
    assert isinstance(place_piece(CROOKED, found.largest_length + 0.1, 200), TooSmall)


def test_a_shorter_piece_may_be_wider() -> None:
    """Half the length dodges half of the crook: it may be wider, and the ends do not cost it width."""
    _, long = largest_rectangle(CROOKED, length=1150)
    _, short = largest_rectangle(CROOKED, length=575)
    assert short > long + 1.0


def test_a_piece_fits_all_outlines_it_is_given() -> None:
    """Two outlines 3 mm apart across leave 3 mm less to share between the edges."""
    one = place_piece(CROOKED, 1150, 200)
    both = place_piece((CROOKED, CROOKED + np.array([0.0, 3.0])), 1150, 200)
    assert isinstance(one, Placement)
    assert isinstance(both, Placement)
    assert one.spare.edge_1 - both.spare.edge_1 == pytest.approx(1.5, abs=1e-6)


def test_either_measure_is_given() -> None:
    """Asked for the largest of neither length nor width, it refuses."""
    with pytest.raises(ValueError, match="either"):
        largest_rectangle(CROOKED)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 100_000), st.floats(-12.0, 12.0))
def test_what_is_placed_lies_in_the_wood(seed: int, askew: float) -> None:
    """Whatever the crook and the slant of the ends, a placed piece lies inside, with its margins."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, 7))
    x = np.linspace(0, 900, n)
    near = np.column_stack([x, rng.uniform(0, 15, n)])
    far = np.column_stack([x, 160 + rng.uniform(0, 15, n)])
    far[[0, -1], 0] += rng.uniform(-25, 25, 2)
    outline = turned(np.vstack([near, far[::-1]]), askew)
    found = place_piece(
        outline, float(rng.uniform(300, 860)), float(rng.uniform(60, 140)), Margins(1, 1, 2, 2)
    )
    if isinstance(found, Placement):
        assert (
            shapely.Polygon(outline)
            .buffer(-1.0 + 1e-5, join_style="mitre")
            .covers(shapely.Polygon(found.corners()))
        )
        assert min(found.spare.end_1, found.spare.end_2) >= 2.0 - 1e-6
    else:
        assert found.largest_width < found.width or found.largest_length < found.length


def test_an_end_that_leans_more_than_it_rises_still_bounds_the_piece() -> None:
    """Where no side looks right, the wood ends at its tip and at the slant: the piece lies within both."""
    board = np.array([(0.0, 0.0), (1000.0, 0.0), (1300.0, 200.0), (0.0, 200.0)])
    found = place_piece(board, 800, 150)
    assert isinstance(found, Placement)
    assert shapely.Polygon(board).buffer(1e-6).contains(shapely.Polygon(found.corners()))
