"""Edges: all waste becomes chips, from outside in; the wall is never crossed; the last pass is light."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutters import end_mill
from drawn import drawn
from setups import edge_setup, rectangle, shop, tall_edge_setup
from stockwright.cutting import cut
from stockwright.motion.moves import moves
from stockwright.planning.setup import EdgeCut, Setup
from stockwright.tooling import LEAD
from sweeps import INCH, MM, depths, descents, level_feeds, off_grid, swept

if TYPE_CHECKING:
    from stockwright.motion.nodes import Program

Side = Literal["far", "near", "left", "right"]
SIDES: tuple[Side, ...] = ("far", "near", "left", "right")


def edged(setup: Setup, resolution: float = MM) -> tuple[EdgeCut, Program]:
    """Give the setup's first edge and its program."""
    wall = setup.cuts[0]
    assert isinstance(wall, EdgeCut)
    return wall, cut(setup, shop(), resolution)[1]


class Frame:
    """(t, n) along and outwards from an edge's line."""

    def __init__(self, wall: EdgeCut) -> None:
        way = wall.line[1] - wall.line[0]
        self.length = float(np.hypot(*way))
        self.t = way / self.length
        left = np.array([-self.t[1], self.t[0]])
        self.n = -left if wall.inside == "left" else left
        self.origin = wall.line[0]

    def out(self, points: object) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        """Give n of points (k, 2), (k,)."""
        return np.asarray((np.asarray(points) - self.origin) @ self.n)

    def band(self, low: float, high: float) -> shapely.Polygon:
        """Give the band low <= n <= high, far beyond both ends."""
        corners = [(-900.0, low), (self.length + 900, low), (self.length + 900, high), (-900.0, high)]
        return shapely.Polygon([self.origin + t * self.t + n * self.n for t, n in corners])

    def board(self) -> shapely.Polygon:
        """Give the wood that must stay."""
        corners = [(0.0, 0.0), (self.length, 0.0), (self.length, -60.0), (0.0, -60.0)]
        return shapely.Polygon([self.origin + t * self.t + n * self.n for t, n in corners])


@st.composite
def edges(draw: st.DrawFn) -> tuple[Setup, float]:
    """Give an edge with a crooked rough side, turned anyhow, and any tool."""
    diameter = draw(st.floats(4, 25))
    tool = end_mill(diameter=diameter, centre_cutting=draw(st.booleans()), ramp=draw(st.floats(1, 10)))
    side = draw(st.sampled_from(SIDES))
    setup = edge_setup(
        sides=(side,),
        tool=tool,
        size=(draw(st.floats(40, 500)), draw(st.floats(40, 200))),
        ceiling=draw(st.floats(6, 60)),
        bottom=draw(st.floats(-2, -0.3)),
        stepover=diameter * draw(st.floats(0.1, 0.9)),
        stepdown=draw(st.floats(2, 20)),
        light=draw(st.floats(0.1, 1)),
    )
    wall = setup.cuts[0]
    assert isinstance(wall, EdgeCut)
    frame = Frame(wall)
    reach = draw(st.lists(st.floats(0, 22), min_size=5, max_size=5).filter(lambda them: max(them) > 0.05))
    places = [(0.0, 0.0)]
    places += [(frame.length * i / 4, n) for i, n in enumerate(reach)]
    places += [(frame.length, 0.0)]
    crooked = np.array([frame.origin + t * frame.t + n * frame.n for t, n in places])
    line = wall.line
    if draw(st.booleans()):
        angle = draw(st.floats(-3, 3))
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        crooked, line = crooked @ turn, line @ turn
    return replace(setup, cuts=(replace(wall, waste=(crooked,), line=line),)), draw(
        st.sampled_from([MM, INCH])
    )


def waste_of(wall: EdgeCut) -> Any:
    """Give the waste, joined."""
    return shapely.union_all([shapely.make_valid(shapely.Polygon(each)) for each in wall.waste])


@drawn(15, 50)
@given(edges())
def test_all_waste_becomes_chips(given_: tuple[Setup, float]) -> None:
    """At full depth nothing outside the line is left but what rounding leaves beside it."""
    setup, resolution = given_
    wall, program = edged(setup, resolution)
    last = depths(program)[-1]
    assert wall.bottom <= last + 1e-9 < wall.bottom + resolution + 2e-9
    left = (waste_of(wall) & Frame(wall).band(1.5 * resolution, 500)) - swept(program, last, wall.tool.radius)
    assert left.area < 1e-5


@drawn(15, 50)
@given(edges())
def test_the_wall_is_never_cut_into(given_: tuple[Setup, float]) -> None:
    """Every cutting move keeps the whole radius outside the line."""
    setup, resolution = given_
    wall, program = edged(setup, resolution)
    columns = moves(program)
    low = columns.end[:, 2] < wall.ceiling
    for points in (columns.start[low & ~columns.rapid, :2], columns.end[low & ~columns.rapid, :2]):
        assert Frame(wall).out(points).min() >= wall.tool.radius - 1e-6


