"""One edge straight, the other as it grew: where the piece lies, what stands against what, what is judged."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from example_jobs import EXAMPLES, bound
from stockwright.findings import Finding, Refused
from stockwright.job import EdgeStep, Job
from stockwright.planning import plan
from stockwright.planning.piece import _along_one_edge
from stockwright.planning.setup import Setup, WallGoal

SHELF = EXAMPLES / "stair-tread" / "mantel-shelf.yaml"


@pytest.fixture(scope="module")
def job() -> Job:
    """Return the shelf's job."""
    return bound(SHELF)[0]


@pytest.fixture(scope="module")
def setups(job: Job) -> tuple[Setup, ...]:
    """Return its setups."""
    return plan(job).setups


def _goals(setups: tuple[Setup, ...]) -> dict[str, WallGoal]:
    return {g.cut: g for s in setups for g in s.goals if isinstance(g, WallGoal)}


def test_edge_2_has_no_goal(setups: tuple[Setup, ...]) -> None:
    """Edge-1 and both ends are to be walls; nothing is asked of the edge that stays."""
    assert set(_goals(setups)) == {"edge-1", "end-1", "end-2"}


def test_the_ends_stand_square_to_the_cut_edge(setups: tuple[Setup, ...]) -> None:
    """Edge-1 stands against the fence while the ends are cut, and both walls run straight away from it."""
    goals = _goals(setups)
    assert any(grip.name.startswith("fence") for grip in setups[-1].grips)
    for end in ("end-1", "end-2"):
        assert np.ptp(np.asarray(goals[end].path)[:, 0]) == pytest.approx(0.0, abs=1e-9)


def test_a_wall_ends_where_the_wood_does(setups: tuple[Setup, ...]) -> None:
    """Each end's wall is asked for as far as its own wood, though the bulge between them is wider."""
    goals = _goals(setups)
    long = {end: float(np.ptp(np.asarray(goals[end].path)[:, 1])) for end in ("end-1", "end-2")}
    assert 165 < long["end-1"] < 175
    assert 172 < long["end-2"] < 182


def test_as_little_comes_off_as_the_readings_clean(job: Job) -> None:
    """Left open, as much as the readings are unsure of comes off; said, so much."""
    steps = tuple(
        replace(s, take=5.0) if isinstance(s, EdgeStep) and s.side == "edge-1" else s for s in job.steps
    )
    spares = [plan(each).pieces[0].placement.spare.edge_1 for each in (job, replace(job, steps=steps))]
    assert spares == [pytest.approx(job.boards[0].uncertainty), pytest.approx(5.0)]


def test_more_than_the_board_is_refused(job: Job) -> None:
    """A length that the board has not square to its edge is refused with what it has; so is all its width."""
    long = replace(job, wanted=replace(job.wanted, length=900.0))
    with pytest.raises(Refused) as short:
        plan(long)
    [found] = [f for f in short.value.findings if f.level == "refuse"]
    assert found.rule == "board-too-short"
    assert found.measured is not None
    assert 840 < found.measured < 860
    steps = tuple(replace(s, take=250.0) if isinstance(s, EdgeStep) else s for s in job.steps)
    with pytest.raises(Refused) as gone:
        plan(replace(job, steps=steps))
    assert {f.rule for f in gone.value.findings if f.level == "refuse"} == {"board-too-narrow"}


def test_a_board_without_length_is_not_called_narrow(job: Job) -> None:
    """A board that tapers to a point has no length with wood all across: that is told, and nothing else."""
    [step, *_] = [s for s in job.steps if isinstance(s, EdgeStep)]
    found: list[Finding] = []
    pointed = np.array([[0.0, 0.0], [300.0, 0.0], [150.0, 200.0]])
    _along_one_edge(job.boards[0], (pointed,), step, None, found)
    assert [(f.rule, f.level, f.measured) for f in found] == [("board-too-short", "refuse", 0.0)]


def test_no_scrap_stands_in_the_air(setups: tuple[Setup, ...]) -> None:
    """Beside the edge that bulges no straight block is set where it would not bear; at the fence one is."""
    blocks = [solid for solid in setups[-1].solids if solid.kind == "backing"]
    assert [solid.name for solid in blocks] == ["scrap-block at end-2"]
