"""A fence jointed by a cutter with rounded corners: its foot stays round, and every board stands off it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutters import end_mill
from setups import edge_setup, shop
from situations import situation
from stockwright.checking.steps import corner_left_round
from stockwright.planning.setup import EdgeCut


@pytest.mark.parametrize(("radius", "found"), [(0.0, []), (0.5, [(0.5, 0.0)])])
def test_only_square_corners_joint_a_fence(radius: float, found: list[tuple[float, float]]) -> None:
    """The fence is cut down to the bed alone, so any radius is refused for square corners."""
    tool = end_mill(corner_radius=radius)
    setup = edge_setup(tool=tool, bottom=0.0)
    [cut] = setup.cuts
    assert isinstance(cut, EdgeCut)
    setup = replace(setup, cuts=(replace(cut, board=None),))
    findings = corner_left_round(situation(setup, shop(tools=(tool,)), ()))
    assert [(f.measured, f.limit) for f in findings] == found
    assert all("square corners" in f.remedy and "below" not in f.remedy for f in findings)
