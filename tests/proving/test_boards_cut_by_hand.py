"""A simulated board after moves made by hand: every cell against a formula, and what is asked of it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from stockwright.packet.model import Lies, MeasuredBoard
from stockwright.proving.frames import CannotLie, Lay, grid_frame, lay
from stockwright.proving.wood import cell_for, plank, rings, slab

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LONG, WIDE, LOW, HIGH = 40.0, 24.0, 2.0, 22.0
UNSURE = 0.25


def board(slope_x: float = 0.0, slope_y: float = 0.0) -> MeasuredBoard:
    """Give a board of 40 by 24 whose upper face is a plane."""
    x, y = [0.0, 10.0, 40.0], [0.0, 24.0]
    top = [[HIGH + slope_x * a + slope_y * b for b in y] for a in x]
    return MeasuredBoard(
        outline=[(0.0, 0.0), (LONG, 0.0), (LONG, WIDE), (0.0, WIDE)],
        x=x,
        y=y,
        top=top,
        bottom=[[LOW] * 2] * 3,
        uncertainty=UNSURE,
    )


def about(
    x: float = 0.0, y: float = 0.0, z: float = 0.0, shift: tuple[float, float, float] = (0, 0, 0)
) -> Floats:
    """Turn about x, then y, then z by radians, then shift."""
    cx, sx, cy, sy, cz, sz = (f(a) for a in (x, y, z) for f in (math.cos, math.sin))
    matrix = np.eye(4)
    matrix[:3, :3] = (
        np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
        @ np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
        @ np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    )
    matrix[:3, 3] = shift
    return matrix


def lies(matrix: Floats, up: str = "A", turns: int = 0) -> Lies:
    """Say how a board lies."""
    return Lies.model_validate(
        {"board": "plank", "up": up, "quarter_turns": turns, "matrix": matrix.tolist()}
    )


TURN = about(z=math.pi / 2)
OVER = np.diag([1.0, -1.0, -1.0, 1.0])


@pytest.mark.parametrize("tilt", [0.0, 4e-6, 6e-6, 0.03])
def test_heights_go_to_work_and_back(tilt: float) -> None:
    """Face A or B up: a height above the face's own plane is the work z that its matrix gives, and back."""
    for up, side, over in (("A", 1, np.eye(4)), ("B", -1, OVER)):
        matrix = about(x=tilt, shift=(5.0, 30.0, 40.0)) @ over
        placed = lay(lies(matrix, up), np.eye(4), 100.0)
        assert placed.side == side
        assert placed.flat == (tilt < 5e-6)
        assert placed.slope == pytest.approx(0.0 if placed.flat else math.tan(tilt), abs=1e-12)
        assert placed.wobble == pytest.approx(100.0 * math.tan(tilt) if placed.flat else 0.0, abs=1e-12)
        assert placed.to_work @ placed.to_grid == pytest.approx(np.eye(4))
        for x, y, height in ((0.0, 0.0, 0.0), (30.0, 7.0, 22.0), (-8.0, 19.0, -2.0)):
            z = (matrix @ np.array([x, y, side * height, 1.0]))[2]
            within = 2e-4 if placed.flat else 1e-9
            assert float(np.asarray(placed.work_z(height, x, y))) == pytest.approx(z, abs=within)
            assert float(np.asarray(placed.height(z, x, y))) == pytest.approx(height, abs=within)


