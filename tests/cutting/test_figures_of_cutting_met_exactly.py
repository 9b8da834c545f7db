"""Times, boxes, parts, names and ramps of cutting, worked out by hand and met exactly."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from cutters import end_mill, facer
from setups import bed_setup, face_setup, rectangle, shop, solid
from stockwright.cutting import cut, regions
from stockwright.cutting.ground import ground, ramp_length
from stockwright.cutting.lines import Level, Lines, Manner
from stockwright.cutting.outlines import SPOT_MARGIN, bare_spot, covered, lay_outline
from stockwright.cutting.path import Path
from stockwright.cutting.program import stem
from stockwright.cutting.wood import Area, Cells, merged
from stockwright.motion.moves import moves
from stockwright.motion.nodes import Feed, Pause, Rapid, Remark
from sweeps import INCH, MM

# Its travel ends where the wood does, so that no cutter is lowered beside it.
ROOMLESS = shop(travel=((0.0, 200.0), (0.0, 100.0), (40.0, 180.0)))


@pytest.mark.parametrize(
    ("setup", "number", "names", "of", "expected"),
    [
        (3, 0, ("face A",), 1, "3a-face-a"),
        (3, 1, ("face A", "Edge 1"), 9, "3b-face-a-edge-1"),
        (3, 25, ("x",), 10, "03z-x"),
        (3, 26, ("x",), 100, "003z026-x"),
        (12, 2, ("x",), 9, "12c-x"),
        (1, 0, ("abcdefghijklmnopqrstu",), 1, "1a-abcdefghijklmnopqrstu"),
        (1, 0, ("abcdefghijklmnopqrstuv",), 1, "1a-abcdefghijklmnopqrstu"),
        (1, 0, ("abcdefghij", "klmnopqrst"), 1, "1a-abcdefghij-klmnopqrst"),
        (1, 0, ("abcdefghij", "klmnopqrstu"), 1, "1a-abcdefghij-and-1-more"),
        (1, 0, ("end-1", "end-2", "edge-1", "edge-2"), 1, "1a-end-1-and-3-more"),
        (1, 0, ("abcdefghijklmnopqrst-vwxyz",), 1, "1a-abcdefghijklmnopqrst"),
        (1, 0, ("(bed) ",), 1, "1a-bed"),
    ],
)
def test_a_stem_is_whole_where_it_fits(
    setup: int, number: int, names: tuple[str, ...], of: int, expected: str
) -> None:
    """Twenty-four characters fit; beyond that the rest is counted, or cut off where there is one name."""
    assert stem(setup, number, names, of) == expected


def test_times_are_those_of_a_trapeze() -> None:
    """At 6000 mm/min and 400 mm/s2 the speed is reached after 12.5 mm: from 25 mm on it is held."""
    own = ground(face_setup(), shop(), MM)
    for length, seconds in (
        (0.0, 0.0),
        (1.0, 0.1),
        (24.99, 2 * math.sqrt(24.99 / 400)),
        (25.0, 0.5),
        (125.0, 1.5),
    ):
        assert own.seconds(length, 6000.0) == pytest.approx(seconds)
    clear = own.steps.mm(own.clear)
    for z, surface, slow in ((10.0, 14.0, 6.0), (10.0, 10.0, 2.0), (10.0, 8.0, 2.0)):
        expected = 2 * own.seconds(clear - z, 6000.0) + own.seconds(70.0, 6000.0) + own.seconds(slow, 300.0)
        assert own.again(own.steps.up(z), own.steps.up(surface), 300.0, 70.0) == pytest.approx(expected)
    assert (own.x, own.y, own.bed) == ((-200 + MM, 1200 - MM), (-140 + MM, 760 - MM), 0.0)
    ramp = end_mill(centre_cutting=False, ramp=3.0)
    assert ramp_length(ramp, 2.0) == pytest.approx(2.0 / math.tan(math.radians(3.0)))
    assert (
        ramp_length(replace(ramp, ramp=0.0), 2.0)
        == ramp_length(replace(ramp, centre_cutting=True), 2.0)
        == 0.0
    )


def test_the_covered_box_is_that_of_the_moves_and_a_radius() -> None:
    """Of feeds, not of rapids; of two programs with two cutters each with its own radius."""
    wide, slim = facer(diameter=50.0), end_mill(diameter=12.0)
    made = cut(face_setup(), shop(), MM)[1]
    nodes = (
        Rapid(z=9.0),
        Rapid(x=-99.0, y=-99.0),
        Rapid(x=1.0, y=2.0),
        Feed(np.array([[5.0, 9.0, 9.0]]), 9.0),
    )
    one = replace(made, tool=wide, nodes=nodes)
    two = replace(
        made, tool=slim, nodes=(*nodes[:2], Rapid(x=40.0, y=-30.0), Feed(np.array([[40.0, 50.0, 9.0]]), 9.0))
    )
    none = replace(made, nodes=nodes[:3])
    assert covered((one,)) == (-24.0, -23.0, 30.0, 34.0)
    assert covered((one, none, two)) == (-24.0, -36.0, 46.0, 56.0)
    with pytest.raises(ValueError, match="nothing to outline"):
        covered((none,))


def laid(setup: Any, around: Any) -> tuple[bool, list[Any]]:
    """Lay an outline down; give whether there was a height check, and its nodes."""
    own = ground(setup, around, MM)
    made = cut(setup, around, MM)[1:]
    path = Path(own.steps, own.clear)
    said = lay_outline(path, setup, around, own, made)
    return said, list(path.nodes())


def test_an_outline_says_whether_it_checks_the_height() -> None:
    """With a bare place it comes down to the block beside the board and waits; without one it says so."""
    for full, checked in ((False, True), (True, False)):
        things = (solid("riser", rectangle(-200, -140, 1200, 760)),) if full else ()
        said, nodes = laid(face_setup(solids=things), shop())
        assert said is checked
        assert [isinstance(node, Pause) for node in nodes].count(True) == int(checked)
        assert [isinstance(node, Remark) for node in nodes].count(True) == int(not checked)
        walk = nodes[1]
        x0, y0, x1, y1 = covered(cut(face_setup(solids=things), shop(), MM)[1:])
        assert walk.points[:, :2].tolist() == [[x1, y0], [x1, y1], [x0, y1], [x0, y0]]
        assert (nodes[0].x, nodes[0].y) == (x0, y0)
    _, nodes = laid(face_setup(), shop())
    down = nodes[3]
    assert down.points[:, 2].tolist() == [10.0]
    assert down.feed == facer().plunge_feed


@pytest.mark.parametrize(("low", "high"), [(False, False), (True, False), (False, True), (True, True)])
def test_a_walk_stops_at_the_travel(low: bool, high: bool) -> None:
    """Each side of the walk is where the rim comes, or where the travel ends: then it says so."""
    setup = face_setup(at=(100.0, 80.0), size=(300.0, 100.0))
    made = cut(setup, shop(), MM)[1:]
    x0, y0, x1, y1 = covered(made)
    sides = (
        *((x0 + 7.0, y0 + 9.0) if low else (x0 - 7.0, y0 - 9.0)),
        *((x1 - 11.0, y1 - 13.0) if high else (x1 + 11.0, y1 + 13.0)),
    )
    own = replace(ground(setup, shop(), MM), x=(sides[0], sides[2]), y=(sides[1], sides[3]))
    path = Path(own.steps, own.clear)
    lay_outline(path, setup, shop(), own, made)
    nodes = list(path.nodes())
    corners = next(n.points[:, :2] for n in nodes if isinstance(n, Feed))
    assert corners.min(axis=0) == pytest.approx(sides[:2] if low else (x0, y0))
    assert corners.max(axis=0) == pytest.approx(sides[2:] if high else (x1, y1))
    said = [n.text for n in nodes if isinstance(n, Remark) and "the walk stops at the travel" in n.text]
    assert len(said) == (low or high)


def test_the_bare_place_is_the_nearest_on_the_grid_that_keeps_away() -> None:
    """Of all places on a grid of 20 mm under the whole travel and bed, tried one by one."""
    for things in ((), (solid("clamp", rectangle(60, 190, 420, 260)),)):
        setup, around = face_setup(solids=things), shop()
        own, tool = ground(setup, around, MM), facer()
        near = (80.0, 60.0, 420.0, 200.0)
        away = max(part.radius for part in tool.assembly) + around.machine.margin + SPOT_MARGIN
        shapes = [shapely.Polygon(setup.wood_outline), *(shapely.Polygon(s.outline) for s in things)]
        best = min(
            (round(shapely.distance(shapely.box(*near), shapely.Point(x, y)), 6), x, y)
            for x in range(-180, 681, 20)
            for y in range(-120, 401, 20)
            if all(shapely.distance(shape, shapely.Point(x, y)) >= away for shape in shapes)
        )
        assert bare_spot(setup, around, own, tool, near) == best[1:]


@pytest.mark.parametrize("axis", [0, 1])
def test_parts_are_joined_up_to_the_room_along_either_axis(axis: int) -> None:
    """Cells of 10 mm are one part up to so many empty ones between them; along u it may be one more."""
    along_u = (
        (3, 25.0, 1),
        (4, 25.0, 2),
        (3, 20.0, 1),
        (4, 20.0, 2),
        (2, 19.9, 1),
        (3, 19.9, 2),
        (1, 1.0, 1),
    )
    along_v = (
        (2, 25.0, 1),
        (3, 25.0, 2),
        (2, 20.0, 1),
        (3, 20.0, 2),
        (1, 19.9, 1),
        (2, 19.9, 2),
        (0, 1.0, 1),
    )
    for gap, room, parts in (along_u, along_v)[axis]:
        marked = np.zeros((12, 12), dtype=bool)
        for at in (3, 4 + gap):
            marked[(at, 5) if axis == 0 else (5, at)] = True
        edges = np.linspace(0.0, 120.0, 13)
        found = Cells(edges, edges, marked).parts(room)
        assert len(found) == parts
        assert np.array_equal(np.logical_or.reduce([part.marked for part in found]), marked)
    cells = Cells(edges, edges + 5.0, marked)
    box = (30.0, 55.0, 60.0, 65.0) if axis == 0 else (50.0, 35.0, 60.0, 55.0)
    assert cells.box == box
    whole = Cells(edges, edges, np.ones((12, 12), dtype=bool))
    assert whole.parts(1.0) == (whole,)


def test_spans_are_of_the_rows_that_are_touched() -> None:
    """A border that is met counts; beyond it nothing does."""
    edges, marked = np.linspace(0.0, 40.0, 5), np.zeros((4, 4), dtype=bool)
    marked[0, 1] = marked[2, 1] = marked[3, 2] = True
    cells = Cells(edges, edges, marked)
    both = ((0.0, 10.0), (20.0, 30.0))
    for low, high, spans in (
        (10.0, 20.0, ((0.0, 10.0), (20.0, 40.0))),
        (12.0, 18.0, both),
        (0.0, 9.9, ()),
        (0.0, 10.0, both),
        (20.0, 29.0, ((0.0, 10.0), (20.0, 40.0))),
        (20.1, 29.0, ((30.0, 40.0),)),
        (30.1, 39.0, ()),
    ):
        assert cells.spans(low, high) == spans
    heights = np.array([[0.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 0.0], [1.0, 0.0, 0.0]])
    corners = Cells.above(np.arange(4.0), np.arange(3.0), heights, 1.0).marked
    assert corners.tolist() == [[True, True], [True, True], [False, False]]


def test_a_ramp_goes_to_and_fro_evenly_down() -> None:
    """Where the travel leaves no room beside the wood: each leg falls as much, none too steeply."""
    tool = end_mill(does=("bed",), centre_cutting=False, ramp=0.4)
    setup = bed_setup(size=(200, 100), at=(-200, -140), tool=tool, take=1.0)
    program = cut(setup, ROOMLESS, MM)[1]
    slow = [n for n in program.nodes if isinstance(n, Feed) and n.feed == tool.plunge_feed]
    down = next(node for node in slow if len(node.points) > 2)
    z = down.points[:, 2]
    falls = -np.diff(z[np.flatnonzero(np.diff(z, prepend=z[0] + 1))])
    assert len(falls) >= 1
    assert falls.max() - falls.min() <= 2 * MM
    along = np.abs(np.diff(down.points[:, 0]))
    assert (-np.diff(z) <= along * math.tan(math.radians(0.4)) + 2 * MM).all()
    assert z[-1] < 0


def test_who_cannot_plunge_goes_down_slantwise_however_short_the_way() -> None:
    """At 45 degrees 0.8 mm, most of it air, take less than a millimetre along, and still it slants."""
    tool = end_mill(does=("bed",), centre_cutting=False, ramp=45.0)
    setup = bed_setup(size=(200, 100), at=(-200, -140), tool=tool, take=0.3)
    program = cut(setup, ROOMLESS, INCH)[1]
    columns = moves(program)
    low = columns.end[:, 2] < columns.start[:, 2] - INCH / 2
    into = low & (columns.end[:, 2] < 0.0)
    assert into.any()
    along = np.hypot(*(columns.end - columns.start)[into, :2].T)
    assert (along >= (columns.start - columns.end)[into, 2] - 2 * INCH).all()
    # From there it goes back to where it was lowered, so that the pass is whole.
    first = int(np.flatnonzero(into)[0])
    back = columns.end[first + 1]
    assert back[0] == pytest.approx(float(columns.start[first, 0]), abs=INCH / 10)
    able = replace(tool, centre_cutting=True)
    columns = moves(cut(replace(setup, cuts=(replace(setup.cuts[0], tool=able),)), ROOMLESS, INCH)[1])
    into = (columns.end[:, 2] < columns.start[:, 2] - INCH / 2) & (columns.end[:, 2] < 0.0)
    assert into.any()
    assert (columns.start[into, :2] == columns.end[into, :2]).all()
    assert set(columns.feed[into]) == {able.plunge_feed}


def test_a_gap_is_cut_through_where_that_is_no_slower_than_going_round() -> None:
    """Two woods on one line: one run up to the gap at which both ways take as long, two beyond it."""
    own, tool = ground(face_setup(), shop(), MM), facer()
    manner = Manner.of(own, tool, 30.0, (1, -1), across=False)
    depth = own.steps.up(30.0)
    speed, height = tool.feed / 60, own.steps.mm(own.clear - depth)
    up, down = (
        own.seconds(height, 6000.0),
        own.seconds(height - 2.0, 6000.0) + own.seconds(2.0, tool.plunge_feed),
    )

    def lines(gap: float) -> Lines:
        """Give the runs over two woods, 20 mm wide, so far apart."""
        wood = Area(shapely.union_all([shapely.box(0, 0, 100, 20), shapely.box(100 + gap, 0, 200 + gap, 20)]))
        return Lines(Level(manner, depth, depth, wood), wood)

    area = Area(shapely.box(0, 0, 100, 20))
    whole = Lines(Level(manner, depth, depth, area), area)
    assert (whole.first, whole.last) == ((-27.0, 10.0), (95.0, 10.0))
    assert whole.around(70.0) == pytest.approx(up + own.seconds(70.0, 6000.0) + down)
    assert whole.seconds == pytest.approx(down + 32.0 / speed + own.seconds(90.0, tool.feed) + up)

    def slower(gap: float) -> bool:
        """Say whether cutting on, 10 mm more than the gap, is slower than going round."""
        between = gap + 10.0
        return between / speed > speed / 400 + up + own.seconds(between, 6000.0) + down + 32.0 / speed

    border = next(gap for gap in range(60, 900) if slower(gap))
    assert [len(lines(border + by).starts) for by in (-30.0, -1.0, 0.0, 30.0)] == [2, 2, 4, 4]


@pytest.mark.parametrize(("kink", "kept"), [(0.1, False), (0.5, True), (1.0, True)])
def test_a_loop_keeps_what_stands_out_by_more_than_a_fifth_of_a_millimetre(kink: float, kept: bool) -> None:
    """A corner of so little in a long side is gone round, one of less is cut straight over."""
    region = np.array([[100.0, 80.0], [250.0, 80.0 - kink], [400.0, 80.0], [400.0, 180.0], [100.0, 180.0]])
    nodes = cut(face_setup(region=region, stepover=20.0, perimeter="last"), shop(), MM)[1].nodes
    loop = [node for node in nodes if isinstance(node, Feed)][-1].points
    assert bool(((loop[:, 0] > 200) & (loop[:, 0] < 300)).any()) is kept


def level_of(*boxes: tuple[float, float, float, float]) -> tuple[Manner, int, Cells]:
    """Give a face's manner, a depth, and wood over some cells of a grid of 10 mm."""
    own = ground(face_setup(), shop(), MM)
    edges, marked = np.linspace(0.0, 900.0, 91), np.zeros((90, 90), dtype=bool)
    for x0, y0, x1, y1 in boxes:
        marked[int(x0 / 10) : int(x1 / 10), int(y0 / 10) : int(y1 / 10)] = True
    manner = Manner.of(own, facer(), 30.0, (1, -1), across=False)
    return manner, own.steps.up(30.0), Cells(edges, edges, marked)


