"""One share of a job taken from plan to proof. In: a bound job, its post, a share. Out: a `Part`, or `Lost`.

Promise: the stages are the same as for a whole job; all they know of the other boards is how many there are.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright import run
from stockwright.batching.part import Lost, Part
from stockwright.calls.told_job import piece_line, setup_rows
from stockwright.findings import Refused
from stockwright.frozen import frozen
from stockwright.packet import model
from stockwright.packet.setup_view import setup_pages
from stockwright.packet.writing import writing_of
from stockwright.planning import Plan, plan_board
from stockwright.planning.bed import plan_bed
from stockwright.progress import doing
from stockwright.proving.wrong_zero import Fitted

if TYPE_CHECKING:
    from stockwright.batching.shares import Share
    from stockwright.job import Job
    from stockwright.posting import Post
    from stockwright.tooling import Tool

__all__ = ["Work", "done"]


@frozen(eq=False)
class Work:
    """What all shares have in common: the whole job, its post, and what the user asks for."""

    job: Job
    post: Post
    request: run.Request


def done(work: Work, share: Share) -> Part | Lost:
    """Do one share."""
    job = work.job
    boards = () if share.board is None else (job.boards[share.board],)
    doing("planning")
    try:
        plan = _plan(job, share)
        checked = run.cut_and_check(replace(job, boards=boards), work.post, plan)
        proven = run.write_and_prove(checked, work.request, _fitted(job, share))
    except Refused as refused:
        return Lost(refused.findings)
    whole = _padded(proven.packet, [board.name for board in job.boards], share.setups)
    writing = writing_of(whole, job.shop.units)
    return Part(
        packet=proven.packet,
        findings=checked.findings,
        texts=dict(proven.texts),
        pages=tuple(
            page
            for setup in proven.packet.setups
            for page in setup_pages(whole, setup, proven.moves, proven.extras, writing)
        ),
        pictures=dict(proven.pictures),
        said=proven.extras,
        pieces=tuple(piece_line(piece, job) for piece in plan.pieces),
        setups={int(row[0]): row for row in setup_rows(plan, job)},
    )


def _plan(job: Job, share: Share) -> Plan:
    if share.board is None:
        bed = plan_bed(job, share.first[0])
        return Plan(tuple(replace(setup, of=share.setups) for setup in bed), (), ())
    return plan_board(job, share.board, share.first, share.setups)


def _fitted(job: Job, share: Share) -> dict[int, Fitted | None]:
    """Say what is in the spindle when each clamping begins: another board's setup comes before it."""
    tools: dict[str, Tool] = {step.tool.name: step.tool for step in job.steps if hasattr(step, "tool")}
    found: dict[int, Fitted | None] = {}
    for index, name in zip(share.first, share.before, strict=True):
        found[index] = None
        if name is not None:
            nose = round(float(tools[name].assembly[-1].bottom), model.DECIMALS)
            found[index] = Fitted(name, nose, (*job.shop.bed.mark, 0.0))
    return found


def _padded(packet: model.Packet, names: list[str], setups: int) -> model.Packet:
    """Return the packet with as many boards and setups as the whole job has, empty but for their names."""
    blank = model.MeasuredBoard(
        outline=[(0, 0), (1, 0), (1, 1)], x=[0], y=[0], top=[[1]], bottom=[[0]], uncertainty=0
    )
    zero = model.Zero(x=0, y=0, z="bed", how="")
    own = {setup.index: setup for setup in packet.setups}
    empty = {"title": "", "work_origin": (0, 0, 0), "zero": zero}
    empty |= {field: [] for field in ("cuts", "lies", "goals", "solids", "programs")}
    return packet.model_copy(
        update={
            "boards": {name: packet.boards.get(name, blank) for name in names},
            "setups": [
                own.get(index) or model.Setup.model_validate({"index": index, **empty})
                for index in range(1, setups + 1)
            ],
        }
    )
