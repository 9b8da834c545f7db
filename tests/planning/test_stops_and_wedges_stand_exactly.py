"""What stands at a board's sides: which kind, where to the millimetre, and what is told where none can."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely

from clampings import CUTTER, bounds, clamping
from setups import rectangle, solid
from stockwright.hold_downs import LeverStop, Places, SideClamp, Stop, TopClamp, Wedge
from stockwright.job import Zone
from stockwright.machine import Fence
from stockwright.planning.beside import Placed, hold_beside
from stockwright.planning.grips import beside_force, fence_grips
from stockwright.planning.wood import Place

if TYPE_CHECKING:
    from stockwright.job import Side
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.setup import Solid

EDGES: tuple[Side, ...] = ("edge-1", "edge-2")
ENDS: tuple[Side, ...] = ("end-1", "end-2")
SIDE = SideClamp("side", 4, 40.0, 30.0, 14.0, 200.0)
STOP = Stop("stop", 4, 30.0, 20.0, 12.0, 900.0)
WEDGE = Wedge("wedge", 3, 70.0, 60.0, 14.0, 8.0, drive=120.0)


def held(
    c: Clamping, *sides: Any, below: float | None = 22.0, standing: tuple[Solid, ...] = (), spare: int = 0
) -> Placed:
    """Hold a board from some sides, below a height."""
    placed = Placed()
    hold_beside(c, Zone("low", sides, below, ()), sides, standing, placed, spare)
    return placed


def where(placed: Placed) -> dict[str, list[float]]:
    """Give the outline of everything placed by its name."""
    return {s.name: bounds(s) for s in placed.solids}


def test_clamps_stand_in_from_the_ends_and_push_at_half_their_height() -> None:
    """Fourteen hundredths in from either end, touching the wood; they push inwards from half as high."""
    placed = held(clamping(SIDE, STOP), *EDGES)
    assert where(placed) == {
        "side 1 at edge-1": [64.0, -30.0, 104.0, 0.0],
        "side 2 at edge-1": [496.0, -30.0, 536.0, 0.0],
        "side 1 at edge-2": [64.0, 200.0, 104.0, 230.0],
        "side 2 at edge-2": [496.0, 200.0, 536.0, 230.0],
    }
    assert {(s.kind, s.bottom, s.top) for s in placed.solids} == {("side-clamp", 0.0, 14.0)}
    told = [(g.name, g.board, g.how, tuple(np.round(g.at, 9)), g.way, g.force) for g in placed.grips]
    assert told[1:3] == [
        ("side 2 at edge-1", "elm", "push", (516.0, 0.0, 7.0), (0.0, 1.0), 200.0),
        ("side 1 at edge-2", "elm", "push", (84.0, 200.0, 7.0), (0.0, -1.0), 200.0),
    ]
    assert (placed.taken, placed.found) == ({"side": 4}, [])
    assert placed.notes == ["edge-1 and edge-2: side, each pushes with 200 N (the shop's own figure)."]


def test_stops_carry_at_the_ends() -> None:
    """Two at each end 28 mm in, pushing nothing; on a thin board at half its height."""
    placed = held(clamping(SIDE, STOP), *ENDS)
    assert where(placed) == {
        "stop 1 at end-1": [-20.0, 13.0, 0.0, 43.0],
        "stop 2 at end-1": [-20.0, 157.0, 0.0, 187.0],
        "stop 1 at end-2": [600.0, 13.0, 620.0, 43.0],
        "stop 2 at end-2": [600.0, 157.0, 620.0, 187.0],
    }
    assert [(g.how, g.at, g.way, g.force) for g in placed.grips[::2]] == [
        ("carry", (0.0, 28.0, 6.0), (1.0, 0.0), 900.0),
        ("carry", (600.0, 28.0, 6.0), (-1.0, 0.0), 900.0),
    ]
    assert placed.notes[0] == "end-1 and end-2: stop, each carries up to 900 N (the shop's own figure)."
    thin = held(clamping(STOP, thick=8.0), "end-1", below=None)
    assert {g.at[2] for g in thin.grips} == {4.0}


@pytest.mark.parametrize(
    ("width", "long", "middles"),
    [
        (200.0, 66.0, [38.0, 162.0]),  # half as long again goes twice into 200 mm; 5 mm beside a rim
        (200.0, 67.0, [100.0]),
        (100.0, 30.0, [20.0, 80.0]),
        (90.0, 30.0, [20.0, 70.0]),
        (89.0, 30.0, [44.5]),
    ],
)
def test_as_many_stand_at_a_side_as_have_room(width: float, long: float, middles: list[float]) -> None:
    """Each wants half as much again as it is long; where one stands alone it stands in the middle."""
    placed = held(clamping(Stop("stop", 2, long, 20.0, 12.0), width=width), "end-1")
    assert [sum(b[1::2]) / 2 for b in where(placed).values()] == middles
    assert placed.found == []


def test_what_is_in_the_way_moves_a_foot_to_the_nearest_free_place() -> None:
    """By steps of 5 mm from the side's end; what stands higher than the foot is not in its way."""
    for at, bottom, low in (
        (rectangle(60.0, -40.0, 110.0, 0.0), 0.0, 20.0),
        (rectangle(30.0, -40.0, 90.0, 0.0), 0.0, 90.0),
        (rectangle(60.0, -40.0, 110.0, 0.0), 14.0, 64.0),
        (rectangle(60.0, -40.0, 110.0, 0.0), 13.9, 20.0),
        (rectangle(60.0, -90.0, 110.0, -30.0), 0.0, 64.0),
        (rectangle(103.96, -30.0, 110.0, 0.0), 0.0, 60.0),  # 1.2 mm2 of it would be under the foot
        (rectangle(103.97, -30.0, 110.0, 0.0), 0.0, 64.0),
    ):
        standing = (solid("block", at, bottom=bottom, top=20.0),)
        placed = held(clamping(SIDE), "edge-1", standing=standing)
        assert where(placed)["side 1 at edge-1"][0] == low, (bounds(at), bottom)


