"""What is left out before distances are measured is never near."""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.packet.model import Solid
from stockwright.proving.clearance import Mover, Obstacle, Ways, clearances, may_meet

MARGIN = 3.0


def _solids(rng: np.random.Generator) -> list[Solid]:
    found = []
    for k in range(12):
        x, y = rng.uniform(-200, 200, 2)
        w, h = rng.uniform(1, 60, 2)
        bottom = float(rng.uniform(-5, 20))
        top = bottom + float(rng.uniform(1, 40))
        cut_to = None if k % 3 else top - 0.5
        outline = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        found.append(
            Solid(name=f"s{k}", kind="clamp", outline=outline, bottom=bottom, top=top, may_cut_to=cut_to)
        )
    return found


@pytest.mark.parametrize("seed", range(40))
def test_a_solid_left_out_is_far_from_every_move(seed: int) -> None:
    """Where a solid is said not to be met, every distance to it is measured as beyond the margin."""
    rng = np.random.default_rng(seed)
    start, end = rng.uniform(-80, 80, (2, 4, 3))
    level = bool(seed % 5 == 0)
    outline = np.array([(-9.0, -4.0), (9.0, -4.0), (0.0, 12.0)]) if seed % 4 == 0 else None
    low = float(rng.uniform(-10, 60))
    mover = Mover("part", "body", 12.0, low, low + float(rng.uniform(1, 50)), outline, level)
    solids = _solids(rng)
    boxed = np.array([True, False, True, False])
    may = may_meet(start, end, mover, solids, MARGIN)
    assert np.count_nonzero(~may) > 0
    for solid, near in zip(solids, may, strict=True):
        entered, upper = solid.may_cut_to, solid.top
        tops = {upper, upper if entered is None else entered}
        for top in tops:
            measured = clearances(Ways(start, end, boxed), mover, Obstacle(solid, top, MARGIN), MARGIN)
            assert near or not np.isfinite(measured).any()


def test_a_solid_in_the_way_is_not_left_out() -> None:
    """A move straight through a solid is kept for measuring, and one far above it is not."""
    outline = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    solid = Solid(name="clamp", kind="clamp", outline=outline, bottom=0.0, top=20.0)
    mover = Mover("the cutting part", "cutter", 5.0, 0.0, 30.0)
    through = may_meet(np.array([[-50.0, 5, 10]]), np.array([[50.0, 5, 10]]), mover, [solid], MARGIN)
    above = may_meet(np.array([[-50.0, 5, 40]]), np.array([[50.0, 5, 40]]), mover, [solid], MARGIN)
    assert through.tolist() == [True]
    assert above.tolist() == [False]