@pytest.mark.parametrize(
    ("matrix", "up", "turns", "fits"),
    [
        *((np.eye(4), "A", 0, True), (OVER, "B", 0, True), (OVER, "A", 0, False), (np.eye(4), "B", 0, False)),
        *((TURN, "A", 1, True), (about(z=math.pi), "A", 2, True), (about(z=-math.pi / 2), "A", 3, True)),
        *((TURN, "A", 3, False), (TURN, "A", 0, False), (np.eye(4), "A", 1, False)),
        *((about(z=math.pi / 2) @ OVER, "B", 1, True), (about(z=-math.pi / 2) @ OVER, "B", 3, True)),
        *((about(x=0.19), "A", 0, True), (about(x=0.21), "A", 0, False), (about(y=-0.19), "A", 0, True)),
        *((about(y=0.21), "A", 0, False), (about(z=0.39), "A", 0, True), (about(z=0.41), "A", 0, False)),
        *((np.diag([1.0, 1.0, -1.0, 1.0]), "A", 0, False), (np.diag([1.00004, 1.0, 1.0, 1.0]), "A", 0, True)),
        *((np.diag([1.00006, 1, 1, 1]), "A", 0, False), (np.diag([0.99994, 1, 1, 1]), "A", 0, False)),
        *((np.diag([1.0, 1.0, 1.0, 1.1]), "A", 0, False), (about(x=math.pi / 2), "edge-2", 0, True)),
        *((about(x=-math.pi / 2), "edge-1", 0, True), (about(x=math.pi / 2), "edge-1", 0, False)),
    ],
)  # fmt: skip
def test_a_matrix_must_say_what_the_words_say(matrix: Floats, up: str, turns: int, *, fits: bool) -> None:
    """Which side is up, how it is turned, within 11 degrees of tilt; it may not stretch by 1 in 10,000."""
    if fits:
        assert grid_frame(lies(matrix, up, turns)).shape == (4, 4)
        return
    with pytest.raises(CannotLie, match=r"plank (is no rigid motion|disagrees with .* up and its turns)$"):
        grid_frame(lies(matrix, up, turns))


@pytest.mark.parametrize("lean", [0.0, 0.05, 0.19])
def test_a_later_clamping_may_lean_a_little_against_the_first(lean: float) -> None:
    """Up to 11 degrees about x or z it is carried; beyond, or with another side up, it is refused."""
    frame = grid_frame(lies(about(y=0.1)))
    for matrix in (about(x=lean), about(z=lean)):
        assert lay(lies(matrix @ OVER @ about(y=0.1), "B"), frame, 50.0).side == -1
    for matrix in (about(x=0.29), about(z=0.29)):
        with pytest.raises(CannotLie, match="disagrees with B up"):
            lay(lies(matrix @ OVER @ about(y=0.1), "B"), frame, 50.0)


@pytest.mark.parametrize(("slope_x", "slope_y"), [(0.0, 0.0), (0.02, 0.0), (-0.01, 0.03)])
def test_a_measured_plane_stands_on_its_cells(slope_x: float, slope_y: float) -> None:
    """A cell's `hi`: its highest corner, what may bend, the uncertainty; `lo`: the lowest, less the bend."""
    wood = plank("plank", board(slope_x, slope_y), np.eye(4))
    assert (wood.grid.x0, wood.grid.y0, wood.grid.cell) == (-3.0, -3.0, 1.0)
    assert (wood.grid.columns, wood.grid.rows) == (46, 30)
    assert (wood.name, wood.sides) == ("plank", ("edge-1", "edge-2"))
    bend = max(abs(slope_x), abs(slope_y)) / 2
    x, y = wood.grid.centres()
    middle = HIGH + slope_x * x[None, 4:-4] + slope_y * y[4:-4, None]
    half = (abs(slope_x) + abs(slope_y)) / 2
    assert wood.hi[1][4:-4, 4:-4] == pytest.approx(middle + half + bend + UNSURE)
    assert wood.lo[1][4:-4, 4:-4] == pytest.approx(middle - half - bend)
    assert wood.hi[-1][4:-4, 4:-4] == pytest.approx(np.full((22, 38), UNSURE - LOW))
    assert wood.lo[-1][4:-4, 4:-4] == pytest.approx(np.full((22, 38), -LOW))
    # Cells that the outline runs through may stand, and those are no more than one beside it.
    inside = np.zeros((30, 46), dtype=np.bool_)
    inside[4:-4, 4:-4] = True
    touched = np.zeros((30, 46), dtype=np.bool_)
    touched[2:-2, 2:-2] = True
    assert np.array_equal(wood.known(), inside)
    assert np.array_equal(wood.stands(), touched)


