"""The bed itself: the spoilboard skimmed, the wooden fence jointed in place. In: a job. Out: setups.

Promise: the second face of every board relies on the bed; what is skimmed here is parallel to the machine's
own motion, whatever the frame underneath does.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding, Refused
from stockwright.job import BedStep, Job
from stockwright.planning.clamping import CLEAR, box
from stockwright.planning.holding import fence_solids
from stockwright.planning.setup import BedCut, EdgeCut, PlaneGoal, Setup, WallGoal
from stockwright.planning.words import touched_with

if TYPE_CHECKING:
    from stockwright.planning.setup import Goal, Solid

__all__ = ["plan_bed"]


def plan_bed(job: Job, first_index: int) -> tuple[Setup, ...]:
    """Return one setup for each bed step that takes anything off, numbered from `first_index`.

    Raises `Refused` where the fence cannot be cut.
    """
    setups: list[Setup] = []
    for step in job.steps:
        if isinstance(step, BedStep) and step.take > 0:
            make = _surface if step.what == "surface" else _fence
            setups.append(make(job, step, first_index + len(setups)))
    return tuple(setups)


def _surface(job: Job, step: BedStep, index: int) -> Setup:
    shop = job.shop
    mark_x, mark_y = shop.bed.mark
    region = box(
        shop.bed.x[0] - mark_x, shop.bed.y[0] - mark_y, shop.bed.x[1] - mark_x, shop.bed.y[1] - mark_y
    )
    cut = BedCut("bed", step.tool, -step.take, region, 0.0, step.stepover, step.stepdown)
    return _setup(
        job,
        index,
        "The spoilboard: skim it flat",
        cut,
        (PlaneGoal(None, "bed", -step.take, region),),
        (),
        (
            "Lift the fence and everything else off the bed; pull out screws, brads and grit.",
            "Take z on the highest place of the spoilboard: try a few places with paper first.",
            (
                "Afterwards the bed is lower: take z anew before the next job, "
                "and write the date into the shop's document."
            ),
        ),
    )


def _fence(job: Job, step: BedStep, index: int) -> Setup:
    shop = job.shop
    fence = shop.fence
    if fence is None or not fence.wooden:
        raise Refused(
            (
                Finding(
                    rule="no-wooden-fence",
                    level="refuse",
                    message="the recipe joints a wooden fence in place, and the shop has none",
                    remedy="set the fence's take to 0 mm, or say `wooden: yes` if the fence may be cut",
                    measured=0.0,
                    limit=1.0,
                    setup=index,
                ),
            )
        )
    mark_x, mark_y = shop.bed.mark
    face = fence.face - mark_y
    y = face - step.take
    pieces = [(lo - mark_x, hi - mark_x) for lo, hi in fence.pieces]
    x0, x1 = min(p[0] for p in pieces), max(p[1] for p in pieces)
    line = np.array([[x1, y], [x0, y]])  # the fence's wood stays on the left
    solids = tuple(replace(piece, may_cut_to=0.0) for piece in fence_solids(shop, fence, ()))
    cut = EdgeCut(
        board=None,
        name="bed",
        side=None,
        tool=step.tool,
        line=line,
        inside="left",
        waste=tuple(box(lo, y, hi, face) for lo, hi in pieces),
        ceiling=fence.height,
        bottom=0.0,
        stepover=step.stepover,
        stepdown=step.stepdown,
        light=min(step.take, 0.3),
    )
    goal = WallGoal(None, "bed", line, "left", (0.0, fence.height), step.take + 1.0)
    return _setup(
        job,
        index,
        "The fence: joint it in place",
        cut,
        (goal,),
        solids,
        (
            "Fasten the fence as it stands for work; no screw or brad may lie in what is cut.",
            (
                f"Afterwards its face stands {step.take:g} mm nearer the operator: "
                "write that into the shop's document."
            ),
        ),
    )


def _setup(
    job: Job,
    index: int,
    title: str,
    cut: BedCut | EdgeCut,
    goals: tuple[Goal, ...],
    solids: tuple[Solid, ...],
    notes: tuple[str, ...],
) -> Setup:
    shop = job.shop
    top = max([0.0, *(s.top for s in solids)])
    points = cut.region if isinstance(cut, BedCut) else np.vstack(cut.waste)
    return Setup(
        index=index,
        title=title,
        cuts=(cut,),
        lies=(),
        work_origin=(*shop.bed.mark, 0.0),
        zero_z="bed",
        zero_how="z on the bed's surface; x and y at the mark on the bed" + touched_with(shop),
        goals=goals,
        solids=solids,
        shims=(),
        placing=(),
        wood_outline=box(*points.min(axis=0), *points.max(axis=0)),
        wood_top=top,
        clear_z=top + shop.machine.margin + CLEAR,
        seat_check=(),
        notes=notes,
    )
