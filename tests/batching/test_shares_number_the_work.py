"""Boards are numbered apart as they are together: clamping by clamping."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest

from example_jobs import EXAMPLES, bound
from many_boards import boards_job
from stockwright.batching.shares import apart, clampings, shares
from stockwright.planning import plan, plan_board

if TYPE_CHECKING:
    from pathlib import Path

BED = "  - {bed: surface, tool: facer, take: 1 mm}"
JOBS = ["glue-room/shelf-boards.yaml", "spice-rack/job.yaml"]


@pytest.mark.parametrize("name", JOBS)
def test_a_board_by_itself_is_planned_as_among_all(name: str) -> None:
    """Each share's setups have the numbers, the names and the places that the whole job's plan gives them."""
    job, _ = bound(EXAMPLES / name)
    whole = {setup.index: setup for setup in plan(job).setups}
    runs = [clampings(job, board, planned=False) for board in range(len(job.boards))]
    seen: list[int] = []
    for share in shares(job, runs):
        assert share.board is not None
        for setup in plan_board(job, share.board, share.first, share.setups).setups:
            same = whole[setup.index]
            assert (setup.title, setup.of) == (same.title, len(whole))
            assert setup.lies[0].board == job.boards[share.board].name
            assert np.array_equal(setup.lies[0].matrix, same.lies[0].matrix)
            seen.append(setup.index)
    assert sorted(seen) == list(whole)


def test_all_first_faces_come_before_any_second_one() -> None:
    """The whole plan takes every board through a clamping before any goes on, in the job's order."""
    job, _ = bound(EXAMPLES / "spice-rack" / "job.yaml")
    order = [(setup.lies[0].board, setup.cuts[0].name) for setup in plan(job).setups]
    names = [board.name for board in job.boards]
    cuts = ("face A", "face B", "edge-1", "end-1")
    assert order == [(name, cut) for cut in cuts for name in names]


def test_a_share_knows_the_cutter_that_is_fitted() -> None:
    """The cutter before a clamping is the one that the setup before it, whose ever, ends with."""
    job, _ = bound(EXAMPLES / "spice-rack" / "job.yaml")
    setups = plan(job).setups
    before = {s.index: p.cuts[-1].tool.name for p, s in pairwise(setups)}
    runs = [clampings(job, board, planned=False) for board in range(len(job.boards))]
    for share in shares(job, runs):
        assert share.before == tuple(before.get(index) for index in share.first)


def test_the_bed_is_a_share_of_its_own(tmp_path: Path) -> None:
    """Where the recipe skims the bed too, a last share numbers its setup after all boards' ones."""
    job, _ = bound(boards_job(tmp_path, 3, more=BED))
    *boards, bed = shares(job, [clampings(job, board, planned=False) for board in range(3)])
    assert [share.first for share in boards] == [(1, 4), (2, 5), (3, 6)]
    assert (bed.board, bed.first, bed.before, bed.setups) == (None, (7,), ("facer",), 7)


def test_a_board_that_is_slid_counts_its_positions() -> None:
    """How many setups a clamping of a long board has, which its plan tells, numbers the boards after it."""
    job, _ = bound(EXAMPLES / "hall-bench" / "job.yaml")
    twin = replace(job.boards[0], name="twin")
    job = replace(job, boards=(job.boards[0], twin))
    runs = [clampings(job, board, planned=True) for board in range(2)]
    counts = [len(of_clamping) for of_clamping in runs[0]]
    assert max(counts) > 1
    first, second = shares(job, runs)
    assert second.first[0] == first.first[0] + counts[0]
    assert first.first[1] == second.first[0] + counts[0]
    whole = [s.index for s in plan(job).setups if s.lies[0].board == "twin"]
    alone = [s.index for s in plan_board(job, 1, second.first, second.setups).setups]
    assert alone == whole


@pytest.mark.parametrize(
    ("name", "comes_apart"),
    [("spice-rack", True), ("stool-rails", False), ("garden-gate", False), ("shutter-panel", False),
     ("bench-apron", False)],
)  # fmt: skip
def test_boards_in_one_clamping_stay_together(name: str, comes_apart: bool) -> None:
    """A job comes apart only where it has several boards, and each lies alone in every clamping."""
    job, _ = bound(EXAMPLES / name / "job.yaml")
    assert apart(job) is comes_apart
