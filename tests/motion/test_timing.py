"""How long a program runs; the mathematics is checked in tests/outside/test_kinematics.py."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given

from programs import program, random_programs, with_nodes
from stockwright.motion import Dwell, Feed, Program, Rapid, Remark, SpindleOff, SpindleOn
from stockwright.motion.timing import seconds

START = (Rapid(z=0.0), Rapid(x=0.0, y=0.0))


def line(*along: float, feed: float = 6000.0) -> Feed:
    """Give a cut through points on the x axis."""
    return Feed(np.array([[x, 0.0, 0.0] for x in along]), feed)


def test_one_cut_costs_its_ramp_too() -> None:
    """100 mm at 6000 mm/min and 500 mm/s2 from rest to rest is 1.2 s."""
    assert seconds(program(*START, line(100.0)), 6000.0, 500.0) == pytest.approx(1.2, abs=1e-9)


def test_waits_and_spindle_starts_are_added() -> None:
    """A dwell of 2 s and a start of 3 s make the same program 5 s longer."""
    nodes = (*START, SpindleOn(9000.0), Dwell(2.0), line(100.0))
    assert seconds(program(*nodes), 6000.0, 500.0, spin_up=3.0) == pytest.approx(6.2, abs=1e-9)


def test_a_machine_word_stops_the_motion_and_a_remark_does_not() -> None:
    """100 mm + 100 mm straight on: 2.2 s in one run, 2.4 s with a stop between."""
    through = program(*START, line(100.0), Remark("half way"), line(200.0))
    stopped = program(*START, line(100.0), SpindleOff(), line(200.0))
    assert seconds(through, 6000.0, 500.0) == pytest.approx(2.2, abs=1e-9)
    assert seconds(stopped, 6000.0, 500.0) == pytest.approx(2.4, abs=1e-9)


def test_a_feed_above_what_the_machine_moves_is_held_to_it() -> None:
    """Asked for 60 m/min, a machine of 6 m/min takes 1.2 s, with one limit or one an axis."""
    fast = program(*START, line(100.0, feed=60000.0))
    assert seconds(fast, 6000.0, 500.0) == pytest.approx(1.2, abs=1e-9)
    assert seconds(fast, (6000.0, 1.0, 1.0), (500.0, 1.0, 1.0)) == pytest.approx(1.2, abs=1e-9)


@pytest.mark.wide
@given(random_programs())
def test_no_program_is_quicker_than_its_distance_over_speed(random: Program) -> None:
    """Time is never under distance over rapid speed, never less with exact stops, never less when slower."""
    plain = seconds(random, 6000.0, 400.0)
    from stockwright.motion.moves import moves

    columns = moves(random)
    step = np.nan_to_num(columns.end - columns.start)
    caps = np.where(columns.rapid, 6000.0, np.fmin(columns.feed, 6000.0)) / 60
    least = float(np.sum(np.linalg.norm(step, axis=1) / caps))
    assert plain >= least * (1 - 1e-9)
    assert seconds(random, 6000.0, 400.0, 0.0) >= plain * (1 - 1e-9)
    assert seconds(random, 6000.0, 200.0) >= plain * (1 - 1e-9)


def test_a_hundred_thousand_moves_take_about_a_second() -> None:
    """Measured with room to spare: 100,000 short moves in under 5 s of this process's own time."""
    x = np.linspace(0.0, 100_000.0, 100_001)[1:]
    points = np.stack([x, np.sin(x), np.zeros_like(x)], axis=1)
    long = with_nodes(program(), *START, Feed(points, 3000.0))
    began = time.process_time()
    assert seconds(long, 6000.0, 400.0) > 0
    assert time.process_time() - began < 5.0