def test_a_board_is_as_high_and_as_low_as_its_cells() -> None:
    """Of a level board, of one turned over and of one that leans: its highest wood, and its lowest."""
    wood = plank("plank", board(0.02, 0.0), np.eye(4))
    upright, over = (
        lay(lies(np.eye(4)), np.eye(4), 60.0),
        lay(lies(about(shift=(0, 30, 50)) @ OVER, "B"), np.eye(4), 60.0),
    )
    highest = HIGH + 0.02 * 40 + 0.01 + UNSURE  # no reading beyond the outline: the last ones go on level
    assert wood.top(upright) == pytest.approx(highest)
    assert (wood.bottom(upright, sure=False), wood.bottom(upright, sure=True)) == pytest.approx(
        (LOW - UNSURE, LOW)
    )
    assert wood.top(over) == pytest.approx(50 - LOW + UNSURE)
    assert wood.bottom(over, sure=False) == pytest.approx(50 - highest)
    assert wood.bottom(over, sure=True) == pytest.approx(50 - (HIGH + 0.02 * 1 - 0.01))
    # Tilted by 0.1 about y the left end is high; the middle of a cell counts, and for its top a cell more.
    tilted = lay(lies(about(y=0.1)), np.eye(4), 60.0)
    x, y = wood.grid.centres()
    stands, known = wood.stands(), wood.known()
    z = -math.sin(0.1) * x[None, :] + 0 * y[:, None] + math.cos(0.1) * wood.hi[1]
    assert wood.top(tilted) == pytest.approx(z[stands].max() + math.tan(0.1))
    under = -math.sin(0.1) * x[None, :] + 0 * y[:, None] - math.cos(0.1) * wood.hi[-1]
    assert wood.bottom(tilted, sure=False) == pytest.approx(under[stands].min())
    sure = -math.sin(0.1) * x[None, :] + 0 * y[:, None] - math.cos(0.1) * wood.lo[-1]
    assert wood.bottom(tilted, sure=True) == pytest.approx(sure[known].max())
    wood.hi[1][:] = wood.hi[-1][:] = -np.inf
    assert (wood.top(upright), wood.top(tilted)) == (-math.inf, -math.inf)
    assert (wood.bottom(upright, sure=True), wood.bottom(upright, sure=False)) == (math.inf, math.inf)


def test_a_warp_moves_what_may_stand_out_and_what_surely_stands_in() -> None:
    """Of the upper side both, of the lower what is sure; where there is no wood there is none afterwards."""
    wood = plank("plank", board(), np.eye(4))
    before = {side: (wood.hi[side].copy(), wood.lo[side].copy()) for side in (1, -1)}
    wood.warp(1, 0.3)
    stands = before[1][0] + before[-1][0] > 0
    assert np.array_equal(wood.hi[1][stands], before[1][0][stands] + 0.3)
    assert np.isneginf(wood.hi[1][~stands]).all()
    assert np.array_equal(wood.hi[-1], before[-1][0])
    for side in (1, -1):
        assert np.array_equal(wood.lo[side], before[side][1] - 0.3)


CUTS: list[tuple[tuple[float, float, float], tuple[float, float, float], float, float]] = [
    ((5.0, 12.0, 15.0), (35.0, 12.0, 15.0), 4.0, 0.0),
    ((5.0, 5.0, 12.5), (30.0, 20.0, 12.5), 3.0, 0.0),
    ((8.0, 8.0, 14.0), (30.0, 18.0, 14.0), 3.5, 0.5),
    ((20.0, 12.0, 30.0), (20.0, 12.0, 9.0), 5.0, 0.0),
    ((20.0, 12.0, 9.0), (20.0, 12.0, 30.0), 5.0, 0.25),
]


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize(("a", "b", "radius", "slack"), CUTS)
def test_a_cut_lowers_the_cells_that_distances_say(
    a: tuple[float, float, float], b: tuple[float, float, float], radius: float, slack: float, *, over: bool
) -> None:
    """`hi` where all four corners are swept, `lo` where any of the cell is, down to the tip."""
    wood = plank("plank", board(), np.eye(4))
    placed = lay(
        lies(about(shift=(0.0, WIDE, HIGH + LOW)) @ OVER if over else np.eye(4), "B" if over else "A"),
        np.eye(4),
        60.0,
    )
    side = placed.side
    hi, lo = wood.hi[side].copy(), wood.lo[side].copy()
    wood.cut(placed, np.array(a), np.array(b), radius, slack)
    ends = [(x, WIDE - y if over else y) for x, y, _ in (a, b)]
    way = shapely.Point(ends[0]) if ends[0] == ends[1] else shapely.LineString(ends)
    x, y = (at[None] for at in np.meshgrid(*wood.grid.centres()))
    corners = [shapely.points(x + i, y + j) for i in (-0.5, 0.5) for j in (-0.5, 0.5)]
    inner = np.max([shapely.distance(c, way) for c in corners], axis=0)[0] <= radius - slack + 1e-9
    outer = shapely.distance(shapely.box(x - 0.5, y - 0.5, x + 0.5, y + 0.5), way)[0] < radius + slack - 1e-9
    tip = min(a[2], b[2]) - (HIGH + LOW if over else 0.0)
    assert wood.hi[side] == pytest.approx(np.where(inner, np.minimum(hi, tip), hi))
    assert wood.lo[side] == pytest.approx(np.where(outer, np.minimum(lo, tip), lo))
    assert inner.sum() > 20


