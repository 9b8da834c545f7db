"""Where risers stand under a board of round sizes, worked out by hand, and what is told where they cannot."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from clampings import CUTTER, bounds, clamping, flat_wood
from setups import rectangle, shop, solid
from stockwright.hold_downs import Backing, LeverStop, Riser, Screw, SideClamp, Stop, Tape, TopClamp, Wedge
from stockwright.job import Zone
from stockwright.machine import Fence
from stockwright.planning.risers import (
    Risen,
    not_raised,
    on_bed_below,
    raised_zone,
    riser_of,
    risers_under,
    seen_from,
)
from stockwright.planning.setup import Grip

if TYPE_CHECKING:
    from stockwright.findings import Finding

RAISED = Zone("raised", "raised", None, ())
FENCE = Fence(140.0, 40.0, 15.0, ((0.0, 300.0),), liftable=True, wooden=True, straightness=0.1, angle=0.0)


def risen(
    *pressed: float, count: int = 3, long: float = 60.0, wide: float = 30.0, axis: int = 0, **said: Any
) -> Risen:
    """Raise a board, 600 by 200 mm unless said, on risers 12 mm high, pressed at some places along it."""
    at = [(x, 50.0, 25.0) if axis == 0 else (50.0, x, 25.0) for x in pressed]
    grips = [Grip(f"arm {x}", "elm", "press", each, 300.0, "") for x, each in zip(pressed, at, strict=True)]
    grips.append(Grip("side", "elm", "push", (111.0, 111.0, 7.0), 300.0, ""))
    against_fence = said.pop("against_fence", False)
    c = clamping(Riser("riser", count, long, wide, 12.0), **said)
    return risers_under(c, RAISED, grips, against_fence=against_fence)


def middles(made: Risen, axis: int = 0) -> list[float]:
    """Give the middles of risers along the board."""
    assert made.findings == ()
    return [(bounds(s)[axis] + bounds(s)[axis + 2]) / 2 for s in made.solids]


def only(made: Risen) -> Finding:
    """Give the one finding of risers that cannot stand."""
    assert (made.solids, made.notes) == ((), ())
    [finding] = made.findings
    assert (finding.level, finding.setup) == ("refuse", 3)
    return finding


def test_risers_lie_across_the_board_and_reach_from_the_bed_to_zero() -> None:
    """One at each end 5 mm in, one in the middle; across, in the middle of what a wall leaves."""
    made = risen(walls={"edge-2": CUTTER}, stop_lines={"edge-2": 190.0}, tip=-1.0)
    assert [(s.name, s.kind, bounds(s), s.bottom, s.top) for s in made.solids] == [
        ("riser 1", "riser", [5.0, 65.0, 35.0, 125.0], -12.0, 0.0),
        ("riser 2", "riser", [285.0, 65.0, 315.0, 125.0], -12.0, 0.0),
        ("riser 3", "riser", [565.0, 65.0, 595.0, 125.0], -12.0, 0.0),
    ]
    [note] = made.notes
    assert note == (
        "riser: set 3, 12 mm high and planed together, across the board with their middles at x 20 mm, "
        "300 mm, 580 mm from the mark, before the board is laid. No part of the board bears elsewhere."
    )
    turned = risen(length=200.0, width=600.0)
    assert [bounds(s) for s in turned.solids][:2] == [[70.0, 5.0, 130.0, 35.0], [70.0, 285.0, 130.0, 315.0]]
    assert " at y 20 mm, 300 mm, 580 mm from" in turned.notes[0]
    assert middles(risen(100.0, 500.0, count=2, axis=1, length=200.0, width=600.0), 1) == [100.0, 500.0]


@pytest.mark.parametrize(
    ("pressed", "count", "stand"),
    [
        ((100.0, 500.0), 9, [100.0, 500.0]),  # 400 mm between them: as long as the shop allows
        ((500.0, 99.0), 9, [99.0, 299.5, 500.0]),
        ((200.0, 400.0), 9, [200.0, 400.0]),  # beyond the last a board hangs, and that counts twice
        ((201.0, 401.0), 9, [20.0, 201.0, 401.0]),
        ((199.0, 399.0), 9, [199.0, 399.0, 580.0]),
        ((250.0, 350.0), 9, [20.0, 250.0, 350.0, 580.0]),
        (
            (3.0, 599.0),
            9,
            [20.0, 300.0, 580.0],
        ),  # at the rim: as near as a riser lies wholly under it
        ((150.0, 180.0, 450.0), 9, [150.0, 180.0, 450.0]),
        ((150.0, 179.9, 450.0), 9, [150.0, 450.0]),
        ((150.0, 300.0, 301.0, 450.0), 3, [150.0, 300.0, 450.0]),
        ((300.04, 150.0, 450.0), 2, [150.0, 300.0]),
        ((300.0,), 2, None),
        ((300.0,), 3, [20.0, 300.0, 580.0]),
    ],
)
def test_risers_stand_under_what_presses_first(
    pressed: tuple[float, ...], count: int, stand: list[float] | None
) -> None:
    """Then where the longest span is, one at a time, until none is longer than the shop allows."""
    made = risen(*pressed, count=count)
    if stand is None or count == 2:
        assert only(made).rule == "too-few-risers"
    else:
        assert middles(made) == stand


def test_a_span_is_as_long_as_the_shop_allows() -> None:
    """Half a millimetre more is no refusal, for places are told to a millimetre; more is one."""
    assert middles(risen(count=2, length=440.5)) == [20.0, 420.5]
    assert middles(risen(count=3, length=440.0)) == [20.0, 420.0]
    assert len(middles(risen(count=3, length=440.5))) == 3
    finding = only(risen(count=2, length=440.6))
    assert (finding.rule, finding.measured, finding.limit) == ("too-few-risers", 400.6, 400.0)
    finding = only(risen(count=2))
    assert finding.message == (
        "2 of riser leave 560 mm of the board on nothing, and the shop allows spans of 400 mm"
    )
    assert finding.remedy == "list at least 3 of riser, or lay this board on the bed"
    assert only(risen(count=2, length=2100.0)).remedy.startswith("list at least 6 of riser")
    finding = only(risen(count=1))
    assert (finding.measured, finding.remedy) == (
        600.0,
        "list at least 2 of riser, or lay this board on the bed",
    )
    assert only(risen(count=1, length=200.0, width=60.0, long=30.0)).measured == 200.0
    assert middles(risen(count=2, in_shop={"longest_span": 560.0})) == [20.0, 580.0]


def test_risers_that_do_not_go_under_the_board_are_told_how_small_they_must_be() -> None:
    """Across what a wall leaves, or two of them along; met exactly they go."""
    walled: Any = {"walls": {"edge-2": CUTTER}, "stop_lines": {"edge-2": 190.0}, "tip": -1.0}
    assert len(risen(long=180.0, **walled).solids) == 3
    finding = only(risen(long=180.1, **walled))
    assert (finding.rule, finding.measured, finding.limit) == ("no-room-for-risers", 180.0, 180.1)
    assert finding.message == (
        "riser is 180.1 mm long and 30.0 mm wide, and clear of what is cut the board leaves 180.0 mm across "
        "and 590.0 mm along"
    )
    assert finding.remedy == "list risers at most 180.0 mm long"
    assert len(risen(length=90.0, width=60.0, long=30.0, wide=40.0).solids) == 2
    finding = only(risen(length=90.0, width=60.0, long=30.0, wide=40.3))
    assert (finding.measured, finding.limit, finding.remedy) == (
        80.0,
        80.6,
        "list risers at most 40.0 mm wide",
    )
    finding = only(risen(width=9.0))
    assert (finding.measured, finding.limit) == (0.0, 60.0)
    assert finding.message.endswith("the board leaves 0.0 mm across and 0.0 mm along")


def test_why_a_board_is_not_raised() -> None:
    """No risers, a rough face, a fence that bears too little above them, boards side by side."""
    finding = only(risers_under(clamping(), RAISED, [], against_fence=False))
    assert finding.message == "the zone raised asks for a riser, and the shop lists none"
    assert finding.remedy == (
        "add one to the shop's hold-downs, or take a recipe that holds the board another way"
    )
    c = clamping(Riser("riser", 3, 60.0, 30.0, 12.0))
    rough = replace(c, wood=flat_wood(600.0, 200.0, 25.0, heights={"A": 25.0}))
    finding = only(risers_under(rough, RAISED, [], against_fence=False))
    assert (finding.rule, finding.measured, finding.limit) == ("riser-under-rough-face", 0.0, 1.0)
    assert finding.message.startswith("face B, which would lie on riser, is rough")
    assert finding.remedy == "cut face B flat first, with the board on the bed"
    for height, against, fits in ((3.0, True, True), (2.9, False, True), (2.9, True, False)):
        # Seen from the risers' upper side, as all heights are then.
        made = risen(in_shop={"fence": replace(FENCE, height=height)}, against_fence=against)
        assert (made.findings == ()) is fits
    finding = only(made)
    assert (finding.rule, finding.measured, finding.limit) == ("fence-below-riser", 14.9, 15.0)
    assert finding.message == "the fence is 14.9 mm high, and on riser the board begins at 12.0 mm"
    assert finding.remedy == "take a fence at least 15.0 mm high, or risers at most 11.9 mm high"
    assert risen(in_shop={"fence": None}, against_fence=True).findings == ()
    row = not_raised(2, 4)
    assert (row.rule, row.level, row.measured, row.limit, row.setup) == (
        "no-room-for-risers",
        "refuse",
        2.0,
        1.0,
        4,
    )
    assert row.message == "2 boards lie side by side in one clamping, and risers carry 1"
    assert "leave `together` out" in row.remedy


def test_the_lowest_risers_are_taken() -> None:
    """Of several kinds the lowest, for it moves least; of equal ones the first by name; or none."""
    low, alike, high = (Riser(name, 2, 60.0, 30.0, h) for name, h in (("b", 9.0), ("a", 9.0), ("0", 12.0)))
    side = SideClamp("side", 2, 40.0, 30.0, 5.0)
    assert riser_of(replace(shop(), hold_downs=(high, low, alike, side))) is alike
    assert riser_of(replace(shop(), hold_downs=(side,))) is None
    zones = [Zone("a", "face", None, ()), RAISED, Zone("b", "raised", None, ())]
    assert raised_zone(zones) is RAISED
    assert raised_zone(zones[:1]) is None


def test_what_stands_beside_a_raised_board_is_as_much_lower() -> None:
    """Three millimetres above the risers still bear on the board; what bears less, or from below, is gone."""
    beside = (
        SideClamp("side", 2, 40.0, 30.0, 15.0),
        LeverStop("lever", 2, 40.0, 30.0, 16.0),
        Wedge("wedge", 2, 40.0, 30.0, 17.0, 8.0),
        Stop("stop", 2, 40.0, 30.0, 18.0),
    )
    kept = (TopClamp("arm", 2, 40.0, 80.0, 18.0, 30.0, 30.0), Backing("scrap", 1, 60.0, 40.0))
    gone = (
        SideClamp("low", 2, 40.0, 30.0, 14.9),
        Tape("tape", 2, 50.0, 0.2),
        Screw("screw", 4, 9.0, 5.0, 12.0),
    )
    riser = Riser("riser", 2, 60.0, 30.0, 12.0)
    own = seen_from(replace(shop(), hold_downs=(*gone, *beside, *kept, riser), fence=FENCE), 12.0)
    assert [h.height for h in own.hold_downs[:4]] == [3.0, 4.0, 5.0, 6.0]  # type: ignore[union-attr]
    assert own.hold_downs[4:] == (*kept, riser)
    assert own.fence == replace(FENCE, height=3.0)
    assert seen_from(shop(), 12.0).fence is None
    square = rectangle(0.0, 0.0, 9.0, 9.0)
    stand = [solid("on bed", square), solid("arm", square, bottom=25.0), solid("riser", square, bottom=-12.0)]
    assert [s.bottom for s in on_bed_below(stand, 12.0)] == [-12.0, 25.0, -12.0]
