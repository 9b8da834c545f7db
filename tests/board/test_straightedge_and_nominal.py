"""Warps read by eye become surfaces that have them; what nobody read is allowed for."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from stockwright.board.nominal import assumed, board_from_nominal, measured_within, saving
from stockwright.board.outline import Lines
from stockwright.board.straightedge import Sighted, Twist, board_from_straightedge
from stockwright.board.warp import warps

if TYPE_CHECKING:
    from stockwright.board.surface import Board

LENGTH, WIDTH = 1000.0, 200.0
LINES = Lines(size=(LENGTH, WIDTH))
FLAT = Sighted(bow=0.0, cup=0.0, twist=Twist(0.0, "edge-2"), corners=((40.0, 40.0), (40.0, 40.0)))


def made(sighted: Sighted, uncertainty: float | None = 0.5) -> Board:
    """Return the board, which must have no problem."""
    board, problems = board_from_straightedge("p", sighted, LINES, uncertainty)
    assert problems == []
    assert board is not None
    return board


@pytest.mark.parametrize(("sign", "word"), [(1.0, "down"), (-1.0, "up")])
def test_a_bow_is_measured_back_as_it_was_read(sign: float, word: str) -> None:
    """The surface made from a bow of 3 mm has a bow of 3 mm, with its hollow on the side that was said."""
    bow = warps(made(replace(FLAT, bow=3.0 * sign))).bow
    assert bow.value == pytest.approx(3.0)
    assert f"arches {word}" in bow.where
    assert bow.x == pytest.approx(LENGTH / 2)


@pytest.mark.parametrize(("sign", "word"), [(1.0, "hollow"), (-1.0, "crowned")])
def test_a_cup_is_measured_back_as_it_was_read(sign: float, word: str) -> None:
    """So has the one made from a cup of 2 mm, and no bow."""
    measured = warps(made(replace(FLAT, cup=2.0 * sign)))
    assert measured.cup.value == pytest.approx(2.0)
    assert word in measured.cup.where
    assert measured.bow.value == pytest.approx(0.0, abs=1e-9)


def test_winding_sticks_magnify() -> None:
    """Out by 9 mm over sticks of 600 mm is a corner 3 mm off on a board 200 mm wide."""
    sticks = warps(made(replace(FLAT, twist=Twist(9.0, "edge-2", sticks=600.0)))).twist
    plain = warps(made(replace(FLAT, twist=Twist(9.0, "edge-1")))).twist
    closer = warps(made(replace(FLAT, twist=Twist(9.0, "edge-2", sticks=600.0, apart=500.0)))).twist
    assert (sticks.value, plain.value, closer.value) == pytest.approx((3.0, 9.0, 6.0))
    assert "far corner" in sticks.where
    assert "near corner" in plain.where


def test_a_magnified_reading_is_surer() -> None:
    """The same twist read with long sticks leaves less doubt than read at the corner."""
    sticks = made(replace(FLAT, twist=Twist(9.0, "edge-2", sticks=600.0)))
    plain = made(replace(FLAT, twist=Twist(3.0, "edge-2")))
    assert np.allclose(sticks.top, plain.top)
    assert sticks.uncertainty < plain.uncertainty


def test_crook_wedge_and_corners_are_measured_back() -> None:
    """A crook of 4 mm bends both edges; corners 1 mm thicker at edge-2 are a wedge of 1 mm."""
    board = made(replace(FLAT, crook=4.0, corners=((38.0, 39.0), (37.5, 38.5))))
    measured = warps(board)
    assert measured.crook.value == pytest.approx(4.0)
    assert "edge-1 is hollow" in measured.crook.where or "edge-2 is crowned" in measured.crook.where
    assert measured.wedge.value == pytest.approx(1.0)
    thick = board.top - board.bottom
    assert [thick[0, 0], thick[0, -1], thick[-1, 0], thick[-1, -1]] == pytest.approx([38.0, 39.0, 37.5, 38.5])
    assert board.bottom.min() == pytest.approx(0.0)


def test_a_wedge_may_stand_beside_one_thickness() -> None:
    """One thickness in the middle and a wedge: half of it more at one edge, half less at the other."""
    board = made(Sighted(bow=0.0, cup=0.0, twist=Twist(0.0, "edge-1"), wedge=-2.0, thickness=40.0))
    thick = board.top - board.bottom
    assert (thick[0, 0], thick[0, -1]) == pytest.approx((41.0, 39.0))
    assert any("One thickness stands for the whole board" in note for note in board.notes)


def test_what_was_not_read_is_allowed_for() -> None:
    """A board without a word on its bow is more uncertain than one read as straight, and the notes say so."""
    read, unread = made(FLAT), made(replace(FLAT, bow=None, twist=None))
    assert unread.uncertainty > read.uncertainty + 0.5
    assert any("Not read: bow, twist" in note for note in unread.notes)


def test_an_eyes_reading_is_less_sure_than_a_grids() -> None:
    """Without an uncertainty a cautious one is taken, and said."""
    board = made(FLAT, None)
    assert board.uncertainty > 1.0
    assert "No uncertainty was given" in board.notes[0]


def test_a_wedge_that_the_corners_deny_names_both() -> None:
    """A wedge of 3 mm where the corners show 1 mm the other way is a problem, against the corners."""
    sighted = replace(FLAT, wedge=3.0, corners=((39.0, 38.0), (38.5, 38.0)))
    board, [problem] = board_from_straightedge("p", sighted, LINES, 0.5)
    assert board is None
    assert problem.path == ("straightedge", "wedge", "reads")
    assert problem.against == (("straightedge", "corners", "end-1"),)
    assert made(replace(FLAT, wedge=1.2, corners=((38.0, 39.0), (38.0, 39.0)))).uncertainty > 0


def test_sticks_that_cannot_lie_so_are_told() -> None:
    """Sticks shorter than the board is wide, or farther apart than it is long, are two problems at once."""
    sighted = replace(FLAT, twist=Twist(3.0, "edge-1", sticks=150.0, apart=1200.0))
    _, problems = board_from_straightedge("p", sighted, LINES, 0.5)
    assert [(p.path[-1], p.against) for p in problems] == [
        ("sticks", (("size", "width"),)),
        ("apart", (("size", "length"),)),
    ]


def test_boards_read_by_eye_lie_within() -> None:
    """Of 200 seeded boards whose bow is no parabola and whose twist is uneven, 95 % of places lie within."""
    rng = np.random.default_rng(17)
    x, y = np.meshgrid(np.linspace(0, LENGTH, 41), np.linspace(0, WIDTH, 9), indexing="ij")
    u, v = 2 * x / LENGTH - 1, 2 * y / WIDTH - 1
    shares = []
    for _ in range(200):
        bow, cup, gap = rng.normal(0, 1.5), rng.normal(0, 1.0), rng.normal(0, 3.0)
        power, uneven = rng.uniform(1.2, 3.0), rng.uniform(-0.5, 0.5)
        twisted = (u + uneven * (1 - u * u)) * v * gap / 4
        top = bow * np.abs(u) ** power + cup * v * v + twisted
        thick = 40.0 + rng.normal(0, 0.4) * v + rng.normal(0, 0.4) * u

        def read(value: float) -> float:
            return float(value + rng.normal(0, 0.25))

        twist = read(gap * 600 / WIDTH)
        board = made(
            Sighted(
                bow=read(bow),
                cup=read(cup),
                twist=Twist(abs(twist), "edge-2" if twist > 0 else "edge-1", sticks=600.0),
                corners=(
                    (read(thick[0, 0]), read(thick[0, -1])),
                    (read(thick[-1, 0]), read(thick[-1, -1])),
                ),
            )
        )
        at = np.column_stack([x.ravel(), y.ravel()])
        off = [board.top_at(at) - top.ravel(), board.bottom_at(at) - (top - thick).ravel()]
        # Nobody says how high the board lies: its own middle is what both are held by.
        lift = (max(each.max() for each in off) + min(each.min() for each in off)) / 2.0
        shares += [float((np.abs(each - lift) <= board.uncertainty).mean()) for each in off]
    assert np.mean(shares) > 0.98
    assert np.quantile(shares, 0.05) > 0.95


def test_nominal_sizes_are_a_flat_board_in_doubt() -> None:
    """A board 1 m x 200 mm x 50 mm: flat, and uncertain by 1/8 in and half of 1, 2 and a quarter of 4 mm."""
    board = board_from_nominal("p", 1000.0, 200.0, 50.0)
    assert np.ptp(board.top) == 0.0
    assert (board.top - board.bottom).max() == 50.0
    assert board.uncertainty == pytest.approx(25.4 / 8 + 0.5 + 1.0 + 1.0)
    assert "Nothing was measured" in board.notes[0]


def test_the_assumption_grows_with_the_board() -> None:
    """Bow grows with the length squared, cup with the width, twist with both (common practice, no source)."""
    small, long, wide = assumed(1000.0, 100.0), assumed(2000.0, 100.0), assumed(1000.0, 200.0)
    assert (long.bow, wide.cup) == pytest.approx((4 * small.bow, 2 * small.cup))
    assert long.twist == wide.twist == pytest.approx(2 * small.twist)


def test_warped_rough_boards_lie_within_the_assumption() -> None:
    """Of 300 seeded warped boards, sawn up to 1/8 in over, 95 of 100 lie within what is assumed."""
    rng = np.random.default_rng(7)
    inside = 0
    for _ in range(300):
        length, width, thick = rng.uniform(600, 2400), rng.uniform(100, 300), rng.uniform(24, 54)
        m = length / 1000
        bow, cup = rng.normal(0, 1) * m * m / 2, rng.normal(0, 0.8) * width / 200
        twist = rng.normal(0, 1) * m * width / 200
        u, v = np.meshgrid(np.linspace(-1, 1, 13), np.linspace(-1, 1, 5), indexing="ij")
        low = bow * u * u + cup * v * v + twist * u * v
        top = low + thick + rng.uniform(-25.4 / 16, 25.4 / 8)
        board = board_from_nominal("p", length, width, thick)
        off = np.concatenate([(low - 0.0).ravel(), (top - thick).ravel()])
        lift = (off.max() + off.min()) / 2.0
        inside += bool((np.abs(off - lift) <= board.uncertainty).all())
    assert inside >= 285


def test_what_measuring_saves_is_two_numbers() -> None:
    """Within 0.7 mm rather than 5.5 mm: 9.6 mm of thickness, and two of eight levels of each face."""
    assert saving(5.5, 0.7, [(15.0, 2.0), (15.0, 2.0)]).startswith("9.6 mm of thickness")
    assert "4 levels" in saving(5.5, 0.7, [(15.0, 2.0), (15.0, 2.0)])
    # No level less is not told: 0.6 mm less to take stays within the one level.
    assert saving(1.3, 0.7, [(2.0, 2.0)]) == "1.2 mm of thickness that are now given away to doubt"
    assert saving(1.3, 0.7, [(2.5, 2.0)]).endswith("given away to doubt, and 1 level")
    assert measured_within(1000.0, 200.0) < board_from_nominal("p", 1000.0, 200.0, 50.0).uncertainty / 4
