"""Faces begun at their high side, and regions inside a larger board, as moving clamps ask for them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from setups import face_setup, rectangle, shop
from stockwright.cutting import cut
from stockwright.motion.moves import moves
from stockwright.planning.setup import FaceCut
from sweeps import MM, depths, swept

if TYPE_CHECKING:
    from typing import Literal

    from numpy.typing import NDArray

    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Setup


def begun(setup: Setup, begin: Literal["low", "high"], around: NDArray[np.float64] | None = None) -> Setup:
    """Return the setup with its face begun at that side, in a board of the outline `around`."""
    face = setup.cuts[0]
    assert isinstance(face, FaceCut)
    return replace(setup, cuts=(replace(face, begin=begin, around=around),))


def program_of(setup: Setup) -> tuple[FaceCut, Program]:
    """Return the face and the program that cuts it."""
    face = setup.cuts[0]
    assert isinstance(face, FaceCut)
    return face, cut(setup, shop(), MM)[1]


def long_passes(program: Program, axis: int, z: float) -> NDArray[np.float64]:
    """Return start and end (n, 2, 3) of feeds along `axis` at height `z`, longer than the cutter's width."""
    columns = moves(program)
    along = np.abs(columns.end - columns.start)[:, axis]
    at = ~columns.rapid & (np.abs(columns.end[:, 2] - z) < 0.002) & (along > program.tool.diameter)
    return np.stack([columns.start[at], columns.end[at]], axis=1)


@pytest.mark.parametrize("passes", ["along", "across"])
def test_passes_fall_from_the_high_side(passes: Literal["along", "across"]) -> None:
    """Begun high, each pass of the last level lies lower than the one before; begun low, higher."""
    axis = 0 if passes == "along" else 1
    for begin, sign in (("low", 1.0), ("high", -1.0)):
        face, program = program_of(begun(face_setup(passes=passes), begin))  # type: ignore[arg-type]
        lines = long_passes(program, axis, face.z)[:, 0, 1 - axis]
        steps = np.diff(lines) * sign
        assert len(lines) > 2
        assert (steps > 0).all()
        assert (steps <= face.stepover + 1e-6).all()


@pytest.mark.parametrize("passes", ["along", "across"])
@pytest.mark.parametrize("begin", ["low", "high"])
def test_all_is_cleared_from_either_side(
    passes: Literal["along", "across"], begin: Literal["low", "high"]
) -> None:
    """Nothing of a slanted region is left at its height, whichever side it is begun at."""
    region = np.array([[100.0, 80.0], [400.0, 92.0], [390.0, 190.0], [112.0, 178.0]])
    face, program = program_of(begun(face_setup(passes=passes, region=region), begin))
    cleared = swept(program, min(depths(program)), face.tool.radius - face.tool.corner_radius)
    assert shapely.Polygon(region).difference(cleared).area == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("passes", ["along", "across"])
@pytest.mark.parametrize("direction", ["conventional", "climb"])
@pytest.mark.parametrize("begin", ["low", "high"])
def test_the_uncut_wood_lies_where_the_direction_says(
    passes: Literal["along", "across"],
    direction: Literal["conventional", "climb"],
    begin: Literal["low", "high"],
) -> None:
    """The uncut wood is on the left of a conventional pass and on the right of a climbing one."""
    axis = 0 if passes == "along" else 1
    face, program = program_of(begun(face_setup(passes=passes, direction=direction), begin))
    uncut = np.zeros(2)
    uncut[1 - axis] = 1.0 if begin == "low" else -1.0
    for a, b in long_passes(program, axis, face.z):
        way = (b - a)[:2] / np.hypot(*(b - a)[:2])
        left = float(way[0] * uncut[1] - way[1] * uncut[0])
        assert left == pytest.approx(1.0 if direction == "conventional" else -1.0)


@pytest.mark.parametrize("begin", ["low", "high"])
def test_a_cutter_is_lowered_beside_the_whole_board(begin: Literal["low", "high"]) -> None:
    """In a region of a wider board a cutter that cannot plunge comes down outside the whole board."""
    board = rectangle(100.0, 60.0, 400.0, 200.0)
    setup = begun(face_setup(passes="across", size=(120.0, 140.0), at=(280.0, 60.0)), begin, board)
    face, program = program_of(setup)
    assert not face.tool.centre_cutting
    columns = moves(program)
    down = (columns.end[:, 2] < columns.start[:, 2]) & (columns.end[:, 2] < face.ceiling)
    places = shapely.points(
        columns.end[down & (np.hypot(*(columns.end - columns.start)[:, :2].T) < 1e-9)][:, :2]
    )
    assert len(places) > 0
    assert float(shapely.distance(places, shapely.Polygon(board)).min()) >= face.tool.radius


@pytest.mark.parametrize("wide", [103.0, 120.0])
def test_the_rim_comes_as_far_on_every_level_where_passes_end(wide: float) -> None:
    """Beyond the border where passes end the cutter's rim reaches its radius less half a stepover.

    Also where a last line further in would save a pass: what goes on there is stepped down like the rest.
    """
    board = rectangle(100.0, 60.0, 400.0, 200.0)
    setup = begun(face_setup(passes="across", size=(wide, 140.0), at=(100.0, 60.0)), "low", board)
    face, program = program_of(setup)
    heights = depths(program)
    assert len(heights) > 2
    for z in heights:
        lines = long_passes(program, 1, z)[:, 0, 0]
        assert lines.max() == pytest.approx(100.0 + wide - face.stepover / 2, abs=0.01)


@pytest.mark.parametrize("at", ["low", "high"])
@pytest.mark.parametrize("begin", ["low", "high"])
def test_a_narrow_ridge_at_the_border_brings_no_pass_nearer_to_what_stands(
    at: Literal["low", "high"], begin: Literal["low", "high"]
) -> None:
    """Of a ridge 10 mm wide at a border every level lies within the lines of the last one, over all of it."""
    board = rectangle(100.0, 60.0, 500.0, 200.0)
    wood = np.full((13, 15), 30.2)
    wood[-2:] = 35.0
    if at == "low":
        wood = wood[::-1]
    setup = begun(face_setup(passes="across", size=(120.0, 140.0), at=(240.0, 60.0), wood=wood), begin, board)
    face, program = program_of(setup)
    last = long_passes(program, 1, face.z)[:, 0, 0]
    higher = [z for z in depths(program) if z > face.z + 0.01]
    assert len(higher) > 1
    for z in higher:
        lines = long_passes(program, 1, z)[:, 0, 0]
        assert last.min() <= lines.min() <= lines.max() <= last.max()
        ridge = (
            shapely.box(240.0, 60.0, 250.0, 200.0) if at == "low" else shapely.box(350.0, 60.0, 360.0, 200.0)
        )
        assert ridge.difference(swept(program, z, face.tool.radius)).area == pytest.approx(0.0, abs=1e-6)
