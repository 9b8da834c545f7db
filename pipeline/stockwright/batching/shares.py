"""A job split into shares, one for each board. In: a job. Out: a `Share` for each board, and one for the bed.

Promise: the shares together are the whole job, numbered as `plan` numbers it: all boards go through one
clamping before any goes on to the next. Which process takes which share, and when, changes nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Refused
from stockwright.frozen import frozen
from stockwright.job import BedStep, EdgeStep, FaceStep, Job
from stockwright.planning import plan_board
from stockwright.planning.bed import plan_bed
from stockwright.planning.groups import group

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

__all__ = ["Runs", "Share", "apart", "clampings", "shares", "slides"]

# By clamping, the cutter fitted at the end of each of its setups; a board slid along has several in one.
Runs = tuple[tuple[str, ...], ...]

SPACED = 1000  # setups numbered so far apart tell their clamping; no board is slid so often


@frozen
class Share:
    """One board's part of a job, the `board`th from 0; None is the bed.

    `first` numbers the first setup of each of its clampings, `before` names the cutter that is fitted when it
    begins (None: none yet); `setups` is how many the whole job has.
    """

    board: int | None
    first: tuple[int, ...]
    before: tuple[str | None, ...]
    setups: int


def apart(job: Job) -> bool:
    """Say whether there are several boards, and each lies alone in every clamping."""
    return len(job.boards) > 1 and all(
        isinstance(step, FaceStep | EdgeStep) and step.together == 1
        for step in job.steps
        if hasattr(step, "together")
    )


def slides(job: Job) -> bool:
    """Say whether a board may need several setups in one clamping; only its plan can tell."""
    return job.slide


def clampings(job: Job, board: int, *, planned: bool) -> Runs:
    """Return a board's clampings and the cutters they end with; `planned`: only its plan tells."""
    groups = group(job.of(job.boards[board].name).steps, board + 1)
    plain = tuple((g.steps[-1].tool.name,) for g in groups)
    if not planned:
        return plain
    try:
        setups = plan_board(job, board, [SPACED * (i + 1) for i in range(len(groups))], 1).setups
    except Refused:
        return plain  # it is planned again, and refused with its reasons
    found: list[list[str]] = [[] for _ in groups]
    for setup in setups:
        found[setup.index // SPACED - 1].append(setup.cuts[-1].tool.name)
    return tuple(map(tuple, found))


def shares(job: Job, runs: Sequence[Runs]) -> tuple[Share, ...]:
    """Return the shares, their setups numbered; `runs` are what `clampings` says of each board."""
    first: list[list[int]] = [[] for _ in runs]
    before: list[list[str | None]] = [[] for _ in runs]
    number, fitted = 1, None
    for at in range(max(map(len, runs), default=0)):
        for board, of_board in enumerate(runs):
            if at < len(of_board):
                first[board].append(number)
                before[board].append(fitted)
                number += len(of_board[at])
                fitted = of_board[at][-1] if of_board[at] else fitted
    bed = plan_bed(job, number)
    total = number - 1 + len(bed)
    return (
        *(Share(i, tuple(first[i]), tuple(before[i]), total) for i in range(len(runs))),
        *_bed(job, number, fitted, total if bed else 0),
    )


def _bed(job: Job, number: int, fitted: str | None, total: int) -> Iterator[Share]:
    if total and any(isinstance(step, BedStep) for step in job.steps):
        yield Share(None, (number,), (fitted,), total)
