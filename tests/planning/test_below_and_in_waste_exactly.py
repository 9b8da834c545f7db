"""What holds a board from below and through its waste: where strips, areas and screws lie, by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
import shapely

from clampings import CUTTER, bounds, clamping, flat_wood
from setups import rectangle, shop, solid
from stockwright.hold_downs import Channel, Screw, SideClamp, Tape, Vacuum
from stockwright.job import Zone
from stockwright.planning.beside import Placed
from stockwright.planning.in_waste import _spread, hold_in_waste
from stockwright.planning.underneath import hold_underneath, over_vacuum
from stockwright.planning.wood import Place

if TYPE_CHECKING:
    from stockwright.findings import Finding
    from stockwright.planning.clamping import Clamping

BELOW, WASTE = Zone("below", "underneath", None, ()), Zone("waste", "waste", None, ())
TAPE = Tape("tape", 3, 50.0, 0.2, shear=0.03, lift=0.01)
# The mark is at (200, 140): work (10..110, 20..120), and (200..260, 20..80).
VACUUM = Vacuum("pump", (((210.0, 310.0), (160.0, 260.0)), ((400.0, 460.0), (160.0, 220.0))), 5.0, 0.3, 0.05)
SCREW = Screw("screw", 4, 9.0, 5.0, 12.0, 0.0, 350.0, 400.0)


def below(c: Clamping) -> Placed:
    """Hold a board from below."""
    placed = Placed()
    hold_underneath(c, BELOW, placed)
    return placed


def marked(c: Clamping, *marks: Channel) -> Clamping:
    """Give the clamping on a bed with marks of earlier cuts."""
    return replace(c, shop=replace(c.shop, bed=replace(c.shop.bed, marks=marks)))


def refused(placed: Placed) -> Finding:
    """Give the one refusal of what holds nothing."""
    assert (placed.solids, placed.grips, placed.notes) == ([], [], [])
    [finding] = placed.found
    assert (finding.level, finding.setup) == ("refuse", 3)
    return finding


def test_strips_lie_side_by_side_inside_the_edges() -> None:
    """Three of 50 mm in the 180 mm that 10 mm inside both edges leave; each with its place and its force."""
    placed = below(clamping(TAPE))
    strips = [bounds(g.outline) for g in placed.grips]
    assert strips == [[10.0, low, 590.0, low + 50.0] for low in (10.0, 75.0, 140.0)]
    assert [(g.name, g.how, g.at, g.area, g.force, g.lifts) for g in placed.grips[:2]] == [
        ("tape strip 1", "shear", (300.0, 35.0, 0.0), 29000.0, 870.0, 290.0),
        ("tape strip 2", "shear", (300.0, 100.0, 0.0), 29000.0, 870.0, 290.0),
    ]
    assert placed.grips[0].source == "29000 mm2 of tape at 0.03 N/mm2 (the shop's own figure)"
    assert placed.notes[0] == (
        "tape strip 1: on the bed from x 10 mm, y 10 mm to x 590 mm, y 60 mm, seen from the mark."
    )
    assert placed.notes[3] == (
        "tape carries 2610 N in the plane (29000 mm2 of tape at 0.03 N/mm2 (the shop's own figure) for the "
        "first strip), and 870 N upwards, by the shop's pull test, if nothing pries: it peels."
    )
    assert (placed.on_tape, placed.taken, placed.found) == (0.2, {"tape": 3}, [])
    assert len(placed.notes) == 5
    assert " to x 590 mm, y 60 mm, " in below(clamping(TAPE, length=600.4)).notes[0]
    wide, few, across = (
        below(clamping(replace(TAPE, width=61.0))),
        below(clamping(replace(TAPE, count=1))),
        below(clamping(TAPE, length=200.0, width=600.0)),
    )
    assert [bounds(g.outline)[1] for g in wide.grips] == [10.0, 129.0]
    assert [bounds(g.outline) for g in few.grips] == [[10.0, 75.0, 590.0, 125.0]]
    assert bounds(across.grips[0].outline) == [10.0, 10.0, 60.0, 590.0]
    assert [bounds(g.outline) for g in below(clamping(TAPE, width=60.0)).grips] == [[10.0, 10.0, 590.0, 50.0]]
    guessed = below(clamping(Tape("tape", 1, 50.0, 0.2)))
    assert (guessed.grips[0].force, guessed.grips[0].lifts) == (580.0, 0.0)
    assert "nothing is counted upwards" in guessed.notes[1]


def test_strips_keep_off_walls_and_marks() -> None:
    """A wall that is cut through keeps tape 13 mm off; of a parted strip the greater part counts."""
    walled = below(clamping(TAPE, walls={"end-2": CUTTER}, stop_lines={"end-2": 590.0}))
    assert {bounds(g.outline)[2] for g in walled.grips} == {577.0}
    # The mark runs across at work x 100 to 110.
    parted = below(marked(clamping(TAPE), Channel((300.0, 310.0), (0.0, 900.0), 0.5)))
    assert {tuple(bounds(g.outline)[::2]) for g in parted.grips} == {(110.0, 590.0)}
    over = Channel((200.0, 788.0), (140.0, 200.0), 0.5)  # over the first strip but for 100 mm2
    assert len(below(marked(clamping(TAPE), over)).grips) == 3
    most = Channel((200.0, 788.1), (140.0, 200.0), 0.5)
    assert len(below(marked(clamping(TAPE), most)).grips) == 2


def test_the_strongest_tape_that_is_known_is_taken() -> None:
    """What the shop has tested before a guess, and of those the one that carries most."""
    kinds = (
        Tape("guess", 3, 50.0, 0.2),
        Tape("weak", 3, 50.0, 0.2, 0.01),
        Tape("strong", 3, 50.0, 0.2, 0.02),
        Tape("alike", 3, 50.0, 0.2, 0.02),
    )
    assert below(clamping(*kinds)).grips[0].name == "alike strip 1"
    assert below(clamping(*kinds[:2])).grips[0].name == "weak strip 1"


def test_a_tape_too_thin_gives_way_to_the_next_and_the_sheet_says_so() -> None:
    """On a face that has moved by 0.15 mm one of 0.1 mm is passed over, and one of 0.2 mm holds."""
    thin = Tape("thin", 3, 50.0, 0.1, shear=0.09)
    c = clamping(thin, TAPE, VACUUM)
    c = replace(c, wood=flat_wood(100.0, 100.0, 25.0, moved={"B": 0.15}))
    placed = below(c)
    assert {g.name for g in placed.grips} == {"tape strip 1"}
    assert [note.partition(":")[0] for note in placed.notes[-2:]] == ["Not pump", "Not thin"]
    assert placed.notes[-1] == (
        "Not thin: face B, which would lie on thin, is flat no more: it stands off by up to 0.15 mm, and the "
        "tape is 0.10 mm thick."
    )
    assert placed.found == []


def test_why_tape_or_vacuum_cannot_hold() -> None:
    """Nothing listed, too narrow, no more flat, or nothing sealed: each with both numbers and a cure."""
    none = refused(below(clamping(SideClamp("side", 4, 40.0, 30.0, 14.0))))
    assert (none.rule, none.measured, none.limit) == ("no-hold-down", 0.0, 1.0)
    assert none.message.startswith("zone below asks for something that holds underneath, and the shop lists")
    narrow = refused(below(clamping(TAPE, width=20.0)))
    assert (narrow.rule, narrow.measured, narrow.limit) == ("no-room-for-tape", 20.0, 25.0)
    assert "it is 20.0 mm at its narrowest, and tape keeps 10 mm from every edge" in narrow.message
    across = refused(below(clamping(TAPE, width=20.0, place=Place("A", 1, (70.0, 30.0, 0.0)))))
    assert (across.measured, across.message) == (20.0, narrow.message)
    for moved, fits in ((0.2, True), (0.21, False)):
        c = clamping(TAPE, VACUUM)
        c = replace(c, wood=flat_wood(600.0, 200.0, 25.0, moved={"B": moved}))
        taped = replace(c, shop=replace(c.shop, hold_downs=(TAPE,)))
        assert (below(taped).found == []) is fits
    rough = refused(below(taped))
    assert (rough.rule, rough.measured, rough.limit) == ("tape-on-rough-face", 0.21, 0.2)
    assert rough.message == (
        "face B, which would lie on tape, is flat no more: it stands off by up to 0.21 mm, and the tape is "
        "0.20 mm thick"
    )
    for moved, fits in ((0.3, True), (0.31, False)):
        drawn = replace(c, wood=flat_wood(600.0, 200.0, 25.0, moved={"B": moved}))
        drawn = replace(drawn, shop=replace(c.shop, hold_downs=(VACUUM,)))
        assert (below(drawn).found == []) is fits
    rough = refused(below(drawn))
    assert (rough.rule, rough.measured, rough.limit) == ("rough-face-on-vacuum", 0.31, 0.3)
    assert rough.message == (
        "face B, which lies on pump, is out of flat by 0.31 mm, and its seal follows 0.30 mm"
    )
    assert rough.remedy == "cut face B flat first, held from its sides"


def test_areas_wholly_under_the_board_draw() -> None:
    """2 mm inside the edges; each with what is inside its seal, the others shut and said why."""
    placed = below(clamping(VACUUM))
    assert [(g.name, g.how, g.at, g.area, g.force) for g in placed.grips] == [
        ("pump area 1", "draw", (60.0, 70.0, 0.0), 8100.0, 405.0),
        ("pump area 2", "draw", (230.0, 50.0, 0.0), 2500.0, 125.0),
    ]
    assert bounds(placed.grips[0].outline) == [10.0, 20.0, 110.0, 120.0]
    source = "8100 mm2 inside the seal at 0.5 bar below the air's (the shop's own figure)"
    gauge = ". Read the gauge with this board on it before the spindle starts, and let no one shut the pump."
    assert placed.notes == [
        f"pump: open areas 1, 2, which draw with 530 N together (the first: {source}){gauge}"
    ]
    for width, count in ((122.0, 2), (121.9, 1)):
        assert len(below(clamping(VACUUM, width=width)).grips) == count
    [note] = below(clamping(VACUUM, width=121.0)).notes
    assert "open area 2, which draw with 125 N" in note
    assert "; shut area 1, not wholly under the board. Read" in note
    leaky = below(marked(clamping(VACUUM), Channel((405.0, 406.0), (0.0, 190.0), 0.2)))
    assert leaky.notes[0].endswith(f"; shut area 2: a mark of an earlier cut runs under the seal{gauge}"), (
        "a mark runs in under its seal"
    )
    within = Channel((406.0, 454.0), (166.0, 214.0), 0.2)  # inside the seal it does no harm
    assert len(below(marked(clamping(VACUUM), within)).grips) == 2
    guess = below(clamping(replace(VACUUM, pressure=None)))
    assert guess.grips[0].force == 324.0


def test_no_area_is_sealed() -> None:
    """How much of one lies under the board, how many lie across marks, and where one would have to lie."""
    short = clamping(VACUUM, length=100.0, walls={"edge-2": CUTTER}, stop_lines={"edge-2": 190.0})
    found = refused(below(short))
    assert (found.rule, found.measured, found.limit) == ("no-vacuum-under-board", 88.0, 100.0)
    assert found.message == "no area of pump is sealed under the board: at most 88 % of one lies under it"
    assert found.remedy == (
        "let an area lie within x 202 mm to 298 mm and y 142 mm to 325 mm of the bed, under the board, or "
        "hold zone below by tape"
    )
    every = refused(below(marked(short, Channel((0.0, 900.0), (160.0, 162.0), 0.2))))
    assert every.message.endswith("is sealed under the board, and 2 lie across marks of earlier cuts")
    assert every.measured == 0.0
    taped = clamping(VACUUM, TAPE, length=100.0)
    placed = below(taped)
    assert {g.how for g in placed.grips} == {"shear"}
    assert placed.notes[-1] == f"Not pump: {found.message}."
    assert refused(below(clamping(VACUUM, width=3.0))).remedy.startswith("take a wider board, or hold")


def test_a_board_is_laid_over_the_areas_by_whole_millimetres() -> None:
    """Where it covers most; of places alike the nearest to where it would lie; never off the bed."""
    own = replace(shop(), hold_downs=(VACUUM,))
    outline = shapely.box(0.0, 0.0, 200.0, 150.0)
    everywhere = ((-900.0, 900.0), (-900.0, 900.0))
    # A board of 200 mm is too short for both areas: the greater one alone.
    assert over_vacuum(own, outline, (0.0, 0.0), everywhere) == (0.0, 0.0)
    assert over_vacuum(own, outline, (300.0, 0.0), everywhere) == (8.0, 0.0)
    assert over_vacuum(own, outline, (-300.0, 300.0), everywhere) == (-88.0, 18.0)
    long = shapely.box(0.0, 0.0, 300.0, 150.0)
    assert over_vacuum(own, long, (300.0, 0.0), everywhere) == (8.0, 0.0)
    assert over_vacuum(own, long, (-300.0, 0.0), everywhere) == (-38.0, 0.0)
    kept = ((50.0, 900.0), (0.0, 0.0))  # not far enough to the left for the greater area
    assert over_vacuum(own, long, (300.0, 0.0), kept) == (198.0, 0.0)
    assert over_vacuum(own, long, (300.0, 5.0), ((300.0, 300.0), (5.0, 5.0))) == (300.0, 5.0)


def screwed(c: Clamping, *standing: Any) -> Placed:
    """Hold a board by screws in its waste."""
    placed = Placed()
    hold_in_waste(c, WASTE, standing, placed)
    return placed


def test_screws_stand_in_the_waste_as_far_apart_as_can_be() -> None:
    """Half a head and 3 mm of wood from every rim; what they carry sideways and upwards is said."""
    c = clamping(SCREW, finished=shapely.box(17.0, 0.0, 583.0, 200.0))
    placed = screwed(c)
    spots = [(7.5, 7.5), (7.5, 192.5), (592.5, 7.5), (592.5, 192.5)]
    assert [(g.name, g.how, g.at, g.force, g.lifts) for g in placed.grips] == [
        (f"screw {k}", "shear", (*spot, 0.0), 350.0, 400.0) for k, spot in enumerate(spots, 1)
    ]
    assert bounds(placed.solids[0]) == [3.0, 3.0, 12.0, 12.0]
    assert {(s.kind, s.bottom, s.top) for s in placed.solids} == {("screw", 0.0, 30.0)}
    assert placed.notes[1] == "screw 2: in the waste at x 8 mm, y 192 mm from the mark, 12 mm into the bed."
    assert placed.notes[4].startswith("screw: each carries 350 N sideways (the shop's own figure). Drill")
    assert placed.taken == {"screw": 4}
    sunk = screwed(replace(c, shop=replace(c.shop, hold_downs=(replace(SCREW, sunk=6.0, pull=None),))))
    assert {(s.top, g.lifts) for s, g in zip(sunk.solids, sunk.grips, strict=True)} == {(19.0, 0.0)}
    assert sunk.notes[0].endswith("12 mm into the bed, its head sunk 6 mm below the wood.")
    c = replace(c, finished=shapely.box(40.0, 0.0, 560.0, 200.0))
    walled = replace(c, walls={"end-2": CUTTER}, stop_lines={"end-2": 590.0})
    assert max(g.at[0] for g in screwed(walled).grips) == 590.0 - 3.0 - 7.5
    block = solid("block", rectangle(0.0, 0.0, 40.0, 20.0))
    assert min(g.at[1] for g in screwed(c, block).grips if g.at[0] < 300) == pytest.approx(27.609, abs=1e-3)


def test_screws_without_room_are_told_how_much_waste_they_want() -> None:
    """How wide the waste is, what a head with wood round it wants, and the cure for each case."""
    for finished, most, cure in (
        (
            shapely.box(12.0, 0.0, 600.0, 200.0),
            12.0,
            "take a board at least 6.0 mm longer, or a screw with a",
        ),
        (shapely.box(0.0, 0.0, 600.0, 184.0), 16.0, None),
        (shapely.box(5.0, 0.0, 600.0, 200.0), 5.0, "take a board at least 20.0 mm longer, or hold"),
        (shapely.box(0.0, 9.0, 596.0, 200.0), 9.0, "take a board at least 12.0 mm longer, or a screw with a"),
        (shapely.box(0.0, 0.0, 593.0, 196.0), 7.0, "take a board at least 16.0 mm longer, or a screw with a"),
    ):
        placed = screwed(clamping(SCREW, finished=finished))
        if cure is None:
            assert placed.found == []
            continue
        found = refused(placed)
        assert (found.rule, found.measured, found.limit) == ("no-waste-for-screws", most, 15.0)
        assert found.remedy.startswith(cure)
        assert found.message == (
            "screw finds room for 0 of at least 2 in the waste of zone waste: the waste that stays is at "
            "most "
            f"{most:.1f} mm wide, and a head with wood round it wants 15.0 mm"
        )
    assert (
        "a head at most 6.0 mm across"
        in refused(screwed(clamping(SCREW, finished=shapely.box(12.0, 0.0, 600.0, 200.0)))).remedy
    )
    one = clamping(SCREW, width=16.0, finished=shapely.box(16.0, 0.0, 600.0, 16.0))
    found = refused(screwed(one))
    assert "finds room for 1 of at least 2" in found.message
    assert found.remedy == "take a board at least 30.0 mm longer, or hold this one another way"
    assert refused(screwed(clamping())).message == "the zone waste asks for a screw, and the shop lists none"


def test_the_strongest_screws_are_tried_first_and_all_told_where_none_fits() -> None:
    """What is known before what is guessed; a thinner head finds room where a wider one has none."""
    wide = replace(SCREW, name="wide", head=20.0, shear=900.0)
    guess = replace(SCREW, name="guess", shear=None)
    finished = shapely.box(16.0, 0.0, 600.0, 200.0)
    placed = screwed(clamping(guess, SCREW, wide, finished=finished))
    assert ({g.name.split()[0] for g in placed.grips}, placed.found) == ({"screw"}, [])
    none = screwed(clamping(guess, SCREW, wide, finished=shapely.box(9.0, 0.0, 600.0, 200.0)))
    assert [f.message.split()[0] for f in none.found] == ["wide", "screw", "guess"]
    assert _spread([], 4) == []
    assert _spread([(0.0, 0.0), (15.9, 0.0)], 4) == [(0.0, 0.0)]
    assert _spread([(0.0, 0.0), (16.0, 0.0), (30.0, 0.0), (50.0, 0.0)], 3) == [
        (0.0, 0.0),
        (30.0, 0.0),
        (50.0, 0.0),
    ]
