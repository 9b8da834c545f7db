"""What a row's boards are held by, and how they lie side by side: worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import pytest
import shapely

from clampings import CUTTER, bounds, clamping, flat_wood
from stockwright.hold_downs import Places, SideClamp, Stop, TopClamp
from stockwright.job import EdgeStep, Zone
from stockwright.planning.row_holding import hold_row, rubs, spread
from stockwright.planning.rows import row_of
from stockwright.planning.setup import Grip
from stockwright.planning.wood import Place

if TYPE_CHECKING:
    from stockwright.planning.grips import Held

UP = Place("A", 0)
PIECE: Any = SimpleNamespace(placement=SimpleNamespace(length=580.0, width=190.0))
# Two boards side by side, 90 and 110 mm wide; the second one is 20 mm longer at its right end.
NEAR, FAR = shapely.box(0.0, 0.0, 600.0, 90.0), shapely.box(0.0, 90.0, 620.0, 200.0)
BOTH = {"near": NEAR, "far": FAR}
SQUEEZE = Zone("squeeze", ("edge-1", "edge-2"), 20.0, ())
LEFT = Zone("left", ("end-1",), 20.0, ())


def row(*hold_downs: Any, zones: tuple[Zone, ...] = (LEFT,), faced: bool = True, **said: Any) -> Held:
    """Hold the row."""
    outline = shapely.Polygon([(0, 0), (600, 0), (600, 90), (620, 90), (620, 200), (0, 200)])
    return hold_row(clamping(*hold_downs, outline=outline, **said), zones, BOTH, (), faced=faced)


def test_one_long_stop_serves_ends_in_line() -> None:
    """As long as the row, or 10 mm shorter, from the row's near edge on; each board counts its share."""
    held = row(Stop("bar", 1, 190.0, 20.0, 12.0, 900.0), Stop("stop", 4, 30.0, 20.0, 12.0))
    assert [(s.name, s.kind, bounds(s), s.top) for s in held.solids] == [
        ("bar at end-1", "stop", [-20.0, 5.0, 0.0, 195.0], 12.0)
    ]
    assert [(g.name, g.board, g.how, g.at, g.force, g.way, g.whole) for g in held.grips] == [
        ("bar at end-1", "near", "carry", (0.0, 45.0, 6.0), 450.0, (1.0, 0.0), 900.0),
        ("bar at end-1", "far", "carry", (0.0, 145.0, 6.0), 450.0, (1.0, 0.0), 900.0),
    ]
    longer = row(Stop("bar", 1, 260.0, 20.0, 12.0, 900.0))
    assert bounds(longer.solids[0])[1::2] == [0.0, 260.0]
    short = row(Stop("bar", 1, 189.9, 20.0, 12.0, 900.0))
    [found] = short.findings
    assert short.solids == ()
    assert (found.rule, found.measured, found.limit, found.setup) == ("too-few-stops", 0.0, 2.0, 3)
    assert found.message == "0 stops can stand at end-1 of a row of 2 boards, one for each is wanted"
    assert found.remedy == (
        "list 2 stops no longer than a board is wide, or one that is 200 mm long, in the shop's document; or "
        "leave that end out of the zone"
    )


