"""Two boards whose edges are cut by one pass between them: where each lies and what is said, by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from clampings import flat_wood
from cutters import end_mill
from setups import rectangle, shop, solid
from stockwright.job import MateStep
from stockwright.planning import mating
from stockwright.planning.grips import Held
from stockwright.planning.setup import Grip
from stockwright.planning.wood import Place

MILL = end_mill()
STEP = MateStep(MILL, 0.75, 7.0, 1.0, ())


def member(name: str, length: float, width: float, beyond: float) -> Any:
    """Give a board with as much wood beyond each side of its piece."""
    own = flat_wood(length, width, 25.0)
    box = shapely.box(-beyond, -beyond, length + beyond, width + beyond)
    placement = SimpleNamespace(length=length, width=width)
    return SimpleNamespace(
        board=SimpleNamespace(name=name),
        piece=SimpleNamespace(placement=placement),
        wood=replace(own, outline=box),
    )


NEAR, FAR = member("near", 580.0, 90.0, 10.0), member("far", 580.0, 110.0, 4.0)


@pytest.mark.parametrize(
    ("turns", "at", "sides", "shift"),
    [
        (0, (50.0, 20.0), ("edge-2", "edge-1"), (50.0, 20.0 + 90.0 + 12.0)),
        # Half a turn: the piece's corner lies at its upper right, so the farther one's is 12 + 110 mm up.
        (2, (630.0, 110.0), ("edge-1", "edge-2"), (630.0, 110.0 + 12.0 + 110.0)),
    ],
)
def test_the_farther_board_lies_a_cutter_beyond(turns: int, at: Any, sides: Any, shift: Any) -> None:
    """Wall from wall by the cutter's width, their left ends in line."""
    place = mating._beyond((NEAR, FAR), sides, Place("A", turns, (*at, 0.0)), 12.0)
    assert (place.up, place.quarter_turns, place.shift) == ("A", turns, (*shift, 0.0))


def test_the_gap_is_set_with_a_strip_and_told() -> None:
    """10.5 mm for a cutter of 12 and 0.75 mm off each; where the left end lies is said for both."""
    assert STEP.gap == 10.5
    places = (Place("A", 0, (50.0, 20.0, 0.0)), Place("A", 0, (50.0, 122.0, 0.0)))
    told = mating._placing(shop(), (NEAR, FAR), places, STEP, against_fence=True)
    assert [(p.x, p.distance) for p in told] == [(40.0, 40.0), (46.0, 10.5)]
    assert told[0].text.startswith("near: 40 mm along x from the mark to the board's left end")
    assert told[1].text == (
        "far: 10.5 mm from near, by a straight strip that thick between them; 46 mm along x from the mark to "
        "its left end, which lies right of it"
    )
    uneven = (places[0], Place("A", 0, (50.04, 122.0, 0.0)))
    assert "; 46 mm along x" in mating._placing(shop(), (NEAR, FAR), uneven, STEP, against_fence=True)[1].text
    left = (places[0], Place("A", 0, (-50.0, 122.0, 0.0)))
    [*_, far] = mating._placing(shop(units="inch"), (NEAR, FAR), left, STEP, against_fence=True)
    assert far.text.startswith("far: 0.413 in from near")
    assert far.text.endswith("lies left of it")
    notes = mating._notes(shop(), (NEAR, FAR), STEP)
    assert notes[0].startswith(
        "The cutter goes once between the boards and takes 0.75 mm off each: off far with"
    )
    assert "off near against it" in notes[0]
    assert notes[2].startswith("Mark near and far across the joint")
    assert mating._title((NEAR, FAR), ("edge-2", "edge-1")) == (
        "near and far: edge-2 and edge-1 in one pass between them"
    )


def test_a_mating_pass_is_an_edge_cut_of_its_take() -> None:
    """Each wall a step of its own that holds nothing, is passed once, and takes what comes off."""
    edge = mating._as_edge(STEP, "edge-1")
    assert (edge.side, edge.light, edge.stepdown, edge.below) == ("edge-1", 0.75, 7.0, 1.0)
    assert (edge.hold, edge.spring, edge.to, edge.stepover) == ((), False, None, MILL.stepover)
    line = mating._at(rectangle(5.0, 9.0, 80.0, 30.0)[:2], 70.0, 3.0)
    assert line.tolist() == [[70.0, 9.0], [3.0, 9.0]]


def test_no_two_clamps_have_one_name() -> None:
    """The second board's count on from the first one's; only the first number in a name is a count."""
    square = rectangle(0.0, 0.0, 9.0, 9.0)
    held = Held(
        solids=(solid("arm 1 arm", square), solid("arm 1 body", square), solid("stop 2 at end-1", square)),
        grips=(Grip("arm 2", "far", "press", (0.0, 0.0, 0.0), 9.0, ""),),
    )
    counted = mating._counted_on(held, 3)
    assert [s.name for s in counted.solids] == ["arm 4 arm", "arm 4 body", "stop 5 at end-1"]
    assert [g.name for g in counted.grips] == ["arm 5"]
    assert [s.name for s in mating._counted_on(held, 0).solids] == [s.name for s in held.solids]


def test_what_has_no_mate_is_refused() -> None:
    """One board alone, or two that do not lie alike: both numbers and a cure."""
    job: Any = SimpleNamespace(name="table")
    alone, askew = mating.no_neighbour(job, 4), mating._askew(NEAR, FAR, 5)
    assert (alone.rule, alone.level, alone.measured, alone.limit, alone.setup) == (
        "no-neighbour",
        "refuse",
        1.0,
        2.0,
        4,
    )
    assert alone.message == "the edges of neighbours are cut to mate, and table has one board"
    assert (askew.rule, askew.level, askew.measured, askew.limit, askew.setup) == (
        "neighbours-lie-askew",
        "refuse",
        1.0,
        0.0,
        5,
    )
    assert askew.message.startswith("near and far do not lie with the same face up")
