"""What has been cut is gone: the check of contacts with wood follows the programs move by move."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutters import end_mill, facer
from setups import edge_setup, face, face_setup, shop, tall_edge_setup
from situations import found, hand, situation
from stockwright.checking import check
from stockwright.checking.entry import plunge_without_centre_edges, rapid_into_wood
from stockwright.checking.reach import nut_meets_wood
from stockwright.checking.wood import wood_of


def test_what_the_cut_stage_makes_touches_no_wood_it_should_not() -> None:
    """Faces and edges cut for real, both ways round, are refused for nothing but that nothing holds them."""
    for setup in (
        face_setup(),
        face_setup(passes="across", perimeter="first"),
        face_setup(perimeter="last", direction="climb"),
        edge_setup(sides=("left", "right", "far")),
        tall_edge_setup(),
    ):
        own = shop()
        refused = {f.rule for f in check(situation(setup, own)) if f.level == "refuse"}
        assert refused <= {"held-by-nothing"}


def test_a_cutter_may_go_down_where_it_has_cut_before() -> None:
    """A facing cutter that plunges 2 mm into the slot it has just cut to that depth is no finding."""
    setup = face_setup()
    there = (("rapid", None, None, 60.0), ("rapid", 40.0, 130.0, None), ("feed", 40.0, 130.0, 32.0))
    slot = ("feed", 460.0, 130.0, 32.0)
    back = (("rapid", None, None, 60.0), ("rapid", 250.0, 130.0, None), ("feed", 250.0, 130.0, 32.0))
    own = shop()
    assert (
        found(
            plunge_without_centre_edges, situation(setup, own, (hand(setup, facer(), *there, slot, *back),))
        )
        == ()
    )
    [finding] = found(
        plunge_without_centre_edges, situation(setup, own, (hand(setup, facer(), *there, *back),))
    )
    assert finding.measured == pytest.approx(90.0)


def test_what_an_earlier_program_cut_is_gone_too() -> None:
    """A rapid through a slot that the program before has cut is no finding."""
    setup = face_setup()
    down = (("rapid", None, None, 60.0), ("rapid", 40.0, 130.0, None), ("rapid", None, None, 31.0))
    cut = hand(setup, facer(), *down, ("feed", 460.0, 130.0, 31.0), ("rapid", None, None, 60.0), stem="first")
    run = hand(setup, end_mill(), *down, ("rapid", 460.0, None, None), stem="second")
    own = shop()
    assert found(rapid_into_wood, situation(setup, own, (cut, run))) == ()
    assert len(found(rapid_into_wood, situation(setup, own, (run, cut)))) == 1


def test_a_ramp_within_the_cutters_own_is_no_plunge() -> None:
    """A cutter that ramps at 3 degrees may descend 2 mm over 60 mm of wood, and not over 20 mm."""
    tool = end_mill(centre_cutting=False, ramp=3.0)
    setup = face_setup(tool=tool)

    def ramped(length: float) -> int:
        stops = (("rapid", None, None, 60.0), ("rapid", 200.0, 130.0, None), ("feed", 200.0, 130.0, 35.0))
        program = hand(setup, tool, *stops, ("feed", 200.0 + length, 130.0, 33.0))
        return len(found(plunge_without_centre_edges, situation(setup, shop(), (program,))))

    assert ramped(60.0) == 0
    assert ramped(20.0) == 1


def test_a_nut_over_milled_ground_is_clear() -> None:
    """A nut that would meet the high end of a face is clear once that end has been cut down."""
    tool = end_mill(cutting_length=30.0, stickout=31.0)
    setup = face_setup(tool=tool, ceiling=60.0)
    low = (("rapid", None, None, 80.0), ("rapid", 40.0, 130.0, None), ("feed", 40.0, 130.0, 30.0))
    deep = hand(setup, tool, *low, ("feed", 250.0, 130.0, 30.0), ("rapid", None, None, 80.0), stem="deep")
    wide = facer(diameter=60.0, cutting_length=40.0, stickout=60.0)
    first = hand(setup, wide, *low, ("feed", 460.0, 130.0, 30.0), ("rapid", None, None, 80.0), stem="wide")
    own = shop()
    assert len(found(nut_meets_wood, situation(setup, own, (deep,)))) == 1
    assert found(nut_meets_wood, situation(setup, own, (first, deep))) == ()


def test_wood_is_as_high_as_the_face_cut_was_told() -> None:
    """Points take the height of the nearest place of the measured grid, and none outside the board."""
    heights = np.array([[31.0, 31.0], [35.0, 35.0]])
    setup = face_setup(wood=heights)
    wood = wood_of(setup)
    assert wood is not None
    assert set(np.unique(wood.height)) == {31.0, 35.0}
    low = face(wood=heights)
    assert wood.x.min() >= low.grid_x[0]
    assert wood.x.max() <= low.grid_x[-1]


def test_no_wood_no_contact() -> None:
    """A setup without wood, such as an empty bed, has no contacts."""
    setup = replace(face_setup(), wood_outline=np.empty((0, 2)), cuts=())
    assert situation(setup, shop(), ()).touches == ()


def test_a_nut_over_ground_milled_by_its_own_program_is_clear() -> None:
    """A cutter with a nut wider still goes down in levels: what the first took is gone for the last."""
    tool = facer(diameter=40.0, cutting_length=12.0, stickout=14.0, nut=(44.0, 22.0), nose=(44.0, 90.0))
    setup = face_setup(tool=tool, ceiling=50.0, size=(300.0, 40.0))
    stops: list[tuple[str, float | None, float | None, float | None]] = [("rapid", None, None, 90.0)]
    for z in (42.0, 34.0, 30.0):
        for y in (82.0, 100.0, 118.0):
            stops += [("rapid", 40.0, y, None), ("feed", 40.0, y, z), ("feed", 460.0, y, z)]
            stops += [("rapid", None, None, 90.0)]
    own = shop()
    assert found(nut_meets_wood, situation(setup, own, (hand(setup, tool, *stops),))) == ()
    late = [stops[0], *stops[-12:]]
    assert len(found(nut_meets_wood, situation(setup, own, (hand(setup, tool, *late),)))) == 1
