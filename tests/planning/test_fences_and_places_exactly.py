"""Where the fence stays, how a board is laid, and what is said of it: worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import shapely

from clampings import CUTTER, bounds, clamping, flat_wood
from setups import rectangle, shop, solid
from stockwright.hold_downs import Backing, LeverStop, Places, Riser, SideClamp, Stop, TopClamp, Vacuum, Wedge
from stockwright.job import Zone
from stockwright.machine import Fence, ZTouch
from stockwright.planning.clamping import clear_height
from stockwright.planning.holding import backing_block, fence_solids, room_beside
from stockwright.planning.lay import _along_fence, fence_too_little, finished_at, placed, wall_at
from stockwright.planning.on_bolts import onto_bolts
from stockwright.planning.registered import registered
from stockwright.planning.wood import Place
from stockwright.planning.words import placing_of, touched_with, zero_how

PIECE: Any = SimpleNamespace(placement=SimpleNamespace(length=580.0, width=190.0))
FENCE = Fence(
    140.0,
    40.0,
    20.0,
    ((200.0, 400.0), (450.0, 600.0)),
    liftable=True,
    wooden=True,
    straightness=0.1,
    angle=0.0,
)


def test_the_fence_stays_where_nothing_is_cut() -> None:
    """A piece in a span to keep free is lifted off whole where it can be; met end to end it stays."""
    own = shop()
    for keep, liftable, stay in (
        ((), True, [1, 2]),
        (((200.0, 250.0),), True, [1, 2]),
        (((199.9, 250.0),), True, [2]),
        (((199.9, 250.1),), True, []),
        (((199.9, 250.1),), False, [1, 2]),
        (((-50.0, 0.1), (700.0, 900.0)), True, [2]),
    ):
        pieces = fence_solids(own, replace(FENCE, liftable=liftable), keep)
        assert [p.name for p in pieces] == [f"fence piece {n}" for n in stay]
    [first, second] = fence_solids(own, FENCE, ())
    assert (bounds(first), bounds(second)) == ([0.0, -40.0, 200.0, 0.0], [250.0, -40.0, 400.0, 0.0])
    assert (first.kind, first.bottom, first.top) == ("fence", 0.0, 20.0)


def test_a_board_lies_where_most_of_the_fence_stays_behind_it() -> None:
    """A piece that only meets what is to stay free is behind it; 5 mm on it is lifted off, and nothing is."""
    own = replace(shop(), fence=replace(FENCE, pieces=((300.0, 400.0),)))  # 100 to 200 mm from the mark
    for keep, shift in ((100.0, 0.0), (95.0, 5.0), (90.0, 5.0), (100.1, 5.0)):
        assert _along_fence(own, (0.0, 10.0), (0.0, 300.0), ((50.0, keep),)) == shift


def test_a_third_of_a_board_is_to_have_a_fence_behind_it() -> None:
    """Less of it guides the board badly, and warns, saying what a chip does."""
    g: Any = SimpleNamespace(against_fence=True)
    pieces = [solid("a", rectangle(100, -9, 220, 0), kind="fence")]
    assert fence_too_little(g, pieces, shapely.box(0.0, 0.0, 360.0, 90.0), 3) == []
    [found] = fence_too_little(g, pieces, shapely.box(0.0, 0.0, 480.0, 90.0), 3)
    assert (found.level, found.measured, found.limit) == ("warn", 120.0, 160.0)
    assert "a chip of 0.1 mm at one end of it turns the board by 0.4 mm over its length" in found.message
    assert found.remedy.startswith("let at least 160 mm of it stand behind the board")
    assert "lifted" not in found.message  # there is no more
    beside = solid("b", rectangle(480, -9, 600, 0), kind="fence")
    every = [*pieces, beside]
    assert fence_too_little(g, pieces, shapely.box(0.0, 0.0, 480.0, 90.0), 3, every) == [found]
    every = [*pieces, replace(beside, outline=rectangle(470, -9, 590, 0))]
    [lifted] = fence_too_little(g, pieces, shapely.box(0.0, 0.0, 480.0, 90.0), 3, every)
    assert "lifted off whole" in lifted.message
    assert "120 mm each at most" in lifted.remedy


def test_sixty_millimetres_of_fence_must_stay() -> None:
    """From the first piece that stays to the last; less is refused with what there is."""
    g: Any = SimpleNamespace(against_fence=True)
    ends = [
        solid("a", rectangle(0, -9, 20, 0), kind="fence"),
        solid("b", rectangle(50, -9, 60, 0), kind="fence"),
    ]
    board = shapely.box(-10.0, 0.0, 170.0, 90.0)
    assert fence_too_little(g, ends, board, 3) == []
    none: Any = SimpleNamespace(against_fence=False)
    assert fence_too_little(none, [], board, 3) == []
    short = [ends[0], replace(ends[1], outline=rectangle(50, -9, 59.9, 0), name="b")]
    stop = solid("c", rectangle(0, -9, 600, 0), kind="stop")
    [found] = fence_too_little(g, [*short, stop], board, 3)
    assert (found.rule, found.measured, found.limit, found.setup) == ("fence-too-little", 59.9, 60.0, 3)
    assert found.message.startswith(
        "only 60 mm of fence can stay behind the board; at least 60 mm are needed"
    )
    assert fence_too_little(g, [stop], board, 3)[0].measured == 0.0


def test_fence_beside_the_board_guides_nothing() -> None:
    """Only what stands behind the wood counts, however far the fence's pieces are apart."""
    g: Any = SimpleNamespace(against_fence=True)
    far = [
        solid("a", rectangle(0, -9, 20, 0), kind="fence"),
        solid("b", rectangle(700, -9, 760, 0), kind="fence"),
    ]
    for x0, x1, reach in ((30.0, 690.0, 0.0), (10.0, 690.0, 10.0), (30.0, 730.0, 30.0)):
        [found] = fence_too_little(g, far, shapely.box(x0, 0.0, x1, 90.0), 3)
        assert (found.rule, found.measured) == ("fence-too-little", reach)
    assert fence_too_little(g, far, shapely.box(10.0, 0.0, 705.0, 90.0), 3) == []


