"""What wood stands, what passes take and touch of it, and what they miss, by places worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import pytest
import shapely

from cutters import end_mill, facer
from setups import bed_setup, edge_setup, face, face_setup, rectangle, shop, solid
from situations import hand, situation
from stockwright.checking.burning import breakout_unbacked
from stockwright.checking.situation import Limits
from stockwright.checking.swept import deepest_lines, half_plane, level_lines, lines_of, miss_of, strip, swept
from stockwright.checking.wood import Eaten, touches_in, wood_of
from stockwright.planning.setup import FaceCut, PlaneGoal

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from situations import Stop
    from stockwright.checking.swept import Miss
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

Place = tuple[float, float, float]


def test_wood_is_known_at_the_middles_of_its_cells() -> None:
    """Two millimetres apart at the nearest; a face's own readings, what was lowered before, and scrap."""
    heights = np.array([[31.0, 32.0], [33.0, 34.0]])
    scrap = solid("scrap", rectangle(40.0, 0.0, 50.0, 10.0), top=22.0, may_cut_to=0.0)
    own = face_setup(
        size=(40.0, 20.0),
        at=(0.0, 0.0),
        wood=heights,
        solids=(scrap, solid("clamp", rectangle(60, 0, 80, 9))),
    )
    wood = wood_of(replace(own, lowered=((rectangle(-1.0, -1.0, 11.0, 9.0), 30.5),)))
    assert wood is not None
    assert wood.apart == 2.0
    assert wood.x.tolist() == list(np.arange(1.0, 50.0, 2.0))
    assert wood.y.tolist() == list(np.arange(1.0, 20.0, 2.0))
    assert wood.height[[0, 0, 5, 6, 19, 19, 9, 10], [0, 9, 0, 9, 0, 9, 0, 0]].tolist() == [
        30.5, 32.0, 31.0, 32.0, 33.0, 34.0, 31.0, 33.0,
    ]  # fmt: skip
    assert wood.height[20:, :5].tolist() == [[22.0] * 5] * 5
    assert not np.isfinite(wood.height[20:, 5:]).any()
    assert np.argwhere(wood.scrap).tolist() == [[i, j] for i in range(20, 25) for j in range(5)]
    assert wood.window(4.9, 3.0, 9.0, 6.9) == (slice(2, 5), slice(1, 3))
    large = wood_of(face_setup(size=(1200.0, 640.0)))
    assert large is not None
    assert large.apart == 8.0


def passed(
    setup: Setup, tool: Tool, *stops: Stop, **machine: object
) -> tuple[list[tuple[object, ...]], list[Eaten]]:
    """Drive through wood; give what was touched, and what was taken."""
    own = situation(setup, shop(**machine), (hand(setup, tool, *stops),))  # type: ignore[arg-type]
    eaten: dict[str, list[Eaten]] = {}
    touches = touches_in(setup, own.runs, own.machine, Limits(), eaten)
    return [(t.kind, t.part, t.at, t.height, t.wood, round(t.slope, 4)) for t in touches], eaten["by-hand"]


def begun(x: float, y: float, z: float) -> tuple[Stop, ...]:
    """Come from above, beside or over the wood, down to a place."""
    return (("rapid", None, None, 60.0), ("rapid", x, y, None), ("feed", x, y, z))


SMALL = face_setup(size=(60.0, 40.0), at=(0.0, 0.0), z=5.0, ceiling=20.0)
SLIM = end_mill(
    cutting_length=6.0,
    shank=10.0,
    stickout=9.0,
    nut=(30.0, 4.0),
    nose=(50.0, 9.0),
    ramp=45.0,
    centre_cutting=False,
)


def test_what_a_pass_takes_and_touches_of_a_small_board() -> None:
    """12 mm wide and so deep, a point's distance wider; its shank, nut and nose where they come too low."""
    touched, taken = passed(SMALL, SLIM, *begun(-30.0, 8.5, 16.0), ("feed", 90.0, 8.5, 16.0))
    assert touched == []
    assert taken == [Eaten(2, 12.0, 4.0, left=False)]
    touched, taken = passed(
        SMALL, SLIM, *begun(-30.0, 8.5, 16.0), ("feed", 90.0, 8.5, 16.0), ("feed", -30.0, 8.5, 12.5)
    )
    assert [(e.row, e.width, e.left) for e in taken] == [(2, 12.0, False), (3, 12.0, True)]
    assert taken[1].depth == pytest.approx(3.5 * 89.0 / 120.0)
    for y, left in ((0.0, True), (40.0, False)):
        touched, taken = passed(SMALL, SLIM, *begun(-30.0, y, 8.0), ("feed", 90.0, y, 8.0))
        assert taken == [Eaten(2, 6.0, 12.0, left=left)]
        assert [(t[0], t[3], t[4]) for t in touched] == [
            ("nut", 17.0, 20.0),
            ("nose", 21.0, 20.0),
            ("shank", 14.0, 20.0),
        ]
    _, taken = passed(SMALL, SLIM, *begun(30.0, 20.0, 15.0))
    assert taken == [Eaten(1, 12.0, 5.0, left=True)]


