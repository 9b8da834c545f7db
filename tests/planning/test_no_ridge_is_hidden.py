"""The wood that a face cut carries hides no ridge; its levels are no deeper than the spindle bears."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from random_boards import random_boards
from random_jobs import facing_job
from stockwright.forces.mechanics import FACTOR, PRESSURE, power
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


def test_a_step_between_near_stations_is_not_smoothed() -> None:
    """Steps of 0.5 mm within 3 mm: the board lying 1 mm aside each way, no place stands over its cell.

    The heights at a grid's nodes 10 mm apart show such a step a third as steep as it is.
    """
    board = random_boards(1.0, 6, 0.0)[0]
    low, high = board.outline.min(axis=0), board.outline.max(axis=0)
    y = np.array([low[1], *(low[1] + share * (high[1] - low[1]) for share in (0.2, 0.4, 0.6, 0.8)), high[1]])
    y = np.sort(np.concatenate([y, y[1:-1] + 3.0]))
    steps = np.cumsum([0.0, 0.5, -0.5, -0.5, 0.5, 0.5, -0.5, -0.5, 0.5, 0.0][: len(y)])
    x = np.array([low[0], high[0]])
    glued = replace(board, x=x, y=y, top=np.tile(24.5 + steps, (2, 1)), bottom=np.zeros((2, len(y))))
    [face] = plan(facing_job(glued)).setups[0].cuts
    assert isinstance(face, FaceCut)
    matrix = plan(facing_job(glued)).setups[0].lies[0].matrix
    rng = np.random.default_rng(11)
    xy = rng.uniform(low, high, (20_000, 2))
    xy[:10_000, 1] = rng.choice(y, 10_000)
    points = np.column_stack([xy, glued.top_at(xy), np.ones(len(xy))]) @ matrix[:3].T
    # A corner of the square it may lie in: the farthest it can be moved.
    points[:, :2] += rng.choice([-1.0, 1.0], (len(xy), 2))
    i = np.clip(np.searchsorted(face.grid_x, points[:, 0]) - 1, 0, len(face.grid_x) - 2)
    j = np.clip(np.searchsorted(face.grid_y, points[:, 1]) - 1, 0, len(face.grid_y) - 2)
    corners = np.max([face.wood[i + a, j + b] for a in (0, 1) for b in (0, 1)], axis=0)
    assert (points[:, 2] - corners).max() <= 0.001


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
