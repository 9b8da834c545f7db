"""Flatness as ISO 1101 means it: the least distance between two parallel planes that hold all points.

Sources: ISO 1101 (flatness zone) and ISO 12781 (minimum zone reference plane), their sense from memory;
values by analysis written beside each check, and for W25 by exact rational arithmetic.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from stockwright.board.flatness import zone

# Invented for this project: micrometres, x = 0, 100 .. 400 across, y = 0, 50 .. 200 down the rows.
W25 = (
    (24, 31, 28, 16, 12),
    (6, 0, -2, -5, 7),
    (0, 1, -4, -8, -8),
    (-6, 6, 5, 4, 7),
    (-1, 22, 9, 23, 42),
)


def cloud_of_w25() -> np.ndarray:
    """Return the 25 points, heights in mm."""
    return np.array(
        [(100.0 * i, 50.0 * j, z / 1000.0) for j, row in enumerate(W25) for i, z in enumerate(row)]
    )


def square(height: object, points: int = 41) -> np.ndarray:
    """Return points of height(u, v) over [-1, 1] squared, stretched to 600 x 120 half-sizes."""
    u, v = np.meshgrid(np.linspace(-1, 1, points), np.linspace(-1, 1, points), indexing="ij")
    z = height(u, v)  # type: ignore[operator]
    return np.column_stack([600 * u.ravel(), 120 * v.ravel(), z.ravel()])


def test_w25_is_850_nineteenths() -> None:
    """The zone of W25, along z, is 850/19 micrometres, as exact rationals and two other solvers found."""
    found = zone(cloud_of_w25())
    along_z = found.value * np.sqrt(1 + found.a**2 + found.b**2) * 1000.0
    assert along_z == pytest.approx(850 / 19, abs=1e-8)
    assert (found.a * 1000, found.b * 1000) == pytest.approx((3 / 1900, 1 / 19))


def test_w25_has_a_certificate_that_needs_no_solver() -> None:
    """Weights on low and high contacts with one centroid prove 850/19 a lower bound, in exact rationals."""
    low = {(400, 100): Fraction(13, 19), (0, 150): Fraction(6, 19)}
    high = {(100, 0): Fraction(8, 19), (400, 200): Fraction(11, 19)}

    def mean(weights: dict[tuple[int, int], Fraction]) -> tuple[Fraction, Fraction, Fraction]:
        return (
            sum((w * x for (x, _), w in weights.items()), Fraction()),
            sum((w * y for (_, y), w in weights.items()), Fraction()),
            sum((w * W25[y // 50][x // 100] for (x, y), w in weights.items()), Fraction()),
        )

    below, above = mean(low), mean(high)
    assert below[:2] == above[:2]
    assert above[2] - below[2] == Fraction(850, 19)
    found = zone(cloud_of_w25())
    assert {(c.x, c.y) for c in found.low} == set(low)
    assert {(c.x, c.y) for c in found.high} == set(high)


def test_the_least_squares_plane_gives_w25_too_much() -> None:
    """The least-squares plane says 50.88 micrometres of W25; the minimum zone is 13.7 % of its own less."""
    cloud = cloud_of_w25()
    plane = np.column_stack([cloud[:, :2], np.ones(25)])
    fit, *_ = np.linalg.lstsq(plane, cloud[:, 2], rcond=None)
    off = cloud[:, 2] - plane @ fit
    assert np.ptp(off) * 1000 == pytest.approx(50.88, abs=1e-8)
    assert np.ptp(off) / zone(cloud).value == pytest.approx(1.137, abs=5e-4)


def test_across_the_planes_is_hardly_less_than_along_z() -> None:
    """W25 across its planes, as ISO 1101 has it, is 6.2e-11 mm less than along z: t (1 - cos tilt)."""
    assert 850 / 19 / 1000 - zone(cloud_of_w25()).value == pytest.approx(6.2e-11, abs=1e-12)


def test_saddle_keeps_twice_its_corner_height() -> None:
    """1e-5 xy over 600 x 120 half-sizes has the zone 2 k A B = 1.44 (analysis)."""
    found = zone(square(lambda u, v: 1e-5 * 600 * u * 120 * v))
    assert found.value == pytest.approx(1.44, abs=1e-9)


def test_one_corner_up_halves() -> None:
    """One of four corners 3 up: the best plane splits it, 1.5 (analysis: half the twist gap)."""
    corners = np.array([(0, 0, 0), (900, 0, 0), (0, 150, 0), (900, 150, 3.0)])
    found = zone(corners)
    along_z = found.value * np.sqrt(1 + found.a**2 + found.b**2)
    assert along_z == pytest.approx(1.5, abs=1e-9)


@pytest.mark.parametrize(("cup", "kappa", "expected"), [(1, 0.5, 1.5625), (1, 3, 6), (2, 1, 3.125)])
def test_cup_with_twist(cup: float, kappa: float, expected: float) -> None:
    """The shape q v^2 + k u v has the zone q + k + k^2/4q where k <= 2q, else 2k (analysis)."""
    found = zone(square(lambda u, v: cup * v**2 + kappa * u * v))
    along_z = found.value * np.sqrt(1 + found.a**2 + found.b**2)
    assert along_z == pytest.approx(expected, abs=1e-9)


def test_bow_against_cup_adds() -> None:
    """u^2 - 0.5 v^2 has the zone 1.5: bow and cup add (analysis)."""
    assert zone(square(lambda u, v: u**2 - 0.5 * v**2)).value == pytest.approx(1.5, abs=1e-9)


def test_many_points_need_no_more_than_their_hull() -> None:
    """40,000 points of a saddle give the analytic zone too: rows are added only as they are violated."""
    found = zone(square(lambda u, v: 0.7 * u * v + 0.01 * np.cos(40 * u) * (1 - u**2), points=201))
    assert found.value == pytest.approx(1.4, abs=0.02)
    assert found.value >= 1.4 - 1e-9