def test_scrap_backs_a_corner_in_line_with_the_edge() -> None:
    """Past the wall by a cutter less a millimetre; as high as the board unless the shank would rub on it."""
    scrap = Backing("scrap", 2, 60.0, 40.0)
    walls: Any = {"walls": {"end-1": CUTTER, "end-2": CUTTER}, "tip": -1.0}
    c = clamping(SideClamp("side", 2, 40.0, 30.0, 14.0), scrap, **walls)
    left, right = backing_block(c, "end-1", 10.0, 5.0), backing_block(c, "end-2", 590.0, 195.0)
    assert left is not None
    assert right is not None
    assert (left.name, left.kind, bounds(left)) == ("scrap at end-1", "backing", [-1.0, -35.0, 70.0, 5.0])
    assert bounds(right) == [530.0, 195.0, 601.0, 235.0]
    assert (left.bottom, left.top, left.may_cut_to) == (0.0, 25.0, -1.0)
    thick = backing_block(replace(c, face_height=50.0), "end-1", 10.0, 5.0)
    assert thick is not None
    assert thick.top == 42.0 - 3.0 - 1.5
    assert backing_block(clamping(**walls), "end-1", 10.0, 5.0) is None


def test_hold_downs_want_room_beside_a_board() -> None:
    """The deepest of them, a clamp's body with 6 mm either side, and never less than 30 mm."""
    deep = SideClamp("a", 1, 9.0, 51.0, 9.0)
    for kinds, depth in (
        ((), 30.0),
        ((Stop("s", 1, 9.0, 29.0, 9.0),), 30.0),
        ((Stop("s", 1, 9.0, 31.0, 9.0), Backing("b", 1, 99.0, 99.0)), 31.0),
        ((LeverStop("l", 1, 9.0, 41.0, 9.0), Wedge("w", 1, 9.0, 40.0, 9.0, 8.0)), 41.0),
        ((TopClamp("t", 1, 9.0, 80.0, 9.0, 40.0, 30.0), deep), 52.0),
        ((TopClamp("t", 1, 9.0, 80.0, 9.0, 38.0, 30.0), deep), 51.0),
    ):
        assert room_beside(replace(shop(), hold_downs=kinds)) == depth


def lies(
    *, against_fence: bool, walls: Any = (), turns: int = 0, cut: Any = (), hold: Any = (), **said: Any
) -> tuple[Place, tuple[tuple[float, float], ...]]:
    """Lay a board of 600 by 200 mm on a bed of 20 to 1380 and 20 to 880 mm, the mark at (200, 140)."""
    own = replace(shop(), **({"hold_downs": (Backing("scrap", 1, 60.0, 40.0),)} | said))
    tools = dict.fromkeys(walls, CUTTER)
    g: Any = SimpleNamespace(place=Place("A", turns), against_fence=against_fence, hold=hold, tools=tools)
    wood = flat_wood(600.0, 200.0, 25.0, cut=frozenset(cut))
    return placed(own, wood, PIECE, g)


