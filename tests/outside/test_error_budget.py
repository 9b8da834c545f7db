"""What a machine's errors leave in a board, and how uncertainties combine, against worked values.

Sources: plain geometry of a flat-ended cutter and of two axes, re-derived here with points and vectors;
textbook beams (Euler-Bernoulli), re-derived by adding up curvature; NIST Technical Note 1297 (1994) for
rectangular bounds (half-width over root 3), root sum of squares, k = 2 and Student's t. Young's moduli of
carbide (600 GPa) and steel (210 GPa) are from memory; that flutes leave 0.8 of the diameter is common
practice, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from stockwright.budget.combining import coverage_factor, expanded, of_readings, standard
from stockwright.forces.bending import bends
from stockwright.traces import (
    angle_of_bevel,
    angle_of_diagonals,
    angle_of_ridge_across,
    angle_of_taper,
    bevel,
    hollow,
    ridge_across,
    ridge_along,
    taper,
)

CARBIDE = 600_000.0


def lowest(radius: float, tilt: float, across: np.ndarray) -> np.ndarray:
    """Return the height under one pass of a disc leaning along its travel, at places across it (geometry).

    The rim point at `across` that hangs lowest lies back by the rest of the radius, and lower by its sine.
    """
    back = np.sqrt(radius**2 - across**2)
    return np.asarray(-back * math.sin(math.radians(tilt)))


def test_the_step_between_passes_of_a_spindle_leaning_across() -> None:
    """Geometry: a lean of 0.1 degrees over passes 15 mm apart leaves steps of 15 tan 0.1 = 0.02618 mm."""
    assert ridge_across(15.0, 0.1) == pytest.approx(0.02618, abs=1e-5)
    assert angle_of_ridge_across(0.02618, 15.0) == pytest.approx(0.1, abs=1e-4)


def test_the_hollow_under_a_pass_of_a_spindle_leaning_along() -> None:
    """Geometry: a 25 mm cutter leaning 0.1 degrees along its travel hollows 12.5 sin 0.1 = 0.021817 mm."""
    assert hollow(12.5, 0.1) == pytest.approx(0.021817, abs=1e-6)
    heights = lowest(12.5, 0.1, np.linspace(-12.5, 12.5, 2001))
    assert heights.max() - heights.min() == pytest.approx(hollow(12.5, 0.1), abs=1e-9)


def test_the_ridge_between_passes_of_a_spindle_leaning_along() -> None:
    """Geometry: at a step of 15 mm 0.004363 mm of that hollow is left standing between passes."""
    assert ridge_along(12.5, 15.0, 0.1) == pytest.approx(0.004363, abs=1e-6)
    across = np.linspace(-12.0, 27.0, 39_001)
    passes = [np.where(abs(across - at) <= 12.5, across - at, np.nan) for at in (0.0, 15.0)]
    cut = np.fmin(*(lowest(12.5, 0.1, each) for each in passes))
    between = cut[(across >= 0.0) & (across <= 15.0)]
    assert between.max() - between.min() == pytest.approx(0.004363, abs=2e-6)


def test_the_bevel_of_an_edge() -> None:
    """Geometry: 22 mm high under a lean of 0.1 degrees is 0.03840 mm out of upright."""
    assert bevel(22.0, 0.1) == pytest.approx(0.03840, abs=1e-5)
    assert angle_of_bevel(0.03840, 22.0) == pytest.approx(0.1, abs=1e-4)


def test_the_taper_of_a_fence_that_is_off() -> None:
    """Geometry: 300 mm along a fence 0.1 degrees off the axis part 0.5236 mm."""
    assert taper(300.0, 0.1) == pytest.approx(0.5236, abs=1e-4)
    assert angle_of_taper(0.5236, 300.0) == pytest.approx(0.1, abs=1e-4)


def test_the_diagonals_of_axes_out_of_square() -> None:
    """Geometry: 1000 x 200 mm with axes 0.05 degrees out of square has diagonals 0.3423 mm apart."""
    assert angle_of_diagonals(0.3423, 1000.0, 200.0) == pytest.approx(0.05, abs=1e-5)
    lean = math.radians(0.05)
    far = np.array([200.0 * math.sin(lean), 200.0 * math.cos(lean)])
    along = np.array([1000.0, 0.0])
    exact = float(np.linalg.norm(along + far) - np.linalg.norm(along - far))
    assert exact == pytest.approx(0.3423, abs=1e-4)
    assert angle_of_diagonals(exact, 1000.0, 200.0) == pytest.approx(0.05, abs=1e-5)


@pytest.mark.parametrize(
    ("rock", "surface", "whole"), [(0.1, 0.25, 0.3341), (0.02, 0.03, 0.1292)], ids=["rough", "planed"]
)
def test_a_reading_of_a_board_as_the_technical_note_reckons(
    rock: float, surface: float, whole: float
) -> None:
    """NIST TN 1297: resolution, repeatability, table, rock, surface come to 0.334 mm rough, 0.129 planed."""
    bounds = [standard(half, "rectangular") for half in (0.005, 0.1, rock, surface)]
    assert expanded([0.02, *bounds]) == pytest.approx(whole, abs=1e-3)


@pytest.mark.parametrize("freedom", [1, 2, 3, 5, 9, 15, 20, 30, 50])
def test_few_readings_are_expanded_by_students_t(freedom: int) -> None:
    """Student's density integrated within the factor holds 95.45 %, as table B.1 of NIST TN 1297 says."""
    scale = math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)) / math.sqrt(freedom * math.pi)
    t = np.linspace(0.0, coverage_factor(freedom), 200_001)
    density = scale * (1 + t * t / freedom) ** (-(freedom + 1) / 2)
    inside = 2 * float(np.sum((density[1:] + density[:-1]) / 2 * np.diff(t)))
    assert inside == pytest.approx(0.9545, abs=1e-3)


