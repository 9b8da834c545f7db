"""Where cutters have been, how near a board is, what many moves do at once: at exact borders."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from small_packet import small_document
from stockwright.packet.model import Packet, Reason
from stockwright.proving.arcs import SAGITTA, arc_by_centre, arc_by_radius
from stockwright.proving.ceiling import Ceiling
from stockwright.proving.frames import Lay
from stockwright.proving.lying import Lying, box
from stockwright.proving.rs274 import read
from stockwright.proving.telling import placed, quoted
from stockwright.proving.together import cut_level, may_be_thicker, may_stand_above, stretches, too_wide
from stockwright.proving.track import Track
from stockwright.proving.trail import Trail, segment_distance
from stockwright.proving.wood import Wood, plank, slab

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LEVEL = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)
LOW = Lay(
    np.diag([1.0, -1.0, -1.0, 1.0]), np.diag([1.0, -1.0, -1.0, 1.0]), -1, flat=True, wobble=0.25, slope=0.0
)


def lines(*rows: tuple[float, float, float]) -> Floats:
    """Give places as an array."""
    return np.array(rows, dtype=np.float64)


def test_a_trail_keeps_what_each_move_did() -> None:
    """Ends in plan, heights, radius, slack, which fall, and the place in the text, in order."""
    trail = Trail()
    assert (len(trail), trail.nearest((0.0, 0.0), math.inf)) == (0, None)
    trail.add(np.array([1.0, 2.0, 9.0]), np.array([3.0, 4.0, 5.0]), 6.0, 0.5, ("a.nc", 7))
    trail.add_many(
        lines((3, 4, 5), (8, 4, 5)),
        lines((8, 4, 5), (8, 4, 6)),
        6.0,
        np.array([0.0, 0.1]),
        "a.nc",
        np.array([8, 9]),
    )
    trail.add_many(lines(), lines(), 6.0, np.array([]), "none.nc", np.array([], dtype=int))
    trail.add(np.array([0.0, 0.0, 1.0]), np.array([9.0, 0.0, 1.0]), 2.5, 0.0, ("b.nc", 3))
    assert len(trail) == 4
    assert trail.a.tolist() == [[1, 2], [3, 4], [8, 4], [0, 0]]
    assert trail.b.tolist() == [[3, 4], [8, 4], [8, 4], [9, 0]]
    assert (trail.low.tolist(), trail.high.tolist()) == ([5, 5, 5, 1], [9, 5, 6, 1])
    assert trail.falls.tolist() == [True, False, False, False]
    assert trail.slack.tolist() == [0.5, 0.0, 0.1, 0.0]
    assert trail.columns()[2].tolist() == [6.0, 6.0, 6.0, 2.5]
    assert [trail.said[k] for k in range(4)] == [("a.nc", 7), ("a.nc", 8), ("a.nc", 9), ("b.nc", 3)]


def test_the_nearest_move_is_the_deepest_that_reaches_then_the_first() -> None:
    """Of those that come below a height; of two that reach the place the lower, of two as low the first."""
    trail = Trail()
    for k, (y, z) in enumerate(((0.0, 5.0), (1.0, 3.0), (1.5, 3.0), (9.0, 1.0))):
        trail.add(np.array([0.0, y, z]), np.array([20.0, y, z]), 2.0, 0.0, ("a.nc", k + 1))
    for point, below, line in (
        *(
            ((5.0, 0.0), math.inf, 2),
            ((5.0, -1.5), math.inf, 1),
            ((5.0, 2.5), math.inf, 2),
            ((5.0, 3.3), 9.0, 3),
        ),
        *(
            ((5.0, 8.0), math.inf, 4),
            ((5.0, 4.9), math.inf, 3),
            ((5.0, 5.3), math.inf, 4),
            ((5.0, 0.0), 2.9, 4),
        ),
        *(
            ((5.0, 0.0), 3.0, 2),
            ((23.0, 0.0), 5.0, 1),
            ((5.0, 5.2494), math.inf, 3),
            ((5.0, 5.2499), math.inf, 4),
        ),
    ):
        assert trail.nearest(point, below) == ("a.nc", line), point
    assert trail.nearest((5.0, 0.0), 0.9) is None


def test_a_place_is_cleared_up_to_the_rim_and_down_to_a_hundredth() -> None:
    """On the rim it is, a micron beyond not; a move a hundredth above the height clears it, no higher."""
    trail = Trail()
    trail.add(np.array([0.0, 0.0, 5.0]), np.array([10.0, 0.0, 4.0]), 3.0, 0.0, ("a.nc", 1))
    points = np.array(
        [[5.0, 3.0], [5.0, 3.001], [13.0, 0.0], [13.001, 0.0], [-3.0, 0.0], [-2.2, 2.2], [12.0, 2.0]]
    )
    assert trail.swept(points, 4.99).tolist() == [True, False, True, False, True, False, True]
    assert not trail.swept(points, 4.989).any()
    assert trail.swept(points[:0], 9.0).shape == (0,)
    assert not Trail().swept(points, 9.0).any()


def test_distances_from_segments_are_as_by_hand() -> None:
    """Beside, beyond either end, along a slant, from a segment that is a point."""
    a, b = np.array([[0.0, 0.0], [1.0, 1.0], [0.0, 0.0]]), np.array([[10.0, 0.0], [1.0, 1.0], [3.0, 4.0]])
    found = segment_distance(np.array([[5.0, 2.0], [-3.0, 4.0], [13.0, -4.0]]), a, b)
    expected = [[2.0, math.hypot(4, 1), 14 / 5], [5.0, 5.0, 24 / 5], [5.0, 13.0, 64 / 5]]
    assert found == pytest.approx(np.array(expected))


def test_a_disc_is_beside_a_board_two_millimetres_beyond_its_reach() -> None:
    """On each side: a hair farther than 2 is beside, 2 is not; a lean adds its slope times 400."""
    outline = shapely.box(10.0, 20.0, 50.0, 60.0)
    for slope in (0.0, 0.01):
        lay = Lay(np.eye(4), np.eye(4), 1, flat=slope == 0.0, wobble=0.0, slope=slope)
        lying = Lying(slab(outline, 10.0, 0.0), lay, outline, outline)
        off = 5.0 + 2.0 + 400.0 * slope
        for x, y, dx, dy in ((10, 40, -1, 0), (50, 40, 1, 0), (30, 20, 0, -1), (30, 60, 0, 1)):
            for more, expected in ((0.0, False), (0.001, True)):
                at = np.array([x + dx * (off + more), y + dy * (off + more), 3.0])
                away = at + np.array([dx * 30.0, dy * 30.0, 0.0])
                assert lying.beside(at, away, 5.0) is expected
                assert lying.beside(away, at, 5.0) is expected
    low, high = box(lines((1, 9, 0), (5, 2, 0)), lines((7, 3, 0), (0, 4, 0)))
    assert (low.tolist(), high.tolist()) == ([0.0, 2.0], [7.0, 9.0])
    low, high = box(np.array([4.0, 1.0, 0.0]), np.array([2.0, 3.0, 0.0]))
    assert (low.tolist(), high.tolist()) == ([2.0, 1.0], [4.0, 3.0])


def test_a_quick_bound_is_that_of_its_tiles() -> None:
    """Of a board in tiles of 32 cells: what stands in the next tile but one counts no more."""
    wood = slab(shapely.box(0.0, 0.0, 200.0, 90.0), 10.0, 0.0)
    wood.hi[1][:, 64:] = np.where(np.isfinite(wood.hi[1][:, 64:]), 20.0, -np.inf)  # from grid x 61 on
    ceiling = Ceiling(wood, LEVEL)
    for x, below in ((10.0, True), (59.9, True), (60.1, False), (120.0, False), (250.0, True), (-50.0, True)):
        assert ceiling.below(np.array([x - 1.0, 40.0]), np.array([x, 45.0]), 10.0) is below, x
    assert not ceiling.below(np.array([5.0, 40.0]), np.array([6.0, 45.0]), 9.99)
    assert ceiling.below(np.array([5.0, 140.0]), np.array([6.0, 145.0]), 0.0)
    assert ceiling.below(np.array([100.0, 40.0]), np.array([110.0, 45.0]), 20.0)


def board() -> Wood:
    """Give the small board, its faces uneven."""
    return plank("plank", Packet.model_validate(small_document()).boards["plank"], np.eye(4))


@pytest.mark.parametrize("lay", [LEVEL, LOW])
def test_many_cuts_at_once_leave_what_one_after_the_other_leaves(lay: Lay) -> None:
    """Twelve level moves with slack, face A or B up: all fields, cell for cell; only one side changes."""
    rng = np.random.default_rng(4)
    a, b = (rng.uniform((0, -110, 0), (300, 110, 0), (12, 3)) for _ in range(2))
    z = 20.0 if lay.side == 1 else -15.0
    a[:, 2] = b[:, 2] = z
    one, many = board(), board()
    for p, q in zip(a, b, strict=True):
        one.cut(lay, p, q, 9.0, 0.3)
    cut_level(many, lay, a, b, 9.0, z, 0.3)
    before = board()
    for side in (1, -1):
        assert np.array_equal(one.hi[side], many.hi[side])
        assert np.array_equal(one.lo[side], many.lo[side])
        assert np.array_equal(many.hi[side], before.hi[side]) == (side != lay.side)


def test_many_moves_at_once_ask_what_one_asks() -> None:
    """Wood above a plane, and wood too thick, at heights a hair apart: yes just below, no just above."""
    wood = slab(shapely.box(0.0, 0.0, 80.0, 40.0), 10.0, 0.0)
    a, b = lines((-20, 20, 4), (-20, 60, 4)), lines((-10, 20, 4), (30, 60, 4))
    over = lines((10, 20, 4)), lines((60, 20, 4))
    assert may_stand_above(wood, LEVEL, *over, 5.0, 4.0, 9.999)
    assert not may_stand_above(wood, LEVEL, *over, 5.0, 4.0, 10.0)
    assert not may_stand_above(wood, LEVEL, a, b, 5.0, 4.0, 1.0)
    assert not may_stand_above(wood, LEVEL, a + 500, b + 500, 5.0, 4.0, 1.0)
    assert may_be_thicker(wood, LEVEL, *over, 5.0, 4.0, 5.999, 2)
    assert not may_be_thicker(wood, LEVEL, *over, 5.0, 4.0, 6.0, 2)
    assert not may_be_thicker(wood, LEVEL, a + 500, b + 500, 5.0, 4.0, 1.0, 2)
    assert may_be_thicker(wood, LEVEL, *over, 5.0, 4.0, 5.0, 8)
    assert not may_be_thicker(wood, LEVEL, *over, 5.0, 4.0, 5.0, 11)
    wood.hi[-1][:] = -12.0
    assert not may_stand_above(wood, LEVEL, *over, 5.0, 4.0, 1.0)
    assert not may_be_thicker(wood, LEVEL, *over, 5.0, 4.0, 1.0, 2)


def test_moves_are_too_wide_from_half_a_million_cells_on() -> None:
    """The box of the moves and the radius around it: 1000 by 500 is not, a thousandth more is."""
    wood = slab(shapely.box(0.0, 0.0, 40.0, 30.0), 10.0, 0.0)
    a, b = lines((0, 0, 0), (10, 480, 0)), lines((980, 20, 0), (0, 0, 0))
    assert not too_wide(wood, a, b, 10.0)
    assert too_wide(wood, a, b, 10.001)
    assert too_wide(wood, a, b + 0.01, 10.0)


def test_a_long_stretch_is_parted_after_two_thousand_and_forty_eight() -> None:
    """Moves of one height in one go, but never more than that; other heights and slack part them too."""
    moves = read("G21 G90 G94\nG0 Z5\nX1 Y1\nM3 S900\nF90\n" + "G1 X2\nX3\n" * 2100 + "G1 Z4\nX5\nM2\n").moves
    plain = (moves.start[:, 2] == moves.end[:, 2]) & ~moves.rapid
    assert list(stretches(moves, plain)) == [
        (0, 2),
        (2, 2050),
        (2050, 4098),
        (4098, 4202),
        (4202, 4203),
        (4203, 4204),
    ]


@pytest.mark.parametrize(
    ("at", "said"),
    [
        ((0.4, 50.0), "at end-1 and 50 mm from edge-1"),
        ((0.6, 60.0), "1 mm from end-1 and 46 mm from edge-2"),
        ((-0.6, 105.6), "1 mm beyond end-1 and at edge-2"),
        ((152.0, 53.0), "152 mm from end-1 and 53 mm from edge-1"),
        ((152.6, 53.6), "151 mm from end-2 and 52 mm from edge-2"),
        ((314.2, -8.7), "10 mm beyond end-2 and 9 mm beyond edge-1"),
    ],
)
def test_a_place_is_told_from_the_nearer_sides(at: tuple[float, float], said: str) -> None:
    """To a millimetre, within half a one as at the side, beyond it as beyond; of two boards the nearer."""
    outline = shapely.box(0.0, 0.0, 304.0, 106.0)
    here = Lying(board(), LEVEL, outline, outline)
    bed = shapely.box(900.0, 0.0, 950.0, 50.0)
    boards = [(Lying(slab(bed, 1.0, 0.0), LEVEL, bed, bed), bed), (here, outline)]
    reason = Reason(rule="wall-left", message="x", at=(*at, 5.0))
    found = placed(reason, boards)
    assert (found.board, found.place) == ("plank", f"plank, {said}")
    assert placed(reason.model_copy(update={"at": (901.0, 1.0, 0.0)}), boards).place == "on the bed"
    assert placed(reason, []) is reason


def test_a_line_is_quoted_with_where_its_height_came_from() -> None:
    """A long one is cut at 100 signs; the height's line only for reasons of depth, and only if earlier."""
    text = "G21 G90 G94\nG0 Z5\nX1 Y1\nZ3\nX2\n  (" + "a" * 120 + ")\nM2\n"
    readings, texts = {"a.nc": read(text)}, {"a.nc": text}
    for rule, line, block in (
        *(
            ("spots-left", 5, "X2 (at this height since line 4: Z3)"),
            ("wall-cut-into", 5, "X2"),
            ("spots-left", 4, "Z3"),
        ),
        *(("spots-left", 3, "X1 Y1 (at this height since line 2: G0 Z5)"), ("spots-left", 1, "G21 G90 G94")),
        *(("wall-left", 6, "(" + "a" * 99 + "... (at this height since line 4: Z3)"), ("wall-left", 0, None)),
        *(("wall-left", 8, ""), ("wall-left", 9, None), ("wrong-size", 7, "M2")),
    ):
        reason = Reason(rule=rule, message="x", program="a.nc", line=line)
        found = quoted(reason, texts, readings).block
        assert (found or "").partition(" (at")[0] == (block or "").partition(" (at")[0], (rule, line)
        assert found == block or line == 8
    assert quoted(Reason(rule="x", message="x", program="b.nc", line=1), texts, readings).block is None


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("degrees", [1.0, 40.0, 90.0, 179.0, 181.0, 300.0])
@pytest.mark.parametrize("size", [0.004, 0.3, 12.0])
def test_an_arc_is_followed_by_chords_near_enough(size: float, degrees: float, *, clockwise: bool) -> None:
    """By centre and by radius: as long as its formula, every chord within 5 microns, and none in vain."""
    way = -1.0 if clockwise else 1.0
    begin, sweep = math.radians(25.0), way * math.radians(degrees)
    start = (3.0 + size * math.cos(begin), -2.0 + size * math.sin(begin), 1.0)
    end = (3.0 + size * math.cos(begin + sweep), -2.0 + size * math.sin(begin + sweep), 1.5)
    middle = (3.0 - start[0], -2.0 - start[1])
    by_centre = arc_by_centre(start, end, middle, clockwise=clockwise, inch=False)
    by_radius = arc_by_radius(start, end, size if degrees < 180 else -size, clockwise=clockwise)
    for arc in (by_centre, by_radius):
        assert arc.length == pytest.approx(math.hypot(size * abs(sweep), 0.5), rel=1e-6)
        assert (arc.sweep, arc.radius) == pytest.approx((sweep, size), rel=1e-6)
        assert arc.centre == pytest.approx((3.0, -2.0), abs=1e-6)
        points = [start, *arc.points()]
        assert points[-1] == end
        count = len(points) - 1
        for k, (x, y, z) in enumerate(points):
            angle = begin + sweep * k / count
            assert (x, y) == pytest.approx(
                (3 + size * math.cos(angle), -2 + size * math.sin(angle)), abs=1e-6
            )
            assert z == pytest.approx(1.0 + 0.5 * k / count, abs=1e-9)
        off = size * (1.0 - math.cos(abs(sweep) / count / 2))
        assert off <= SAGITTA * (1 + 1e-6)
        assert (
            count == 1
            or size < SAGITTA
            or size * (1.0 - math.cos(abs(sweep) / (count - 1) / 2)) > SAGITTA * (1 - 1e-6)
        )


