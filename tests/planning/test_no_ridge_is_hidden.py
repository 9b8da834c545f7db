"""The wood that a face cut carries hides no ridge; its levels are no deeper than the spindle bears."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from random_boards import random_boards
from random_jobs import facing_job
from stockwright.mechanics import FACTOR, PRESSURE, power
from stockwright.planning import plan
from stockwright.planning.setup import FaceCut


@pytest.mark.parametrize("seed", range(6))
def test_no_place_stands_over_the_highest_corner_of_its_cell(seed: int) -> None:
    """20,000 places of the measured surface, as it lies: each under its cell's corners, to a thousandth."""
    board = random_boards(1.0, 6, 0.0)[seed]
    rng = np.random.default_rng(seed)
    low, high = board.outline.min(axis=0), board.outline.max(axis=0)
    xy = rng.uniform(low, high, (20_000, 2))
    # Half of them on the stations' lines, where ridges are.
    xy[:5_000, 0], xy[5_000:10_000, 1] = rng.choice(board.x, 5_000), rng.choice(board.y, 5_000)
    for setup in plan(facing_job(board)).setups:
        [face] = setup.cuts
        assert isinstance(face, FaceCut)
        read = board.top_at if face.name == "face A" else board.bottom_at
        points = np.column_stack([xy, read(xy), np.ones(len(xy))]) @ setup.lies[0].matrix[:3].T
        i = np.clip(np.searchsorted(face.grid_x, points[:, 0]) - 1, 0, len(face.grid_x) - 2)
        j = np.clip(np.searchsorted(face.grid_y, points[:, 1]) - 1, 0, len(face.grid_y) - 2)
        corners = np.max([face.wood[i + a, j + b] for a in (0, 1) for b in (0, 1)], axis=0)
        assert (points[:, 2] - corners).max() <= 0.001
        assert (points[:, 2] - face.ceiling).max() <= 0.001


def test_a_level_is_no_deeper_than_the_spindle_bears() -> None:
    """With a strong spindle a level is as deep as the cutter's step; with a weak one the power bounds it."""
    job = facing_job(random_boards(1.0, 1)[0], stepdown=2.0)

    def stepdown(watts: float) -> float:
        machine = replace(job.shop.machine, power=watts)
        face = plan(replace(job, shop=replace(job.shop, machine=machine))).setups[0].cuts[0]
        assert isinstance(face, FaceCut)
        return face.stepdown

    assert stepdown(3000.0) == 2.0
    taken = FACTOR * power(PRESSURE, 40.0, stepdown(300.0), 6000.0)
    assert taken == pytest.approx(300.0)
    # Too weak for any level worth the name: the rule on power refuses that, nothing hides it.
    assert stepdown(10.0) == 0.5
