"""Where shims go and what they are stacked from."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from stockwright.board.shims import LONGEST, shim_places, stack, stacked
from stockwright.board.surface import Board

SHOP = (0.1, 0.2, 0.5, 1.0, 2.0, 3.0)


def long_board(stations: int, length: float = 1200.0) -> Board:
    """Return a flat board with crooked edges, read at so many stations along."""
    outline = np.array(
        [(0, 0), (length / 2, 30), (length, 0), (length - 8, 200), (length / 2, 225), (6, 200)], dtype=float
    )
    x, y = np.linspace(10, length - 10, stations), np.array([15.0, 100.0, 190.0])
    heights = np.zeros((stations, 3))
    return Board("flat", outline, x, y, heights + 25.0, heights, 0.1)


@pytest.mark.parametrize("stations", [2, 3, 5, 9])
def test_no_span_is_longer_than_allowed_and_all_places_are_on_the_board(stations: int) -> None:
    """However the board was read, neighbours along a rail are at most 400 mm apart, and each lies on wood."""
    import shapely

    board = long_board(stations)
    places = shim_places(board)
    assert shapely.intersects_xy(shapely.Polygon(board.outline).buffer(-5.0), places).all()
    for rail in (places[0::2], places[1::2]):
        assert np.diff(rail[:, 0]).max() <= LONGEST + 1e-9
    assert len(places) <= 12


def test_stations_are_taken_where_they_are_near_enough() -> None:
    """With stations every 295 mm the inner places are stations."""
    board = long_board(5)
    inner = shim_places(board)[2:-2:2, 0]
    assert set(inner) <= set(board.x)


def test_stacks_are_nearest_and_fewest() -> None:
    """For gaps up to 7 mm the stack is as near as any of up to 6 pieces, with no more pieces than needed."""
    sums: dict[float, int] = {}
    for count in range(7):
        for pieces in itertools.combinations_with_replacement(SHOP, count):
            sums.setdefault(round(sum(pieces), 3), count)
    for gap in np.arange(0.0, 7.0, 0.13):
        pieces = stack(float(gap), SHOP)
        total = round(sum(pieces), 3)
        nearest = min(abs(s - gap) for s in sums)
        assert abs(total - gap) <= nearest + 1e-9
        assert len(pieces) == sums[total]


def test_a_gap_below_the_thinnest_shim() -> None:
    """With 1 mm as the thinnest shim a gap of 0.4 mm stays empty and one of 0.6 mm takes it."""
    assert (stack(0.4, (1.0, 2.0)), stack(0.6, (1.0, 2.0)), stack(3.0, ())) == ((), (1.0,), ())


def test_stacks_that_fit_under_a_gap() -> None:
    """Asked to stay under it, the stack is the thickest of all sums that do, and never above the gap."""
    shop = (0.2, 0.5, 1.0)
    sums = {round(sum(p), 3) for n in range(9) for p in itertools.combinations_with_replacement(shop, n)}
    gaps = np.arange(0.0, 3.0, 0.07)
    for gap, total in zip(gaps, stacked(gaps, shop, above=False), strict=True):
        assert total == pytest.approx(max(s for s in sums if s <= gap + 1e-9))
    for gap, total in zip(gaps, stacked(gaps, shop), strict=True):
        assert total == pytest.approx(sum(stack(float(gap), shop)))


def test_shims_in_inches_are_stacked_from_few() -> None:
    """Of 4 to 80 thousandths of an inch a stack has as few pieces as of 4 to 80 of anything."""
    inches = tuple(k * 0.0254 for k in (4, 8, 20, 40, 80))
    assert [round(piece / 0.0254) for piece in stack(2.39, inches)] == [80, 8, 8]
    for gap in np.arange(0.05, 4.0, 0.0137):
        plain = stack(float(gap) / 0.0254, (4.0, 8.0, 20.0, 40.0, 80.0))
        assert [round(piece / 0.0254, 6) for piece in stack(float(gap), inches)] == list(plain)


def test_sizes_without_a_common_measure_are_stacked_too() -> None:
    """Inches and tenths of a millimetre in one drawer: the stack is within half the thinnest of the gap."""
    drawer = (0.1, 0.254, 1.016, 2.0)
    for gap in (0.3, 1.27, 3.333):
        assert abs(sum(stack(gap, drawer)) - gap) <= 0.051


def test_sizes_of_two_kinds_are_not_stacked_by_the_dozen() -> None:
    """Thousandths beside sixty-fourths: few pieces, at most a hair further off than the nearest of all."""
    inch = 25.4
    mixed = tuple(round(each * inch, 6) for each in (0.004, 0.008, 1 / 64, 1 / 32, 1 / 16, 1 / 8))
    for gap in np.arange(0.1, 7.0, 0.11):
        total = float(stacked(np.array([gap]), mixed)[0])
        pieces = stack(total, mixed)
        assert sum(pieces) == pytest.approx(total, abs=0.005)  # sixty-fourths are counted in micrometres
        assert len(pieces) <= 5 + total // 3.175
        assert abs(total - gap) <= 0.051
        below = float(stacked(np.array([gap]), mixed, above=False)[0])
        assert gap - 0.101 <= below <= gap + 1e-6
        assert len(stack(below, mixed)) <= 5 + below // 3.175
