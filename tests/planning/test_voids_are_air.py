"""A slab's void is air: planned as such, and where it is wide all levels but the last stay out of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from example_jobs import EXAMPLES, bound
from stockwright.cutting import cut
from stockwright.motion.moves import moves
from stockwright.planning.plan import plan
from stockwright.planning.setup import FaceCut

if TYPE_CHECKING:
    from stockwright.planning.plan import Plan
    from stockwright.planning.setup import Setup

VOID = np.array([[350.0, 120.0], [850.0, 120.0], [850.0, 380.0], [350.0, 380.0]])


@pytest.fixture(scope="module")
def planned() -> Plan:
    """Give the slab of the window seat planned with a wide void in its middle."""
    job, _ = bound(EXAMPLES / "glue-room" / "window-seat.yaml")
    return plan(replace(job, boards=(replace(job.boards[0], holes=(VOID,)),)))


def _middle(setup: Setup) -> np.ndarray:
    """Give the work x, y of the void's middle."""
    at = setup.lies[0].matrix @ np.array([*VOID.mean(axis=0), 50.0, 1.0])
    return np.asarray(at[:2])


def test_a_void_is_air_in_both_faces(planned: Plan) -> None:
    """The heights handed to the cut stage have no wood in the void's middle, on either face."""
    assert len(planned.setups) == 2
    for setup in planned.setups:
        [face] = setup.cuts
        assert isinstance(face, FaceCut)
        x, y = _middle(setup)
        i, j = np.abs(face.grid_x - x).argmin(), np.abs(face.grid_y - y).argmin()
        assert face.wood[i, j] == -np.inf
        assert np.isfinite(face.wood).mean() > 0.6


def test_only_the_last_level_goes_over_a_wide_void(planned: Plan) -> None:
    """Every level but the last, which goes over the whole face, stays out of the void's middle."""
    job, _ = bound(EXAMPLES / "glue-room" / "window-seat.yaml")
    for setup in planned.setups:
        made = moves(cut(setup, job.shop, 0.001)[-1])
        feed = ~made.rapid & np.isfinite(made.start).all(axis=1) & (made.start[:, 2] == made.end[:, 2])
        lines = shapely.linestrings(np.stack([made.start[feed][:, :2], made.end[feed][:, :2]], axis=1))
        levels = made.end[feed][:, 2].round(3)
        over = shapely.distance(lines, shapely.Point(_middle(setup))) < 60.0
        assert len(set(levels)) == 5
        assert set(levels[over]) == {levels.min()}