def test_ends_out_of_line_want_a_stop_each() -> None:
    """No longer than the narrowest board is wide, each against its own end in its board's middle."""
    right = replace(LEFT, where=("end-2",))
    held = row(Stop("bar", 1, 200.0, 20.0, 12.0), Stop("stop", 2, 90.0, 20.0, 12.0, 700.0), zones=(right,))
    assert [(s.name, bounds(s)) for s in held.solids] == [
        ("stop 1 at end-2", [600.0, 0.0, 620.0, 90.0]),
        ("stop 2 at end-2", [620.0, 100.0, 640.0, 190.0]),
    ]
    assert [(g.board, g.at, g.force, g.way, g.whole) for g in held.grips] == [
        ("near", (600.0, 45.0, 6.0), 700.0, (-1.0, 0.0), 0.0),
        ("far", (620.0, 145.0, 6.0), 700.0, (-1.0, 0.0), 0.0),
    ]
    for count, long, there in ((1, 30.0, 1.0), (2, 90.1, 0.0)):
        [found] = row(Stop("stop", count, long, 20.0, 12.0), zones=(right,)).findings
        assert (found.measured, found.limit) == (there, 2.0)
    taken = row(Stop("stop", 3, 30.0, 20.0, 12.0), zones=(LEFT, replace(LEFT, where=("end-2",))))
    assert len(taken.solids) == 2
    # A stop whose name begins like another's is not that other one.
    both = (Stop("stop", 2, 30.0, 20.0, 12.0), Stop("stop-bar", 1, 200.0, 20.0, 12.0))
    mixed = row(*both, zones=(LEFT, replace(LEFT, where=("end-2",))))
    assert [s.name for s in mixed.solids] == ["stop-bar at end-1", "stop 1 at end-2", "stop 2 at end-2"]
    assert mixed.findings == ()
    assert [f.measured for f in taken.findings] == [1.0]  # two of three stand at the other end
    [high] = row(Stop("stop", 4, 30.0, 20.0, 20.1)).findings
    assert (high.rule, high.measured, high.limit) == ("no-hold-down", 20.1, 20.0)
    assert row(Stop("stop", 4, 30.0, 20.0, 20.0)).findings == ()
    [low] = row(Stop("stop", 4, 30.0, 20.0, 12.0), cut_low=14.9).findings
    assert (low.measured, low.limit) == (12.0, 11.9)


def test_stops_of_a_row_stand_on_slots() -> None:
    """Where no slot is within the play it is refused; where one is the sheet names it."""
    bar = Stop("bar", 1, 200.0, 20.0, 12.0)
    # The mark is at (200, 140): the middle of the bar is wanted at (-10, 100).
    near = row(bar, places=Places((("x", 245.0),), (), 5.0))
    assert near.notes == ("bar at end-1: bolt in slot 1 (y 105 mm), 5 mm off the middle of its foot.",)
    far = row(bar, places=Places((("x", 245.2),), (), 5.0))
    assert (far.solids, far.grips, far.notes) == ((), (), ())
    [found] = far.findings
    assert (found.rule, found.measured, found.limit) == ("no-place-for-hold-down", 5.2, 5.0)


def test_a_row_is_held_from_its_sides() -> None:
    """The squeeze goes through both boards; nothing lies on a face that is cut, and nothing below a row."""
    side = SideClamp("side", 2, 40.0, 30.0, 14.0, 200.0)
    held = row(side, zones=(SQUEEZE,))
    assert len(held.solids) == 2
    assert len(held.grips) == 4
    top = Zone("top", "face", None, ("edge-2",))
    arm = TopClamp("arm", 4, 40.0, 80.0, 18.0, 30.0, 30.0)
    assert {s.kind for s in row(arm, zones=(top,), faced=False).solids} == {"top-clamp"}
    for zone, faced in ((top, True), (Zone("below", "underneath", None, ()), False)):
        [found] = row(arm, zones=(zone,), faced=faced).findings
        assert (found.rule, found.measured, found.limit) == ("row-cannot-be-held-so", 0.0, 1.0)
        assert found.message == (
            f"the zone {zone.name} is {zone.where}, and a row of boards is held from its sides"
        )


