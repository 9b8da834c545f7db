"""How a piece lies: flips and turns, exactly."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockwright.planning.wood import Place, flipped, turn_to_near

TURNS = st.integers(0, 3)
UPS = st.sampled_from(["A", "B"])


def test_face_b_up_is_half_a_turn_about_the_length() -> None:
    """With face B up and no quarter turns, length stays and width and height change sign."""
    assert np.array_equal(Place("B", 0).matrix()[:3, :3], np.diag([1.0, -1.0, -1.0]))


def test_a_quarter_turn_is_anticlockwise_from_above() -> None:
    """One quarter turn takes the length, x, to the far direction, y."""
    assert (Place("A", 1).matrix() @ [1.0, 0.0, 0.0, 0.0]).tolist() == [0.0, 1.0, 0.0, 0.0]


def test_end_over_end_is_face_b_and_two_quarter_turns() -> None:
    """Turning a board end over end equals turning it over lengthwise and half a turn on the bed."""
    assert flipped(Place("A", 0), "end-over-end") == Place("B", 2)


@given(UPS, TURNS, st.sampled_from(["edge-over-edge", "end-over-end"]))
def test_turning_over_twice_gives_the_first_place_again(up: str, turns: int, how: str) -> None:
    """The same flip twice is no flip."""
    place = Place(up, turns)  # type: ignore[arg-type]
    assert flipped(flipped(place, how), how) == place  # type: ignore[arg-type]


@given(UPS, TURNS, st.tuples(*[st.floats(-500, 500)] * 3))
def test_every_place_is_rigid(up: str, turns: int, shift: tuple[float, float, float]) -> None:
    """No place mirrors, stretches or shears the wood."""
    m = Place(up, turns, shift).matrix()[:3, :3]  # type: ignore[arg-type]
    assert np.array_equal(m @ m.T, np.eye(3))
    assert np.linalg.det(m) == pytest.approx(1.0)


@given(UPS, TURNS, st.sampled_from(["edge-1", "edge-2", "end-1", "end-2"]))
def test_the_turned_side_looks_at_the_operator(up: str, turns: int, side: str) -> None:
    """After a turn to the fence the named side looks to the near side, whatever lay before."""
    assert turn_to_near(Place(up, turns), side).looks(side) == (0.0, -1.0)  # type: ignore[arg-type]


def test_edge_1_with_face_b_up_needs_half_a_turn() -> None:
    """Turned over lengthwise, edge-1 lies far: two quarter turns bring it to the fence."""
    assert turn_to_near(Place("B", 0), "edge-1") == Place("B", 2)