@pytest.mark.parametrize(
    ("gap", "along", "across"), [(40.0, 1, 2), (80.0, 1, 2), (160.0, 1, 2), (240.0, 2, 2), (320.0, 2, 2)]
)
def test_parts_are_joined_where_going_through_is_quicker(gap: float, along: int, across: int) -> None:
    """Two spots of 30 mm on one line: up to 160 mm apart it is cut through, from 240 mm on gone round."""
    for at, parts in ((((30 + gap), 0.0, 60 + gap, 30.0), along), ((0.0, 30 + gap, 30.0, 60 + gap), across)):
        manner, depth, wood = level_of((0.0, 0.0, 30.0, 30.0), at)
        assert len(regions._joined(Level(manner, depth, depth, wood), wood)) == parts


@pytest.mark.parametrize(("spots", "found"), [(12, 12), (13, 1)])
def test_twelve_parts_are_joined_by_time_and_more_by_nearness(spots: int, found: int) -> None:
    """Spots of 30 mm with 40 mm between them: so many are first joined, as more pairs would take long."""
    manner, depth, wood = level_of(*((0.0, 70.0 * k, 30.0, 70.0 * k + 30.0) for k in range(spots)))
    assert len(regions._joined(Level(manner, depth, depth, wood), wood)) == found


