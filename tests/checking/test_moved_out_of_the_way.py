"""What stands in the way is sent the shortest way, whichever side it is on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from setups import face_setup, rectangle, shop, solid
from situations import found, numbers, situation
from stockwright.checking import standing

if TYPE_CHECKING:
    from stockwright.findings import Finding
    from stockwright.planning.setup import Solid

WAYS = {
    "to the right": (1.0, 0.0),
    "to the left": (-1.0, 0.0),
    "away from the operator": (0.0, 1.0),
    "towards the operator": (0.0, -1.0),
}
# The board lies from x 100 to 400 and from y 80 to 180.
BESIDE = {
    "to the right": (403.0, 115.0, 453.0, 145.0),
    "to the left": (47.0, 115.0, 97.0, 145.0),
    "away from the operator": (220.0, 182.0, 280.0, 232.0),
    "towards the operator": (220.0, 28.0, 280.0, 78.0),
}


def moved(one: Solid, way: str, by: float) -> Solid:
    """Give a solid moved along a way that a remedy names."""
    x, y = WAYS[way]
    return replace(one, outline=one.outline + np.array([x * by, y * by]))


def in_the_way(clamp: Solid) -> tuple[Finding, ...]:
    """Face the board with a clamp beside it."""
    setup = replace(face_setup(solids=(clamp,)), clear_z=70.0)
    return found(standing.hold_down_in_the_way, situation(setup, shop()))


def overlapping(*solids: Solid) -> tuple[Finding, ...]:
    """Find what overlaps of what stands beside the board, before a program is cut."""
    return found(standing.solids_overlap, situation(face_setup(solids=solids), shop(), ()))


@pytest.mark.parametrize("way", WAYS)
def test_what_the_cutter_meets_goes_the_shortest_way_off(way: str) -> None:
    """Moved by the number it is clear, moved half as far it is not."""
    clamp = solid("side clamp 1", rectangle(*BESIDE[way]), top=50.0)
    [finding] = in_the_way(clamp)
    assert way in finding.remedy
    by = numbers(finding.remedy)[0]
    assert in_the_way(moved(clamp, way, by)) == ()
    assert len(in_the_way(moved(clamp, way, by / 2))) == 1


@pytest.mark.parametrize("way", WAYS)
def test_what_shares_a_space_goes_the_shortest_way_off(way: str) -> None:
    """Two things 40 wide that share 7 mm: the first is sent 7 mm off, and 6.5 are not enough."""
    one = solid("side clamp 1", rectangle(500, 500, 540, 540))
    x, y = WAYS[way]
    other = solid("side clamp 2", one.outline - np.array([33 * x + 4 * y, 33 * y + 4 * x]))
    [finding] = overlapping(one, other)
    assert finding.remedy == f"move side clamp 1 7 mm {way}"
    assert finding.measured == pytest.approx(7.0)
    assert overlapping(moved(one, way, 7.0), other) == ()
    assert len(overlapping(moved(one, way, 6.5), other)) == 1


def test_things_above_one_another_share_nothing() -> None:
    """They may touch, by a tenth of a millimetre; by more they share a space."""
    low = solid("side clamp 1", rectangle(500, 500, 540, 540), top=14.0)
    for gap, many in ((0.0, 0), (-0.05, 0), (-0.2, 1)):
        high = solid("side clamp 2", low.outline, bottom=14.0 + gap, top=30.0)
        assert len(overlapping(low, high)) == many
        assert len(overlapping(high, low)) == many


def test_parts_of_one_thing_may_meet() -> None:
    """An arm and the body that it belongs to share a space; two things with other names do not."""
    at = rectangle(500, 500, 540, 540)
    assert overlapping(solid("top clamp 1 arm", at), solid("top clamp 1 body", at)) == ()
    assert len(overlapping(solid("top clamp 1 arm", at), solid("top clamp 2 body", at))) == 1
