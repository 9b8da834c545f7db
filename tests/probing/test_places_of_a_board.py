"""Where a board is read: how many places, how far apart, in what order."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from stockwright.board.surface import Board
from stockwright.probing.stations import (
    bow_of,
    count_across,
    count_along,
    in_order,
    inset_for,
    places,
    station_pitch,
)


def board(outline: list[tuple[float, float]], holes: tuple[np.ndarray, ...] = ()) -> Board:
    """Give a flat board 30 mm thick."""
    points = np.array(outline, dtype=float)
    low, high = points.min(axis=0), points.max(axis=0)
    x, y = np.array([low[0], high[0]]), np.array([low[1], high[1]])
    return Board("plank", points, x, y, np.full((2, 2), 30.0), np.zeros((2, 2)), 0.5, holes=holes)


def anywhere(_x: float, _y: float) -> bool:
    """Let nothing stand in the way."""
    return True


def test_the_pitch_misses_just_what_is_allowed() -> None:
    """On a parabola of bow b over L, chords p apart miss b (p / L)^2: worked out point by point."""
    length, bow, miss = 1200.0, 4.0, 0.3
    pitch = station_pitch(length, bow, miss)
    assert pitch == pytest.approx(328.6, abs=0.1)
    x = np.linspace(-pitch / 2, pitch / 2, 10_001)
    off = bow * (1 - (2 * x / length) ** 2)
    chord = bow * (1 - (pitch / length) ** 2)
    assert (off - chord).max() == pytest.approx(miss, rel=1e-6)


@pytest.mark.parametrize(
    ("length", "count"),
    [(300, 3), (400, 3), (401, 5), (900, 5), (1500, 7), (2500, 9), (2501, 10), (3000, 11)],
)
def test_the_usual_number_along_follows_the_length(length: float, count: int) -> None:
    """3 to 400 mm, 5 to 900, 7 to 1500, 9 to 2500, then no further apart (common practice, no source)."""
    assert count_along(length) == count


def test_a_bowed_board_is_read_more_closely() -> None:
    """A bow of 30 mm on 1200 mm, 0.3 mm missed: p <= 120 mm, so 11 places; a small bow asks for no more."""
    assert count_along(1200, 30.0, 0.3) == 11
    assert count_along(1200, 1.0, 0.3) == count_along(1200)
    assert (count_across(150), count_across(151)) == (3, 5)


def test_the_bow_is_read_off_the_board_where_it_was_measured() -> None:
    """A hump of 4 mm in the middle is a bow of 4; with two stations only the uncertainty is known."""
    flat = board([(0, 0), (900, 0), (900, 120), (0, 120)])
    assert bow_of(flat) == 0.5
    x = np.array([0.0, 450.0, 900.0])
    top = np.array([[30.0, 30.0], [34.0, 34.0], [30.0, 30.0]])
    humped = Board("plank", flat.outline, x, flat.y, top, np.zeros((3, 2)), 0.5)
    assert bow_of(humped) == pytest.approx(4.0)


def test_a_straight_board_has_a_grid_inset_from_every_side() -> None:
    """7 by 5 places on whole millimetres, the outer ones 10 mm from the sides."""
    found, lost = places(board([(0, 0), (1200, 0), (1200, 200), (0, 200)]), 7, 5, inset_for(2.0), anywhere)
    assert lost == 0
    assert {x for x, _ in found} == {10, 207, 403, 600, 797, 993, 1190}
    assert {y for _, y in found} == {10, 55, 100, 145, 190}


def test_places_stay_off_sides_and_holes_of_a_crooked_board() -> None:
    """A crooked board with slanting ends and a hole: every place keeps the inset, but for rounding."""
    x = np.linspace(0, 1400, 30)
    bend = 40 * (1 - (2 * x / 1400 - 1) ** 2)
    near = list(zip(x.tolist(), bend.tolist(), strict=True))
    far = [(a + 15.0, b + 160.0) for a, b in reversed(near)]
    hole = np.array([(690.0, 100.0), (730.0, 100.0), (730.0, 140.0), (690.0, 140.0)])
    crooked = board([*near, *far], (hole,))
    found, lost = places(crooked, 7, 5, 10.0, anywhere)
    assert lost == 0
    assert len(set(found)) == 35
    rim = shapely.Polygon(crooked.outline, [hole]).boundary
    assert min(rim.distance(shapely.Point(place)) for place in found) > 9.0
    assert all(shapely.Polygon(crooked.outline, [hole]).contains(shapely.Point(place)) for place in found)


def test_a_place_gives_way_to_what_stands_there_or_is_left_out_and_counted() -> None:
    """A thing over one end pushes its places in by as little as it takes; one too wide costs them."""
    plank = board([(0, 0), (1200, 0), (1200, 200), (0, 200)])
    found, lost = places(plank, 7, 5, 10.0, lambda x, _: x > 22)
    assert lost == 0
    assert sorted(found)[:5] == [(25, 10), (25, 55), (25, 100), (25, 145), (25, 190)]
    found, lost = places(plank, 7, 5, 10.0, lambda x, _: x > 60)
    assert (len(found), lost) == (30, 5)


def test_the_way_is_to_and_fro_across_and_never_long() -> None:
    """Of 35 places on a plank no step is longer than the rows are apart, and the whole is the shortest."""
    found, _ = places(board([(0, 0), (1200, 0), (1200, 200), (0, 200)]), 7, 5, 10.0, anywhere)
    way = in_order(found)
    assert sorted(way) == sorted(found)
    steps = [math.dist(a, b) for a, b in itertools.pairwise(way)]
    assert max(steps) <= 197
    # No walk of a grid is shorter: seven rows across, and once along.
    assert math.fsum(steps) == pytest.approx(7 * 180 + 1180)


def test_a_sliver_has_no_place() -> None:
    """A board narrower than twice the inset is counted as lost, not read at its rim."""
    assert places(board([(0, 0), (900, 0), (900, 18), (0, 18)]), 5, 3, 10.0, anywhere) == ([], 15)
