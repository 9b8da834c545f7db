"""Where the machine can go. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.checking.too_long import shorter
from stockwright.checking.wording import down, shown, up
from stockwright.findings import Finding
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from stockwright.checking.situation import Run, Situation

__all__ = ["AXES", "cut_below_bed", "leaves_the_travel"]

NEAR = 1e-6  # mm; sums of decimals may differ by their last bits
AXES = ("x", "y", "z")
LOW_CURE = (
    "lay the board {by} mm further right: let the bed's `area` begin at x {edge} mm",
    "lay the board {by} mm further away from the operator: {fence}let the bed's `area` begin at y {edge} mm",
    "let the cutter stick out {by} mm more, or take one that much longer",
)
HIGH_CURE = (
    "lay the board {by} mm further left: let the bed's `area` end at x {edge} mm",
    "lay the board {by} mm nearer the operator: {fence}let the bed's `area` end at y {edge} mm",
    "let the cutter stick out {by} mm less, or take hold-downs {by} mm lower where they set the height",
)


def leaves_the_travel(situation: Situation) -> tuple[Finding, ...]:
    """A program takes the spindle nose further than the machine can travel.

    At its end an axis runs into a switch, which stops the machine in the wood, or into a hard stop, where it
    loses its place and cuts on beside it. All three axes are judged for the nose: in z it is the cutter's
    whole length above the tip. Cure: lay the board elsewhere on the bed, or change how far the cutter
    sticks out; where the moves are longer than the travel, board or cutter is too large for the machine.
    """
    found = []
    machine = situation.machine
    for run in situation.runs:
        tool = run.program.tool
        points = np.vstack([run.moves.start, run.moves.end])
        shift = np.array(run.setup.work_origin) + np.array([0.0, 0.0, tool.nose])
        for axis, (low, high) in enumerate((machine.x, machine.y, machine.z)):
            known = points[np.isfinite(points[:, axis])]
            if not len(known):
                continue
            nose = known[:, axis] + shift[axis]
            least, most = float(nose.min()), float(nose.max())
            short, over = low - least, most - high
            if max(short, over) <= NEAR:
                continue
            below = short >= over
            by = up(max(short, over))
            place = known[int(nose.argmin() if below else nose.argmax())]
            if most - least > high - low + NEAR:
                cure = (
                    f"the moves span {shown(most - least)} mm, the machine {shown(high - low)} mm: "
                    f"take work at least {up(most - least - (high - low))} mm smaller along {AXES[axis]}"
                    + shorter(run.setup, axis, situation.setups, machine, slides=situation.job.slide)
                )
            elif axis == 0 and (longer := _off_the_bed(situation, run)):
                # Laid in the middle of a bed that is too short for it, it goes nowhere else.
                cure = longer + shorter(
                    run.setup, axis, situation.setups, machine, slides=situation.job.slide
                )
            else:
                edge = _edge(run, axis, max(short, over), below=below)
                cure = (LOW_CURE if below else HIGH_CURE)[axis].format(
                    by=by, edge=edge, fence=_fence(run, by)
                )
                if axis == 2 and not below:
                    cure = _thinner(situation, run, over) or cure
            found.append(
                Finding(
                    rule="leaves-the-travel",
                    level="refuse",
                    message=f"with {tool.name} the spindle nose must go to {AXES[axis]} = "
                    f"{shown(least if below else most)} mm, and its travel ends at "
                    f"{shown(low if below else high)} mm",
                    remedy=_fewer(run, axis, max(over, short + over)) + cure,
                    measured=least if below else most,
                    limit=low if below else high,
                    setup=run.setup.index,
                    program=run.program.stem,
                    at=(float(place[0]), float(place[1]), float(place[2]))
                    if np.isfinite(place).all()
                    else None,
                )
            )
    return tuple(found)


def cut_below_bed(situation: Situation) -> tuple[Finding, ...]:
    """The tip goes deeper into the bed than the machine's spoilboard allows, or than any cut asked for.

    Under the spoilboard are bolts, rails and the machine's own frame, which break the cutter; and a bed cut
    deeper than asked no longer carries the next board. Cure: cut less far below the board, or fit a thicker
    spoilboard and say so in the shop's document.
    """
    found = []
    board = situation.machine.spoilboard
    for run in situation.runs:
        known = run.moves.known
        if not known.any() or run.program.purpose == "probe":
            continue
        ends = run.moves.end[known]
        x, y, tip = (float(v) for v in ends[int(ends[:, 2].argmin())])
        depth = -(tip + run.setup.work_origin[2])
        asked = max([0.0, *(-(_lowest(cut) + run.setup.work_origin[2]) for cut in run.setup.cuts)])
        if depth > board + NEAR:
            limit, why = board, "the tip may go"
            cure = f"cut at least {up(depth - board)} mm less far below the board"
        elif depth > asked + situation.limits.level:
            limit, why = asked, "its cuts ask for"
            cure = f"end this program's cuts {up(depth - asked, 0.01)} mm higher"
        else:
            continue
        found.append(
            Finding(
                rule="cut-below-bed",
                level="refuse",
                message=f"{run.program.tool.name} goes {shown(depth)} mm below the bed's surface, "
                f"{why} {shown(limit)} mm",
                remedy=cure,
                measured=depth,
                limit=limit,
                setup=run.setup.index,
                program=run.program.stem,
                at=(x, y, tip),
            )
        )
    return tuple(found)


def _off_the_bed(situation: Situation, run: Run) -> str:
    """Say how much longer a board is than the bed's area; "" where it is not, or is slid along."""
    if not run.setup.lies or run.setup.slid is not None:
        return ""
    low, high = situation.job.shop.bed.x
    long, room = float(np.ptp(run.setup.wood_outline[:, 0])), high - low
    if long <= room + NEAR:
        return ""
    told = f"the board is {shown(long)} mm long, the bed's area {shown(room)} mm"
    return f"{told}: take one {up(long - room)} mm shorter"