def test_two_feet_never_touch() -> None:
    """A millimetre at least is between two of them, however little room a block leaves."""
    block = solid("block", rectangle(100.0, -40.0, 600.0, 0.0))
    assert [b[0] for b in where(held(clamping(SIDE), "edge-1", standing=(block,))).values()] == [15.0, 60.0]
    block = solid("block", rectangle(99.0, -40.0, 600.0, 0.0))
    narrower = SideClamp("side", 4, 39.0, 30.0, 14.0)
    assert [b[0] for b in where(held(clamping(narrower), "edge-1", standing=(block,))).values()] == [
        20.0,
        60.0,
    ]
    block = solid("block", rectangle(80.0, -40.0, 600.0, 0.0))
    assert [b[0] for b in where(held(clamping(SIDE), "edge-1", standing=(block,))).values()] == [40.0]


def test_wedges_push_from_the_near_side_and_stops_stand_firm_opposite() -> None:
    """Three wedges at the operator's edge, three stops of four at the far one, one kept for an end."""
    placed = held(clamping(STOP, WEDGE), *EDGES, spare=1)
    names = list(where(placed))
    assert names == [
        *(f"wedge {n} at edge-1" for n in (1, 2, 3)),
        *(f"stop {n} at edge-2" for n in (1, 2, 3)),
    ]
    assert placed.notes[1] == "stop stands firm at edge-2, opposite wedge."
    assert [sum(b[::2]) / 2 for b in list(where(placed).values())[:3]] == [84.0, 300.0, 516.0]
    gain = 1 / (np.tan(np.radians(8.0) + np.arctan(0.4)) + 0.4)
    assert placed.grips[0].force == pytest.approx(120.0 * gain)
    assert (
        placed.grips[0].source == "a 8 degree wedge driven with 120 N (the shop's own figure), friction 0.4"
    )
    assert placed.taken == {"wedge": 3, "stop": 3}
    none_left = held(clamping(STOP, WEDGE), *EDGES, spare=4)
    assert [name.rsplit(" ", 1)[1] for name in where(none_left)] == ["edge-1", "edge-2"]
    assert none_left.taken == {"wedge": 2}