TOUCHED: tuple[
    tuple[float, float, list[str]], ...
] = (  # heights from and to of a pass across x = 30 from y -30 to 20, and the kinds that touch at once
    (20.5, 20.5, []),
    (19.5, 19.5, []),
    (14.5, 14.5, []),
    (13.5, 13.5, ["shank"]),
    (13.0, 13.0, ["shank"]),
    (12.9, 12.9, ["nut", "shank"]),
)


@pytest.mark.parametrize(("a", "b", "kinds"), TOUCHED)
def test_each_part_touches_from_its_own_height_on(a: float, b: float, kinds: list[str]) -> None:
    """The shank 6 mm over the tip at once, the nut from 9 mm over it less the 2 mm it must keep."""
    touched, _ = passed(SMALL, SLIM, *begun(30.0, -30.0, a), ("feed", 30.0, 20.0, b))
    assert [t[0] for t in touched] == kinds


def missed(left: NDArray[np.float64], *lines: tuple[Place, Place], radius: float = 6.0) -> Miss:
    """Give what would clear a polygon that lines at full depth have not."""
    rows = np.array([[a[:2], b[:2]] for a, b in lines]).reshape(-1, 2, 2)
    shapes = [shapely.LineString(row).buffer(radius, quad_segs=48) for row in rows]
    area = shapely.union_all(shapes) if shapes else shapely.Polygon()
    return miss_of(shapely.Polygon(left).difference(area), area, rows, radius)


def test_what_was_missed_is_told_by_what_clears_it() -> None:
    """Past an end so much further on; beside the lines so much nearer; of nothing cut its whole width."""
    line = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0))
    end = missed(rectangle(100.0, -3.0, 110.0, 3.0), line)
    assert end.further == pytest.approx(10.0 - 27.0**0.5 + 0.01 + 0.05, abs=0.01)
    both = missed(rectangle(-9.0, -3.0, 110.0, 3.0), line)
    assert both.further == pytest.approx(end.further, abs=0.01)
    start = missed(rectangle(-12.0, 1.0, 0.0, 3.0), line)
    assert start.further == pytest.approx(12.0 - 27.0**0.5 + 0.01 + 0.05, abs=0.01)
    beside = missed(rectangle(20.0, 6.0, 80.0, 10.0), line)
    assert [beside.further, beside.nearer] == pytest.approx([0.0, 4.0], abs=0.01)
    between = missed(rectangle(20.0, 2.0, 80.0, 18.0), line, ((0.0, 20.0, 0.0), (100.0, 20.0, 0.0)))
    assert [between.further, between.nearer] == pytest.approx([0.0, 4.0], abs=0.01)
    none = missed(rectangle(20.0, 6.0, 50.0, 46.0))
    assert [none.further, none.nearer] == pytest.approx([0.0, 50.0], abs=0.01)
    assert shapely.Polygon(rectangle(20.0, 6.0, 50.0, 46.0)).contains(shapely.Point(none.at))


def test_bands_beside_a_line() -> None:
    """On the left or right of its way, from so far to so far, lengthened at both ends; or a whole side."""
    line = np.array([[10.0, 10.0], [10.0, 30.0]])
    assert strip(line, "left", 2.0, 5.0).bounds == (5.0, 10.0, 8.0, 30.0)
    assert strip(line, "right", 2.0, 5.0, grow=3.0).bounds == (12.0, 7.0, 15.0, 33.0)
    assert strip(line, "right", -1.0, 5.0).bounds == (9.0, 10.0, 15.0, 30.0)
    side = half_plane(line, "left")
    assert [side.contains(shapely.Point(*at)) for at in ((9.9, 900.0), (10.1, 20.0), (-9000.0, -9000.0))] == [
        True,
        False,
        True,
    ]