def test_many_readings_are_expanded_by_two() -> None:
    """NIST TN 1297: k = 2 is what t comes to where degrees of freedom are many."""
    assert coverage_factor(math.inf) == 2.0
    assert coverage_factor(3.9) == coverage_factor(3)


def test_the_mean_of_readings_by_hand() -> None:
    """1, 2, 3 and 4 tenths: mean 0.25, s 0.1291, s/2 = 0.0645, times t(3) = 3.31: 0.2137 (by hand)."""
    mean, within = of_readings([0.1, 0.2, 0.3, 0.4], 0.0)
    assert (mean, within) == pytest.approx((0.25, 0.2137), abs=1e-4)


def test_readings_all_alike_are_as_sure_as_they_are_fine() -> None:
    """NIST TN 1297: with no scatter a resolution of 0.05 to either side is left, 2 * 0.05 / root 3."""
    assert of_readings([0.3, 0.3, 0.3], 0.05)[1] == pytest.approx(2 * 0.05 / math.sqrt(3))


def test_a_cutter_of_one_thickness() -> None:
    """Euler-Bernoulli, by hand: 20 N at 40 mm bend 12 mm of carbide 0.000699 mm, and 9.6 mm 0.001706."""
    assert bends(20.0, 40.0, 0.0, 9.6, 12.0, CARBIDE) == pytest.approx(0.000699, abs=1e-6)
    assert bends(20.0, 40.0, 40.0, 9.6, 12.0, CARBIDE) == pytest.approx(0.001706, abs=1e-6)


def test_a_cutter_with_flutes_and_a_shank() -> None:
    """Euler-Bernoulli, by hand: with 25 mm of flutes at 9.6 mm and a 12 mm shank it is 0.000944 mm."""
    assert bends(20.0, 40.0, 25.0, 9.6, 12.0, CARBIDE) == pytest.approx(0.000944, abs=1e-6)


def test_a_long_cutter() -> None:
    """Euler-Bernoulli, by hand: 30.52 N at 75 mm bend 9.6 mm of carbide 0.01716 mm."""
    assert bends(30.52, 75.0, 75.0, 9.6, 12.0, CARBIDE) == pytest.approx(0.01716, abs=1e-5)


@pytest.mark.parametrize("at", [0.0, 12.0, 25.0, 31.0])
def test_a_stepped_cutter_by_adding_up_curvature(at: float) -> None:
    """Moment over stiffness added up twice from the nut gives the same bend everywhere."""
    reach, fluted, force = 40.0, 25.0, 20.0
    x = np.linspace(0.0, reach, 400_001)  # from the nut down to the tip
    thick = np.where(reach - x < fluted, 9.6, 12.0)
    curve = force * (reach - x) / (CARBIDE * math.pi * thick**4 / 64)
    step = np.diff(x)
    slope = np.concatenate([[0.0], np.cumsum((curve[1:] + curve[:-1]) / 2 * step)])
    bent = np.concatenate([[0.0], np.cumsum((slope[1:] + slope[:-1]) / 2 * step)])
    told = bends(force, reach, fluted, 9.6, 12.0, CARBIDE, at=at)
    assert told == pytest.approx(float(np.interp(reach - at, x, bent)), rel=1e-4)