def test_a_squeeze_is_handed_on_from_board_to_board() -> None:
    """The board that is pushed has it whole, the next 0.12 / 0.2 of it; a contact is handed on whole."""
    push = Grip("side 1", "row", "push", (84.0, 0.0, 7.0), 200.0, "said", way=(0.0, 1.0))
    back = replace(push, name="side 2", at=(84.0, 200.0, 7.0), way=(0.0, -1.0))
    fence = Grip("fence", "row", "carry", (50.0, 0.0, 9.0), 500.0, "said", way=(0.0, 1.0))
    end = Grip("end", "row", "push", (0.0, 120.0, 7.0), 90.0, "said", way=(1.0, 0.0))
    arm = Grip("arm", "row", "press", (50.0, 80.0, 25.0), 900.0, "said")
    told = {(g.name, g.board): g for g in spread([push, back, fence, end, arm], BOTH)}
    assert {key: (g.at, round(g.force, 6), g.whole) for key, g in told.items()} == {
        ("side 1", "near"): ((84.0, 0.0, 7.0), 200.0, 0.0),
        ("side 1", "far"): ((84.0, 90.0, 7.0), 120.0, 200.0),
        ("side 2", "near"): ((84.0, 90.0, 7.0), 120.0, 200.0),
        ("side 2", "far"): ((84.0, 200.0, 7.0), 200.0, 0.0),
        ("fence", "near"): ((50.0, 0.0, 9.0), 500.0, 0.0),
        ("fence", "far"): ((50.0, 90.0, 9.0), 500.0, 0.0),
        ("end", "far"): ((0.0, 120.0, 7.0), 90.0, 0.0),
        ("arm", "near"): ((50.0, 80.0, 25.0), 900.0, 0.0),
    }
    assert told["side 1", "far"].source == (
        "said; through the row, 0.6 of it counts, for wood slides on wood sooner"
    )


def test_a_push_rubs_on_what_is_firm_opposite() -> None:
    """Half of 0.12 of it, each for the plane and the height; not where something pushes back by itself."""
    push = Grip("side 1", "near", "push", (84.0, 0.0, 7.0), 200.0, "said", way=(0.0, 1.0))
    firm = Grip("stop 1", "near", "carry", (84.0, 90.0, 7.0), 500.0, "said", way=(0.0, -1.0))
    [rub] = rubs([push, firm], {"near": NEAR})
    assert (rub.name, rub.board, rub.how, rub.at, rub.whole) == (
        "side 1, felt at the other edge",
        "near",
        "shear",
        (84.0, 90.0, 7.0),
        200.0,
    )
    assert rub.force == rub.lifts == pytest.approx(0.5 * 0.5**0.5 * 0.12 * 200.0)
    assert rub.source == "0.5 of what a push of 200 N rubs with (said)"
    assert rubs([replace(push, whole=333.0), firm], {"near": NEAR})[0].whole == 333.0
    turned = [replace(push, way=(0.0, -1.0)), replace(firm, way=(0.0, 1.0))]
    assert rubs(turned, {"near": NEAR})[0].at == (84.0, 0.0, 7.0)
    against = replace(firm, how="push")
    along = replace(firm, way=(-1.0, 0.0))
    above = Grip("arm 1", "near", "press", (84.0, 45.0, 25.0), 900.0, "said")
    for others in (
        [],
        [firm, against],
        [along],
        [above],
        [replace(firm, board="far")],
        [replace(firm, way=(0.0, 1.0))],
    ):
        assert rubs([push, *others], {"near": NEAR}) == ()


def member(name: str, outline: shapely.Polygon, place: Place = UP, side: Any = "end-2") -> Any:
    """Give a board of a row: its piece is 580 mm long and begins at 0, and one of its sides is cut."""
    step = EdgeStep(side, CUTTER, None, 4.8, 7.0, 1.0, 0.4, ()) if side else None
    g: Any = SimpleNamespace(place=place, steps=(step,))
    own = replace(flat_wood(600.0, 100.0, 25.0), outline=outline)
    return SimpleNamespace(board=SimpleNamespace(name=name), piece=PIECE, wood=own, groups=(g,))


def in_row(*members: Any, squareness: float | None = None) -> Any:
    """Lay boards in a row."""
    return row_of(members, [m.groups[0] for m in members], 6, squareness)


