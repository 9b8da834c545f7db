"""What moves, stands and is cut, by places worked by hand: paths, parts, clearances, wood."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from cutters import end_mill, facer
from setups import face_setup, rectangle, shop, solid
from situations import hand
from stockwright.checking.clearance import clipped, nearest
from stockwright.checking.parts import Part, parts_of
from stockwright.checking.paths import Paths, paths_of
from stockwright.machine import Attached
from stockwright.motion.moves import moves
from stockwright.motion.nodes import Rapid, UseTool

if TYPE_CHECKING:
    from situations import Stop

Place = tuple[float, float, float]


def test_a_path_is_a_line_a_box_or_anywhere_within_the_travel() -> None:
    """A slanting rapid is a box where axes run by themselves; a first move comes from anywhere."""
    setup = face_setup()
    stops: tuple[Stop, ...] = (
        ("rapid", None, None, 60.0),
        ("rapid", 70.0, 90.0, None),
        ("rapid", 30.0, None, None),
        ("rapid", 50.0, 20.0, None),
        ("feed", 10.0, 80.0, 20.0),
        ("rapid", 10.0, 40.0, 50.0),
    )
    made = moves(hand(setup, facer(), *stops))
    origin = (200.0, 140.0, 4.0)
    box = [[-200.0, -140.0, 60.0], [1200.0, 760.0, 60.0]]
    for own, boxes in ((shop(), [0, 2, 4]), (shop(rapids="straight"), [0])):
        machine = replace(own.machine, spoilboard=7.0)
        paths = paths_of(made, machine, origin)
        assert len(paths) == 5
        assert np.flatnonzero(paths.boxed).tolist() == boxes
        assert paths.rapid.tolist() == [True, True, True, False, True]
        assert [paths.a[0].tolist(), paths.b[0].tolist()] == box
        assert [paths.a[1].tolist(), paths.b[1].tolist()] == [[70.0, 90.0, 60.0], [30.0, 90.0, 60.0]]
        ends = (
            [[30.0, 20.0, 60.0], [50.0, 90.0, 60.0]]
            if 2 in boxes
            else [[30.0, 90.0, 60.0], [50.0, 20.0, 60.0]]
        )
        assert [paths.a[2].tolist(), paths.b[2].tolist()] == ends
        assert paths.low.tolist() == [60.0, 60.0, 60.0, 20.0, 20.0]
        # Before any height is known the tip is as low as it ever may be.
        blind = replace(hand(setup, facer()), nodes=(UseTool(1, "x"), Rapid(5.0, 6.0), Rapid(5.0, 9.0)))
        unknown = paths_of(moves(blind), machine, origin)
        assert [unknown.a[1].tolist(), unknown.b[1].tolist()] == [[5.0, 6.0, -11.0], [5.0, 9.0, -11.0]]


def test_the_parts_of_the_assembly_and_what_is_attached() -> None:
    """The edges first, then shank, nut and nose; what rides with the nose, and what with the gantry."""
    ring = ((-30.0, -40.0), (10.0, -5.0), (10.0, 20.0))
    machine = replace(
        shop().machine,
        attached=(
            Attached("shoe", ring, -7.0, 3.0, "z", soft=True),
            Attached("beam", ring, 90.0, 99.0, "gantry", soft=False),
        ),
    )
    told = [
        (p.name, p.kind, p.radius, p.bottom, p.top, p.cuts, p.fixed, p.soft)
        for p in parts_of(end_mill(shank=10.0), machine, 4.0)
    ]
    assert told == [
        ("cutter", "cutter", 6.0, 0.0, 42.0, True, False, False),
        ("shank", "shank", 5.0, 42.0, 60.0, False, False, False),
        ("collet nut", "nut", 17.0, 60.0, 82.0, False, False, False),
        ("spindle nose", "nose", 35.0, 82.0, 172.0, False, False, False),
        ("shoe", "attached", 50.0, 75.0, 85.0, False, False, True),
        ("beam", "attached", 50.0, 86.0, 95.0, False, True, False),
    ]
    bare = parts_of(end_mill(stickout=42.0), machine, 0.0)
    assert [p.kind for p in bare] == ["cutter", "nut", "nose", "attached", "attached"]


CLIPS = (  # from, to, and between which heights 2 and 6 of it is left (shares of the way), or nothing
    ((0.0, 0.0, 10.0), (100.0, 50.0, 0.0), (0.4, 0.8)),
    ((0.0, 0.0, 0.0), (100.0, 50.0, 10.0), (0.2, 0.6)),
    ((0.0, 0.0, 4.0), (100.0, 50.0, 4.0), (0.0, 1.0)),
    ((0.0, 0.0, 4.0), (100.0, 50.0, 14.0), (0.0, 0.2)),
    ((0.0, 0.0, 3.0), (100.0, 50.0, 5.0), (0.0, 1.0)),
    ((0.0, 0.0, 7.0), (100.0, 50.0, 5.0), (0.5, 1.0)),
    ((0.0, 0.0, 2.0), (100.0, 50.0, 2.0), None),
    ((0.0, 0.0, 6.0), (100.0, 50.0, 6.0), None),
    ((0.0, 0.0, 6.0), (100.0, 50.0, 9.0), None),
    ((0.0, 0.0, 2.0), (100.0, 50.0, -9.0), None),
    ((0.0, 0.0, 20.0), (100.0, 50.0, 8.0), None),
)


@pytest.mark.parametrize(("a", "b", "share"), CLIPS)
def test_a_line_is_clipped_to_heights(a: Place, b: Place, share: tuple[float, float] | None) -> None:
    """What lies between the heights is left, its ends on the line; on a border nothing is."""
    left, start, end = clipped(np.array([a]), np.array([b]), 2.0, 6.0)
    assert bool(left[0]) is (share is not None)
    if share is not None:
        way = np.array(b) - np.array(a)
        assert start[0] == pytest.approx(np.array(a) + share[0] * way)
        assert end[0] == pytest.approx(np.array(a) + share[1] * way)


def path(a: Place, b: Place, *, boxed: bool = False) -> Paths:
    """Give one path."""
    return Paths(np.array([a]), np.array([b]), np.array([boxed]), np.array([boxed]))


ROUND = Part("part", "shank", 5.0, 1.0, 21.0)
FLAT = Part(
    "plate",
    "attached",
    13.0,
    1.0,
    21.0,
    outline=np.array([[-12.0, -4.0], [12.0, -4.0], [12.0, 5.0], [-12.0, 5.0]]),
)
BLOCK = solid("block", rectangle(40.0, 20.0, 60.0, 50.0), bottom=3.0, top=14.0)
NEARS = (  # part, from, to, boxed, margin: beside, above, lowest, swept; nothing where it is clear
    (ROUND, (0.0, 10.0, 5.0), (100.0, 10.0, 5.0), False, 6.0, (5.0, -8.0, 6.0, (-5.0, 5.0, 105.0, 15.0))),
    (ROUND, (0.0, 10.0, 5.0), (100.0, 10.0, 5.0), False, 5.0, None),
    (ROUND, (0.0, 17.0, 15.0), (100.0, 17.0, 15.0), False, 6.0, (-2.0, 2.0, 16.0, (-5.0, 12.0, 105.0, 22.0))),
    (ROUND, (0.0, 30.0, 15.0), (30.0, 30.0, 15.0), False, 6.0, (5.0, 2.0, 16.0, (-5.0, 25.0, 35.0, 35.0))),
    (ROUND, (0.0, 30.0, 19.0), (100.0, 30.0, 19.0), False, 6.0, None),
    (ROUND, (0.0, 30.0, 18.9), (100.0, 30.0, 18.9), False, 6.0, (-5.0, 5.9, 19.9, (-5.0, 25.0, 105.0, 35.0))),
    (ROUND, (0.0, 30.0, -24.0), (100.0, 30.0, -24.0), False, 6.0, None),
    (
        ROUND,
        (0.0, 30.0, -23.9),
        (100.0, 30.0, -23.9),
        False,
        6.0,
        (-5.0, -36.9, -22.9, (-5.0, 25.0, 105.0, 35.0)),
    ),
    (ROUND, (68.0, 0.0, 9.0), (68.0, 90.0, 9.0), False, 4.0, (3.0, -4.0, 10.0, (63.0, -5.0, 73.0, 95.0))),
    (ROUND, (50.0, 63.0, 9.0), (50.0, 90.0, 9.0), False, 9.0, (8.0, -4.0, 10.0, (45.0, 58.0, 55.0, 95.0))),
    (ROUND, (64.0, 53.0, 9.0), (90.0, 90.0, 9.0), False, 1.0, (0.0, -4.0, 10.0, (59.0, 48.0, 95.0, 95.0))),
    (
        ROUND,
        (0.0, 0.0, 9.0),
        (38.0, 18.0, 9.0),
        True,
        1.0,
        (8**0.5 - 5.0, -4.0, 10.0, (-5.0, -5.0, 43.0, 23.0)),
    ),
    (ROUND, (0.0, 0.0, 9.0), (20.0, 70.0, 9.0), True, 16.0, (15.0, -4.0, 10.0, (-5.0, -5.0, 25.0, 75.0))),
    (ROUND, (0.0, 0.0, 30.0), (45.0, 30.0, 9.0), True, 1.0, (-5.0, 17.0, 31.0, None)),
    (FLAT, (0.0, 10.0, 5.0), (100.0, 10.0, 5.0), False, 6.0, (5.0, -8.0, 6.0, (-12.0, 5.0, 112.0, 15.0))),
    (FLAT, (75.0, 0.0, 5.0), (75.0, 90.0, 5.0), False, 6.0, (3.0, -8.0, 6.0, (63.0, -5.0, 87.0, 95.0))),
    (FLAT, (50.0, 57.0, 5.0), (50.0, 90.0, 5.0), False, 6.0, (3.0, -8.0, 6.0, (38.0, 52.0, 62.0, 95.0))),
    (
        replace(ROUND, fixed=True),
        (0.0, 10.0, 500.0),
        (100.0, 10.0, 500.0),
        False,
        6.0,
        (5.0, -13.0, 1.0, (-5.0, 5.0, 105.0, 15.0)),
    ),
    (
        replace(ROUND, fixed=True, bottom=20.0, top=30.0),
        (0.0, 10.0, 0.0),
        (100.0, 10.0, 0.0),
        False,
        6.0,
        None,
    ),
    (
        replace(ROUND, fixed=True, bottom=19.5, top=30.0),
        (0.0, 10.0, 0.0),
        (100.0, 10.0, 0.0),
        False,
        6.0,
        (5.0, 5.5, 19.5, (-5.0, 5.0, 105.0, 15.0)),
    ),
    (
        replace(ROUND, fixed=True, bottom=-9.0, top=-3.0),
        (0.0, 10.0, 0.0),
        (100.0, 10.0, 0.0),
        False,
        6.0,
        None,
    ),
    (
        replace(ROUND, fixed=True, bottom=-9.0, top=-2.5),
        (0.0, 10.0, 0.0),
        (100.0, 10.0, 0.0),
        False,
        6.0,
        (5.0, -23.0, -9.0, (-5.0, 5.0, 105.0, 15.0)),
    ),
)


@pytest.mark.parametrize(("part", "a", "b", "boxed", "margin", "wanted"), NEARS)
def test_how_near_a_part_comes_to_a_block(
    part: Part,
    a: Place,
    b: Place,
    boxed: bool,
    margin: float,
    wanted: tuple[float, float, float, tuple[float, float, float, float] | None] | None,
) -> None:
    """Beside and above it, its lowest underside and all it passes over; exactly the margin is clear."""
    low, high = (np.minimum(a, b), np.maximum(a, b)) if boxed else (a, b)
    near = nearest(path(tuple(low), tuple(high), boxed=boxed), part, BLOCK, margin)
    if wanted is None:
        assert near is None
        return
    beside, above, lowest, passed = wanted
    assert near is not None
    if passed is None:  # the box's lowest height is taken wherever it is
        beside, above, lowest, passed = -5.0, -4.0, 10.0, (-5.0, -5.0, 50.0, 35.0)
    assert [near.beside, near.above, near.lowest] == pytest.approx([beside, above, lowest])
    assert near.swept == pytest.approx(passed)
    assert near.clear == max(near.beside, near.above)


def test_only_edges_may_enter_what_may_be_cut_and_so_far() -> None:
    """Down to the height it may be cut to they are not judged, below it they are, from there."""
    for to, z, told in (
        (8.0, 8.0, None),
        (8.0, 7.5, -0.5),
        (3.0, -9.0, None),
        (3.5, 3.0, -0.5),
        (20.0, 15.0, -5.0),
    ):
        scrap = replace(BLOCK, may_cut_to=to)
        edges = Part("cutter", "cutter", 5.0, 0.0, 20.0, cuts=True)
        near = nearest(path((0.0, 30.0, z), (100.0, 30.0, z)), edges, scrap, 2.0)
        assert (None if near is None else near.above) == (None if told is None else pytest.approx(told))
        shank = nearest(path((0.0, 30.0, z), (100.0, 30.0, z)), replace(edges, cuts=False), scrap, 2.0)
        assert shank is not None


def test_of_many_moves_the_nearest_is_told_and_all_that_is_passed_over() -> None:
    """The least of the greater of both clearances; the lowest underside of those that are too near."""
    rows = (
        ((0.0, 12.0, 9.0), (100.0, 12.0, 9.0)),
        ((0.0, 14.0, 12.0), (100.0, 14.0, 12.0)),
        ((0.0, -90.0, 4.0), (70.0, -90.0, 4.0)),
    )
    paths = Paths(
        np.array([r[0] for r in rows]), np.array([r[1] for r in rows]), np.zeros(3, bool), np.zeros(3, bool)
    )
    near = nearest(paths, ROUND, BLOCK, 4.0)
    assert near is not None
    assert (near.beside, near.above, near.lowest) == (1.0, -1.0, 10.0)
    assert near.swept == (-5.0, -95.0, 105.0, 19.0)
    assert near.at == (40.0, 14.0, 12.0)
