"""How many clamps stand on a face, from which side, and what is told where too few can: worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
import shapely

from clampings import CUTTER, bounds, clamping
from setups import rectangle, shop, solid
from stockwright.hold_downs import Places, SideClamp, TopClamp
from stockwright.job import Zone
from stockwright.machine import Attached
from stockwright.planning.clamp_places import _beside
from stockwright.planning.enough_clamps import are_enough
from stockwright.planning.grips import bolts_of, press_grips
from stockwright.planning.setup import Grip
from stockwright.planning.top_clamps import clamps_on_the_face

if TYPE_CHECKING:
    from stockwright.findings import Finding
    from stockwright.job import Side
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.setup import Solid

ARM = TopClamp("arm", 6, 40.0, 80.0, 18.0, 30.0, 30.0, press=900.0)
WALLED: Any = {"walls": {"edge-2": CUTTER}, "stop_lines": {"edge-2": 190.0}}
TOP = Zone("top", "face", None, ("edge-2", "end-1", "end-2"))


def stood(
    c: Clamping, zone: Zone = TOP, standing: tuple[Solid, ...] = ()
) -> tuple[list[Solid], list[Finding]]:
    """Give what stands on the face, and what is told."""
    found: list[Finding] = []
    return clamps_on_the_face(c, zone, standing, found), found


def middles(c: Clamping, *standing: Solid) -> list[float]:
    """Give the middles of arms that stand."""
    solids, found = stood(c, standing=standing)
    assert found == []
    return [sum(bounds(s)[::2]) / 2 for s in solids if s.name.endswith(" arm")]


@pytest.mark.parametrize(
    ("length", "count", "at"),
    [
        (476.0, 6, [38.08, 437.92]),  # 84 hundredths of the length are less than 400 mm
        (477.0, 6, [38.16, 238.5, 438.84]),
        (952.0, 6, [76.16, 476.0, 875.84]),
        (953.0, 6, [76.24, 343.08, 609.92, 876.76]),
        (953.0, 2, [76.24, 876.76]),
        (200.0, 6, [23.0, 177.0]),
    ],
)
def test_clamps_stand_no_further_apart_than_is_usual(length: float, count: int, at: list[float]) -> None:
    """At most 400 mm between two of them, at least two, and no more than the shop has."""
    assert middles(clamping(replace(ARM, count=count), length=length)) == pytest.approx(at)


def test_clamps_come_from_the_near_edge_unless_it_is_to_be_clear() -> None:
    """Arm and body of each, named by the clamp and its number, pressing as hard as the clamp does."""
    c = clamping(SideClamp("side", 2, 40.0, 30.0, 14.0), ARM, length=400.0)
    solids, _ = stood(c)
    assert [(s.name, bounds(s)[1::2]) for s in solids] == [
        ("arm 1 arm", [-6.0, 30.0]),
        ("arm 1 body", [-36.0, -6.0]),
        ("arm 2 arm", [-6.0, 30.0]),
        ("arm 2 body", [-36.0, -6.0]),
    ]
    assert [(g.name, g.board, g.how, g.at, g.force) for g in press_grips(c, solids)] == [
        ("arm 1", "elm", "press", (32.0, 15.0, 25.0), 900.0),
        ("arm 2", "elm", "press", (368.0, 15.0, 25.0), 900.0),
    ]
    solids, _ = stood(c, replace(TOP, clear_of=("edge-1",)))
    assert [bounds(s)[1::2] for s in solids[:2]] == [[170.0, 206.0], [206.0, 236.0]]


def test_too_few_clamps_are_told_with_how_many_there_are() -> None:
    """None listed, one listed, or no room for two: each with both numbers and its own cure."""
    [found] = stood(clamping())[1]
    assert (found.rule, found.measured, found.limit) == ("no-hold-down", 0.0, 1.0)
    assert found.message == "the zone top asks for a clamp for the face, and the shop lists none"
    assert "mm high" not in found.remedy
    solids, [found] = stood(clamping(replace(ARM, count=1)))
    assert len(solids) == 2
    assert (found.rule, found.measured, found.limit, found.setup) == ("no-room-for-clamps", 1.0, 2.0, 3)
    assert found.message == "arm does not fit zone top: 1 of at least 2 can stand along the board"
    assert found.remedy == "list at least 2 of arm, or hold this board another way"
    # 90 mm leave 44 mm for two middles that must stand 46 mm apart: each may be a millimetre narrower.
    solids, [found] = stood(clamping(ARM, length=90.0))
    assert (len(solids), found.measured, found.limit) == (2, 1.0, 2.0)
    assert found.remedy == "list clamps at most 39.0 mm wide, or hold this board another way"
    assert stood(clamping(ARM, length=92.0))[1] == []
    walls: Any = {"walls": {"end-1": CUTTER, "end-2": CUTTER}, "stop_lines": {"end-1": 0.0, "end-2": 50.0}}
    solids, [found] = stood(clamping(ARM, length=50.0, **walls))
    assert (solids, found.measured) == ([], 0.0)
    assert found.message == "arm does not fit zone top: 0 of at least 2 can stand along the board"
    # 50 mm less 5 at either wall are 40, and 23 mm in from either end are less than nothing by 6.
    assert found.remedy.startswith("take a board at least 52.0 mm longer")


def test_one_that_does_not_fit_is_told_and_none_stands() -> None:
    """An arm that bears on too little is no clamp; the finding is its own."""
    solids, [found] = stood(clamping(replace(ARM, reach=14.0)))
    assert (solids, found.measured, found.limit) == ([], 14.0, 15.0)


def test_more_clamps_stand_where_the_cut_asks_for_them() -> None:
    """As many as hold against its push, but no more than have room or the shop has."""
    walls: Any = {"walls": {"edge-2": CUTTER}, "stop_lines": {"edge-2": 190.0}, "length": 400.0}
    assert len(middles(clamping(ARM, asked=(100.0, 0.0), **walls))) == 2
    assert 2 < len(middles(clamping(ARM, asked=(200.0, 0.0), **walls))) < 6
    assert len(middles(clamping(ARM, asked=(9000.0, 0.0), **walls))) == 6
    assert len(middles(clamping(replace(ARM, count=12), asked=(9000.0, 0.0), **walls))) == 8  # 336 // 46 + 1


def test_clamps_stand_on_slots_the_nearest_to_where_they_are_wanted() -> None:
    """By steps of 2 mm along the board; each on its own, and the sheet names the slot."""
    # The mark is at 200: slots at 50 and 366 mm from it, and clamps are wanted at 32 and 368.
    slots = Places((("y", 250.0), ("y", 566.0)), (), 1.0)
    c = clamping(ARM, length=400.0, places=slots)
    assert middles(c) == [50.0, 366.0]
    solids, _ = stood(c)
    assert bolts_of(c, solids) == (
        "arm 1: bolt in slot 1 (x 50 mm).",
        "arm 2: bolt in slot 2 (x 366 mm).",
    )
    alone = clamping(ARM, length=400.0, places=Places((("y", 250.0),), (), 1.0))
    solids, [found] = stood(alone)
    assert (solids, found.rule) == ([], "no-place-for-hold-down")
    across = clamping(ARM, length=400.0, places=Places((("x", 109.0),), (), 1.0))
    # A body's middle is wanted 21 mm before the board; the slot is at 31 mm, with 1 mm of play: 9 mm out.
    assert [bounds(s)[1::2] for s in stood(across)[0][:2]] == [[-15.0, 30.0], [-45.0, -15.0]]
    far = clamping(ARM, length=400.0, places=Places((("x", 140.0 + 231.0),), (), 1.0))
    solids, _ = stood(far, replace(TOP, clear_of=("edge-1",)))
    assert [bounds(s)[1::2] for s in solids[:2]] == [[170.0, 215.0], [215.0, 245.0]]


def test_a_high_fence_thins_clamps_out() -> None:
    """Where a fence is higher than the face and in the way, fewer stand; too few are told of."""
    fence = solid("fence", rectangle(60.0, -46.0, 340.0, -6.0), kind="fence", top=40.0)
    assert middles(clamping(ARM, length=400.0), fence) == [32.0, 368.0]
    other = solid("stop", rectangle(10.0, -46.0, 60.0, -6.0), kind="stop", top=40.0)
    assert middles(clamping(ARM, length=400.0), other) == [32.0, 368.0]
    wide = solid("fence", rectangle(60.0, -46.0, 400.0, -6.0), kind="fence", top=40.0)
    _, [found] = stood(clamping(ARM, length=400.0), standing=(wide,))
    assert (found.measured, found.limit) == (1.0, 2.0)
    assert found.remedy.startswith("leave a gap of 42.0 mm in the fence near either end of the board, or")
    gap = replace(wide, outline=rectangle(60.0, -46.0, 347.0, -6.0))
    assert middles(clamping(ARM, length=400.0), gap) == middles(clamping(ARM, length=400.0))


def test_a_bolted_clamp_is_not_moved_aside_onto_a_high_fence() -> None:
    """The slot nearest to where it is wanted runs under a piece of the fence: it stands in the next one."""
    slots = Places(tuple(("y", x + 200.0) for x in (32.0, 330.0, 360.0)), (), 1.0)
    bare = clamping(replace(ARM, arm=160.0), length=400.0, places=slots)
    assert middles(bare) == [32.0, 360.0]
    far = solid("fence", rectangle(372.0, -46.0, 420.0, -6.0), kind="fence", top=40.0)
    assert middles(bare, far) == [32.0, 330.0]


def test_what_rides_with_the_spindle_keeps_off_an_arm() -> None:
    """What comes as low as an arm and a margin keeps off by how far it reaches; what gives way does not."""
    assert CUTTER.nose == 82.0  # mm over the tip; the tip at 20, the arm at 40 and a margin of 3
    machine = shop().machine
    assert _beside(CUTTER, 20.0, 40.0, machine) == 3.0
    for bottom, moves, soft, keeps in (
        (-60.0, "z", False, 44.0 + 3.0),
        (-60.0, "z", True, 3.0),
        (-60.0, "gantry", False, 3.0),
        (-59.0, "z", False, 3.0),
        (-59.1, "z", False, 44.0 + 3.0),
    ):
        shoe = Attached("shoe", ((40.0, 0.0), (30.0, 40.0), (-20.0, 0.0)), bottom, bottom + 9, moves, soft)  # type: ignore[arg-type]
        assert _beside(CUTTER, 20.0, 40.0, replace(machine, attached=(shoe,))) == pytest.approx(keeps)
    small = Attached("pin", ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)), -70.0, -60.0, "z", soft=False)
    assert _beside(CUTTER, 20.0, 40.0, replace(machine, attached=(small,))) == 3.0


@pytest.mark.parametrize(
    ("axis", "at", "asked", "held"),
    [
        (1, 2.5, (100.0, 0.0), True),  # 1000 N at 2.5 mm from an edge: what 100 N turn 25 mm high
        (1, 2.4, (100.0, 0.0), False),
        (1, 197.5, (100.0, 0.0), True),
        (1, 197.6, (100.0, 0.0), False),
        (0, 2.5, (100.0, 0.0), True),
        (0, 2.4, (100.0, 0.0), False),
        (0, 597.5, (100.0, 0.0), True),
        (0, 597.6, (100.0, 0.0), False),
        (1, 2.7, (100.0, 1.0), True),  # a pull of 1 N at the other edge, 200 mm away
        (1, 2.6, (100.0, 1.0), False),
        (0, 3.1, (100.0, 1.0), True),
        (0, 3.0, (100.0, 1.0), False),
        (1, 2.4, (0.0, 9.0), True),  # nothing pushes: no edge is cut
    ],
)
def test_enough_clamps_keep_a_board_from_tipping(
    axis: int, at: float, asked: tuple[float, float], held: bool
) -> None:
    """What presses must turn as much about each side of the board as push and pull do."""
    c = clamping(ARM, in_shop={"friction": 9.0}, asked=asked, **WALLED)
    spots = [(at, y) if axis == 0 else (3 * y, at) for y in (50.0, 150.0)]
    assert are_enough(c, [Grip("arm 1", "elm", "press", (*spot, 25.0), 500.0, "") for spot in spots]) is held


def most(friction: float | None, pull: float, **said: Any) -> float:
    """Give the greatest push, N, that four clamps of 1000 N hold, one near each corner; 0 for none."""
    spots = [(30.0, 30.0), (570.0, 30.0), (30.0, 170.0), (570.0, 170.0)]
    grips = [Grip(f"arm {k}", "elm", "press", (*at, 25.0), 1000.0, "") for k, at in enumerate(spots)]
    low, high = 0.0, 4096.0
    while high - low > 1.0:
        push = (low + high) / 2
        c = clamping(ARM, in_shop={"friction": friction}, asked=(push, pull), **said)
        low, high = (push, high) if are_enough(c, grips) else (low, push)
    return low


def test_enough_clamps_keep_a_board_from_sliding() -> None:
    """Friction counts, 0.2 unless it is stated, of what presses less what the cutter lifts of it."""
    plain = most(None, 0.0, **WALLED)
    assert 0.0 < plain < 0.2 * 4000
    assert most(0.2, 0.0, **WALLED) == plain
    assert most(0.4, 0.0, **WALLED) == pytest.approx(2 * plain, abs=2.0)
    assert most(None, 500.0, **WALLED) == pytest.approx(plain / 2, abs=2.0)
    assert most(None, 0.0) == 0.0  # no wall, no place where it is pushed


def test_a_push_counts_where_the_cutter_is() -> None:
    """A radius outside the wall, at either end of it: the further from the clamps, the less they hold."""
    sides: tuple[tuple[Side, float, float], ...] = (
        ("edge-2", 190.0, 290.0),
        ("edge-1", 10.0, -90.0),
        ("end-2", 590.0, 890.0),
        ("end-1", 10.0, -290.0),
    )
    for side, near, far in sides:
        held = [most(None, 0.0, walls={side: CUTTER}, stop_lines={side: at}) for at in (near, far)]
        assert held[1] < held[0] - 5.0
        wide = replace(CUTTER, diameter=112.0)
        further = far + (50.0 if far > near else -50.0)
        ends = [most(None, 0.0, walls={side: wide}, stop_lines={side: far})]
        ends.append(most(None, 0.0, walls={side: CUTTER}, stop_lines={side: further}))
        assert ends[0] == pytest.approx(ends[1], abs=1.0)


def test_an_arm_that_would_lie_over_a_notch_stands_beside_it() -> None:
    """Where less than three fifths of an arm would be on wood, it goes to the nearest place where more is."""
    notch = shapely.Polygon([(0, 0), (20, 0), (20, 60), (65, 60), (65, 0), (600, 0), (600, 200), (0, 200)])
    assert middles(clamping(ARM, length=400.0)) == [32.0, 368.0]
    beside = middles(clamping(ARM, outline=notch))
    assert beside == pytest.approx([70.0, 300.0, 552.0])


def test_a_void_or_a_comb_under_every_arm_is_refused() -> None:
    """Where no place has wood enough for an arm, the share that it would have is told."""
    void = shapely.Polygon([(0, 0), (600, 0), (600, 200), (0, 200)], [[(9, 3), (591, 3), (591, 60), (9, 60)]])
    solids, [found] = stood(clamping(ARM, outline=void))
    assert solids == []
    assert (found.rule, found.measured, found.limit) == ("no-room-for-clamps", 0.1, 0.6)
    assert "10% of its arm would bear on wood at x " in found.message