@pytest.mark.parametrize(("turns", "left"), [(1, "edge-2"), (3, "edge-1")])
def test_across_the_bed_wedges_push_from_the_left(turns: int, left: Side) -> None:
    """Whichever edge the recipe names first: of a board that lies across neither is nearer."""
    for named in (EDGES, EDGES[::-1]):
        placed = held(clamping(STOP, WEDGE, place=Place("A", turns)), *named, spare=1)
        sides = {s.name.rsplit(" ", 1)[1]: bounds(s)[0] for s in placed.solids}
        assert [s.name.rsplit(" ", 1)[1] for s in placed.solids if s.kind == "wedge"] == [left] * 3
        assert min(sides, key=sides.__getitem__) == left


def test_one_clamp_alone_pushes_against_stops() -> None:
    """One clamp for two edges pushes at the near one, against stops; without stops one edge is told of."""
    one = SideClamp("side", 1, 40.0, 30.0, 14.0, 200.0)
    assert list(where(held(clamping(one, STOP), *EDGES))) == [
        "side 1 at edge-1",
        *(f"stop {n} at edge-2" for n in (1, 2, 3, 4)),
    ]
    alone = held(clamping(one), *EDGES)
    [found] = alone.found
    assert list(where(alone)) == ["side 1 at edge-1"]
    assert (found.rule, found.measured, found.limit, found.setup) == ("no-hold-down", 1.0, 2.0, 3)
    assert found.message == "zone low holds 2 sides, the shop has 1 left, and edge-2 goes without"
    assert found.remedy == "list 1 more in the shop's hold-downs, or leave edge-2 out of the zone"


def test_a_stop_stands_at_no_two_ends() -> None:
    """One stop for two ends stands at the first, and the other goes without."""
    placed = held(clamping(Stop("stop", 1, 30.0, 20.0, 12.0)), *ENDS)
    assert list(where(placed)) == ["stop 1 at end-1"]
    assert [(f.rule, f.measured, f.limit) for f in placed.found] == [("no-hold-down", 1.0, 2.0)]


def test_one_each_of_two_kinds_holds_two_sides() -> None:
    """Where no kind is there twice, each side has one: the stronger first."""
    kinds = (SideClamp("weak", 1, 40.0, 30.0, 14.0, 90.0), SideClamp("strong", 1, 40.0, 30.0, 14.0, 200.0))
    placed = held(clamping(*kinds), *EDGES)
    assert list(where(placed)) == ["strong 1 at edge-1", "weak 1 at edge-2"]
    assert placed.found == []


def test_the_sheet_says_why_not_the_others() -> None:
    """Too high, weaker, a guess, or lower at the same force: each other kind with its own number."""
    others = (
        SideClamp("high", 2, 40.0, 30.0, 40.0, 900.0),
        SideClamp("weak", 2, 40.0, 30.0, 14.0, 90.0),
        LeverStop("unsaid", 2, 40.0, 30.0, 14.0),
        SideClamp("low", 2, 40.0, 30.0, 10.0, 200.0),
        SideClamp("rise", 2, 40.0, 30.0, 14.0, 200.0),
        SideClamp("just", 2, 40.0, 30.0, 22.0, 199.0),
    )
    placed = held(clamping(*others, SIDE), *EDGES)
    [note] = placed.notes
    assert note == (
        "edge-1 and edge-2: rise, each pushes with 200 N (the shop's own figure)"
        "; not high: 40 mm high, and 22.0 mm is free; not side: no stronger, 14 mm high"
        "; not low: no stronger, 10 mm high; not just: 199 N; not weak: 90 N; not unsaid: 150 N guessed."
    )


def test_guesses_are_told_as_guesses() -> None:
    """What the shop does not say is taken low: 150 N of a push, 500 N of a stop, 50 N on a wedge."""
    for h, newtons in (
        (SideClamp("s", 1, 1.0, 1.0, 1.0), 150.0),
        (LeverStop("l", 1, 1.0, 1.0, 1.0), 150.0),
        (Stop("t", 1, 1.0, 1.0, 1.0), 500.0),
        (Wedge("w", 1, 1.0, 1.0, 1.0, 0.0), 50.0 / 0.8),
    ):
        force = beside_force(h)
        assert force.newtons == pytest.approx(newtons)
        assert force.guessed
    stated = beside_force(Wedge("w", 1, 1.0, 1.0, 1.0, 8.0, push=70.0))
    assert (stated.newtons, stated.guessed) == (70.0, False)


