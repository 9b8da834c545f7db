"""Neighbours' edges cut in one pass between them: where the boards stand, what is taken, what is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from example_jobs import EXAMPLES, bound
from stockwright.cutting import cut
from stockwright.findings import Refused
from stockwright.job import MateStep
from stockwright.motion.moves import moves
from stockwright.planning import plan
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from stockwright.job import Job
    from stockwright.planning.plan import Plan

PANEL = EXAMPLES / "shutter-panel" / "job.yaml"


@cache
def panel() -> tuple[Job, Plan]:
    """Return the three boards' job and its plan."""
    job = bound(PANEL)[0]
    return job, plan(job)


def rules(job: Job) -> set[str]:
    """Return the rules that refuse a job."""
    with pytest.raises(Refused) as caught:
        plan(job)
    return {f.rule for f in caught.value.findings if f.level == "refuse"}


def test_each_two_neighbours_are_a_setup() -> None:
    """Three boards take two setups: edge-2 of each with edge-1 of the next."""
    named = [[(c.board, c.name) for c in s.cuts if isinstance(c, EdgeCut)] for s in panel()[1].setups]
    assert named == [
        [("board 1", "edge-2"), ("board 2", "edge-1")],
        [("board 2", "edge-2"), ("board 3", "edge-1")],
    ]


def test_the_gap_is_the_cutter_less_both_takes() -> None:
    """The boards stand 12 mm less twice 0.4 mm apart, and their walls stand 12 mm apart."""
    job, planned = panel()
    step = next(s for s in job.steps if isinstance(s, MateStep))
    assert step.gap == pytest.approx(11.2)
    for setup in planned.setups:
        near, far = (shapely.Polygon(lie.outline) for lie in setup.lies)
        assert near.distance(far) == pytest.approx(11.2, abs=0.01)
        one, other = (c.line for c in setup.cuts if isinstance(c, EdgeCut))
        assert other[0, 1] - one[0, 1] == pytest.approx(12.0, abs=1e-9)


def test_one_full_depth_pass_runs_in_the_middle() -> None:
    """Below the boards' tops the cutter feeds along one straight line, its radius from both walls."""
    job, planned = panel()
    for setup in planned.setups:
        program = next(p for p in cut(setup, job.shop, 0.001) if p.purpose == "cut")
        m = moves(program)
        deep = m.known & ~m.rapid & (m.start[:, 2] < -0.4) & (m.end[:, 2] < -0.4)
        assert deep.sum() == 1
        ys = np.r_[m.start[deep, 1], m.end[deep, 1]]
        walls = [c.line[0, 1] for c in setup.cuts if isinstance(c, EdgeCut)]
        assert ys == pytest.approx(sum(walls) / 2, abs=0.001)
        xs = sorted((m.start[deep, 0][0], m.end[deep, 0][0]))
        for lie in setup.lies:
            assert lie.outline is not None
            assert xs[0] < lie.outline[:, 0].min() - 6.0
            assert xs[1] > lie.outline[:, 0].max() + 6.0


def test_the_outer_edges_keep_their_wood() -> None:
    """Of the outer boards one edge is cut, of the middle one both: widths fall by the take of each."""
    job, planned = panel()
    for board, piece, cuts in zip(job.boards, planned.pieces, (1, 2, 1), strict=True):
        whole = float(np.ptp(board.outline[:, 1]))
        assert piece.placement.width == pytest.approx(whole - 0.4 * cuts, abs=0.15)


def test_each_board_has_clamps_of_its_own() -> None:
    """Either board is pressed by its own clamps, no two of one name, and none stands in the gap."""
    for setup in panel()[1].setups:
        names = [s.name for s in setup.solids]
        assert len(names) == len(set(names))
        for lie in setup.lies:
            assert sum(g.board == lie.board and g.how == "press" for g in setup.grips) >= 2
        low, high = sorted(c.line[0, 1] for c in setup.cuts if isinstance(c, EdgeCut))
        assert not any(s.outline[:, 1].max() > low and s.outline[:, 1].min() < high for s in setup.solids)


def test_one_board_has_no_neighbour() -> None:
    """A job of one board is refused: there is nothing its edge could mate with."""
    job, _ = panel()
    assert "no-neighbour" in rules(replace(job, boards=job.boards[:1]))


def test_an_edge_more_crooked_than_the_take_is_refused() -> None:
    """An edge that is out of straight by more than the take would not come clean, and is refused."""
    job, _ = panel()
    steps = tuple(replace(s, take=0.05) if isinstance(s, MateStep) else s for s in job.steps)
    assert rules(replace(job, steps=steps)) == {"edge-not-cleaned"}