@drawn(15, 50)
@given(edges())
def test_roughing_works_inwards_and_leaves_no_strip(given_: tuple[Setup, float]) -> None:
    """After each line, at its depth, no waste stands outside the cutter's inner rim; no bite is too wide."""
    setup, resolution = given_
    wall, program = edged(setup, resolution)
    frame, radius, waste = Frame(wall), wall.tool.radius, waste_of(wall)
    widest = min(wall.stepover, radius)
    for z in depths(program):
        left, outer = waste, frame.out(shapely.get_coordinates(waste)).max()
        for at, line in level_feeds(program):
            if at != z:
                continue
            out = frame.out(line)
            rim = float(out.max()) - radius
            new = left & frame.band(max(rim, 0.0), 500)
            wide = max(widest, wall.light) if rim < resolution * 1.5 else widest
            deep = 0.0 if new.is_empty else frame.out(shapely.get_coordinates(new)).max() - max(rim, 0.0)
            assert deep <= wide + 1e-9
            assert float(out.min()) - radius <= outer + 1e-9
            left = left - shapely.LineString(line).buffer(radius, quad_segs=64)
            assert (left & frame.band(max(rim, 0.0) + 1.5 * resolution, 500)).area < 1e-5
            outer = min(outer, rim)


@drawn(15, 50)
@given(edges())
def test_the_last_pass_is_full_height_light_and_climb(given_: tuple[Setup, float]) -> None:
    """One pass on the line itself, at full depth, wood on its right, taking at most `light`."""
    setup, resolution = given_
    wall, program = edged(setup, resolution)
    frame, lines = Frame(wall), level_feeds(program)
    z, last = lines[-1]
    assert z == depths(program)[-1]
    out = frame.out(last)
    assert (out >= wall.tool.radius - 1e-9).all()
    assert (out <= wall.tool.radius + 1.5 * resolution).all()
    way, in_ = last[1] - last[0], -frame.n
    assert way[0] * in_[1] - way[1] * in_[0] < 0
    rough = [line for at, line in lines[:-2] if at == z]
    before = waste_of(wall) - shapely.union_all(
        [shapely.LineString(line).buffer(wall.tool.radius, quad_segs=64) for line in rough]
    )
    assert frame.out(shapely.get_coordinates(before)).max() <= wall.light + 1e-3
    for line in rough:
        way = line[1] - line[0]
        assert way[0] * in_[1] - way[1] * in_[0] > 0


def enters_outside_the_wood(wall: EdgeCut, program: Program, resolution: float) -> None:
    """Assert of every descent that it is clear of the wood, and that none goes steeply into the bed."""
    frame = Frame(wall)
    wood = shapely.union_all([waste_of(wall), frame.board()])
    columns = moves(program)
    grooves: dict[float, list[shapely.Geometry]] = {}
    for a, b in zip(columns.start, columns.end, strict=True):
        if not np.isfinite(a).all() or b[2] >= a[2]:
            if np.isfinite(a).all() and b[2] == a[2]:
                grooves.setdefault(float(b[2]), []).append(shapely.LineString([a[:2], b[:2]]))
            continue
        rim = float(frame.out(b[None, :2])[0]) - wall.tool.radius
        # What lies within the lead of the rim, or outside it, stands in the way of a descent.
        near = wood & frame.band(rim - LEAD, 500)
        move = shapely.LineString([a[:2], b[:2]]) if (a[:2] != b[:2]).any() else shapely.Point(b[:2])
        assert near.is_empty or shapely.distance(near, move) >= wall.tool.radius + LEAD - 3 * resolution
        along = float(np.hypot(*(b[:2] - a[:2])))
        if along:
            assert (a[2] - b[2]) / along <= np.tan(np.radians(wall.tool.ramp)) * 1.001 + 1e-3
        elif not wall.tool.centre_cutting and b[2] < 0:
            cut_before = shapely.union_all(grooves.get(float(b[2]), []))
            groove = cut_before.buffer(wall.tool.radius + 1e-3, quad_segs=64)
            assert groove.contains(shapely.Point(b[:2]).buffer(wall.tool.radius - 2 * resolution))


@drawn(15, 50)
@given(edges())
def test_an_edge_is_entered_outside_the_wood(given_: tuple[Setup, float]) -> None:
    """The cutter goes down only clear of waste and board; into the bed only straight or at its ramp."""
    setup, resolution = given_
    wall, program = edged(setup, resolution)
    enters_outside_the_wood(wall, program, resolution)


