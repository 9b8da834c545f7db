"""What the edges of one clamping ask of the clamps on top: a push sideways, and what the teeth lift."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cutters import end_mill
from setups import shop
from stockwright.forces.mechanics import feed_for_chip
from stockwright.job import EdgeStep, Side
from stockwright.planning.enough_clamps import asked_by

MILL = end_mill()
SHOP = shop()


def edge(helix: float | None, light: float = 0.4, side: Side = "edge-1") -> EdgeStep:
    """Give the cut of an edge by teeth of a helix, degrees."""
    return EdgeStep(side, replace(MILL, helix=helix), None, 4.8, 7.0, 1.0, light, ())


def test_teeth_lift_by_the_tangent_of_their_helix() -> None:
    """Straight teeth lift nothing; at 45 degrees as much as the push along one axis of two."""
    straight = asked_by([edge(0.0)], SHOP, None, 25.0)
    assert straight[0] > 0.0
    assert straight[1] == 0.0
    for helix in (15.0, 45.0, 60.0):
        push, pull = asked_by([edge(helix)], SHOP, None, 25.0)
        assert push == straight[0]
        assert pull == pytest.approx(push / math.sqrt(2) * math.tan(math.radians(helix)))
    assert asked_by([edge(None)], SHOP, None, 25.0) == asked_by([edge(30.0)], SHOP, None, 25.0)


def test_of_several_edges_the_greatest_counts() -> None:
    """The push of the one and the pull of the other; a clamping without an edge asks nothing."""
    heavy, steep = edge(0.0, light=3.0), edge(45.0)
    one, other = (asked_by([step], SHOP, None, 25.0) for step in (heavy, steep))
    assert one[0] > other[0]
    for steps in ([heavy, steep], [steep, heavy]):
        assert asked_by(steps, SHOP, None, 25.0) == (one[0], other[1])
    assert asked_by([], SHOP, None, 25.0) == (0.0, 0.0)


def test_a_pressure_that_the_shop_states_counts_and_dense_wood_pushes_harder() -> None:
    """Twice the pressure is twice the push and the pull; a species lighter than the usual counts as that."""
    [step] = [edge(45.0)]
    plain = asked_by([step], replace(SHOP, cutting_pressure=40.0), None, 25.0)
    twice = asked_by([step], replace(SHOP, cutting_pressure=80.0), None, 25.0)
    assert twice == pytest.approx((2 * plain[0], 2 * plain[1]))
    light, dense = (asked_by([step], SHOP, species, 25.0) for species in ("basswood", "hickory-pecan"))
    assert asked_by([step], SHOP, None, 25.0) == light
    assert dense[0] == pytest.approx(light[0] * 0.66 / 0.6)


def test_a_feed_too_slow_for_a_proper_chip_asks_as_much_as_the_one_that_makes_it() -> None:
    """At a tenth of the feed the clamps are set for the chip that the feed has to be turned up to."""
    slow, proper, fast = (
        replace(edge(30.0), tool=replace(MILL, feed=feed))
        for feed in (300.0, feed_for_chip(0.1, 4.8, MILL.diameter, MILL.rpm, MILL.flutes), 9000.0)
    )
    asked = [asked_by([step], SHOP, None, 25.0) for step in (slow, proper, fast)]
    assert asked[0] == pytest.approx(asked[1])
    assert asked[2][0] > asked[1][0]