@pytest.mark.parametrize(("lean", "out"), [(0.0, 0.01), (0.05, 0.3)])
def test_a_slope_is_cut_between_its_bounds(lean: float, out: float) -> None:
    """Along a fall of 6 mm: nowhere is `hi` below, nor `lo` above, what the tip's path leaves."""
    wood = plank("plank", board(), np.eye(4))
    placed = lay(lies(about(x=lean)), np.eye(4), 60.0)
    before = wood.hi[1].copy()
    a, b, radius = np.array([6.0, 10.0, 20.0]), np.array([34.0, 14.0, 14.0]), 5.0
    wood.cut(placed, a, b, radius, 0.0)
    x, y = np.meshgrid(*wood.grid.centres())
    places = np.stack([x, y, np.full_like(x, 17.0), np.ones_like(x)], axis=-1) @ placed.to_work.T
    way = b[:2] - a[:2]
    length = float(np.hypot(*way))
    along = ((places[..., :2] - a[:2]) @ way) / length
    aside = np.abs((places[..., :2] - a[:2]) @ np.array([-way[1], way[0]])) / length
    deep = np.sqrt(np.maximum(radius**2 - aside**2, 0.0))
    lowest = a[2] + (b[2] - a[2]) * np.clip((along + deep) / length, 0.0, 1.0)
    middle = (aside < 3.0) & (along > 6.0) & (along < 20.0)
    inner = middle & (wood.hi[1] < before)
    assert inner.sum() > 40
    cut = np.asarray(placed.work_z(wood.hi[1], x, y))
    sure = np.asarray(placed.work_z(wood.lo[1], x, y))
    assert (cut[inner] > lowest[inner] - out).all()
    assert (sure[middle] < lowest[middle] + out).all()
    assert (cut[inner] < lowest[inner] + 0.44 + out).all()
    assert (sure[middle] > lowest[middle] - 0.44 - out).all()


def test_wood_above_a_height_is_found_where_a_disc_passes() -> None:
    """Cells that the disc touches and that stand higher, each with its middle and height; in a box all."""
    wood = plank("plank", board(0.1, 0.0), np.eye(4))
    placed = lay(lies(np.eye(4)), np.eye(4), 60.0)
    a, b = np.array([10.0, 12.0, 23.0]), np.array([30.0, 12.0, 23.0])
    found = wood.above(placed, a, b, 2.0, 23.0, 0.01)
    x, _ = wood.grid.centres()
    columns = (x > 8) & (x < 32) & (HIGH + 0.1 * x + 0.05 + 0.05 + UNSURE > 23.01)
    for row in (10.5, 13.5):
        assert found[found[:, 1] == row][:, 0].tolist() == x[columns].tolist()
    assert set(found[:, 1]) == {10.5, 11.5, 12.5, 13.5}
    assert found[:, 2] == pytest.approx(HIGH + 0.1 * found[:, 0] + 0.1 + UNSURE)
    assert len(wood.above(placed, a, b, 2.0, 27.0, 0.01)) == 0
    assert len(wood.above(placed, a + 100, b + 100, 2.0, 1.0, 0.01)) == 0
    boxed = wood.above_box(placed, np.array([10.0, 5.0]), np.array([14.0, 9.0]), 2.0, 20.0, 0.01)
    assert (sorted(set(boxed[:, 0])), sorted(set(boxed[:, 1]))) == (
        [k + 0.5 for k in range(7, 17)],
        [k + 0.5 for k in range(2, 12)],
    )
    assert boxed[:, 2] == pytest.approx(HIGH + 0.1 * boxed[:, 0] + 0.1 + UNSURE)


