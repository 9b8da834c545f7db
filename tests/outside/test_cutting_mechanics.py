"""Chips, forces and power against textbook mechanics, worked by hand beside each check.

Source of every check unless said: geometry of a circle cutting a straight line of wood, the circular-arc form
of peripheral milling in metal- and wood-cutting textbooks (Martellotti 1941 is its usual reference; not read
here, the form is re-derived), and power = force times speed. Cutting pressures of wood are common practice,
no source: 30 N/mm2 is only a placeholder.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from stockwright.forces.mechanics import (
    depth_for_power,
    exit_angle,
    feed_for_chip,
    feed_for_power,
    feed_per_tooth,
    greatest_chip,
    peak_tooth_force,
    power,
    rim_speed,
    teeth_at_once,
)


def test_a_tenth_of_the_diameter_is_left_after_37_degrees() -> None:
    """Geometry: acos(1 - 2 * 0.1) = 36.8699 degrees, whose sine is 0.6, of a 3-4-5 triangle."""
    assert math.degrees(exit_angle(2.5, 25.0)) == pytest.approx(36.8699, abs=1e-4)
    assert greatest_chip(1.0, 2.5, 25.0) == pytest.approx(0.6, abs=1e-12)


@pytest.mark.parametrize(
    ("share", "greatest"),
    [
        (0.02, 0.2800),
        (0.05, 0.4359),
        (0.1, 0.6000),
        (0.2, 0.8000),
        (0.4, 0.9798),
        (0.5, 1.0),
        (0.6, 1.0),
        (1.0, 1.0),
    ],
)
def test_chips_thin_as_less_of_the_cutter_is_engaged(share: float, greatest: float) -> None:
    """Geometry: the chip is the sine of the tooth's angle; the greatest over its arc, 1 mm a tooth."""
    assert greatest_chip(1.0, share * 40, 40.0) == pytest.approx(greatest, abs=5e-5)


@pytest.mark.parametrize("share", [0.03, 0.1, 0.33, 0.5, 0.8, 1.0])
def test_the_greatest_chip_agrees_with_following_a_tooth_round(share: float) -> None:
    """Geometry, by brute force: the greatest of the sines at 20001 angles of the arc."""
    angles = np.linspace(0.0, math.acos(1 - 2 * share), 20001)
    assert greatest_chip(1.0, share, 1.0) == pytest.approx(float(np.sin(angles).max()), abs=1e-6)


def test_feed_per_tooth_is_feed_over_teeth_passing() -> None:
    """Arithmetic: 4000 mm/min, 16000 rpm, 2 teeth make 0.125 mm."""
    assert feed_per_tooth(4000.0, 16000.0, 2) == pytest.approx(0.125, abs=1e-12)


def test_the_feed_for_a_chip_makes_up_for_thinning() -> None:
    """Geometry: 0.1 mm (common practice, no source) at a tenth engaged wants 0.1/0.6 mm a tooth."""
    assert feed_for_chip(0.1, 2.5, 25.0, 16000.0, 2) == pytest.approx(5333.3, abs=0.1)


@pytest.mark.parametrize(("diameter", "rpm", "speed"), [(25.0, 16000.0, 20.944), (60.0, 12000.0, 37.699)])
def test_rim_speed_is_the_circumference_times_turns(diameter: float, rpm: float, speed: float) -> None:
    """Geometry: pi D n, in m/s."""
    assert rim_speed(diameter, rpm) == pytest.approx(speed, abs=1e-3)


def test_power_is_pressure_times_volume_a_second() -> None:
    """Mechanics: 30 N/mm2 (common practice, no source) on 2 x 15 mm at 4000 mm/min is 60 W."""
    assert power(30.0, 2.0, 15.0, 4000.0) == pytest.approx(60.0, abs=1e-9)
    assert power(30.0, 2.0, 15.0, 4000.0) == pytest.approx(30e6 * 0.002 * 0.015 * 4.0 / 60, abs=1e-9)


def test_feed_limited_by_power() -> None:
    """Mechanics: 800 W over a factor of 2 on 24 x 2 mm at 30 N/mm2 allows 16667 mm/min."""
    feed = feed_for_power(800.0, 2.0, 30.0, 24.0, 2.0)
    assert feed == pytest.approx(16667, abs=1)
    assert 2.0 * power(30.0, 24.0, 2.0, feed) == pytest.approx(800.0)


def test_depth_limited_by_power() -> None:
    """Mechanics: 800 W over a factor of 2 at 30 N/mm2, 24 mm wide and 16667 mm/min bears 2 mm."""
    assert depth_for_power(800.0, 2.0, 30.0, 24.0, 16667.0) == pytest.approx(2.0, abs=1e-4)


def test_the_force_of_a_whole_turn_is_power_over_speed() -> None:
    """Mechanics: 60 W at a rim of 20.944 m/s is 2.865 N, averaged over the turn."""
    assert power(30.0, 2.0, 15.0, 4000.0) / rim_speed(25.0, 16000.0) == pytest.approx(2.865, abs=1e-3)


@pytest.mark.parametrize(
    ("flutes", "width", "together"),
    [(2, 2.0, 1), (2, 25.0, 1), (3, 25.0, 2), (4, 12.5, 1), (4, 12.6, 2), (0, 5.0, 1)],
)
def test_teeth_in_the_cut_together(flutes: int, width: float, together: int) -> None:
    """Geometry, D 25: half a turn of a full slot holds every other tooth, a quarter turn one of four."""
    assert teeth_at_once(flutes, width, 25.0) == together


@pytest.mark.parametrize(("width", "depth", "peak"), [(2.0, 15.0, 30.52), (15.0, 2.0, 7.5)])
def test_a_tooth_pulls_by_its_greatest_chip(width: float, depth: float, peak: float) -> None:
    """Mechanics: pressure times depth times the greatest chip; D 25, 0.125 mm a tooth."""
    assert peak_tooth_force(30.0, depth, greatest_chip(0.125, width, 25.0)) == pytest.approx(peak, abs=0.01)


def test_work_done_by_the_teeth_is_the_power() -> None:
    """Mechanics, energy kept: the force of 2 teeth added up over their arc, times the speed, is power."""
    angles = np.linspace(0.0, exit_angle(2.0, 25.0), 20001)
    forces = [peak_tooth_force(30.0, 15.0, 0.125 * math.sin(angle)) for angle in angles]
    mean = 2 * float(np.trapezoid(forces, angles)) / (2 * math.pi)
    assert mean * rim_speed(25.0, 16000.0) == pytest.approx(power(30.0, 2.0, 15.0, 4000.0), rel=1e-6)
