"""Moves drawn as fewer steps: how many they stand for, and how far off they are."""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.playback.steps import (
    CUTTING,
    FAST,
    HEIGHT_WEIGHT,
    MOST_OFF,
    MOST_STEPS,
    STILL,
    Rows,
    Steps,
    rows,
    steps_of,
)
from stockwright.proving.readers import READERS

BEGIN = "G21\nG17\nG40\nG49\nG80\nG90\nG94\nG54\n"


def _rows(path: np.ndarray, kind: np.ndarray | None = None) -> Rows:
    n = len(path) - 1
    return Rows(
        path=path,
        kind=np.zeros(n, dtype=np.int64) if kind is None else kind,
        seconds=np.full(n, 0.25),
        line=np.arange(10, n + 10),
        rpm=np.full(n, 12000.0),
        moves=np.ones(n, dtype=np.int64),
    )


def _drawn(program: Rows, most: int = MOST_STEPS) -> Steps:
    found = steps_of({"a": program}, most)["a"]
    assert found is not None
    return found


def _farthest(program: Rows, steps: Steps) -> float:
    """Measure independently, step by step, how far what is left out lies from what is drawn."""
    begin = np.concatenate([[0], np.cumsum(steps.moves)])
    worst = 0.0
    for k in range(len(steps)):
        a, b = steps.path[k], steps.path[k + 1]
        points = program.path[begin[k] : begin[k + 1] + 1]
        share = np.linspace(0, 1, 2001)[:, None]
        dense = (a + share * (b - a)) * (1, 1, HEIGHT_WEIGHT)
        for point in points[1:-1] * (1, 1, HEIGHT_WEIGHT):
            worst = max(worst, float(np.linalg.norm(dense - point, axis=1).min()))
    return worst


def _wavy(n: int) -> np.ndarray:
    x = np.linspace(0, 12_000, n + 1)
    return np.column_stack([x % 1200, 40 * np.floor(x / 1200) + 8 * np.sin(x / 30), 20 + np.sin(x / 90)])


def test_a_straight_million_is_one_step() -> None:
    """A million moves in one line are one step that stands for all of them and lasts as long."""
    path = np.column_stack([np.round(np.linspace(0, 5000, 1_000_001), 3), np.zeros((1_000_001, 2))])
    steps = _drawn(_rows(path))
    # Rounding to a thousandth adds up along so many; a few steps then stand for the line.
    assert len(steps) <= 64
    assert int(steps.moves.sum()) == 1_000_000
    assert float(steps.seconds.sum()) == pytest.approx(250_000.0)
    assert int(steps.line[-1]) == 1_000_009


def test_a_million_curved_moves_stay_within_the_bound_and_say_how_far_off() -> None:
    """A million short moves become at most the bound, each step between places the program names."""
    program = _rows(_wavy(1_000_000))
    steps = _drawn(program)
    assert 1000 < len(steps) <= MOST_STEPS
    assert int(steps.moves.sum()) == 1_000_000
    assert 0 < steps.off <= 0.2
    ends = program.path[np.concatenate([[0], np.cumsum(steps.moves)])]
    assert np.array_equal(ends, steps.path)


def test_what_is_said_of_the_distance_is_true() -> None:
    """The distance told is the one measured point by point; it rises when fewer steps are allowed."""
    program = _rows(_wavy(3000))
    told = []
    for most in (2000, 900, 400):
        steps = _drawn(program, most)
        assert len(steps) <= most
        assert steps.off == pytest.approx(_farthest(program, steps), abs=0.02)
        told.append(steps.off)
    assert told[0] < told[1] < told[2] <= MOST_OFF


def test_a_way_back_is_not_lost() -> None:
    """A move that turns back on the one before it is drawn by itself, however straight the line."""
    path = np.array([[0, 0, 5], [100, 0, 5], [40, 0, 5], [70, 0, 5]], dtype=float)
    steps = _drawn(_rows(path))
    assert np.array_equal(steps.path, path)


def test_fast_and_cutting_are_never_drawn_together() -> None:
    """Three fast moves and three cutting ones in one line are two steps, each of its own kind."""
    path = np.column_stack([np.arange(7.0), np.zeros((7, 2))])
    kind = np.array([FAST] * 3 + [CUTTING] * 3)
    steps = _drawn(_rows(path, kind))
    assert steps.kind.tolist() == [FAST, CUTTING]
    assert steps.moves.tolist() == [3, 3]


def test_what_cannot_be_drawn_truly_is_left_out() -> None:
    """Moves that jump about by metres are not drawn at all when there are too many: no false picture."""
    wild = np.random.default_rng(5).uniform(0, 1000, (3001, 3))
    assert steps_of({"a": _rows(wild), "b": _rows(_wavy(50))}, 200)["a"] is None
    assert steps_of({"a": _rows(wild), "b": _rows(_wavy(50))}, 200)["b"] is not None


def test_waits_stand_between_moves() -> None:
    """A wait is a row of its own that lasts as long as it says and goes nowhere."""
    text = BEGIN + "G0 Z50\nG0 X10 Y10\nS9000\nM3\nG4 P3\nG1 Z5 F600\nG1 X90\nM5\nM2\n"
    reading = READERS["rs274-ngc"](text)
    assert not reading.unread
    found = rows(reading, np.ones(len(reading.moves)))
    waits = np.flatnonzero((found.kind == STILL) & (found.moves == 0))
    assert found.seconds[waits].tolist() == [3.0]
    assert np.array_equal(found.path[waits[0]], found.path[waits[0] + 1])


def test_nothing_is_drawn_of_a_place_that_no_line_has_named() -> None:
    """Until all three axes are named the cutter stands still where the text first puts it."""
    text = BEGIN + "G0 Z50\nG0 X10 Y20\nG1 Z5 F600\nM2\n"
    found = rows(READERS["rs274-ngc"](text), np.ones(3))
    assert found.kind.tolist() == [STILL, STILL, CUTTING]
    assert found.path[0].tolist() == [10, 20, 50]
    assert np.isfinite(found.path).all()
