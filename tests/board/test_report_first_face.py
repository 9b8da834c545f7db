"""Which face is cut first, which go up side by side, and which way to cut against tear-out."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.board.first_face import Crown, alternate, crown, first_face, turned_over
from stockwright.board.grain import rises
from stockwright.board.seating import Policy, Seating, seat
from stockwright.board.surface import Board

POLICIES: tuple[Policy, ...] = ("thickest", "no-rocking", "as-it-lies")


def bent(cup: float, twist: float = 0.0) -> Board:
    """Return a board whose middle stands `cup` mm above the line between its edges, on both faces."""
    u, v = np.meshgrid(np.linspace(-1, 1, 5), np.linspace(-1, 1, 3), indexing="ij")
    low = cup * (1 - v**2) + twist * u * v
    outline = np.array([(0, 0), (900, 2), (900, 180), (0, 181)], dtype=float)
    return Board("bent", outline, 450 * (u[:, 0] + 1), 90 * (v[0] + 1), low + 28.0, low, 0.1)


def seatings(board: Board) -> dict[Policy, Seating]:
    """Return the board's seatings with face B down."""
    return {policy: seat(board, policy=policy) for policy in POLICIES}


@pytest.mark.parametrize(("cup", "down", "first"), [(2.0, "B", "A"), (-2.0, "A", "B")])
def test_the_hollow_face_goes_down(cup: float, down: str, first: str) -> None:
    """A cupped board lies still on the edges of its hollow face and rocks on the other: cut that first."""
    board = bent(cup)
    found = first_face(board, seatings(board))
    assert found.face == first
    assert found.why.startswith(f"face {down} is the hollow one and lies down: ")
    stands = {way.face: way for way in found.ways}
    other = "A" if down == "B" else "B"
    assert stands[down].rocking == pytest.approx(0.0, abs=1e-6)  # type: ignore[index]
    assert stands[other].rocking > 1.0  # type: ignore[index]


def test_a_twisted_board_lies_alike_on_either_face() -> None:
    """Twist looks the same from both faces, so either may be cut first, and that is said."""
    board = bent(0.0, twist=1.5)
    found = first_face(board, seatings(board))
    assert found.face is None
    assert "either" in found.why


@settings(max_examples=15, deadline=None, derandomize=True)
@given(st.floats(-3, 3), st.floats(-2, 2))
def test_turning_over_changes_no_wood(cup: float, twist: float) -> None:
    """Turned over twice a board is itself; once, its thickest slab and its thickness are the same."""
    board = bent(cup, twist)
    over = turned_over(board)
    again = turned_over(over)
    assert seat(over).best == pytest.approx(seat(board).best, abs=1e-6)
    assert again.top == pytest.approx(board.top)
    assert again.outline == pytest.approx(board.outline)
    assert (over.top - over.bottom)[:, ::-1] == pytest.approx(board.top - board.bottom)
    assert shapely.is_ccw(shapely.LinearRing(over.outline))


def test_crown_is_told_where_readings_can_tell_it() -> None:
    """A cup of 1 mm is a crown, up or down; one within the readings' doubt is none."""
    assert [crown(bent(c)) for c in (1.0, -1.0, 0.02)] == ["up", "down", "flat"]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from(["up", "down", "flat"]), max_size=8))
def test_crowns_alternate_side_by_side(crowns: list[Crown]) -> None:
    """Laid as told, the crowns go up, down, up; a flat board among them changes nothing."""
    laid = alternate(crowns)
    turned = {"up": "down", "down": "up", "flat": "flat"}
    for given_crown, (face, lies) in zip(crowns, laid, strict=True):
        assert lies == (given_crown if face == "A" else turned[given_crown])
    rest = [lies for _, lies in laid if lies != "flat"]
    assert rest == ["up", "down"] * (len(rest) // 2) + ["up"] * (len(rest) % 2)


def test_fibres_that_rise_on_one_side_sink_on_the_other() -> None:
    """What rises towards end-2 out of face A rises towards end-1 out of face B; edges are told apart."""
    found = {each.side: each for each in rises({"face-A": "end-2", "edge-2": "end-1"})}
    assert {side: (each.towards, each.read) for side, each in found.items()} == {
        "face-A": ("end-2", True),
        "face-B": ("end-1", False),
        "edge-1": ("end-2", False),
        "edge-2": ("end-1", True),
    }
    assert found["face-A"].words.startswith("travel towards end-2 with the wood on the cutter's left")
    assert rises({}) == ()


def test_teeth_follow_the_rise() -> None:
    """A clockwise tooth moves with the travel where the wood is on the left, against it on the right.

    At the place of a circle turning clockwise that looks left of the travel, the rim moves with the travel.
    """
    travel, left = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    clockwise = np.array([[0.0, 1.0], [-1.0, 0.0]])  # velocity of the rim for a radius
    assert (clockwise @ left) @ travel > 0
    assert (clockwise @ -left) @ travel < 0
