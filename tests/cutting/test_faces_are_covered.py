"""Faces: everything in the region is cleared, in bites no deeper or wider than asked, entered from air."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutters import end_mill, facer
from drawn import drawn
from setups import bed_setup, face_setup, rectangle, shop
from stockwright.cutting import cut
from stockwright.motion.moves import moves
from stockwright.planning.setup import FaceCut
from stockwright.tooling import LEAD
from sweeps import INCH, MM, depths, descents, level_feeds, off_grid, swept

if TYPE_CHECKING:
    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Setup


def faced(setup: Setup, resolution: float = MM) -> tuple[FaceCut, Program]:
    """Give the setup's face and its program."""
    face = setup.cuts[0]
    assert isinstance(face, FaceCut)
    return face, cut(setup, shop(), resolution)[1]


def standing(face: FaceCut, z: float) -> Any:
    """Give the cells whose highest corner is over `z`, joined."""
    boxes = [
        shapely.box(face.grid_x[i], face.grid_y[j], face.grid_x[i + 1], face.grid_y[j + 1])
        for i in range(len(face.grid_x) - 1)
        for j in range(len(face.grid_y) - 1)
        if face.wood[i : i + 2, j : j + 2].max() > z
    ]
    return shapely.union_all(boxes)


@st.composite
def faces(draw: st.DrawFn) -> tuple[Setup, float]:
    """Give a crooked board's face with an uneven surface, any tool and any options."""
    diameter = draw(st.floats(12, 80))
    tool = facer(
        diameter=diameter,
        corner_radius=draw(st.sampled_from([0.0, 0.4, 1.5])),
        centre_cutting=draw(st.booleans()),
    )
    length, width = draw(st.floats(30, 600)), draw(st.floats(15, 250))
    bend = st.floats(0, 0.2)
    corners = [(0, 0), (0.5, 0), (1, 0), (1, 1), (0.4, 1), (0, 1)]
    region = np.array(
        [
            (
                100 + length * (x + draw(bend) * (0.5 - x)),
                80 + width * (y + draw(bend) * (0.5 - y)),
            )
            for x, y in corners
        ]
    )
    heights = draw(st.lists(st.floats(28, 37), min_size=35, max_size=35))
    wood = np.array(heights).reshape(7, 5)
    if draw(st.booleans()):
        wood[0, 0] = -np.inf
    setup = face_setup(
        tool=tool,
        region=region,
        wood=wood,
        z=draw(st.floats(26, 30)),
        passes=draw(st.sampled_from(["along", "across"])),
        direction=draw(st.sampled_from(["both-ways", "conventional", "climb"])),
        perimeter=draw(st.sampled_from(["none", "first", "last"])),
        stepover=diameter * draw(st.floats(0.1, 0.95)),
        stepdown=draw(st.floats(0.5, 4)),
        light=draw(st.floats(0, 1)),
    )
    return setup, draw(st.sampled_from([MM, INCH]))


@drawn(15, 40)
@given(faces())
def test_the_last_level_clears_the_whole_region(given_: tuple[Setup, float]) -> None:
    """Nothing of any region is left above z, corners included, by a cutter's flat alone."""
    setup, resolution = given_
    face, program = faced(setup, resolution)
    last = depths(program)[-1]
    assert face.z <= last + 1e-9 < face.z + resolution + 2e-9
    left = shapely.Polygon(face.region) - swept(program, last, face.tool.radius - face.tool.corner_radius)
    assert left.area < 1e-6


