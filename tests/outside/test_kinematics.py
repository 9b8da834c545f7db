"""The time model against textbook kinematics: uniform acceleration, worked by hand beside each check.

Source of every check: the equations of uniformly accelerated motion (v = at, s = at^2/2, v^2 = 2as), as in
any mechanics textbook, and plane trigonometry for the corner. Not against any controller: common practice,
no source, says how corners are run.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from stockwright.motion.timing import along, corner_speed, run_time, segment_time


def chain(corners: list[tuple[float, float]], speed: float, push: float, corner: float) -> float:
    """Give the time of a path through points in the plane, one speed and one acceleration."""
    step = np.diff(np.array([(x, y, 0.0) for x, y in corners]), axis=0)
    length = np.linalg.norm(step, axis=1)
    unit = step / length[:, None]
    each = np.full(len(length), push)
    junction = corner_speed(unit[:-1], unit[1:], each[:-1], corner)
    return run_time(length, np.full(len(length), speed), each, junction)


def raster(lines: int, long: float, apart: float) -> list[tuple[float, float]]:
    """Give a there-and-back path of parallel lines."""
    path = []
    for line in range(lines):
        ends = (0.0, long) if line % 2 == 0 else (long, 0.0)
        path += [(x, line * apart) for x in ends]
    return path


def test_a_long_move_takes_its_length_over_its_speed_and_one_ramp_more() -> None:
    """100 mm at 100 mm/s and 500 mm/s2, rest to rest: L/v + v/a = 1 + 0.2 s."""
    assert chain([(0, 0), (100, 0)], 100, 500, 0) == pytest.approx(1.2, abs=1e-12)


def test_a_short_move_never_reaches_its_speed() -> None:
    """10 mm at 500 mm/s2: half the way up, half down, 2 sqrt(L/a) = 2 sqrt(0.02) s."""
    assert chain([(0, 0), (10, 0)], 100, 500, 0) == pytest.approx(2 * math.sqrt(10 / 500), abs=1e-12)


def test_a_move_entered_at_speed_peaks_later() -> None:
    """10 mm entered at 20 mm/s, left at rest: peak sqrt((2aL + 400)/2), times by v = at: 0.248444 s."""
    got = segment_time(*(np.array([v]) for v in (10.0, 100.0, 500.0, 20.0, 0.0)))
    peak = math.sqrt((2 * 500 * 10 + 20**2) / 2)
    assert got[0] == pytest.approx((peak - 20) / 500 + peak / 500, abs=1e-12)
    assert got[0] == pytest.approx(0.248444, abs=1e-6)


def test_a_square_corner_costs_a_stop_or_an_arc() -> None:
    """100 + 100 mm round 90 degrees: 2.4 s with a stop; 2.386344 s within 0.01 mm (arc 3.474344 mm/s)."""
    ell = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0)]
    assert chain(ell, 100, 500, 0) == pytest.approx(2.4, abs=1e-9)
    speed = corner_speed(np.array([[1.0, 0, 0]]), np.array([[0, 1.0, 0]]), np.array([500.0]), 0.01)
    # A circle that touches both sides of a right angle lies r (sqrt 2 - 1) from the corner; v^2 = a r.
    assert speed[0] == pytest.approx(math.sqrt(500 * 0.01 / (math.sqrt(2) - 1)), rel=1e-12)
    assert speed[0] == pytest.approx(3.474344, abs=1e-6)
    assert chain(ell, 100, 500, 0.01) == pytest.approx(2.386344, abs=1e-6)


def test_ten_lines_of_a_raster() -> None:
    """10 lines of 1000 mm, 20 mm apart: 10 x 10.2 + 9 x 0.4 = 105.6 s with stops; less within 0.01 mm."""
    assert chain(raster(10, 1000, 20), 100, 500, 0) == pytest.approx(105.6, abs=1e-9)
    assert chain(raster(10, 1000, 20), 100, 500, 0.01) == pytest.approx(105.354193, abs=1e-5)


@pytest.mark.parametrize(
    ("lines", "long", "expected"),
    [(5, 600.0, 33.0), (20, 150.0, 43.5)],
    ids=["along the grain", "across it"],
)
def test_a_raster_along_is_quicker_than_across(lines: int, long: float, expected: float) -> None:
    """600 x 150 mm, lines 30 mm apart: 5 x 6.2 + 4 x 0.5 s along; 20 x 1.7 + 19 x 0.5 s across."""
    assert chain(raster(lines, long, 30), 100, 500, 0) == pytest.approx(expected, abs=1e-9)


def test_an_axis_that_is_slow_holds_the_whole_move_back() -> None:
    """Axes allowed 500 and 250 along (3, 4)/5: min(500/0.6, 250/0.8) = 312.5."""
    assert along((500.0, 250.0, 100.0), np.array([[0.6, 0.8, 0.0]]))[0] == pytest.approx(312.5, abs=1e-12)


def test_looking_ahead_pays_on_many_short_pieces() -> None:
    """100 mm in 1000 straight pieces: 1.2 s as one move, or 1000 x 2 sqrt(0.1/500) = 28.28 s stopping."""
    pieces = [(i * 0.1, 0.0) for i in range(1001)]
    assert chain(pieces, 100, 500, 0.01) == pytest.approx(1.2, abs=1e-6)
    length, cap, push = np.full(1000, 0.1), np.full(1000, 100.0), np.full(1000, 500.0)
    stopped = run_time(length, cap, push, np.zeros(999))
    assert stopped == pytest.approx(2000 * math.sqrt(0.1 / 500), abs=1e-6)


def test_a_step_by_step_look_ahead_agrees() -> None:
    """The running minima give what the two plain passes give, on 300 uneven pieces."""
    rng = np.random.default_rng(6)
    n = 300
    length, cap = rng.uniform(0.05, 30, n), rng.uniform(5, 120, n)
    push, junction = rng.uniform(100, 600, n), rng.uniform(0, 60, n - 1)
    v = [0.0, *(min(junction[i], cap[i], cap[i + 1]) for i in range(n - 1)), 0.0]
    for i in reversed(range(n)):
        v[i] = min(v[i], math.sqrt(v[i + 1] ** 2 + 2 * push[i] * length[i]))
    for i in range(n):
        v[i + 1] = min(v[i + 1], math.sqrt(v[i] ** 2 + 2 * push[i] * length[i]))
    total = 0.0
    for i in range(n):
        peak = min(cap[i], math.sqrt((2 * push[i] * length[i] + v[i] ** 2 + v[i + 1] ** 2) / 2))
        ramps = (2 * peak**2 - v[i] ** 2 - v[i + 1] ** 2) / (2 * push[i])
        total += (2 * peak - v[i] - v[i + 1]) / push[i] + (length[i] - ramps) / peak
    assert run_time(length, cap, push, junction) == pytest.approx(total, rel=1e-9)