def test_spans_that_touch_are_one() -> None:
    """From where the first begins to where the last ends, one inside another too; apart they stay apart."""
    spans = [(4.0, 9.0), (12.0, 13.0), (0.0, 5.0), (9.0, 10.0), (1.0, 2.0), (13.0, 15.0), (17.0, 18.0)]
    assert merged(spans) == ((0.0, 10.0), (12.0, 15.0), (17.0, 18.0))


def test_a_line_waits_for_the_wood_beside_it_on_the_line_before() -> None:
    """Two radii beyond where the line before ends or begins, 2.5 mm inside its wood, and no further."""
    manner, depth, _ = level_of()
    for near, far, waits in (
        ((0.0, 100.0), (144.9, 600.0), True),
        ((0.0, 100.0), (145.0, 600.0), False),
        ((500.0, 600.0), (0.0, 455.1), True),
        ((500.0, 600.0), (0.0, 455.0), False),
    ):
        shapes = [shapely.box(near[0], 0.0, near[1], 15.0), shapely.box(far[0], 40.0, far[1], 75.0)]
        wood = Area(shapely.union_all(shapes))
        first, second, third = Lines(Level(manner, depth, depth, wood), wood)._runs_of_all
        assert (first.low, first.high) == pytest.approx((near[0] + 2.5, near[1] - 2.5), abs=2 * MM)
        assert (first.before, second.before, third.before) == ((), (first,) if waits else (), (second,))