def test_a_board_lies_in_the_middle_of_the_bed_or_along_the_fence() -> None:
    """Room for what holds it and 6 mm from the fence's face, or from the bed's rim; else hard against it."""
    assert lies(against_fence=False)[0].shift == (200.0, -84.0, 0.0)
    assert lies(against_fence=False, fence=replace(FENCE, face=150.0))[0].shift == (200.0, 46.0, 0.0)
    assert lies(against_fence=False, turns=1)[0].shift == (600.0, -84.0, 0.0)
    place, keep = lies(against_fence=True, fence=FENCE)
    assert (place.shift, keep) == ((0.0, 0.0, 0.0), ())
    place, keep = lies(against_fence=True, fence=FENCE, turns=2, cut=("edge-2",))
    assert place.shift[1] == 190.0  # the edge that is cut stands 10 mm inside the rough board's
    assert place.plan(shapely.box(0.0, 0.0, 580.0, 190.0)).bounds[1] == 0.0


def test_a_board_is_not_laid_over_the_fence_for_a_vacuum() -> None:
    """To cover an area it goes as near as 6 mm to the fence's face; an area nearer than that is left."""
    below = Zone("below", "underneath", None, ())
    # The face is at 10 mm: an area from 18 mm on is covered from 16 mm on, and one from 17 mm is not.
    for low, y in ((158.0, 16.0), (157.0, 46.0)):
        pump = Vacuum("pump", (((400.0, 500.0), (low, low + 100.0)),), 5.0)
        place, _ = lies(
            against_fence=False,
            turns=2,
            hold=(below,),
            hold_downs=(pump,),
            fence=replace(FENCE, face=150.0),
        )
        assert place.shift[1] - 200.0 == y
    place, _ = lies(against_fence=False, turns=2, hold_downs=(pump,), fence=replace(FENCE, face=150.0))
    assert place.shift[1] - 200.0 == 46.0  # nothing holds it from below


def test_no_fence_stands_in_the_way_of_an_end() -> None:
    """Two cutters and a margin beyond the end, the scrap's length inside a left one; the most fence stays."""
    place, keep = lies(against_fence=True, fence=FENCE, walls=("end-1", "edge-2", "end-2"))
    x = place.shift[0]
    assert keep == ((x - 28.0, x + 61.0), (x + 580.0 - 4.0, x + 600.0 + 28.0))
    assert [p.name for p in fence_solids(shop(), FENCE, keep)] == ["fence piece 1", "fence piece 2"]
    assert -61.0 - 5.0 < x <= -61.0  # as near as can be to where the board would lie
    assert wall_at(PIECE, place, "end-2") == x + 580.0
    assert wall_at(PIECE, place, "edge-2") == 190.0
    assert finished_at(PIECE, place).bounds == (x, 0.0, x + 580.0, 190.0)


def test_a_tape_and_a_line_show_where_a_board_lies() -> None:
    """A tenth in from either end its distance from the fence's face, and its left end from the mark."""
    own = replace(shop(), fence=replace(FENCE, face=150.0))
    wood, place = flat_wood(600.0, 200.0, 25.0), Place("A", 0, (40.0, 46.0, 0.0))
    first, second, end = placing_of(own, wood, place, against_fence=False)
    assert [(p.x, p.distance) for p in (first, second, end)] == [(100.0, 36.0), (580.0, 36.0), (40.0, 40.0)]
    assert first.text == "36 mm from the fence's face to the board's near edge, at x = 100 mm"
    assert end.text == "40 mm along x from the mark to the board's left end, which lies right of it"
    [only] = placing_of(own, wood, replace(place, shift=(-40.26, 0.0, 0.0)), against_fence=True)
    assert (only.distance, only.text) == (
        40.3,
        "40.3 mm along x from the mark to the board's left end, which lies left of it",
    )
    bare = placing_of(shop(), wood, place, against_fence=False, bed=(140.0, 240.0))
    assert [(p.x, p.distance) for p in bare[:2]] == [(150.0, 46.0), (230.0, 46.0)]
    assert bare[0].text.startswith("46 mm from the line through the mark, along x to the board's near edge")
    assert placing_of(own, wood, replace(place, shift=(0.0, 0.0, 0.0)), against_fence=True)[0].text.endswith(
        "which lies right of it"
    )


def test_programs_travel_clear_of_all_that_stands() -> None:
    """A whole millimetre, the margin and 10 mm over the highest of it, or over the wood."""
    stand = [solid("low", rectangle(0, 0, 9, 9), top=14.0), solid("high", rectangle(0, 0, 9, 9), top=40.3)]
    assert clear_height(shop(), 25.2, stand) == 54.0
    assert clear_height(shop(), 25.2, []) == 39.0
    assert clear_height(shop(margin=5.0), 42.0, stand) == 57.0