def test_nothing_is_higher_than_the_zone_or_the_face_cut_allows() -> None:
    """The lower of two: the zone's height, and 3 mm of margin under a face cut; met exactly it fits."""
    exact = 14.0 - 1e-9  # as a sum of inches may give it
    for below, cut_low, fits in ((exact, np.inf, True), (13.9, np.inf, False), (99.0, 17.0, True)):
        assert (held(clamping(SIDE, cut_low=cut_low), *EDGES, below=below).found == []) is fits
    [found] = held(clamping(SIDE, cut_low=16.5), *EDGES, below=None).found
    assert (found.rule, found.measured, found.limit) == ("no-hold-down", 14.0, 13.5)
    assert found.message == "zone low asks for a side clamp of at most 13.5 mm, the lowest is 14.0 mm"
    assert found.remedy == (
        "add a side clamp at most 13.5 mm high to the shop's hold-downs, or make the piece at least 0.5 mm "
        "thicker"
    )
    # Numbers that differ by less than a tenth are told so that they differ, and what is asked for cures.
    [close] = held(clamping(SIDE, cut_low=16.97), *EDGES, below=None).found
    assert "of at most 13.97 mm, the lowest is 14.00 mm" in close.message
    assert "at most 13.9 mm high" in close.remedy
    assert "at least 0.1 mm thicker" in close.remedy
    [none] = held(clamping(), *EDGES, below=None).found
    assert (none.measured, none.limit, "mm high" in none.remedy) == (0.0, 1.0, False)
    # What pushes may stand at an end where no stop is low enough; a stop never holds two edges.
    tall = Stop("tall", 4, 30.0, 20.0, 30.0)
    assert {name.split()[0] for name in where(held(clamping(SIDE, tall), *ENDS))} == {"side"}
    assert held(clamping(STOP), *EDGES).found[0].measured == 0.0


def test_what_is_taken_is_not_there_for_the_next_zone() -> None:
    """Four clamps at two edges leave none for an end, and what stands elsewhere is named."""
    c = clamping(SIDE)
    placed = held(c, *EDGES)
    hold_beside(c, Zone("ends", ENDS, 22.0, ()), ENDS, (), placed, 0)
    [found] = placed.found
    assert found.message == (
        "the zone ends asks for a stop, and the shop lists none; every side that could stand there is at "
        "other sides"
    )
    assert found.remedy == (
        "add one to the shop's hold-downs, at most 22.0 mm high, or take a recipe that holds the board "
        "another way"
    )
    assert (found.measured, found.limit, found.level) == (0.0, 22.0, "refuse")


def test_a_fence_holds_its_side_already() -> None:
    """A piece that touches the near edge holds it; one a little off, beside it, or elsewhere does not."""
    for x0, x1, y1, kind, side in (
        (100.0, 300.0, 0.0, "fence", None),
        (100.0, 300.0, -1.0, "fence", None),
        (100.0, 300.0, 1.0, "fence", None),
        (100.0, 300.0, -1.1, "fence", "edge-1"),
        (-200.0, 0.0, 0.0, "fence", "edge-1"),
        (600.0, 700.0, 0.0, "fence", "edge-1"),
        (100.0, 300.0, 0.0, "stop", "edge-1"),
    ):
        standing = (solid("it", rectangle(x0, y1 - 40.0, x1, y1), kind=kind, top=20.0),)
        sides = {name.split()[-1] for name in where(held(clamping(SIDE), *EDGES, standing=standing))}
        assert sides == {side, "edge-2"} - {None}