@pytest.mark.parametrize("side", SIDES)
def test_a_thick_last_pass_is_lowered_into_a_groove(side: Side) -> None:
    """Also where waste thicker than that pass stands over a part of the edge alone."""
    setup = edge_setup(sides=(side,), light=4.0, waste=12.0, tool=end_mill(centre_cutting=False, ramp=3.0))
    [plain] = setup.cuts
    assert isinstance(plain, EdgeCut)
    frame = Frame(plain)
    t = frame.length / 3
    places = [(0.0, 0.0), (0.0, 0.5), (t, 0.5), (t, 12.0), (2 * t, 12.0), (2 * t, 0.5)]
    places += [(frame.length, 0.5), (frame.length, 0.0)]
    waste = np.array([frame.origin + along * frame.t + out * frame.n for along, out in places])
    wall, program = edged(replace(setup, cuts=(replace(plain, waste=(waste,)),)))
    assert len(level_feeds(program)) > 2
    enters_outside_the_wood(wall, program, MM)


@pytest.mark.parametrize("side", SIDES)
def test_one_pass_between_two_walls_is_conventional_on_the_one_that_leads(side: Side) -> None:
    """One pass at full depth, a radius from the wall, the wood that leads on its left; none for the other."""
    setup = edge_setup(sides=(side,))
    [plain] = setup.cuts
    assert isinstance(plain, EdgeCut)
    leads, follows = (replace(plain, between=word) for word in ("leads", "follows"))
    wall, program = edged(replace(setup, cuts=(leads, follows)))
    frame = Frame(wall)
    [(z, line)] = level_feeds(program)
    assert z == wall.bottom
    assert frame.out(line) == pytest.approx([6.0, 6.0])
    along = (line - frame.origin) @ frame.t
    assert sorted(along) == pytest.approx([-8.0, frame.length + 8.0])
    way = line[1] - line[0]
    assert way[0] * -frame.n[1] - way[1] * -frame.n[0] > 0


@drawn(10, 30)
@given(edges())
def test_depths_and_coordinates_of_edges(given_: tuple[Setup, float]) -> None:
    """No depth exceeds the stepdown, no descent is a rapid below its approach, all is on whole steps."""
    setup, resolution = given_
    wall, program = edged(setup, resolution)
    rough = [wall.ceiling, *depths(program)]
    if len(level_feeds(program)) > 2:
        assert max(a - b for a, b in itertools.pairwise(rough)) <= wall.stepdown + resolution
    assert all(off_grid(each, resolution) < 1e-6 for each in cut(setup, shop(), resolution))
    columns = moves(program)
    assert columns.end[columns.rapid, 2].min() >= 0


@pytest.mark.parametrize("side", SIDES)
def test_every_side_of_a_board_has_its_wall_where_the_line_is(side: Side) -> None:
    """Whichever side it is, the last pass ends exactly the radius outside the line."""
    wall, program = edged(edge_setup(sides=(side,)))
    _, last = level_feeds(program)[-1]
    assert Frame(wall).out(last).tolist() == [6.0, 6.0]
    assert len(descents(program)) > 0


def test_backing_is_cut_through_and_passed_beyond() -> None:
    """Scrap that backs a corner is waste: lines begin and end beyond it too."""
    scrap = rectangle(100, 40, 106, 80)
    wall, program = edged(edge_setup(sides=("left",), backing=(scrap,)))
    ys = np.concatenate([line[:, 1] for _, line in level_feeds(program)])
    assert ys.min() <= 40 - wall.tool.radius - LEAD
    assert ((waste_of(wall) & shapely.box(0, 0, 105.999, 500)) - swept(program, -1.0, 6.0)).area < 1e-6


def test_waste_thinner_than_the_light_pass_takes_one_pass() -> None:
    """Nothing to rough: one full-height pass, led in sideways."""
    _, program = edged(edge_setup(waste=0.3))
    assert len(level_feeds(program)) == 2
    assert depths(program) == [-1.0]


def test_a_tall_edge_is_roughed_in_depths_and_finished_once() -> None:
    """A 60 mm wall takes nine depths of at most 7 mm and one last pass over all of it."""
    _, program = edged(tall_edge_setup(wall=60.0))
    assert len(depths(program)) == 9
    heights = [z for z, _ in level_feeds(program)]
    assert heights == sorted(heights, reverse=True)


def test_an_edge_without_waste_is_not_cut() -> None:
    """A line with nothing outside it lays down no move into the wood."""
    setup = edge_setup()
    wall = setup.cuts[0]
    assert isinstance(wall, EdgeCut)
    both = replace(setup, cuts=(replace(wall, waste=()), wall))
    assert len(level_feeds(cut(both, shop(), MM)[1])) == len(level_feeds(cut(setup, shop(), MM)[1]))
