"""Coverage of a round cutter against plane geometry that anyone can redo.

Sources, beside each check: Euclid, Elements I.47 (the theorem of Pythagoras); the area of a regular polygon
inscribed in a circle, n/2 · r² · sin(2π/n), and its apothem r · cos(π/n) (any textbook of plane
trigonometry); PostGIS and GEOS documentation of ST_Buffer, "quad_segs": segments used to approximate a
quarter circle.
"""

from __future__ import annotations

import itertools
import math

import pytest
import shapely

from stockwright.cutting.coverage import (
    OVERRUN_MARGIN,
    end_overrun,
    least_overrun,
    line_places,
    loop_inset,
)
from stockwright.cutting.steps import Steps
from stockwright.tooling import widest_stepover


@pytest.mark.parametrize(
    ("diameter", "stepover", "expected"), [(25.0, 20.0, -7.5), (50.0, 40.0, -15.0), (25.0, 24.0, -3.5)]
)
def test_least_overrun_is_the_right_triangle_s_leg(diameter: float, stepover: float, expected: float) -> None:
    """A corner half a stepover aside lies a radius from the line's end: the right triangles 3-4-5, 7-24-25.

    Source: Euclid, Elements I.47.
    """
    assert least_overrun(diameter / 2, stepover / 2) == pytest.approx(expected, abs=1e-12)


def test_a_line_cannot_clear_beyond_its_radius() -> None:
    """A point further aside than the radius is in no disc on the line. Source: definition of a circle."""
    assert least_overrun(10.0, 10.0) == 0.0
    with pytest.raises(ValueError, match="cannot clear"):
        least_overrun(10.0, 10.1)


def left_of(overrun: float, *, quad_segs: int) -> float:
    """Give the area left of a 300 by 60 face by D 25 lines 20 apart, the first and last 10 inside, mm²."""
    lines = [shapely.LineString([(-overrun, y), (300 + overrun, y)]) for y in (10, 30, 50)]
    swept = shapely.union_all([line.buffer(12.5, quad_segs=quad_segs) for line in lines])
    return float((shapely.box(0, 0, 300, 60) - swept).area)


def test_one_millimetre_short_leaves_the_published_area() -> None:
    """1 mm short of the least overrun leaves 12 slivers between arc and end, by integration of the circle.

    Source: the integral of sqrt(r² - h²), any textbook of calculus. Each of six half-ends leaves the part of
    h from sqrt(r² - 8.5²) to 10 over which 8.5 - sqrt(r² - h²) is above zero.
    """
    e, r = least_overrun(12.5, 10.0) - 1.0, 12.5
    low = math.sqrt(r * r - e * e)

    def under(h: float) -> float:
        return (h * math.sqrt(r * r - h * h) + r * r * math.asin(h / r)) / 2

    sliver = -e * (10 - low) - (under(10) - under(low))
    assert 12 * sliver == pytest.approx(4.8321, abs=1e-3)
    assert left_of(e, quad_segs=256) == pytest.approx(12 * sliver, abs=1e-3)


def test_the_planned_overrun_leaves_nothing() -> None:
    """With the margin on top the same face is clear, even by an inscribed 64-corner circle.

    Source: as above; the inscribed polygon lies inside the circle.
    """
    least = least_overrun(12.5, 10.0)
    for turns in (False, True):
        e = end_overrun(12.5, least, 20.0, turns=turns)
        assert e >= least + OVERRUN_MARGIN
        assert left_of(e, quad_segs=16) == 0.0


def test_lines_lie_where_geometry_says() -> None:
    """D 25, s 20 on 60 mm: none further apart, the outermost at most 10 inside. Source: arithmetic."""
    at = line_places(Steps(0.001), (0.0, 60.0), 12.5, 12.0, 20.0, (-500.0, 500.0))
    places = [place / 1000 for place in at]
    assert max(b - a for a, b in itertools.pairwise(places)) <= 20.0
    assert places[0] + 12.5 <= 20.0
    assert places[0] <= 10.0
    assert 60 - places[-1] <= 10.0


@pytest.mark.parametrize(("diameter", "stepover"), [(25.0, 10.0), (25.0, 20.0), (50.0, 40.0), (63.0, 25.2)])
def test_a_face_takes_the_fewest_lines(diameter: float, stepover: float) -> None:
    """Lines of which none bites wider than s clear n s at most, so at least W / s are needed; no more are.

    Half of what neighbours overlap is kept back at the far side. Source: arithmetic.
    """
    radius, side = diameter / 2, widest_stepover(diameter / 2) / 2
    for tenth in range(11, 120):
        wide = stepover * tenth / 10
        at = line_places(Steps(0.001), (30.0, 30.0 + wide), radius, side, stepover, (-500.0, 900.0))
        places = [place / 1000 - 30.0 for place in at]
        assert len(places) == math.ceil((wide + radius - side) / stepover - 1e-9)
        assert places[0] + radius <= stepover + 1e-9
        assert max(b - a for a, b in itertools.pairwise(places)) <= stepover + 1e-9
        assert wide - places[-1] <= side + 1e-9


@pytest.mark.parametrize(
    ("diameter", "inset", "widest"), [(25.0, 8.838835, 21.338835), (50.0, 17.677670, 42.677670)]
)
def test_a_loop_still_clears_a_square_corner(diameter: float, inset: float, widest: float) -> None:
    """The loop's inset ends at r/√2, where its bite is r(1 + 1/√2): the corner is the diagonal of a square.

    Source: Euclid, Elements I.47 on the square's diagonal.
    """
    r = diameter / 2
    assert loop_inset(r, r, diameter) == pytest.approx(inset, abs=1e-6)
    assert r + loop_inset(r, r, diameter) == pytest.approx(widest, abs=1e-6)
    assert loop_inset(r, r, widest - 0.01) < inset
    at = loop_inset(r, r, diameter)
    loop = shapely.box(at, at, 300 - at, 200 - at).exterior
    corner = shapely.Point(0, 0)
    assert shapely.distance(loop, corner) == pytest.approx(r, abs=1e-9)


def test_an_inscribed_circle_has_the_textbook_area() -> None:
    """16 chords a quarter: area 32 · sin(2π/64), short of the circle by r(1 - cos(π/64)) at the most.

    Source: regular polygon inscribed in a circle; GEOS quad_segs.
    """
    disc = shapely.Point(0, 0).buffer(1.0, quad_segs=16)
    assert disc.area == pytest.approx(32 * math.sin(math.pi / 32), abs=1e-11)
    assert disc.area == pytest.approx(3.136548490546, abs=1e-11)
    short = 25 * (1 - math.cos(math.pi / 64))
    assert short == pytest.approx(0.030114, abs=1e-6)
    assert short < OVERRUN_MARGIN


def test_neighbouring_lines_overlap() -> None:
    """The widest stepover stays below the cleared width, whatever the cutter. Source: arithmetic."""
    for reach in (1.5, 6.0, 25.0):
        assert widest_stepover(reach) < 2 * reach
    with pytest.raises(ValueError, match="flat"):
        widest_stepover(0.5)