def test_where_z_is_zero_is_said() -> None:
    """On the bed, on the risers' height, or on the tape; with what it is touched and what is set there."""
    wood, place = flat_wood(600.0, 200.0, 25.0), Place("A", 0)
    assert zero_how(wood, place).startswith("z on the bed beside the board (face B rests on it), never on")
    rough = flat_wood(600.0, 200.0, 25.0, heights={"A": 25.0})
    assert "(the shims stand on it)" in zero_how(rough, place)
    assert "(face A rests on it)" in zero_how(rough, Place("B", 0))
    assert "(face A rests on tape 0.2 mm thick)" in zero_how(wood, Place("B", 0), 0.2)
    raised = zero_how(wood, place, riser=Riser("riser", 3, 60.0, 30.0, 12.5))
    assert raised.startswith("z on the upper side of a piece as high as riser, 12.5 mm, planed together")
    assert "(face B rests on the risers)" in raised
    for by, units, said in (
        (
            "paper",
            "mm",
            "; lower until paper 0.12 mm thick just drags under the tip, and set z to 0.12 mm there",
        ),
        ("paper", "inch", "; lower until paper 0.0047 in thick just drags"),
        ("plate", "mm", "; lower onto the touch plate, 0.12 mm thick, set z to 0.12 mm there, and take"),
    ):
        own = replace(shop(units=units), z_touch=ZTouch(by=by, thickness=0.12))  # type: ignore[arg-type]
        assert touched_with(own).startswith(said)
    assert touched_with(shop()) == ""


def test_stops_at_an_end_and_along_an_edge_show_a_board_its_place() -> None:
    """Three tenths of its length along an edge, from end to end of what touches it, and one at an end."""
    outline = shapely.box(0.0, 0.0, 600.0, 200.0)

    def at(x0: float, y0: float, x1: float, y1: float, kind: str = "stop") -> Any:
        return solid("s", rectangle(x0, y0, x1, y1), kind=kind)

    end = at(-20.0, 90.0, 0.0, 110.0)
    along = [at(100.0, -20.0, 110.0, 0.0), at(268.0, -20.0, 279.0, 0.0)]
    assert registered(outline, [end, *along])
    # A millimetre more on either side counts for near enough: 99 to 280 are 181 mm.
    assert not registered(outline, [end, along[0], at(260.0, -20.0, 277.9, 0.0)])
    assert registered(outline, [at(600.0, 90.0, 620.0, 110.0), at(0.0, -20.0, 300.0, -1.0, "fence")])
    # Where a board tapers, what stands at its far edge may be nearer than its greatest width.
    taper = shapely.Polygon([(0, 0), (600, 0), (600, 200), (0, 100)])
    assert registered(taper, [end, *along])
    assert not registered(taper, [end, along[0], at(260.0, 143.0, 310.0, 160.0)])
    for missing in (
        [*along],
        [end],
        [end, along[0], at(268.0, 200.0, 279.0, 220.0)],  # one at either edge lets it turn
        [end, *(replace(s, kind="side-clamp") for s in along)],
        [replace(end, outline=end.outline - [1.1, 0.0]), *along],
        [end, *(replace(s, outline=s.outline - [0.0, 1.1]) for s in along)],
    ):
        assert not registered(outline, missing)


def test_a_board_goes_aside_until_what_holds_it_finds_a_bolt() -> None:
    """The nearest way by tens of millimetres, along before across, and never off the bed."""
    stop = Stop("stop", 1, 30.0, 20.0, 12.0)
    left = (Zone("left", ("end-1",), 20.0, ()),)

    def shifted(
        slots: Any, x: tuple[float, float], y: tuple[float, float], *, fence: bool = False, zones: Any = left
    ) -> Any:
        """Give how far the board is shifted; the middle of its stop's foot is at (-10, 100)."""
        c = clamping(stop, places=Places(slots, (), 1.0))
        bed = replace(c.shop.bed, x=(x[0] + 200.0, x[1] + 200.0), y=(y[0] + 140.0, y[1] + 140.0))
        c = replace(c, shop=replace(c.shop, bed=bed))
        g: Any = SimpleNamespace(steps=(), against_fence=fence, tools={})
        return onto_bolts(c, PIECE, g, zones).place.shift[:2]

    wide, high = (-50.0, 650.0), (-50.0, 250.0)
    both = (("y", 200.0 - 10.0 + 20.0), ("y", 200.0 - 10.0 - 20.0))
    for bed_x, shift in ((wide, (20.0, 0.0)), ((-50.0, 619.9), (-20.0, 0.0)), ((-19.9, 619.9), (0.0, 0.0))):
        assert shifted(both, bed_x, high) == shift
    across = (("x", 140.0 + 185.0 + 20.0),)  # beyond where a foot can stand along the end: 20 mm up it can
    assert shifted(across, wide, high) == (0.0, 20.0)
    assert shifted(across, wide, (-50.0, 219.9)) == (0.0, 0.0)
    assert shifted(both, wide, high, fence=True) == (0.0, 0.0)
    # Also where something else is wanted that the shop lacks: that is told, and moves no board.
    assert shifted(both, wide, high, zones=(*left, Zone("below", "underneath", None, ()))) == (20.0, 0.0)
    assert shifted((("y", 190.5),), wide, high) == (0.0, 0.0)
