"""Where clamps stand that are moved while a face is cut under them, and the regions: worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import pytest
import shapely

from clampings import bounds, clamping
from cutters import facer
from setups import face, rectangle, solid
from stockwright.findings import Finding
from stockwright.hold_downs import Places, TopClamp
from stockwright.job import Zone
from stockwright.planning import clamp_moves
from stockwright.planning.clamp_places import Room, held_far_apart, places_across, places_along, rims
from stockwright.planning.setup import ShimPlace
from stockwright.planning.wood import Place

if TYPE_CHECKING:
    from stockwright.planning.clamp_places import Stand, State

ARM = TopClamp("arm", 6, 40.0, 110.0, 18.0, 30.0, 30.0)
TOP = Zone("top", "face", None, ())
# A stop at the left end and two at the near edge, 200 mm apart: they show a board its place.
SHOWN = (
    solid("end", rectangle(-20.0, 90.0, 0.0, 110.0), kind="stop"),
    solid("edge", rectangle(100.0, -20.0, 320.0, 0.0), kind="fence"),
)


def room(
    clamp: TopClamp = ARM,
    length: float = 600.0,
    width: float = 200.0,
    zone: Zone = TOP,
    standing: Any = (),
    places: Places | None = None,
    overlap: float = 10.0,
) -> Room:
    """Give a face cut to 20 mm of 25, passes 30 mm apart, a cutter of 50: its rims are 20 and 10 mm out."""
    c = clamping(clamp, length=length, width=width, places=places)
    cut = face(size=(length, width), at=(0.0, 0.0), tool=facer(), z=20.0, stepover=30.0)
    return Room.of(c, zone, clamp, cut, overlap, 0.5, standing)


def states(found: tuple[State, State] | Finding) -> list[tuple[list[tuple[float, float, float]], list[Any]]]:
    """Give of each state where its arms stand (middle, low y, high y), and its bands."""
    assert not isinstance(found, Finding)
    told = []
    for state in found:
        arms = [bounds(s.arm) for s in state.stands]
        bands = [(*(round(v, 6) for v in b.box.bounds), b.begin) for b in state.bands]
        told.append(([((x0 + x1) / 2, y0, y1) for x0, y0, x1, y1 in arms], bands))
    return told


def refused(found: object) -> Finding:
    """Give the refusal."""
    assert isinstance(found, Finding)
    assert (found.rule, found.level, found.setup) == ("no-room-for-clamps", "refuse", 3)
    assert found.message.startswith("arm cannot be moved so that all of face A is cut: ")
    return found


def test_how_far_the_rim_comes_beyond_a_region() -> None:
    """A pass bites no wider than its stepover nor than the flat of the cutter less one."""
    for stepover, corner, out in (
        (30.0, 0.0, (20.0, 10.0)),
        (49.5, 0.0, (1.0, 0.5)),
        (45.0, 4.0, (9.0, 4.5)),
    ):
        assert rims(facer(corner_radius=corner), stepover) == out
    made = room()
    assert (made.begins, made.ends, made.first, made.second, made.fewest) == (20.0, 10.0, 3.5, 3.5, 3)
    assert room(standing=SHOWN).fewest == 2
    # So high that the nose, 66 mm over the tip and 10 mm wider than the cutter, comes as low as the arm.
    high = room(replace(ARM, arm_height=57.6))
    assert (high.first, high.second) == (13.5, 3.5)
    assert room(replace(ARM, arm_height=57.5)).first == 3.5
    higher = room(replace(ARM, arm_height=62.1))
    assert (higher.first, higher.second) == (13.5, 13.5)


def test_passes_along_are_held_at_one_edge_and_then_at_the_other() -> None:
    """The far half first; both halves reach 5 mm over the middle, or less where an arm is in the way."""
    far, near = states(places_along(room()))
    assert far == (
        [(28.0, -6.0, 30.0), (300.0, -6.0, 30.0), (572.0, -6.0, 30.0)],
        [(-1e5, 95.0, 1e5, 1e5, "high")],
    )
    assert near == (
        [(28.0, 170.0, 206.0), (300.0, 170.0, 206.0), (572.0, 170.0, 206.0)],
        [(-1e5, -1e5, 1e5, 105.0, "low")],
    )
    long = states(places_along(room(replace(ARM, reach=90.0))))
    assert [long[0][0][0][2], long[1][0][0][1]] == [81.5, 118.5]
    assert [bands for _, bands in long] == [bands for _, bands in (far, near)]
    made = places_along(room())
    assert not isinstance(made, Finding)
    rough, fresh = (state.stands[0] for state in made)
    assert [(s.wood, s.top) for s in (rough, fresh)] == [(25.0, 25.0 + 0.5 + 18.0), (20.0, 20.0 + 1.0 + 18.0)]


@pytest.mark.parametrize(
    ("length", "count", "shown", "at"),
    [
        (856.0, 6, False, [28.0, 428.0, 828.0]),  # 800 mm between the outer ones
        (857.0, 6, False, [28.0, 295.0, 562.0, 829.0]),
        (456.0, 6, True, [114.0, 342.0]),
        (457.0, 6, True, [28.0, 228.0, 429.0]),
        (600.0, 2, True, [150.0, 450.0]),  # two hold best a quarter from either end
        (600.0, 3, True, [28.0, 300.0, 572.0]),
        (148.0, 3, False, [28.0, 74.0, 120.0]),
    ],
)
def test_as_many_clamps_along_an_edge_as_keep_them_near(
    length: float, count: int, shown: bool, at: list[float]
) -> None:
    """400 mm at most from one to the next; three, or two where stops show the board its place."""
    standing = SHOWN if shown else ()
    found = states(places_along(room(replace(ARM, count=count), length=length, standing=standing)))
    assert [[x for x, _, _ in arms] for arms, _ in found] == [at, at]


def test_why_passes_along_have_no_room() -> None:
    """Clamps at one edge, too few of them, a board too short or too narrow: both numbers and a cure."""
    one = refused(places_along(room(zone=replace(TOP, clear_of=("edge-2",)))))
    assert (one.measured, one.limit) == (1.0, 2.0)
    assert one.remedy == "let the passes run across, or let the zone keep clear of no edge"
    two = refused(places_along(room(replace(ARM, count=2))))
    assert (two.measured, two.limit) == (2.0, 3.0)
    assert two.message.endswith("2 of them are there, and while one is moved two must hold")
    assert two.remedy == (
        "list at least 3 of them; or let the board stand against the fence and a stop at an end, which show "
        "its "
        "place"
    )
    assert refused(places_along(room(replace(ARM, count=1)))).remedy == "list at least 3 of them"
    short = refused(places_along(room(length=147.9)))
    assert (short.measured, short.limit) == (147.9, 148.0)
    assert short.message.endswith("the board is 148 mm long; 3 clamps beside one another need 148 mm")
    assert short.remedy == "use narrower clamps, or hold this board from its sides"
    assert not isinstance(places_along(room(width=67.0)), Finding)
    narrow = refused(places_along(room(width=66.0)))
    assert (narrow.measured, narrow.limit) == (66.0, 67.0)
    assert narrow.message.endswith("it is 66 mm wide where they stand; 67 mm are needed")
    assert narrow.remedy.startswith("let the passes run across, ask for a smaller overlap")
    arm = places_along(room(replace(ARM, arm=35.0)))
    assert isinstance(arm, Finding)
    assert (arm.measured, arm.limit) == (36.0, 35.0)


def test_a_slot_where_the_board_is_narrow_is_no_place_for_a_clamp_that_reaches_far() -> None:
    """Its tip would come over the middle, so that the halves do not meet: refused with what they share."""
    dip: Any = shapely.box(0.0, 0.0, 600.0, 200.0).difference(shapely.box(325.0, 120.0, 400.0, 200.0))
    slots = Places(tuple(("y", x + 200.0) for x in (28.0, 359.0, 572.0)), (), 0.0)
    made = room(replace(ARM, reach=90.0, count=3), places=slots)
    whole = places_along(made)
    assert [[x for x, _, _ in arms] for arms, _ in states(whole)] == [[28.0, 359.0, 572.0]] * 2
    c = replace(made.c, wood=replace(made.c.wood, outline=dip))
    found = refused(places_along(replace(made, c=c, outline=dip)))
    # The far arm there reaches 81.5 mm in from 120 mm, its rim 13.5 further; the near half begins at 95.
    assert (found.measured, found.limit) == (25.0 - 95.0, 10.0)
    assert found.message.endswith("where they are bolted its halves overlap by -70 mm, 10 mm are needed")


def test_a_rough_board_has_a_shim_under_each_arm() -> None:
    """As high as its lower face stands over the bed there, by what the shop has; not where one lies near."""
    plain = clamping(ARM, outline=shapely.box(0.0, 0.0, 600.0, 200.0))

    def bottom(xy: Any) -> Any:
        return 1.0 + 0.01 * xy[:, 0] + 0.002 * xy[:, 1]

    rough: Any = SimpleNamespace(name="elm", bottom_at=bottom)
    wood = replace(plain.wood, board=rough, heights={"A": 25.0})
    c = replace(plain, wood=wood, place=Place("A", 0, (100.0, 50.0, -2.0)))
    # Middles of the arms on the wood: 10, 130 and 300 mm along the board, 25 mm in.
    arms = tuple(solid(f"arm {k}", rectangle(x + 80, 40, x + 120, 100)) for k, x in enumerate((10, 130, 300)))
    assert clamp_moves._shims_under(c, arms, ()) == (
        # 1 + 1.3 + 0.05 - 2 and 1 + 3 + 0.05 - 2; at 10 mm nothing is open
        ShimPlace("elm", 230.0, 75.0, 0.3),
        ShimPlace("elm", 400.0, 75.0, 2.0),
    )
    none = replace(c, shop=replace(c.shop, shims=()))
    assert [s.thickness for s in clamp_moves._shims_under(none, arms, ())] == pytest.approx([0.3, 2.0])
    for away, count in ((29.9, 1), (30.0, 2)):
        lying = (ShimPlace("elm", 400.0 + away, 75.0, 1.0),)
        assert len(clamp_moves._shims_under(c, arms, lying)) == count
    assert len(clamp_moves._shims_under(c, (arms[1], arms[1]), ())) == 1
    assert clamp_moves._shims_under(replace(c, wood=plain.wood), arms, ()) == ()
    assert clamp_moves._shims_under(replace(c, place=Place("B", 0)), arms, ()) == ()


def test_passes_across_are_held_in_the_middle_and_then_at_the_ends() -> None:
    """Both ends first, to 160 mm from them; then the middle with 10 mm over either border."""
    ends, middle = states(places_across(room()))
    assert ends == (
        [(194.0, -6.0, 30.0), (194.0, 170.0, 206.0), (406.0, -6.0, 30.0), (406.0, 170.0, 206.0)],
        [(-1e5, -1e5, 160.0, 1e5, "low"), (440.0, -1e5, 1e5, 1e5, "high")],
    )
    assert middle == (
        [(106.0, -6.0, 30.0), (106.0, 170.0, 206.0), (494.0, -6.0, 30.0), (494.0, 170.0, 206.0)],
        [(150.0, -1e5, 450.0, 1e5, "low")],
    )
    # Arms from both edges keep 6 mm apart.
    tips = states(places_across(room(replace(ARM, reach=110.0))))[0][0]
    assert (tips[0][2], tips[1][1]) == (97.0, 103.0)
    one = states(
        places_across(room(replace(ARM, count=2), zone=replace(TOP, clear_of=("edge-2",)), standing=SHOWN))
    )
    assert [[x for x, _, _ in arms] for arms, _ in one] == [[194.0, 406.0], [106.0, 494.0]]
    # So short that the middle has only what it must: 276 mm are 2 x 81.5 and 113.
    short = states(places_across(room(length=276.0)))
    assert short[0][1][0][2] == 82.0
    assert [x for x, _, _ in short[0][0]] == [116.0, 116.0, 160.0, 160.0]
    found = refused(places_across(room(length=275.9)))
    assert (found.measured, found.limit) == (275.9, 276.0)
    assert found.remedy.startswith("let the passes run along, ask for a smaller overlap")


def test_what_has_no_room_is_told_to_a_thousandth() -> None:
    """Both numbers: more digits than a rule shows are no news."""
    found = room().no_room("why", 1.23456, 2.34567, "cure")
    assert (found.measured, found.limit) == (1.235, 2.346)


def test_a_long_span_on_nothing_is_warned_of() -> None:
    """Between two clamps, or twice beyond the last: more than 400 mm is told with where and by how much."""
    for length, worst in ((704.0, None), (800.0, 448.0)):
        made = room(length=length)
        found = places_across(made)
        assert not isinstance(found, Finding)
        told = held_far_apart(made, found)
        assert [f.measured for f in told] == ([] if worst is None else [worst])
    assert (told[0].rule, told[0].level, told[0].limit, told[0].setup) == ("held-far-apart", "warn", 400.0, 3)
    assert "448 mm of the board are held by nothing; 400 mm are usual" in told[0].message
    assert told[0].remedy == (
        "put a stop or a low side clamp at x 800 mm, lower than 20.0 mm, or cut the board 100 mm shorter "
        "first"
    )
    # With nothing at its left end: twice what lies beyond the first of them, to be held at that end.
    assert not isinstance(found, Finding)
    ends, middle = (
        replace(state, stands=tuple(s for s in state.stands if bounds(s.arm)[0] > 300.0)) for state in found
    )
    beyond = max(min(bounds(s.arm)[0] for s in state.stands) for state in (ends, middle))
    [warned] = held_far_apart(made, (ends, middle))
    assert warned.measured == pytest.approx(2 * beyond)
    assert warned.remedy.startswith("put a stop or a low side clamp at x 0 mm,")


def test_a_board_made_as_much_shorter_as_is_said_is_held_as_usual() -> None:
    """Clamps spread over a shorter board come nearer together by a part of that: so much, and little more."""
    four, three = replace(ARM, count=4), replace(ARM, count=3)
    for way, clamp, length in (
        (places_across, ARM, 800.0),
        (places_across, ARM, 1038.4),
        (places_along, three, 1200.0),
        (places_along, three, 960.7),
        (places_along, four, 1600.0),
    ):
        by, told = 0.0, []
        for share in (0.0, 1.0, 0.8):
            made = room(clamp, length=length - share * by)
            found = way(made)
            assert not isinstance(found, Finding)
            said = held_far_apart(made, found)
            told.append(len(said))
            by = by or float(said[0].remedy.rpartition(" mm shorter first")[0].rpartition(" ")[2])
        assert told == [1, 0, 1]


@pytest.mark.parametrize(
    ("slot", "aside", "x"),
    [
        (219.0, (1, -1), 219.0),
        (219.0, (-1,), None),
        (169.0, (1, -1), 169.0),
        (253.0, (1,), 253.0),
        (254.0, (1,), None),
        (194.0, (1,), 194.0),
    ],
)
def test_a_clamp_goes_aside_to_a_slot(slot: float, aside: tuple[int, ...], x: float | None) -> None:
    """By less than 60 mm, the ways that are free; else it is refused as it was where it was wanted."""
    made = room(places=Places((("y", slot + 200.0),), (), 0.0))
    found: Stand | Finding = made.stand(194.0, 30.0, 2, near=True, fresh=True, aside=aside)
    if isinstance(found, Finding):
        assert x is None
        assert (found.rule, found.measured) == ("no-place-for-hold-down", abs(slot - 194.0))
    else:
        assert sum(bounds(found.arm)[::2]) / 2 == x
        assert found.arm.name == "arm 2 arm"