def test_boards_of_a_row_touch_with_their_ends_in_line() -> None:
    """Each against the one before, the end that is not cut in line; the slit between two is closed."""
    first = member("a", shapely.box(-10.0, 0.0, 590.0, 90.0))
    second = member("b", shapely.box(-20.0, 5.0, 600.0, 105.0))
    made = in_row(first, second)
    assert [p.shift for p in made.lying] == [(0.0, 0.0, 0.0), (0.0, 85.0, 0.0)]
    assert made.wood.outline.bounds == pytest.approx((-20.0, 0.0, 600.0, 190.0))
    assert made.wood.outline.area == pytest.approx(600 * 90 + 620 * 100)
    places = made.places(Place("A", 0, (7.0, 8.0, 0.0)))
    assert [p.shift for p in places] == [(7.0, 8.0, 0.0), (7.0, 93.0, 0.0)]


def test_boards_of_a_row_touch_at_a_corner() -> None:
    """A board bent towards the one before it touches that with its bend, wherever along it that is."""
    plain = member("a", shapely.box(0.0, 0.0, 600.0, 100.0), side=None)
    for x in (301.7, 77.3):
        bent = shapely.Polygon([(0.0, 0.5), (x, 0.0), (600.0, 0.5), (600.0, 100.0), (0.0, 100.0)])
        assert in_row(plain, member("b", bent, side=None)).lying[1].shift[1] == pytest.approx(100.0, abs=1e-6)
        bulge = shapely.Polygon([(0.0, 0.0), (600.0, 0.0), (600.0, 100.0), (x, 100.5), (0.0, 100.0)])
        after = in_row(member("a", bulge, side=None), plain)
        assert after.lying[1].shift[1] == pytest.approx(100.5, abs=1e-6)


def test_boards_that_make_no_row_are_told_why() -> None:
    """Crosswise, the other way round, too far apart, too far askew: both numbers, to a thousandth."""
    plain = member("a", shapely.box(0.0, 0.0, 600.0, 100.0))
    across = in_row(plain, member("b", shapely.box(0.0, 0.0, 600.0, 100.0), Place("A", 1)))
    assert (across.rule, across.measured, across.limit, across.setup) == ("row-lies-crosswise", 90.0, 0.0, 6)
    about = in_row(plain, member("b", shapely.box(0.0, 0.0, 600.0, 100.0), Place("A", 2)))
    assert about.rule == "row-lies-both-ways"
    assert about.message == "b lies with its ends the other way round than a, and one pass cuts both"
    # Between 12 mm from either end the line rises by 576 / 600 of it.
    for rise, gap in ((1.04, None), (1.0503, 1.008)):
        bent = member("b", shapely.Polygon([(0, 0), (600, rise), (600, 100), (0, 100)]), side=None)
        straight = replace_side(plain)
        found = in_row(straight, bent)
        if gap is None:
            assert found.lying[1].shift[1] == pytest.approx(100.0 - rise * 0.02)
        else:
            assert (found.rule, found.measured, found.limit) == ("row-does-not-close", gap, 1.0)
            assert found.message == (
                "a and b touch each other and stand 1.0 mm apart elsewhere: no squeeze holds them"
            )
    # Askew by what it stands off over that length, so out of square by as much of its 100 mm.
    lean = member("b", shapely.Polygon([(0, 0), (600, 0.9123), (600, 100), (0, 100)]))
    assert in_row(plain, lean, squareness=0.31).lying
    found = in_row(plain, lean, squareness=0.3)
    assert (found.rule, found.measured, found.limit) == ("row-leans", 0.152, 0.15)
    assert found.message.endswith("may lie so far askew that its end is 0.15 mm out of square")
    assert in_row(plain, lean).rule == "row-leans"  # three tenths where nothing is asked
    assert in_row(replace_side(plain), replace_side(lean)).lying  # no end is cut


def replace_side(m: Any) -> Any:
    """Give a board of a row of which no side is cut."""
    return SimpleNamespace(**{**vars(m), "groups": (SimpleNamespace(place=UP, steps=()),)})