@pytest.mark.parametrize(("radius", "depth", "block", "found"), [(4.0, 7.0, 2, True), (4.0, 7.3, 2, False)])
def test_what_is_thicker_than_may_be_cut_is_found(
    radius: float, depth: float, block: int, *, found: bool
) -> None:
    """7.25 mm stand above the tip, the uncertainty with them: they are more than 7, and not than 7.3."""
    wood = plank("plank", board(), np.eye(4))
    placed = lay(lies(np.eye(4)), np.eye(4), 60.0)
    a, b = np.array([10.0, 12.0, 15.0]), np.array([30.0, 12.0, 15.0])
    place = wood.thicker(placed, a, b, radius, 15.0, depth, block)
    assert (place is not None) == found
    if place is not None:
        assert place == pytest.approx((9.5, 8.5, 22.25), abs=3.01)
        assert place[2] == pytest.approx(22.25)


@pytest.mark.parametrize(
    ("strip", "block", "found"), [(3, 3, True), (3, 4, False), (4, 4, True), (5, 6, False)]
)
def test_a_strip_too_narrow_is_no_thickness(strip: int, block: int, *, found: bool) -> None:
    """Only a square of so many cells each way counts: a strip of fewer rows is passed over."""
    wood = plank("plank", board(), np.eye(4))
    wood.hi[1][:] = np.where(np.isfinite(wood.hi[1]), 15.0, -np.inf)
    wood.hi[1][13 : 13 + strip, :] = 22.0
    placed = lay(lies(np.eye(4)), np.eye(4), 60.0)
    a, b = np.array([10.0, 12.0, 14.0]), np.array([30.0, 12.0, 14.0])
    assert (wood.thicker(placed, a, b, 9.0, 14.0, 5.0, block) is not None) == found


def test_the_beds_own_wood_is_level_from_the_start() -> None:
    """Its top and bottom as given, on every cell that its outline touches or holds."""
    wood = slab(shapely.box(2.0, 3.0, 12.5, 9.0), 1.5, -4.0)
    assert (wood.grid.x0, wood.grid.y0, wood.grid.columns, wood.grid.rows) == (-1.0, 0.0, 17, 12)
    assert wood.name is None
    assert (wood.hi[1].max(), wood.lo[1].max(), wood.hi[-1].max(), wood.lo[-1].max()) == (1.5, 1.5, 4.0, 4.0)
    assert (wood.known().sum(), wood.stands().sum()) == (9 * 4, 12 * 8)
    assert np.array_equal(wood.to_grid, np.eye(4))


@pytest.mark.parametrize(
    ("size", "cell"),
    [((100, 50), 1), ((3994, 994), 1), ((3995, 994), 2), ((7988, 1988), 2), ((7990, 1990), 3)],
)
def test_a_cell_is_as_large_as_memory_asks(size: tuple[float, float], cell: float) -> None:
    """Four million cells with three beyond every rim: 1 mm up to there, then whole millimetres more."""
    assert cell_for(*size) == cell
    assert cell_for(*reversed(size)) == cell


def test_rings_of_an_area_are_open_and_all_there() -> None:
    """The outer ring and each hole of every part, without the corner said twice."""
    area = shapely.union_all(
        [shapely.box(0, 0, 9, 9).difference(shapely.box(2, 2, 3, 3)), shapely.box(20, 0, 21, 1)]
    )
    found = rings(area)
    assert sorted(len(ring) for ring in found) == [4, 4, 4]
    assert sorted(float(np.ptp(ring[:, 0])) for ring in found) == [1.0, 1.0, 9.0]
    assert rings(shapely.LineString([(0, 0), (1, 1)])) == []


def test_a_lay_counts_heights_outwards_on_the_side_that_is_up() -> None:
    """On face B a height of 3 above the grid's plane is 3 below it in the grid."""
    turned = Lay(OVER, OVER, -1, flat=True, wobble=0.0, slope=0.0)
    assert (turned.height(5.0, 9.0, 9.0), turned.work_z(5.0, 9.0, 9.0)) == (5.0, 5.0)
