"""What a round cutter covers on square cells, against counts made without this project.

Source: elementary geometry (a cell lies in a disc when its farthest corner does, and is touched when its
nearest point is nearer than the radius), worked out here by hand or on every cell, with no spans.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.proving.sweep import Grid, fill, polygon_cells, stadium_spans
from stockwright.proving.walls import swept_area

if TYPE_CHECKING:
    from numpy.typing import NDArray

GRID = Grid(-20.0, -20.0, 1.0, 40, 40)


def cells(
    a: tuple[float, float], b: tuple[float, float], radius: float, *, inside: bool
) -> NDArray[np.bool_]:
    """Give the mask of cells that the spans fill."""
    field = np.ones((GRID.rows, GRID.columns))
    fill(field, stadium_spans(GRID, a, b, radius, inside=inside), 0.0)
    found: NDArray[np.bool_] = field == 0
    return found


def test_disc_on_a_node_covers_440_cells_and_touches_540() -> None:
    """Elementary geometry: radius 12.5 on cells of 1 mm, centre on a node; the area lies between."""
    within = int(cells((0, 0), (0, 0), 12.5, inside=True).sum())
    touched = int(cells((0, 0), (0, 0), 12.5, inside=False).sum())
    corner = np.abs(np.arange(-20, 21))
    near, far = np.minimum(corner[:-1], corner[1:]), np.maximum(corner[:-1], corner[1:])
    assert within == int((np.hypot(far[:, None], far) <= 12.5).sum()) == 440
    assert touched == int((np.hypot(near[:, None], near) < 12.5).sum()) == 540
    assert within < math.pi * 12.5**2 < touched


def clean(spacing: float, cell: float, phase: float) -> bool:
    """Say whether two level passes of radius 12.5 leave no cell between them."""
    grid = Grid(0.0, 0.0, cell, int(120 / cell), int(60 / cell))
    field = np.ones((grid.rows, grid.columns))
    for k in range(3):
        y = 40.0 + phase + k * spacing
        fill(field, stadium_spans(grid, (-50, y), (150, y), 12.5, inside=True), 0.0)
    centres = (np.arange(grid.rows) + 0.5) * cell
    rows = (centres > 40 + phase) & (centres < 40 + phase + 2 * spacing)
    return bool((field[rows] == 0).all())


def test_overlap_of_one_cell_is_clean_at_every_phase() -> None:
    """Elementary geometry: radius 12.5, passes 24 apart, cell 1: 2R - s >= c, so no phase leaves a cell."""
    assert all(clean(24.0, 1.0, phase) for phase in np.linspace(0, 1, 21))


def test_overlap_below_a_cell_is_not_clean_at_every_phase() -> None:
    """Elementary geometry: the same passes on cells of 2 mm leave some at some phase."""
    assert not all(clean(24.0, 2.0, phase) for phase in np.linspace(0, 2, 21))


def test_overlap_of_exactly_the_cell_is_clean_and_a_little_less_is_not() -> None:
    """Elementary geometry: radius 12.5, passes 20 apart: cell 5 is clean at every phase, cell 5.5 is not."""
    assert all(clean(20.0, 5.0, phase) for phase in np.linspace(0, 5, 21))
    assert not all(clean(20.0, 5.5, phase) for phase in np.linspace(0, 5.5, 22))


def test_edge_path_out_by_a_twentieth_leaves_fifty_square_millimetres() -> None:
    """Elementary geometry: a path 0.05 mm too far out along 1000 mm leaves 50 mm2, exactly, seen in plan."""
    import shapely

    waste = shapely.box(0, 0, 1000, 5)  # the finished side is y = 0
    path = np.array([[-20.0, 6.05]]), np.array([[1020.0, 6.05]])
    [area] = swept_area(*path, np.array([6.0]))
    assert waste.difference(area).area == pytest.approx(50.0, abs=1e-9)


def test_swept_area_is_inscribed_unless_grown() -> None:
    """Chords of a circle lie inside it: the plain area is never too large, the grown one never too small."""
    point = np.array([[0.0, 0.0]])
    plain, grown = (swept_area(point, point, 25.0, grown=more)[0].area for more in (False, True))
    assert plain < math.pi * 25.0**2 < grown


@settings(deadline=None, max_examples=60)
@given(
    a=st.tuples(st.floats(-12, 12), st.floats(-12, 12)),
    b=st.tuples(st.floats(-12, 12), st.floats(-12, 12)),
    radius=st.floats(0.3, 8),
    shape=st.sampled_from(["any", "level", "upright"]),
)
def test_inside_lies_within_and_touched_holds_all(
    a: tuple[float, float], b: tuple[float, float], radius: float, shape: str
) -> None:
    """Against 81 samples a cell: no cell called inside has a point out, no cell with a point in is missed."""
    if shape == "level":
        b = (b[0], a[1])
    if shape == "upright":
        b = (a[0], b[1])
    u = np.linspace(0.0, 1.0, 9)
    at = (-20 + np.arange(40)[:, None] + u).ravel()
    x, y = np.meshgrid(at, at)
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    t = np.clip(((x - a[0]) * dx + (y - a[1]) * dy) / square, 0, 1) if square > 1e-18 else np.zeros(x.shape)
    distance = np.hypot(x - a[0] - t * dx, y - a[1] - t * dy).reshape(40, 9, 40, 9)
    outside = (distance > radius + 1e-6).any(axis=(1, 3))
    entered = (distance < radius - 1e-6).any(axis=(1, 3))
    assert not (cells(a, b, radius, inside=True) & outside).any()
    assert not (entered & ~cells(a, b, radius, inside=False)).any()


def test_polygon_cells_bracket_its_area() -> None:
    """Elementary geometry: cells wholly inside a triangle are fewer than its area, touched ones more."""
    triangle = np.array([[-15.3, -10.1], [14.2, -8.7], [1.1, 13.9]])
    (x0, y0), (x1, y1), (x2, y2) = triangle
    area = abs((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)) / 2
    within, touched = polygon_cells(GRID, [triangle])
    assert within.sum() < area < touched.sum()
    assert not (within & ~touched).any()
