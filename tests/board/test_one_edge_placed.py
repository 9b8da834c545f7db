"""The piece along the only edge that is cut: as little off it as comes clean everywhere."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from stockwright.board.placing import place_along

Edge = Literal["edge-1", "edge-2"]
# Edge-1 hollow by 4 mm between its ends, the other one bulging in the middle.
HOLLOW = np.array([(0, 0), (400, 4), (800, 0), (800, 150), (400, 190), (0, 150)], dtype=float)
BULGING = np.array([(0, 4), (400, 0), (800, 4), (800, 150), (0, 150)], dtype=float)


def _turned(points: np.ndarray, degrees: float) -> np.ndarray:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    result: np.ndarray = points @ np.array([[c, s], [-s, c]])
    return result


def test_a_crowned_edge_loses_its_crown_alone() -> None:
    """Where the edge's ends lie 4 mm back the line touches them; where its middle does, the middle."""
    crowned, hollow = place_along(BULGING, "edge-1", None, 0.0), place_along(HOLLOW, "edge-1", None, 0.0)
    assert (crowned.angle, crowned.y0) == pytest.approx((0.0, 4.0), abs=1e-6)
    assert (hollow.angle, hollow.y0) == pytest.approx((0.0, 4.0), abs=1e-6)
    assert hollow.width == pytest.approx(186.0, abs=1e-6)


def test_no_more_comes_off_than_the_take() -> None:
    """With 3 mm to take, the place of the edge that lies farthest in loses 3 mm, and nothing loses less."""
    edges: tuple[Edge, ...] = ("edge-1", "edge-2")
    for edge in edges:
        lies = place_along(HOLLOW, edge, None, 3.0)
        assert min(lies.spare.edge_1, lies.spare.edge_2) == 0.0
        assert max(lies.spare.edge_1, lies.spare.edge_2) == pytest.approx(3.0, abs=1e-6)


def test_the_other_edge_is_the_same_in_a_mirror() -> None:
    """Edge-2 cut alone gives what edge-1 gives on the board seen from its other face."""
    mirrored = HOLLOW[::-1] * np.array([1.0, -1.0])
    one, two = place_along(HOLLOW, "edge-1", 700, 1.0), place_along(mirrored, "edge-2", 700, 1.0)
    assert two.corners()[[3, 2, 1, 0]] == pytest.approx(one.corners() * np.array([1.0, -1.0]), abs=1e-6)


def test_ends_of_a_bulging_edge_cost_no_length() -> None:
    """The whole 800 mm count, though only the middle of the board is as wide as the piece's box."""
    assert place_along(HOLLOW, "edge-1", None, 0.5).length == pytest.approx(800.0, abs=1e-6)


def test_a_length_the_board_has_not_shows_as_a_lack() -> None:
    """Of a piece 20 mm too long 10 mm are lacking at each end."""
    spare = place_along(HOLLOW, "edge-1", 820, 0.0).spare
    assert (spare.end_1, spare.end_2) == pytest.approx((-10.0, -10.0), abs=1e-6)


@given(
    st.lists(st.floats(0, 8), min_size=5, max_size=5),
    st.floats(-3, 3),
    st.floats(0, 4),
    st.sampled_from(["edge-1", "edge-2"]),
)
def test_the_edge_comes_clean_wherever_it_is_cut(
    off: list[float], degrees: float, take: float, edge: Edge
) -> None:
    """Every part of the edge along the piece loses at least the take, however the board was read."""
    x = np.linspace(0, 900, 5)
    low = np.column_stack([x, off])
    outline = _turned(np.vstack([low, np.column_stack([x[::-1], np.full(5, 160.0)])]), degrees)
    lies = place_along(outline, edge, 850, take)
    corners = lies.corners()
    line = shapely.LineString(corners[:2] if edge == "edge-1" else corners[2:])
    spare = lies.spare.edge_1 if edge == "edge-1" else lies.spare.edge_2
    assert spare == pytest.approx(take, abs=1e-6)
    assert shapely.Polygon(outline).buffer(1e-6).contains(line)
