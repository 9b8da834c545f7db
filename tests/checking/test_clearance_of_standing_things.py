"""How near moving parts come to what stands: exact in plan, clipped to the heights they share."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutters import end_mill, facer
from setups import face_setup, shop, solid
from setups import rectangle as box
from situations import found, hand, situation
from stockwright.checking.clearance import clipped, nearest
from stockwright.checking.parts import Part
from stockwright.checking.paths import Paths
from stockwright.checking.standing import hold_down_in_the_way
from stockwright.machine import Attached

if TYPE_CHECKING:
    from stockwright.planning.setup import Solid

FAR = 1000.0  # a margin so wide that every clearance is told


def one(a: tuple[float, float, float], b: tuple[float, float, float], *, boxed: bool = False) -> Paths:
    """Give one path."""
    rows = np.array([a], dtype=float), np.array([b], dtype=float)
    low, high = (np.minimum(*rows), np.maximum(*rows)) if boxed else rows
    return Paths(low, high, np.array([boxed]), np.array([boxed]))


def part(radius: float = 5.0, bottom: float = 0.0, top: float = 20.0, *, cuts: bool = False) -> Part:
    """Give a round part."""
    return Part("part", "shank", radius, bottom, top, cuts=cuts)


def gap(paths: Paths, of: Part, thing: Solid) -> float:
    """Give the clearance in plan."""
    near = nearest(paths, of, thing, FAR)
    assert near is not None
    return near.beside


def test_a_descending_move_is_clipped_to_the_heights_shared() -> None:
    """From (0,0,10) to (100,0,0) a block 6 high is shared from x = 40 on: 15 mm, and unclipped it is hit.

    Worked by hand, and once by another library's distance; the block beside the path is 3 mm away.
    """
    down = one((0, 0, 10), (100, 0, 0))
    low = solid("block", box(10, -5, 20, 5), top=6.0)
    [left], start, end = clipped(down.a, down.b, 0.0 - 20.0, 6.0 - 0.0)
    assert left
    assert start[0] == pytest.approx([40.0, 0.0, 6.0])
    path = shapely.LineString([start[0, :2], end[0, :2]])
    assert path.distance(shapely.Polygon(low.outline)) - 5.0 == pytest.approx(15.0)
    assert nearest(down, part(), low, 0.5) is None  # with half a millimetre more, from x = 35 on
    beside = solid("block", box(60, 8, 70, 20), top=6.0)
    near = nearest(down, part(), beside, 3.5)
    assert near is not None
    assert near.beside == pytest.approx(3.0)


def test_exactly_the_margin_is_enough() -> None:
    """A part 3 mm away passes at a margin of 3 mm, and at 3.001 mm does not."""
    level = one((0, 0, 5), (100, 0, 5))
    beside = solid("block", box(40, 8, 60, 20))
    assert nearest(level, part(), beside, 3.0) is None
    assert nearest(level, part(), beside, 3.001) is not None


def test_exactly_the_margin_above_is_enough() -> None:
    """A part that passes 3 mm above the top is clear at a margin of 3 mm, and 2.9 mm above is not."""
    block = solid("block", box(40, -5, 60, 5), top=14.0)
    assert nearest(one((0, 0, 17), (100, 0, 17)), part(), block, 3.0) is None
    assert nearest(one((0, 0, 16.9), (100, 0, 16.9)), part(), block, 3.0) is not None


def test_a_slanting_rapid_may_pass_anywhere_between_its_ends() -> None:
    """From (0,0) to (100,40) the chord clears a block near (100,0), and the box of both ends does not."""
    block = solid("block", box(90, 0, 95, 5))
    straight = one((0, 0, 5), (100, 40, 5))
    assert nearest(straight, part(), block, 3.0) is None
    assert gap(one((0, 0, 5), (100, 40, 5), boxed=True), part(), block) == pytest.approx(-5.0)


def test_only_the_cutting_part_enters_scrap_and_only_so_deep() -> None:
    """Scrap that may be cut to 0 stops a shank and not the edges; one to be cut to 5 stops edges at 4."""
    scrap = solid("scrap", box(40, -5, 60, 5), kind="backing", top=20.0, may_cut_to=0.0)
    level = one((0, 0, 4), (100, 0, 4))
    assert nearest(level, part(cuts=True), scrap, 3.0) is None
    assert nearest(level, part(), scrap, 3.0) is not None
    assert nearest(level, part(cuts=True), replace(scrap, may_cut_to=5.0), 3.0) is not None
    assert nearest(level, part(cuts=True), replace(scrap, may_cut_to=4.0), 3.0) is None


def test_every_part_is_followed_up_to_the_nose() -> None:
    """A clamp that the cutter clears is found where the spindle nose comes down on it."""
    clamp = solid("clamp", box(220, 240, 280, 260), top=100.0)
    setup = replace(face_setup(solids=(clamp,)), clear_z=120.0)
    program = hand(
        setup,
        facer(),
        ("rapid", None, None, 120.0),
        ("rapid", 250.0, 205.0, None),
        ("feed", 250.0, 205.0, 31.0),
    )
    [finding] = found(hold_down_in_the_way, situation(setup, shop(), (program,)))
    assert "spindle nose" in finding.message
    assert finding.measured == pytest.approx(240 - 205 - 35)


def test_what_is_attached_is_followed_too() -> None:
    """A bracket that rides 80 mm out beside the spindle meets a clamp that the spindle itself clears."""
    clamp = solid("clamp", box(220, 260, 280, 300), top=50.0)
    setup = replace(face_setup(solids=(clamp,)), clear_z=90.0)
    program = hand(
        setup,
        facer(),
        ("rapid", None, None, 90.0),
        ("rapid", 250.0, 190.0, None),
        ("feed", 250.0, 190.0, 32.0),
    )
    bracket = Attached("bracket", ((-10, 0), (10, 0), (10, 80), (-10, 80)), -50.0, 0.0, "z", soft=False)
    assert found(hold_down_in_the_way, situation(setup, shop(), (program,))) == ()
    [finding] = found(hold_down_in_the_way, situation(setup, shop(attached=(bracket,)), (program,)))
    assert "bracket" in finding.message


def test_a_clamp_is_one_finding_a_program() -> None:
    """Many moves too near to one clamp make one finding, of the nearest of them."""
    clamp = solid("clamp", box(220, 182, 280, 232), top=50.0)
    setup = replace(face_setup(solids=(clamp,)), clear_z=70.0)
    findings = found(hold_down_in_the_way, situation(setup, shop()))
    assert len({finding.program for finding in findings}) == len(findings)


def test_what_does_not_stand_is_not_in_the_way() -> None:
    """A clamp that is taken off for a program does not count in it."""
    clamp = solid("clamp", box(220, 100, 280, 232), top=50.0)
    setup = replace(face_setup(solids=(clamp,)), clear_z=70.0)
    program = replace(
        hand(
            setup,
            end_mill(),
            ("rapid", None, None, 60.0),
            ("rapid", 250.0, 150.0, None),
            ("feed", 250.0, 150.0, 34.0),
        ),
        standing=(),
    )
    assert found(hold_down_in_the_way, situation(setup, shop(), (program,))) == ()


# Programs move by whole steps of their post, the finest of which is larger than this.
PLACE = st.tuples(
    *(st.floats(low, high).map(lambda v: round(v, 6)) for low, high in ((-50, 50), (-50, 50), (0, 40)))
)


@given(PLACE, PLACE, st.floats(1, 20), st.booleans())
def test_no_point_of_a_path_is_nearer_than_told(
    a: tuple[float, float, float], b: tuple[float, float, float], radius: float, boxed: bool
) -> None:
    """Of 50 places along a move, none that shares heights with a block is nearer than the clearance."""
    block = solid("block", box(-10, -10, 10, 10), top=12.0)
    margin = 2.0
    near = nearest(one(a, b, boxed=boxed), part(radius), block, margin)
    told = margin if near is None else near.clear
    for t in np.linspace(0, 1, 50):
        x, y, z = (1 - t) * np.array(a) + t * np.array(b)
        if z < 12.0 + margin - 1e-3 and z + 20.0 > -margin:
            beside = np.hypot(max(0.0, abs(x) - 10), max(0.0, abs(y) - 10)) - radius
            assert max(beside, z - 12.0) >= min(told, margin) - 1e-5


def test_what_passes_just_above_is_told_by_its_height() -> None:
    """A facing cutter 1 mm above a clamp is refused for 1 mm, not for how far it overhangs in plan."""
    clamp = solid("clamp", box(220, 182, 280, 232), top=29.0)
    [finding] = found(hold_down_in_the_way, situation(face_setup(solids=(clamp,)), shop()))
    assert finding.measured == pytest.approx(1.0)
    assert "1 mm above" in finding.message
