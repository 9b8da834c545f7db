"""Things that rules stand on: what moves with the spindle, which grips stand, rings, supports."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from checking.cases_of_forces import carry, press
from checking.cases_of_tools import CASES
from cutters import end_mill, facer
from setups import edge_setup, rectangle, shop, solid
from situations import found, situation
from stockwright.checking.holds import grips_in
from stockwright.checking.parts import parts_of
from stockwright.checking.trust import known_too_little
from stockwright.machine import Attached
from stockwright.planning.setup import EdgeCut, ShimPlace


def test_what_is_attached_reaches_as_far_as_its_furthest_corner() -> None:
    """Long one way or the other, its radius is that of the corner that is furthest from the axis."""
    for outline in (
        ((-60.0, -10.0), (60.0, -10.0), (60.0, 10.0)),
        ((-10.0, -60.0), (10.0, 60.0), (0.0, 1.0)),
    ):
        machine = shop(attached=(Attached("shoe", outline, -40.0, 0.0, "z", soft=False),)).machine
        [part] = [each for each in parts_of(facer(), machine, 0.0) if each.name == "shoe"]
        assert part.radius == pytest.approx(np.hypot(60.0, 10.0))


def test_a_grip_holds_while_its_solids_stand() -> None:
    """A clamp by its arm and body, a stop by its own name, tape and vacuum always."""
    arm, stop = solid("top clamp 1 arm", rectangle(0, 0, 9, 9)), solid("stop 1", rectangle(20, 0, 29, 9))
    clamp, tape = press(5, 5, 100.0), replace(press(9, 9, 100.0), name="tape 1")
    clamp = replace(clamp, name="top clamp 1")
    stops = replace(carry(25, 5, (0.0, 1.0)), name="stop 1")
    setup = replace(edge_setup(solids=(arm, stop)), grips=(clamp, stops, tape))
    assert grips_in(setup, ("top clamp 1 arm", "stop 1")) == (clamp, stops, tape)
    assert grips_in(setup, ("top clamp 1 arm",)) == (clamp, tape)
    assert grips_in(setup, ("stop 1",)) == (stops, tape)
    assert grips_in(setup, ()) == (tape,)


@pytest.mark.parametrize("first", range(4))
def test_a_ring_may_begin_at_any_corner(first: int) -> None:
    """The waste of a wall is the same waste, whichever of its corners is named first."""
    setup = edge_setup(waste=12.0)
    cut = setup.cuts[0]
    assert isinstance(cut, EdgeCut)
    wedge = np.array([[100.0, 168.0], [400.0, 168.0], [400.0, 171.0], [100.0, 180.0]])
    taken = []
    for ring in (wedge, np.roll(wedge, first, axis=0)):
        own = situation(replace(setup, cuts=(replace(cut, waste=(ring,)),)), shop())
        bites = next(b for b in own.bites if b.run.program.purpose == "cut")
        taken.append(np.column_stack([bites.width, bites.depth]))
    assert taken[0] == pytest.approx(taken[1], abs=0.05)


def test_a_press_beside_all_supports_keeps_nothing_down() -> None:
    """It tips the board instead: the margin against tipping is none, and never below none."""
    setup = edge_setup(tool=end_mill())
    shims = tuple(ShimPlace("board", x, y, 1.0) for x in (240.0, 260.0) for y in (90.0, 170.0))
    own = situation(replace(setup, shims=shims, grips=(press(105, 130, 900.0),)), shop())
    [hold] = own.holds
    assert float(hold.tip.min()) == 0.0
    assert (hold.tip >= 0.0).all()


def test_where_a_board_was_measured_from_plays_no_part() -> None:
    """Its size says how well it could be known, not where its own zero is."""
    bad = next(case.bad for case in CASES if case.rule is known_too_little)
    [board] = bad.job.boards
    [finding] = found(known_too_little, bad)
    for shift in ((0.0, 300.0), (300.0, 0.0), (-90.0, 45.0)):
        moved = replace(board, outline=board.outline + np.array(shift))
        assert found(known_too_little, replace(bad, job=replace(bad.job, boards=(moved,)))) == (finding,)