@drawn(15, 40)
@given(faces())
def test_no_level_bites_deeper_than_asked(given_: tuple[Setup, float]) -> None:
    """Each level clears all wood over it, at most a stepdown under the one before; the last is light."""
    setup, resolution = given_
    face, program = faced(setup, resolution)
    found = depths(program)
    tops = [face.ceiling, *found]
    for above, level in zip(tops, found, strict=False):
        assert above - level <= face.stepdown + 1e-9 or level == found[-1]
    for level in found[:-1]:
        left = standing(face, level) & shapely.Polygon(face.region)
        assert (left - swept(program, level, face.tool.radius - face.tool.corner_radius)).area < 1e-6
    deepest = face.light if face.light >= resolution else face.stepdown
    assert tops[-2] - tops[-1] <= min(deepest, face.stepdown) + resolution + 1e-9
    assert all(standing(face, level).area > 0 for level in found[:-1])


@drawn(15, 40)
@given(faces())
def test_a_cutter_is_lowered_beside_the_wood(given_: tuple[Setup, float]) -> None:
    """Wherever the cutter goes down, all wood over that level ends a lead beyond its rim."""
    setup, resolution = given_
    face, program = faced(setup, resolution)
    for x, y, z in descents(program):
        last = z <= face.z + resolution
        region = shapely.Polygon(face.region)
        wood = region if last else region & standing(face, z)
        far = shapely.distance(wood, shapely.Point(x, y))
        assert wood.is_empty or far >= face.tool.radius + LEAD - 2 * resolution


@drawn(8, 20)
@given(faces())
def test_face_coordinates_are_whole_steps(given_: tuple[Setup, float]) -> None:
    """Every coordinate is a whole number of the post's steps, in mm and in inches."""
    setup, resolution = given_
    for program in cut(setup, shop(), resolution):
        assert off_grid(program, resolution) < 1e-6


def test_levels_over_one_high_corner_stay_at_that_corner() -> None:
    """Where only one corner stands high, early levels do not cross the rest of the board."""
    wood = np.full((31, 11), 30.4)
    wood[:4, :4] = 36.0
    face, program = faced(face_setup(wood=wood, z=30.0, stepdown=2.0, light=0.5))
    early = [line for z, line in level_feeds(program) if z > depths(program)[-1]]
    assert early
    assert max(line[:, 0].max() for line in early) < 100 + 40 + face.tool.radius
    assert max(line[:, 1].max() for line in early) < 80 + 40 + face.tool.radius


def test_a_bowed_board_is_not_cut_through_air_between_its_ends() -> None:
    """High ends far apart are two runs of a line; near ones are joined."""

    def runs(length: float) -> int:
        wood = np.full((41, 5), 30.2)
        wood[:3], wood[-3:] = 32.0, 32.0
        _, program = faced(face_setup(size=(length, 30), wood=wood, stepdown=2.0, light=0.5))
        return sum(1 for _, _, z in descents(program) if z == depths(program)[0])

    # Each descent shows as a rapid and a feed; the rapid stops above the level.
    assert runs(1100.0) > runs(120.0)


@pytest.mark.parametrize("passes", ["along", "across"])
@pytest.mark.parametrize(("direction", "side"), [("conventional", 1.0), ("climb", -1.0)])
def test_one_way_passes_keep_uncut_wood_on_their_side(passes: str, direction: str, side: float) -> None:
    """Conventional passes have the uncut wood on the left, climb passes on the right, along and across."""
    face, program = faced(face_setup(passes=passes, direction=direction))
    last = [line for z, line in level_feeds(program) if z == depths(program)[-1]]
    assert len(last) >= 3
    for line, after in itertools.pairwise(last):
        way, step = line[1] - line[0], after.mean(axis=0) - line.mean(axis=0)
        assert math.copysign(1.0, way[0] * step[1] - way[1] * step[0]) == side
    assert face.tool.radius == 25.0


