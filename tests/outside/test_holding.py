"""Forces of hold-downs against worked numbers.

Sources: the air's pressure on an area, moments about a heel, and a wedge with friction on both faces are
textbook statics, worked anew here by another way. Nut factors 0.15 (oiled), 0.2 (as received), 0.3 (dry) in
T = K F d are from published tables read second hand; the form is VDI 2230's and Shigley's short one, from
memory. Tape's 0.02 N/mm2: common practice, no source. Friction of pine on itself, 0.12 at the least: Aira et
al. 2014, Materiales de Construccion (abstract).
"""

from __future__ import annotations

import math

import pytest

from setups import shop
from stockwright import units
from stockwright.forces import holding_force as hf
from stockwright.hold_downs import Vacuum
from stockwright.planning import grips, underneath

MU = 0.2  # the friction that the worked numbers take; common practice, no source


def _vacuum(size: float, pressure: float) -> Vacuum:
    """Give one square area, measured over a seal 6 mm wide."""
    return Vacuum("area", (((300.0, 300.0 + size), (200.0, 200.0 + size)),), seal=6.0, pressure=pressure)


def test_vacuum_over_an_area_of_a_hundred_by_a_hundred() -> None:
    """0.8 bar below the air's pressure over 100 x 100 mm presses with 800 N, and holds 160 N by friction."""
    pressure = units.parse("0.8 bar", units.PRESSURE)
    force = hf.vacuum_force(pressure, 100.0 * 100.0)
    assert force == pytest.approx(800.0, abs=0.1)
    assert MU * force == pytest.approx(160.0, abs=0.1)
    assert force == pytest.approx(0.8e5 * 0.1 * 0.1)  # the same in pascals and metres


def test_vacuum_counts_only_inside_the_seal() -> None:
    """A lip 6 mm wide leaves 88 x 88 mm, which 0.8 bar presses with 619.5 N."""
    pressure = units.parse("0.8 bar", units.PRESSURE)
    ((_, inside),) = underneath._areas(shop(), _vacuum(100.0, pressure))
    assert inside.area == pytest.approx(88.0 * 88.0)
    assert grips.drawn_by(_vacuum(100.0, pressure), inside.area).newtons == pytest.approx(619.5, abs=0.1)
    ((_, nothing),) = underneath._areas(shop(), _vacuum(10.0, pressure))
    assert nothing.area == 0.0


@pytest.mark.parametrize(("factor", "expected"), [(0.15, 8333.0), (0.2, 6250.0), (0.3, 4167.0)])
def test_bolt_of_eight_millimetres_at_ten_newton_metres(factor: float, expected: float) -> None:
    """Published nut factors give 8333, 6250 and 4167 N of tension for an M8 bolt at 10 N m."""
    torque = units.parse("10 N m", units.TORQUE)
    assert hf.bolt_tension(torque, 8.0, factor) == pytest.approx(expected, abs=1.0)


def test_nut_factor_taken_is_the_published_one_that_gives_least() -> None:
    """Where a shop says none, the dry nut's factor is taken, and no published one gives less force."""
    least = min(hf.bolt_tension(1e4, 8.0, k) for k in (0.15, 0.2, 0.3))
    assert hf.bolt_tension(1e4, 8.0, hf.NUT_FACTOR) == pytest.approx(least)


@pytest.mark.parametrize(("heel", "work", "expected"), [(60.0, 30.0, 4167.0), (30.0, 60.0, 2083.0)])
def test_strap_clamp_presses_more_with_its_bolt_near_the_work(
    heel: float, work: float, expected: float
) -> None:
    """Of 6250 N, 60 mm from the heel and 30 from the work gives 4167 N there; the other way round, 2083 N."""
    press = hf.strap_press(6250.0, heel, work)
    assert press == pytest.approx(expected, abs=1.0)
    on_heel = 6250.0 - press  # what the heel bears, taken from moments about the work
    assert on_heel * (heel + work) == pytest.approx(6250.0 * work)


def test_tape_carries_its_area_times_its_shear() -> None:
    """Tape of 100 x 200 mm at the 0.02 N/mm2 of practice carries 400 N."""
    assert hf.tape_shear(hf.TAPE_SHEAR, 100.0 * 200.0) == pytest.approx(400.0, abs=1.0)


def test_wedge_gain_against_the_balance_of_its_forces() -> None:
    """A wedge of 8 degrees with friction 0.2 turns 1 N of drive into 1.817 N at the side.

    The balance: on its back a normal force N and friction along it, on its slope a normal force and friction
    along that; sums of forces along both ways, solved as two equations.
    """
    gain = hf.wedge_gain(8.0, MU)
    assert gain == pytest.approx(1.817, abs=0.001)
    q = math.radians(8.0)
    slope = 1.0 / (math.cos(q) - MU * math.sin(q))  # its normal force for a back's of 1
    drive = slope * (math.sin(q) + MU * math.cos(q)) + MU
    assert gain == pytest.approx(1.0 / drive)


def test_wedge_locks_up_to_twice_the_angle_of_friction() -> None:
    """With friction 0.2 a wedge holds itself up to 22.62 degrees, with pine's least 0.12 up to 13.7."""
    assert hf.wedge_locks(MU) == pytest.approx(22.62, abs=0.001)
    assert hf.wedge_locks(hf.LOCKING_FRICTION) == pytest.approx(13.69, abs=0.01)
    for angle, holds in ((22.0, True), (23.0, False)):
        # To be pushed out a wedge must slide on both faces: it stays while tan(angle - friction) <= friction.
        rub = math.atan(MU)
        assert (math.tan(math.radians(angle) - rub) <= math.tan(rub)) is holds
        assert (angle <= hf.wedge_locks(MU)) is holds


@pytest.mark.parametrize(
    ("text", "measure", "expected"),
    [
        ("1 bar", units.PRESSURE, 0.1),
        ("25 inHg", units.PRESSURE, 0.084660),
        ("1 lbf", units.FORCE, 4.4482216152605),
        ("1 kgf", units.FORCE, 9.80665),
        ("10 lbf ft", units.TORQUE, 13558.179),
        ("1 psi", units.STRESS, 0.006894757),
    ],
)
def test_units_of_force_against_the_published_factors(
    text: str, measure: units.Measure, expected: float
) -> None:
    """Factors to SI as NIST SP 811, appendix B.8, prints them (from memory)."""
    assert units.parse(text, measure) == pytest.approx(expected, rel=1e-5)