def test_moves_are_kept_in_order_however_many() -> None:
    """More than there was room for: each begins where the last ended, but after a jump; marks stay."""
    track = Track(1)
    track.add(3, [1.0, 2.0, 3.0], math.nan, 5.0)
    track.add(4, [4.0, 2.0, 3.0], 60.0, 5.0, 0.005)
    track.touch()
    track.jump([4.0, 2.0, math.nan])
    track.add_many(5, lines((7, 7, 7), (8, 8, 8), (9, 9, 9)), np.array([math.nan, 50.0, 51.0]), -2.0)
    moves = track.moves()
    assert moves.line.tolist() == [3, 4, 5, 6, 7]
    assert moves.rapid.tolist() == [True, False, True, False, False]
    assert moves.end[:, 0].tolist() == [1, 4, 7, 8, 9]
    assert moves.start[1:, 0].tolist() == [1, 4, 7, 8]
    assert np.isnan(moves.start[2]).tolist() == [False, False, True]
    assert moves.touches.tolist() == [False, True, False, False, False]
    assert (moves.rpm.tolist(), moves.sagitta.tolist()) == ([5, 5, -2, -2, -2], [0, 0.005, 0, 0, 0])
    assert moves.feed[[1, 3, 4]].tolist() == [60, 50, 51]
    assert len(Track(0).moves()) == 0