def _thinner(situation: Situation, run: Run, over: float) -> str:
    """Say how much thinner a board must be where its cuts want a cutter to stick out about as far as it does.

    Drawn in farther, its nut would meet the wood, or its edges would be in the collet; "" where it can be.
    """
    tool = run.program.tool
    deep = [cut.ceiling - _lowest(cut) for _, cut in situation.cuts() if cut.tool.name == tool.name]
    needed = max([tool.cutting_length, *(each + situation.limits.wood_gap for each in deep)])
    spare = max(0.0, tool.stickout - needed)
    if over <= spare + NEAR or not run.setup.lies:
        return ""
    drawn_in = float(down(spare))
    first = f"let the cutter stick out {drawn_in:g} mm less, no more, and " if drawn_in else ""
    # By whole millimetres: programs travel at whole heights.
    return f"{first}take work at least {math.ceil(over - drawn_in - NEAR)} mm thinner"


def _edge(run: Run, axis: int, by: float, *, below: bool) -> str:
    """Return where the bed's area must begin or end for the board to lie so much further in, bed frame."""
    outline = run.setup.wood_outline
    if axis > 1 or not len(outline):
        return ""
    side = float(outline[:, axis].min() if below else outline[:, axis].max()) + run.setup.work_origin[axis]
    return up(side + by) if below else down(side - by)


def _fewer(run: Run, axis: int, by: float) -> str:
    """Say how many boards side by side would do, where a row reaches so much too far, mm.

    A row begins nearest the operator: fewer boards change nothing at that end, however it is out of reach.
    Any so many of them must fit, so the widest count. Two that are cut to mate are no row.
    """
    boards = len(run.setup.lies)
    mated = any(isinstance(cut, EdgeCut) and cut.between is not None for cut in run.setup.cuts)
    if axis != 1 or boards < 2 or by <= NEAR or mated:
        return ""
    widths = [float(np.ptp(run.setup.outline_of(lie.board)[:, 1])) for lie in run.setup.lies]
    widest = np.cumsum(sorted(widths, reverse=True))
    most = int((widest <= sum(widths) - by + NEAR).sum())
    if most < 1:
        return ""
    few = math.ceil(boards / math.ceil(boards / most))  # rows alike: a board left alone is held worst
    if few == 1:
        return "lay each board alone: leave `together` out of the recipe; or "
    return f"lay {few} side by side, with `together: {few}` in the recipe; or "


def _fence(run: Run, by: str) -> str:
    """Say that a fence, and the mark at it, go with a board that is moved across the bed."""
    stands = any(solid.kind == "fence" for solid in run.setup.solids)
    return f"set the fence and the mark {by} mm the same way, and " if stands else ""


def _lowest(cut: object) -> float:
    return float(getattr(cut, "bottom", getattr(cut, "z", 0.0)))