def test_the_lines_that_count_lie_between_two_heights() -> None:
    """Both ends of a feed move at them or between; of programs that cut, and no rapid."""
    setup = face_setup()
    stops: tuple[Stop, ...] = (
        ("feed", 0.0, 0.0, 30.0),
        ("feed", 50.0, 0.0, 30.0),
        ("feed", 50.0, 9.0, 29.0),
        ("feed", 90.0, 9.0, 29.0),
        ("feed", 90.0, 20.0, 31.0),
        ("rapid", 0.0, 20.0, 31.0),
        ("feed", 0.0, 40.0, 31.0),
    )
    program = hand(setup, facer(), *stops)
    own = situation(setup, shop(), (program, replace(program, purpose="outline")))

    def ends(low: float, high: float) -> list[list[list[float]]]:
        found: list[list[list[float]]] = level_lines(own.runs[0].moves, low, high).tolist()
        return found

    first, second, third = [[0.0, 0.0], [50.0, 0.0]], [[50.0, 0.0], [50.0, 9.0]], [[50.0, 9.0], [90.0, 9.0]]
    assert ends(30.0, 30.0) == [first]
    assert ends(29.0, 30.0) == [first, second, third]
    assert ends(29.1, 30.0) == [first]
    assert ends(31.0, 31.0) == [[[0.0, 20.0], [0.0, 40.0]]]
    assert deepest_lines(own.runs[0].moves, 29.0).tolist() == [third]
    assert lines_of(own.runs, lambda m: level_lines(m, 30.0, 30.0)).tolist() == [first]
    area = swept(own.runs, lambda m: level_lines(m, 30.0, 30.0), lambda tool: tool.radius)
    # A band and two half circles, each of 96 chords inside it.
    assert area.area == pytest.approx(50.0 * 50.0 + 96 * 25.0**2 * np.sin(2 * np.pi / 192), rel=1e-9)
    assert swept(own.runs, lambda m: level_lines(m, 90.0, 91.0), lambda tool: tool.radius).is_empty


Side = Literal["far", "near", "left", "right"]
TURNS: dict[tuple[Side, int], tuple[str, float, float]] = {  # side, quarter turns: the edge and the corner
    ("left", 0): ("edge-1", 106.0, 79.9),
    ("right", 0): ("edge-2", 394.0, 180.1),
    ("left", 2): ("edge-2", 106.0, 79.9),
    ("right", 2): ("edge-1", 394.0, 180.1),
}


@pytest.mark.parametrize("lies", TURNS)
def test_teeth_leave_an_end_at_the_corner_they_turn_to(lies: tuple[Side, int]) -> None:
    """A left end at its near corner, a right one at its far one, whichever edge lies there."""
    side, turns = lies
    edge, x, y = TURNS[lies]
    setup = edge_setup(sides=(side,))
    angle = np.pi / 2 * turns
    matrix = np.eye(4)
    matrix[:2, :2] = [[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]]
    setup = replace(setup, lies=tuple(replace(lie, matrix=matrix) for lie in setup.lies))
    [finding] = breakout_unbacked(situation(setup, shop(), ()))
    assert f"and {edge}, which stays as it is" in finding.message
    assert finding.at == (x, y, 0.0)
    assert f"at x {x:g}, y {y:g}" in finding.remedy


def test_of_a_bed_and_a_face_the_first_cut_says_how_high_wood_stands() -> None:
    """The bed's surface is wood to be skimmed; of two faces over one place the first one's readings count."""
    wood = wood_of(bed_setup(size=(40.0, 20.0)))
    assert wood is not None
    assert set(wood.height.ravel().tolist()) == {0.0}
    assert not wood.scrap.any()
    setup = face_setup(size=(40.0, 20.0), at=(0.0, 0.0))
    later = face(size=(40.0, 20.0), at=(0.0, 0.0), ceiling=33.0)
    for cuts, height in (((setup.cuts[0], later), 35.0), ((later, setup.cuts[0]), 33.0)):
        both = wood_of(replace(setup, cuts=cuts))
        assert both is not None
        assert set(both.height.ravel().tolist()) == {height}


def test_wood_beside_a_part_is_as_high_as_the_part_says_as_far_as_the_rim_comes() -> None:
    """Beyond its goal it may be as high as any; of a whole face nothing is known beyond its region."""
    setup = face_setup(size=(100.0, 60.0), at=(0.0, 0.0), z=20.0, ceiling=30.0)
    [cut] = setup.cuts
    assert isinstance(cut, FaceCut)
    part = replace(
        cut, region=rectangle(40.0, 0.0, 100.0, 60.0), wood=np.full_like(cut.wood, 24.0), to_rim=True
    )
    goal = PlaneGoal("board", cut.name, cut.z, rectangle(30.0, 0.0, 100.0, 60.0))
    for to_rim, known in ((True, 30.0), (False, 40.0)):
        own = replace(setup, cuts=(replace(part, to_rim=to_rim),), goals=(goal,))
        wood = wood_of(own)
        assert wood is not None
        assert set(wood.height[wood.x > known].ravel()) == {24.0}
        assert set(wood.height[wood.x < known].ravel()) == {30.0}
