"""The arc node: measured, laid out as chords, timed, and refused where it is none."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from programs import FITTED, program
from stockwright.motion import Arc, Feed, Rapid
from stockwright.motion.arcs import SAGITTA, bow_of, chords
from stockwright.motion.moves import moves
from stockwright.motion.timing import seconds

START = (10.0, 0.0, 5.0)
QUARTER = Arc((0.0, 0.0), (0.0, 10.0, 5.0), clockwise=False, feed=600.0)


def arc_from(
    radius: float, at: float, turn: float, *, clockwise: bool, rise: float = 0.0
) -> tuple[Arc, tuple]:  # type: ignore[type-arg]
    """Give an arc about (3, -7) and its start."""
    end = at - turn if clockwise else at + turn
    start = (3 + radius * math.cos(at), -7 + radius * math.sin(at), 1.0)
    to = (3 + radius * math.cos(end), -7 + radius * math.sin(end), 1.0 + rise)
    return Arc((3.0, -7.0), to, clockwise=clockwise, feed=900.0), start


@given(st.floats(0.5, 500), st.floats(-4, 4), st.floats(0.01, math.pi / 2), st.booleans(), st.floats(-5, 5))
def test_chords_stand_no_farther_off_than_asked(
    radius: float, at: float, turn: float, clockwise: bool, rise: float
) -> None:
    """Ends lie on the circle, middles within the sagitta inside it, z rises evenly, the last is the end."""
    arc, start = arc_from(radius, at, turn, clockwise=clockwise, rise=rise)
    points = np.vstack([start, chords(start, arc, SAGITTA)])
    away = np.hypot(points[:, 0] - 3, points[:, 1] + 7)
    assert away == pytest.approx(np.full(len(points), radius), abs=1e-9)
    middles = (points[1:] + points[:-1]) / 2
    off = radius - np.hypot(middles[:, 0] - 3, middles[:, 1] + 7)
    assert off.min() > -1e-9
    assert off.max() <= SAGITTA * 1.0001
    assert np.ptp(np.diff(points[:, 2])) < 1e-9
    assert tuple(points[-1]) == arc.end


@given(st.floats(0.5, 500), st.floats(-4, 4), st.floats(0.01, math.pi / 2), st.booleans())
def test_the_sweep_is_the_turn_and_its_sense(radius: float, at: float, turn: float, clockwise: bool) -> None:
    """Anticlockwise from above is above zero."""
    arc, start = arc_from(radius, at, turn, clockwise=clockwise)
    assert bow_of(start, arc).sweep == pytest.approx(-turn if clockwise else turn, abs=1e-9)


@pytest.mark.parametrize(
    ("start", "arc", "words"),
    [
        (START, Arc((0.0, 0.0), (0.0, 10.0, 5.0), clockwise=True, feed=1.0), "270"),
        (START, Arc((0.0, 0.0), (-10.0, 0.1, 5.0), clockwise=False, feed=1.0), "quarter turn"),
        (START, Arc((0.0, 0.0), (0.0, 10.1, 5.0), clockwise=False, feed=1.0), "radius"),
        (START, Arc((0.0, 0.0), START, clockwise=False, feed=1.0), "turns by 0.000"),
        (START, Arc((10.0, 0.0), (0.0, 10.0, 5.0), clockwise=False, feed=1.0), "radius"),
        ((math.nan, 0.0, 5.0), QUARTER, "not known"),
    ],
)
def test_what_is_no_arc_is_an_error(start: tuple[float, float, float], arc: Arc, words: str) -> None:
    """The wrong sense, more than a quarter, two radii, no turn, no radius, an unknown start."""
    with pytest.raises(ValueError, match=words):
        bow_of(start, arc)


def test_moves_of_an_arc_are_rows_of_its_node() -> None:
    """Seventeen chords for a quarter of radius 10 within 0.002 mm, cutting, and the next move goes on."""
    made = moves(program(FITTED, Rapid(z=5.0), Rapid(x=10.0, y=0.0), QUARTER, Rapid(z=9.0)))
    rows = made.node == 3
    assert rows.sum() == math.ceil((math.pi / 2) / (2 * math.acos(1 - SAGITTA / 10)))
    assert not made.rapid[rows].any()
    assert (made.feed[rows] == 600.0).all()
    assert made.start[-1] == pytest.approx([0.0, 10.0, 5.0])


def test_an_arc_from_nowhere_is_an_error() -> None:
    """Before x and y are known there is no arc."""
    with pytest.raises(ValueError, match="not known"):
        moves(program(Rapid(z=5.0), QUARTER))


def test_an_arc_takes_its_length_over_its_feed() -> None:
    """A quarter of radius 100 at 600 mm/min takes 15.7 s and the time to start and stop."""
    big = Arc((0.0, 0.0), (0.0, 100.0, 5.0), clockwise=False, feed=600.0)
    at = (Rapid(z=5.0), Rapid(x=100.0, y=0.0))
    alone = seconds(program(*at, big), 6000.0, 400.0) - seconds(program(*at), 6000.0, 400.0)
    assert alone == pytest.approx(50 * math.pi / 10 + 10 / 400, rel=2e-3)


def test_a_tight_arc_is_slowed_by_what_bends_it() -> None:
    """Radius 2 at 400 mm/s2 is run at no more than sqrt(400 x 2) = 28.3 mm/s, whatever the feed."""
    tight = Arc((0.0, 0.0), (0.0, 2.0, 5.0), clockwise=False, feed=60000.0)
    at = (Rapid(z=5.0), Rapid(x=2.0, y=-500.0), Feed(np.array([[2.0, 0.0, 5.0]]), 60000.0))
    on = Feed(np.array([[-500.0, 2.0, 5.0]]), 60000.0)
    arc = seconds(program(*at, tight, on), 60000.0, 400.0, corner=10.0)
    straight = seconds(program(*at, on), 60000.0, 400.0, corner=10.0)
    assert arc > straight + math.pi / math.sqrt(800) * 0.9