def test_a_fence_carries_where_the_board_lies_against_it() -> None:
    """Of each piece that is near enough the part beside the board, at half of its height or the board's."""
    pieces = [
        solid("left", rectangle(-50.0, -40.0, 100.0, 0.5), kind="fence", top=20.0),
        solid("right", rectangle(500.0, -40.0, 900.0, 0.0), kind="fence", top=40.0),
        solid("off", rectangle(200.0, -40.0, 300.0, -1.1), kind="fence", top=20.0),
        solid("beyond", rectangle(599.5, -40.0, 900.0, 0.0), kind="fence", top=20.0),
    ]
    fence = Fence(0.0, 40.0, 20.0, ((0.0, 1.0),), True, True, 0.1, 0.0)
    grips = fence_grips(fence, pieces, shapely.box(0.0, 0.0, 600.0, 200.0), "elm", 25.0)
    assert [(g.name, g.at, g.way, g.how, g.force) for g in grips] == [
        ("left", (50.0, 0.5, 10.0), (0.0, 1.0), "carry", 500.0),
        ("right", (550.0, 0.0, 12.5), (0.0, 1.0), "carry", 500.0),
    ]


def test_a_foot_that_has_no_room_is_refused_with_what_is_free() -> None:
    """How long it is and how much its side leaves clear; blocked all along, or longer than its side."""
    long = Stop("long", 2, 250.0, 20.0, 12.0)
    everywhere = solid("block", rectangle(-40.0, -90.0, -1.0, 290.0))
    walled = clamping(long, walls={"edge-2": CUTTER}, stop_lines={"edge-2": 190.0})
    blocked = held(clamping(STOP), "end-1", standing=(everywhere,))
    [found] = blocked.found
    assert (found.rule, found.measured, found.limit) == ("no-room-for-clamps", 30.0, 200.0)
    assert blocked.solids == []
    # Of the last place a part would stand beyond the board's end, and the one before is blocked.
    most = solid("block", rectangle(0.0, -40.0, 560.0, 0.0))
    assert held(clamping(SIDE, length=599.2), "edge-1", standing=(most,)).solids == []
    assert len(held(clamping(SIDE, length=600.0), "edge-1", standing=(most,)).solids) == 1
    [found] = held(walled, "end-1").found
    assert (found.rule, found.measured, found.limit, found.setup) == ("no-room-for-clamps", 250.0, 187.0, 3)
    assert found.message == (
        "long does not fit zone low: it is 250.0 mm long, and end-1 leaves 187.0 mm clear of what is cut and "
        "of what else stands"
    )
    assert found.remedy == "list one at most 187.0 mm long, or hold this side elsewhere"
    gone = clamping(long, walls={"edge-2": CUTTER}, stop_lines={"edge-2": 2.0})
    [found] = held(gone, "end-1").found
    assert "end-1 leaves 0.0 mm clear" in found.message
    assert (found.limit, found.remedy) == (
        0.0,
        "hold this side elsewhere, or cut it in a clamping of its own",
    )


def test_a_wall_that_is_cut_keeps_feet_away_and_is_not_held() -> None:
    """Feet stand the margin of 3 mm off a wall that is cut; at the wall itself none does."""
    walls: Any = {"walls": {"end-2": CUTTER}, "stop_lines": {"end-2": 590.0}, "tip": -1.0}
    placed = held(clamping(SIDE, STOP, **walls), "edge-1", "end-2")
    assert [b[2] for b in where(placed).values()] == [
        102.18,
        243.06,
        383.94,
        524.82,
    ]  # 0.14 of 587 mm from either end
    [found] = placed.found
    assert (found.rule, found.measured, found.limit, found.level) == (
        "hold-down-where-cut",
        12.0,
        -1.0,
        "refuse",
    )
    assert found.message == (
        "zone low holds end-2, which is cut in this clamping: the tip comes down to -1.0 mm there, and the "
        "lowest hold-down is 12.0 mm high"
    )
    assert found.remedy == "leave end-2 out of the zone, or cut it in a clamping of its own"


def test_the_next_best_has_a_fair_part_of_the_room_and_of_what_is_left() -> None:
    """Where the best has no room another of its kind stands, and half of them stay for the other side."""
    long = Stop("long", 2, 250.0, 20.0, 12.0, 5000.0)
    low = Stop("low", 4, 30.0, 20.0, 12.0, 100.0)
    good = Stop("good", 4, 30.0, 20.0, 12.0, 900.0)
    blocked = clamping(long, low, good, walls={"edge-2": CUTTER}, stop_lines={"edge-2": 190.0})
    placed = held(blocked, *ENDS)
    assert list(where(placed)) == [f"good {n} at {side}" for side in ENDS for n in (1, 2)]
    assert placed.notes[1:] == [f"{side}: good, for long has no room there." for side in ENDS]
    assert placed.found == []


