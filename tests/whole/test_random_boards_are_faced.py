"""Random warped boards, both faces through every stage: the simulated board says that nothing is left.

Each board is seated as thick as can be and loses its readings' uncertainty on either face, so what the proof
finds faced is faced however the readings err within it. A refusal by a rule or by the proof fails the test.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from random_boards import SCALES, board_of, drawn
from random_jobs import facing_job, post
from stockwright import run
from stockwright.packet.model import PlaneGoal

if TYPE_CHECKING:
    from stockwright.job import Job

FEW = 3  # of each scale, every test run
BOARDS = 300  # of each scale, in the sweep


def proven(job: Job) -> None:
    """Plan, cut, check, write and prove a job; both faces must have flat goals that the proof confirms."""
    checked = run.cut_and_check(job, post(), run._plan(job))
    packet = run.write_and_prove(checked, run.Request(Path("job.yaml"))).packet
    goals = [goal for setup in packet.setups for goal in setup.goals]
    assert [goal.cut for goal in goals if isinstance(goal, PlaneGoal)] == ["face A", "face B"]
    assert packet.proof is not None
    assert packet.proof.verdict == "proven"


@pytest.mark.parametrize("number", [0, *(pytest.param(n, marks=pytest.mark.wide) for n in range(1, FEW))])
@pytest.mark.parametrize("k", SCALES)
def test_a_random_board_is_fully_faced(k: float, number: int) -> None:
    """The first boards of each warp scale are proven faced on both sides."""
    proven(facing_job(board_of(drawn()[number], k)))


@pytest.mark.sweep
@pytest.mark.parametrize("number", range(FEW, BOARDS))
@pytest.mark.parametrize("k", SCALES)
def test_every_random_board_is_fully_faced(k: float, number: int) -> None:
    """So are all the other boards on which the time saved is measured."""
    proven(facing_job(board_of(drawn()[number], k)))
