"""Which cells a round cutter covers, and which a polygon: against plain distances, and as pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from stockwright.proving.sweep import Grid, Spans, fill, patch_mask, polygon_cells, stadium_spans
from stockwright.proving.sweep_many import cover

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

# Grids whose cell is not 1 and whose corner is nowhere round: no factor of one and no zero hides a slip.
GRIDS = [Grid(-3.0, 2.5, 0.5, 24, 30), Grid(10.0, -20.0, 2.0, 21, 17), Grid(0.25, 0.75, 1.5, 16, 22)]


def mask_of(grid: Grid, spans: Spans) -> Mask:
    """Put spans into a field of the grid."""
    found: Mask = np.zeros((grid.rows, grid.columns), dtype=np.bool_)
    if len(spans):
        found[spans.first : spans.first + len(spans)] = patch_mask(spans, 0, grid.columns)
    return found


def picture(mask: Mask) -> list[str]:
    """Draw a mask, its first row lowest."""
    return ["".join(".#"[int(cell)] for cell in row) for row in mask[::-1]]


def by_distance(grid: Grid, a: Floats, b: Floats, radius: float, *, inside: bool) -> tuple[Mask, Mask]:
    """Say of each cell whether it is covered, and whether that is beyond doubt, from distances alone."""
    way = shapely.Point(a) if (a == b).all() else shapely.LineString([a, b])
    x, y = grid.x0 + np.arange(grid.columns + 1) * grid.cell, grid.y0 + np.arange(grid.rows + 1) * grid.cell
    left, low = np.meshgrid(x[:-1], y[:-1])
    right, high = np.meshgrid(x[1:], y[1:])
    if inside:
        corners = [shapely.points(p, q) for p in (left, right) for q in (low, high)]
        off = np.max([shapely.distance(corner, way) for corner in corners], axis=0)
    else:
        off = shapely.distance(shapely.box(left, low, right, high), way)
    return off < radius, np.abs(off - radius) > 1e-7


@pytest.mark.parametrize("inside", [True, False])
@pytest.mark.parametrize("grid", GRIDS)
def test_a_cutter_covers_the_cells_that_distances_say(grid: Grid, *, inside: bool) -> None:
    """Forty moves each, slanting, along the axes, standing, over every rim of the grid: cell for cell."""
    rng = np.random.default_rng(grid.rows)
    width, height = grid.columns * grid.cell, grid.rows * grid.cell
    covered = 0
    for k in range(40):
        a = np.array([grid.x0, grid.y0]) + rng.uniform(-0.2, 1.2, 2) * (width, height)
        b = np.array([grid.x0, grid.y0]) + rng.uniform(-0.2, 1.2, 2) * (width, height)
        if k % 4 == 1:
            b[1] = a[1]
        elif k % 4 == 2:
            b[0] = a[0]
        elif k % 8 == 3:
            b = a.copy()
        radius = float(rng.choice([0.3, 1.2, 2.9, 6.0])) * grid.cell
        expected, sure = by_distance(grid, a, b, radius, inside=inside)
        ends = (float(a[0]), float(a[1])), (float(b[0]), float(b[1]))
        found = mask_of(grid, stadium_spans(grid, *ends, radius, inside=inside))
        assert np.array_equal(found[sure], expected[sure])
        patch = cover(grid, a[None], b[None], radius, inside=inside)
        many = np.zeros_like(found)
        if patch is not None:
            many[patch.part] = patch.mask
            assert patch.mask.any()
        assert np.array_equal(many, found)
        covered += int(found.sum())
    assert covered > 1000


# Of four moves on a grid of 12 by 7 whose lines are whole numbers: what is wholly inside and what is touched.
ON_LINES = (((3, 3), (8, 3), 2), ((6, 1), (6, 6), 1), ((2, 2), (9, 5), 1.5), ((4, 3), (4, 3), 2))
PICTURES = """
............ ............ ............ .....##..... ............ .......####. ............ ............
............ ............ .....##..... .....##..... ........##.. .....######. ............ ............
...#####.... .#########.. .....##..... .....##..... ......####.. ..#########. ............ ..####......
..#######... .#########.. .....##..... .....##..... ...#####.... ###########. ...##....... ..####......
..#######... .#########.. .....##..... .....##..... .####....... #########... ...##....... ..####......
...#####.... .#########.. .....##..... .....##..... .##......... ######...... ............ ..####......
............ ............ ............ .....##..... ............ ####........ ............ ............
"""


def test_a_cutter_on_the_lines_of_the_grid_covers_what_it_should() -> None:
    """A rim that runs along a line of the grid neither loses a cell before it nor touches one beyond."""
    grid = Grid(0.0, 0.0, 1.0, 7, 12)
    seen = []
    for a, b, radius in ON_LINES:
        for inside in (True, False):
            spans = stadium_spans(grid, a, b, radius, inside=inside)
            patch = cover(grid, np.array([a], float), np.array([b], float), radius, inside=inside)
            many = np.zeros((7, 12), dtype=np.bool_)
            if patch is not None:
                many[patch.part] = patch.mask
            assert np.array_equal(many, mask_of(grid, spans))
            seen.append(picture(mask_of(grid, spans)))
    assert [" ".join(rows) for rows in zip(*seen, strict=True)] == PICTURES.split("\n")[1:-1]


def test_nothing_is_covered_by_no_cutter_or_beyond_the_grid() -> None:
    """A radius of nothing or less, and moves beyond each of the four rims, cover no cell at all."""
    grid = Grid(2.0, 3.0, 2.0, 5, 6)
    beyond = (((5, 5), (9, 9), 0.0), ((5, 5), (9, 9), -1.0), ((0, 4), (0, 9), 1.9), ((16.1, 4), (17, 9), 2.0))
    for a, b, radius in (*beyond, ((4, 0), (9, 1), 1.9), ((4, 15.1), (9, 16), 2.0)):
        for inside in (True, False):
            assert not mask_of(grid, stadium_spans(grid, a, b, radius, inside=inside)).any()
            assert cover(grid, np.array([a], float), np.array([b], float), radius, inside=inside) is None


def test_of_many_moves_those_without_a_radius_cover_nothing() -> None:
    """Each move has its own radius; with one of zero it is as if it were not there."""
    grid = Grid(0.0, 0.0, 1.0, 7, 40)
    a, b = np.array([[3.0, 3.0], [20.0, 3.0], [30.0, 1.0]]), np.array([[5.0, 3.0], [22.0, 3.0], [33.0, 5.0]])
    patch = cover(grid, a, b, np.array([2.0, 0.0, 1.5]), inside=False)
    assert patch is not None
    one = mask_of(grid, stadium_spans(grid, (3.0, 3.0), (5.0, 3.0), 2.0, inside=False))
    three = mask_of(grid, stadium_spans(grid, (30.0, 1.0), (33.0, 5.0), 1.5, inside=False))
    assert (patch.first, patch.left, patch.mask.shape) == (0, 1, (7, 34))
    assert np.array_equal(patch.mask, (one | three)[:7, 1:35])


@pytest.mark.parametrize("length", [20, 47, 48, 49, 90])
def test_spans_lower_a_field_and_nothing_beside_them(length: int) -> None:
    """However long: what is higher in the spans comes down to the value, all else stays."""
    field = np.arange(6.0 * 100).reshape(6, 100) % 37.0
    spans = Spans(2, np.array([3, 5, 7]), np.array([3 + length, 5, 6 + length]))
    expected = field.copy()
    expected[2, 3 : 3 + length] = np.minimum(expected[2, 3 : 3 + length], 11.0)
    expected[4, 7 : 6 + length] = np.minimum(expected[4, 7 : 6 + length], 11.0)
    fill(field, spans, 11.0)
    assert np.array_equal(field, expected)
    for nothing in (Spans(1, np.array([4]), np.array([4])), Spans(0, np.array([], int), np.array([], int))):
        fill(field, nothing, -5.0)
    assert np.array_equal(field, expected)


# A leaning square with a leaning hole in it.
SQUARE, WITHIN = [[0.3, 3.1], [3.6, 0.4], [7.2, 3.2], [3.5, 6.7]], [[3.0, 3.0], [4.5, 3.2], [4.2, 4.4]]


def test_a_polygon_covers_the_cells_that_it_holds() -> None:
    """Cells away from every ring are in or out as their middles are; crossed ones are touched, not inside."""
    for grid in (Grid(-1.0, -1.0, 0.5, 17, 19), Grid(0.1, 0.2, 0.3, 25, 26), Grid(2.0, 2.0, 0.7, 4, 5)):
        rings = [np.array(SQUARE), np.array(WITHIN)]
        inside, touched = polygon_cells(grid, rings)
        area, lines = (
            shapely.Polygon(SQUARE, [WITHIN]),
            shapely.MultiLineString([[*r, r[0]] for r in (SQUARE, WITHIN)]),
        )
        x, y = (at.ravel() for at in np.meshgrid(*grid.centres()))
        half = grid.cell / 2
        cells = shapely.box(x - half, y - half, x + half, y + half)
        away = (shapely.distance(cells, lines) > grid.cell / 5).reshape(inside.shape)
        held = shapely.contains_xy(area, x, y).reshape(inside.shape)
        crossed = shapely.intersects(lines, cells).reshape(inside.shape)
        assert np.array_equal(inside[away], held[away])
        assert np.array_equal(touched[away], held[away])
        assert touched[crossed].all()
        assert not inside[crossed].any()
    grid = Grid(0.0, 0.0, 1.0, 3, 8)
    inside, touched = polygon_cells(grid, [np.array([[1.0, 0.5], [7.0, 0.5], [7.0, 2.5], [1.0, 2.5]])])
    assert picture(inside) == ["........", "..####..", "........"]
    assert picture(touched) == ["########"] * 3


def test_a_ring_counts_in_every_cell_within_an_eighth() -> None:
    """Beside a line of the grid by an eighth of a cell a ring counts on both sides, farther off on one."""
    for off, pictures in ((0.12, ["###", "###", "###"]), (0.13, [".##", ".##", "..."])):
        at = 1.0 + off
        ring = np.array([[at, at], [2.5, at], [2.5, 2.5], [at, 2.5]])
        _, touched = polygon_cells(Grid(0.0, 0.0, 1.0, 3, 3), [ring])
        assert picture(touched) == pictures


def test_the_middles_of_cells_are_where_they_should_be() -> None:
    """Half a cell beyond the grid's corner is the first, and one cell on the next, along both axes."""
    x, y = Grid(1.5, -2.0, 0.5, 3, 4).centres()
    assert x.tolist() == [1.75, 2.25, 2.75, 3.25]
    assert y.tolist() == [-1.75, -1.25, -0.75]