@pytest.mark.parametrize("passes", ["along", "across"])
@pytest.mark.parametrize(("direction", "side"), [("both-ways", 1.0), ("conventional", 1.0), ("climb", -1.0)])
def test_a_loop_runs_in_the_sense_of_its_passes(passes: str, direction: str, side: float) -> None:
    """A perimeter loop goes round with the wood on the left, or on the right for climb."""
    _, plain = faced(face_setup(passes=passes, direction=direction))
    _, looped = faced(face_setup(passes=passes, direction=direction, perimeter="first"))
    z = depths(plain)[-1]
    before = sum(at == z for at, _ in level_feeds(plain))
    lines = [line for at, line in level_feeds(looped) if at == z][
        : sum(at == z for at, _ in level_feeds(looped)) - before
    ]
    turning = sum(a[0] * b[1] - a[1] * b[0] for a, b in lines)
    assert math.copysign(1.0, turning) == side


def test_a_loop_covers_the_outline() -> None:
    """One loop alone clears the whole rim of the region."""
    _, plain = faced(face_setup(stepover=20.0))
    face, looped = faced(face_setup(stepover=20.0, perimeter="last"))
    z = depths(looped)[-1]
    lines = [line for at, line in level_feeds(looped) if at == z]
    extra = lines[sum(at == z for at, _ in level_feeds(plain)) :]
    assert len(extra) >= 4
    rim = shapely.Polygon(face.region).exterior
    clears = shapely.union_all([shapely.LineString(line).buffer(25.0) for line in extra])
    assert (rim - clears).length < 1e-9


def test_both_ways_turns_bite_no_wider_than_a_pass() -> None:
    """Where the cutter steps sideways, what stands before it is no wider than the stepover."""
    face, program = faced(face_setup(size=(300, 200), stepover=10.0))
    steps = [line for z, line in level_feeds(program) if line[0, 0] == line[1, 0]]
    assert steps
    for line in steps:
        beyond = max(line[0, 0] - 400.0, 100.0 - line[0, 0])
        assert face.tool.radius - beyond <= face.stepover + 1e-9


def test_the_bed_is_skimmed_all_over() -> None:
    """A bed skim clears its rectangle to z, in levels no deeper than the stepdown."""
    setup = bed_setup(take=3.0)
    program = cut(setup, shop(), MM)[1]
    assert depths(program) == [-1.5, -3.0]
    for z in depths(program):
        assert (shapely.Polygon(setup.cuts[0].region) - swept(program, z, 25.0)).area < 1e-6  # type: ignore[union-attr]


def test_a_bed_as_wide_as_the_travel_is_entered_from_within() -> None:
    """With no air in reach a cutter plunges or ramps as it can, and no move leaves the travel."""
    for tool in (end_mill(does=("bed",)), end_mill(does=("bed",), centre_cutting=False, ramp=3.0)):
        setup = bed_setup(size=(1200, 700), at=(-200, -140), tool=tool)
        around = shop(travel=((0.0, 1200.0), (0.0, 700.0), (40.0, 180.0)))
        program = cut(setup, around, MM)[1]
        columns = moves(program)
        cutting = columns.end[~columns.rapid]
        assert cutting[:, 0].min() >= -200
        assert cutting[:, 0].max() <= 1000
        assert cutting[:, 1].min() >= -140
        assert cutting[:, 1].max() <= 560
        down = ~columns.rapid & (columns.end[:, 2] < columns.start[:, 2]) & (columns.end[:, 2] < 0)
        fall = (columns.start - columns.end)[down]
        along = np.hypot(fall[:, 0], fall[:, 1])
        if tool.centre_cutting:
            assert (along == 0).all()
        else:
            assert (fall[:, 2] <= along * math.tan(math.radians(3.0)) + MM).all()
        assert (shapely.box(-200, -140, 1000, 560) - swept(program, -0.5, tool.radius)).area < 1e-6


def test_a_strip_narrower_than_the_stepover_takes_one_line() -> None:
    """A narrow face is cleared by one line down its middle."""
    face, program = faced(face_setup(region=rectangle(100, 80, 400, 100)))
    lines = [line for z, line in level_feeds(program) if z == depths(program)[-1]]
    assert len(lines) == 1
    assert lines[0][0, 1] == 90.0
    assert (shapely.Polygon(face.region) - swept(program, 30.0, 25.0)).area < 1e-6
