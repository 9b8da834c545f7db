"""Cures that a rule gives only where its usual one is none: smaller work, a firmer hold."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from checking.cases_of_forces import held, press
from cutters import facer
from setups import edge_setup, face_setup, shop
from situations import found, numbers, situation
from stockwright.checking import chips, holding, travel

if TYPE_CHECKING:
    from stockwright.checking import Situation

WIDE = (0.0, 1400.0)


def _travelling(axis: int, span: float) -> Situation:
    """Face a board on a machine that travels no more than `span` along one axis, the board in its middle."""
    middle = (450.0, 270.0, 100.0)[axis]
    ways = [WIDE, WIDE, (0.0, 400.0)]
    ways[axis] = (middle - span / 2, middle + span / 2)
    setup = face_setup()
    return situation(setup, shop(tools=(setup.cuts[0].tool,), travel=(ways[0], ways[1], ways[2])))


@pytest.mark.parametrize(("axis", "letter"), [(0, "x"), (1, "y"), (2, "z")])
def test_work_that_is_longer_than_the_travel_must_be_smaller(axis: int, letter: str) -> None:
    """Moving it is no cure: the two spans are told, and that much less of them fits exactly."""
    span = (300.0, 100.0, 10.0)[axis]
    finding = found(travel.leaves_the_travel, _travelling(axis, span))[-1]
    moves, machine, smaller = numbers(finding.remedy)
    assert f"smaller along {letter}" in finding.remedy
    assert ("saw the board shorter first" in finding.remedy) == (letter == "x")
    assert machine == span
    assert smaller == pytest.approx(moves - machine, abs=0.1)
    assert "span" in found(travel.leaves_the_travel, _travelling(axis, moves - 0.5))[-1].remedy


def test_a_board_longer_than_the_bed_is_not_told_to_lie_elsewhere_on_it() -> None:
    """It lies in the middle wherever the area ends; one as long as the area is laid farther right."""
    setup = edge_setup(sides=("left",))
    for room, told in ((300.0, "lay the board"), (299.0, "the board is 300 mm long, the bed's area 299 mm")):
        own = shop(travel=((320.0, 1400.0), (0.0, 900.0), (40.0, 180.0)))
        own = replace(own, bed=replace(own.bed, x=(100.0, 100.0 + room)))
        assert found(travel.leaves_the_travel, situation(setup, own))[-1].remedy.startswith(told)


def test_a_cutter_is_not_told_to_be_drawn_in_farther_than_its_cut_bears() -> None:
    """Drawn in by what its edges leave and thinner by the rest of it, the work is reached; thicker, not."""

    def high(stickout: float, thinner: float = 0.0) -> Situation:
        tool = facer(stickout=stickout, cutting_length=40.0)
        own = shop(tools=(tool,), travel=(WIDE, WIDE, (40.0, 96.0)))
        return situation(face_setup(tool=tool, shop=own, z=25.0 - thinner, ceiling=30.0 - thinner), own)

    finding = found(travel.leaves_the_travel, high(44.0))[-1]
    assert finding.remedy.startswith("let the cutter stick out 4 mm less, no more, and take work at least ")
    drawn_in, thinner = numbers(finding.remedy)
    assert drawn_in == 4.0
    assert found(travel.leaves_the_travel, high(40.0, thinner)) == ()
    assert found(travel.leaves_the_travel, high(40.0, thinner - 1)) != ()


def _pressed(force: float, feed: float = 2400.0) -> Situation:
    return held(press(130, 100, force), press(370, 100, force, 2), feed=feed)


def test_a_proper_chip_that_the_hold_does_not_bear_wants_a_firmer_hold() -> None:
    """Pressed as it says, the feed that makes a proper chip is borne as it is turned up; with less, not."""
    weak = 700.0
    [finding] = found(chips.no_feed_will_do, _pressed(weak))
    [force] = numbers(finding.remedy)
    assert finding.remedy == f"hold it harder: clamp pressing with {force:.0f} N or more"
    assert finding.measured is not None
    assert finding.limit is not None
    assert found(chips.no_feed_will_do, _pressed(force)) == ()
    fed = 2400.0 * finding.measured
    assert found(holding.holding_too_weak, _pressed(force, fed)) == ()
    assert found(holding.holding_too_weak, _pressed(force - 20, fed)) != ()
