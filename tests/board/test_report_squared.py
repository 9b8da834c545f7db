"""The largest rectangle in a crooked outline."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.board.squared import from_edge, squared


def crooked(seed: int) -> np.ndarray:
    """Return an outline with crooked edges and ends out of square, anticlockwise."""
    rng = np.random.default_rng(seed)
    length, width = rng.uniform(300, 2200), rng.uniform(60, 320)
    x = np.linspace(0, length, int(rng.integers(3, 8)))
    bend = rng.normal(0, 4) * (1 - (2 * x / length - 1) ** 2) + rng.normal(0, 0.01) * x
    near = np.column_stack([x, bend + rng.normal(0, 0.5, len(x))])
    far = np.column_stack([x, width + bend + rng.normal(0, 0.5, len(x))])
    far[[0, -1], 0] += rng.normal(0, 2, 2)
    return np.vstack([near, far[::-1]])


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.integers(0, 10_000))
def test_it_lies_inside_every_outline(seed: int) -> None:
    """The rectangle lies inside the outline and inside the same outline shifted, as a tilt shifts it."""
    outline = crooked(seed)
    shapes = (outline, outline + np.array([0.3, -0.4]))
    found = squared(shapes)
    assert found.length > 0
    assert found.width > 0
    box = shapely.Polygon(found.corners())
    assert box.area == pytest.approx(found.length * found.width)
    assert all(shapely.Polygon(shape).contains(box) for shape in shapes)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(st.integers(0, 10_000))
def test_no_rectangle_tried_is_larger(seed: int) -> None:
    """Of some thousand rectangles grown from random places and angles none inside has a larger area."""
    outline = crooked(seed)
    best = squared(outline)
    rng = np.random.default_rng(seed + 1)
    shape = shapely.Polygon(outline)
    shapely.prepare(shape)
    size = best.length * best.width
    corners = best.corners()
    for _ in range(1500):
        angle = np.radians(best.angle + rng.normal(0, 0.3))
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        middle = corners.mean(axis=0) + rng.normal(0, 2, 2)
        grown = np.array([best.length, best.width]) * (1 + np.abs(rng.normal(0, 0.01, 2)) * [1, 1])
        grown[0] *= 1 - abs(rng.normal(0, 0.01))
        if grown[0] * grown[1] <= size * (1 + 1e-4):
            continue
        unit = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
        assert not shape.contains(shapely.Polygon(middle + (unit * grown) @ turn))


def test_a_rectangle_that_lies_askew_is_found_whole() -> None:
    """A true rectangle, turned by 2 degrees, is its own largest rectangle, and its angle is told."""
    angle = np.radians(2.0)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    outline = np.array([(0, 0), (900, 0), (900, 140), (0, 140)]) @ turn
    found = squared(outline)
    assert (found.length, found.width) == pytest.approx((900, 140), abs=0.02)
    assert found.angle == pytest.approx(2.0, abs=0.001)


def test_a_crooked_board_loses_its_crook_in_width() -> None:
    """Parallel edges, both bent by 6 mm over the whole length, leave the width less 6 mm at full length."""
    outline = np.array([(0, 0), (500, 6), (1000, 0), (1000, 200), (500, 206), (0, 200)], dtype=float)
    found = squared(outline)
    assert (found.length, found.width) == pytest.approx((1000, 194), abs=0.01)
    assert from_edge(outline, found.corners()[:2]) == pytest.approx([6.0, 6.0], abs=0.01)


def test_parts_tile_the_whole() -> None:
    """Equal parts have equal areas, which add up to the whole, and do not overlap."""
    found = squared(crooked(3))
    parts = [shapely.Polygon(part) for part in found.parts(3, 2)]
    assert [part.area for part in parts] == pytest.approx([found.length * found.width / 6] * 6)
    assert shapely.union_all(parts).area == pytest.approx(found.length * found.width)


def test_it_ends_where_the_first_of_the_outlines_ends() -> None:
    """Of two rectangles, one 5 mm farther along, the part that both have; of two apart, a point."""
    outline = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [0.0, 50.0]])
    both = squared([outline, outline + np.array([5.0, 0.0])])
    assert (both.length, both.width, both.x0) == pytest.approx((95.0, 50.0, 5.0), abs=1e-5)
    apart = squared([outline, outline + np.array([500.0, 0.0])])
    assert (apart.length, apart.width) == (0.0, 0.0)
    assert np.isfinite(from_edge(outline, apart.corners())).all()