def test_feet_stand_on_the_slots_and_the_sheet_says_which() -> None:
    """Within its play of a slot a foot stands; more than half a millimetre off its middle is told."""
    # The bed's mark is at (200, 140); the middle of a foot at edge-1 is 15 mm before the board.
    for slot, off in ((125.0, None), (125.5, None), (125.6, "1"), (133.0, "8"), (117.0, "8")):
        placed = held(clamping(SIDE, places=Places((("x", slot),), (), 8.0)), "edge-1")
        more = "" if off is None else f", {off} mm off the middle of its foot"
        [note] = [n for n in placed.notes if n.startswith("side 1")]
        assert note == f"side 1 at edge-1: bolt in slot 1 (y {round(slot - 140, 1):g} mm){more}."
    [found] = held(clamping(SIDE, places=Places((("x", 133.1),), (), 8.0)), "edge-1").found
    assert (found.rule, found.measured, found.limit) == ("no-place-for-hold-down", 8.1, 8.0)
    assert found.message == (
        "side cannot stand at edge-1: the nearest slot or hole is 8.1 mm off the middle of its foot, and "
        "8.0 mm of play are stated"
    )
    assert "state a play of 8.1 mm" in found.remedy
    placed = held(clamping(SIDE, places=Places((("y", 300.0),), ((500.0, 125.0),), 8.0)), "edge-1")
    assert sorted(sum(b[::2]) / 2 for b in where(placed).values()) == [95.0, 295.0]
    assert placed.notes[-1].endswith("bolt in hole 1 (x 300 mm, y -15 mm), 5 mm off the middle of its foot.")


def test_steep_wedges_are_told_with_the_steepest_that_stays() -> None:
    """Twice the angle of the least friction, 13.7 degrees: met it stays; one of 14 can slide back."""
    steepest = 2 * np.degrees(np.arctan(0.12))
    for angle, warned in ((steepest, False), (14.0, True)):
        found = held(clamping(Wedge("w", 2, 70.0, 60.0, 14.0, float(angle))), *EDGES).found
        assert bool(found) is warned
    assert (found[0].rule, found[0].level) == ("wedge-slips-back", "warn")
    assert (found[0].measured, found[0].limit, found[0].setup) == (14.0, round(float(steepest), 3), 3)
    assert found[0].message.startswith("w has 14.0 degrees; above 13.7 degrees a smooth wedge shaken by ")
    assert found[0].remedy == "cut wedges of at most 13 degrees, or secure them with a screw"


def test_clamps_on_the_face_are_no_side_holders() -> None:
    """What presses from above is never taken for a side, and its being lower changes nothing."""
    top = TopClamp("arm", 4, 40.0, 80.0, 5.0, 30.0, 30.0)
    placed = held(clamping(top, SIDE), *EDGES)
    assert {s.kind for s in placed.solids} == {"side-clamp"}
    [found] = held(clamping(top), *EDGES).found
    assert (found.measured, found.limit) == (0.0, 22.0)


def test_what_pushes_gives_way_to_what_pushes() -> None:
    """At an edge a cam may stand for a clamp; at an end that no stop can hold only the same kind may."""
    long = SideClamp("long", 2, 250.0, 30.0, 14.0, 900.0)
    short, cam = SideClamp("short", 2, 40.0, 30.0, 14.0, 100.0), LeverStop("cam", 2, 40.0, 30.0, 14.0, 300.0)
    for side, other, line, stands in (
        ("edge-1", "end-2", 190.0, "cam"),
        ("end-1", "edge-2", 190.0, "short"),
    ):
        walls: Any = {"walls": {other: CUTTER}, "stop_lines": {other: line}}
        placed = held(clamping(long, cam, short, **walls), side)
        assert {name.split()[0] for name in where(placed)} == {stands}
        assert placed.found == []
