"""How far a piece moves between two moistures, and what a rest may do to it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockwright.board.moving import METERS_AGREE, UNKNOWN_WARP, movement_of, while_resting
from stockwright.board.species import SPECIES

OAK = SPECIES["oak-white"]
MOISTURES = st.floats(2.0, 60.0)


def test_an_unknown_sawing_spans_both_ways_of_sawing() -> None:
    """Where the sawing is not known the spans run from the one way's figure to the other's."""
    flat, quarter, unknown = (
        movement_of(OAK, sawn, 200.0, 20.0, 12.0, 8.0) for sawn in ("flat", "quarter", "unknown")
    )
    assert unknown.width == (quarter.width[0], flat.width[0])
    assert unknown.thickness == (flat.thickness[0], quarter.thickness[0])
    assert unknown.cup == (quarter.cup[0], flat.cup[0])


def test_a_known_sawing_gives_one_figure() -> None:
    """A flatsawn board's width moves tangentially, its thickness radially; both ends of a span are equal."""
    flat = movement_of(OAK, "flat", 200.0, 20.0, 12.0, 8.0)
    assert flat.width == pytest.approx((-200 * 0.00365 * 4,) * 2)
    assert flat.thickness == pytest.approx((-20 * 0.00180 * 4,) * 2)
    assert flat.shrinks


def test_wet_wood_moves_only_from_fibre_saturation_down() -> None:
    """A board at 60 % shrinks as much on its way to 8 % as one at 30 %; from 60 to 35 % it does not move."""
    wet, saturated = (movement_of(OAK, "flat", 200.0, 20.0, now, 8.0) for now in (60.0, 30.0))
    assert wet.width == saturated.width
    assert wet.cup == saturated.cup
    still = movement_of(OAK, "flat", 200.0, 20.0, 60.0, 35.0)
    assert (still.width, still.cup) == ((0.0, 0.0), (0.0, 0.0))


@given(
    st.sampled_from(sorted(SPECIES)), st.sampled_from(["flat", "quarter", "unknown"]), MOISTURES, MOISTURES
)
def test_drying_shrinks_and_wetting_swells(name: str, sawn: str, now: float, there: float) -> None:
    """No figure has the wrong sign, and the nearer end of a span is never beyond the farther one."""
    moves = movement_of(SPECIES[name], sawn, 180.0, 25.0, now, there)  # type: ignore[arg-type]
    sign = 1 if there > now else -1
    for low, high in (moves.width, moves.thickness):
        assert 0 <= sign * low <= sign * high
    assert 0 <= moves.cup[0] <= moves.cup[1]


def test_a_piece_at_its_places_moisture_stays() -> None:
    """Without a difference nothing moves, and a rest is left what stress alone may do."""
    moves = movement_of(OAK, "unknown", 200.0, 20.0, 8.0, 8.0)
    assert (moves.width, moves.thickness, moves.cup) == ((0, 0), (0, 0), (0, 0))
    assert while_resting(moves) == UNKNOWN_WARP


def test_a_rest_is_left_the_thickness_it_loses_and_the_cup_a_meter_misses() -> None:
    """After a rest the faces may still differ by what a meter cannot tell: that cup, and the thickness."""
    moves = movement_of(OAK, "flat", 240.0, 25.0, 12.0, 8.0)
    cup = 240**2 * 0.00365 * METERS_AGREE / (8 * 25)
    assert while_resting(moves) == pytest.approx(25 * 0.00180 * 4 + cup)
    assert while_resting(moves) > UNKNOWN_WARP


def test_a_small_difference_leaves_no_more_cup_than_itself() -> None:
    """Half a percent between now and there cannot leave a whole percent between the faces."""
    wide = movement_of(OAK, "flat", 400.0, 20.0, 8.5, 8.0)
    assert while_resting(wide) == pytest.approx(20 * 0.00180 * 0.5 + wide.cup[1])


def test_nothing_known_leaves_a_stated_least() -> None:
    """Where species or moisture is not known, the stated least stands for what a rest does."""
    assert while_resting(None) == UNKNOWN_WARP
