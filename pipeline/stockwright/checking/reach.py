"""How deep a cutter may go, and how it sits in its collet. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.checking.parts import parts_of
from stockwright.checking.wording import down, shown, up
from stockwright.findings import Finding
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.checking.situation import Situation
    from stockwright.checking.wood import Touch
    from stockwright.tooling import Tool

__all__ = [
    "attached_meets_wood",
    "cutter_too_short",
    "flutes_in_the_collet",
    "nose_meets_wood",
    "nut_meets_wood",
    "shank_gripped_too_little",
]

NEAR = 1e-6  # mm; sums of decimals may differ by their last bits


def cutter_too_short(situation: Situation) -> tuple[Finding, ...]:
    """The wall to be cut is higher than the cutter's cutting length.

    Below its cutting edges a cutter is plain shank, which cannot cut: it rubs on the wall, burns it, pushes
    the cutter off its line and may break it. Cutting in shallow depths does not help, because the last one
    still stands as deep. Cure: a cutter whose edges are at least as long as the wall is high, the step into
    the spoilboard included.
    """
    found = []
    known = set()
    for setup, cut in situation.cuts():
        if not isinstance(cut, EdgeCut):
            continue
        wall, tool = cut.ceiling - cut.bottom, cut.tool
        if wall <= tool.cutting_length + NEAR:
            continue
        known.add((setup.index, tool.name))
        run = situation.run_for(setup, tool)
        x, y = cut.line.mean(axis=0)
        found.append(
            Finding(
                rule="cutter-too-short",
                level="refuse",
                message=f"{cut.name} is {shown(wall)} mm high from the highest wood to the lowest cut, "
                f"and {tool.name} cuts over {shown(tool.cutting_length)} mm",
                remedy=f"take a cutter with cutting edges at least {up(wall)} mm long"
                + _longer(situation, cut.tool, "edge", wall),
                measured=tool.cutting_length,
                limit=wall,
                setup=setup.index,
                program=run.program.stem if run else None,
                at=(float(x), float(y), cut.bottom),
            )
        )
    for touch in situation.touches:
        if touch.kind != "shank" or (touch.setup, touch.tool.name) in known:
            continue
        needed = touch.tool.cutting_length + touch.depth
        found.append(
            Finding(
                rule="cutter-too-short",
                level="refuse",
                message=f"the shank of {touch.tool.name} goes {shown(touch.depth)} mm below the top of wood "
                "that it passes over or beside",
                remedy=f"take a cutter with cutting edges at least {up(needed)} mm long"
                + _longer(situation, touch.tool, touch.tool.does[0] if touch.tool.does else "", needed),
                measured=touch.tool.cutting_length,
                limit=needed,
                setup=touch.setup,
                program=touch.program,
                at=touch.at,
            )
        )
    return tuple(found)


def nut_meets_wood(situation: Situation) -> tuple[Finding, ...]:
    """The collet nut would touch wood that stands beside or before the cut, or the bed.

    The nut is wider than most cutters, so that it overhangs the wall that has just been cut: it hammers and
    burns the wood at full speed, and can throw the board or bend the spindle. The nut must stay 2 mm above
    all wood under it (common practice, no source). Cure: let the cutter stick out further where enough shank
    stays gripped, or take a longer cutter.
    """
    found = [
        _too_low("nut-meets-wood", situation, touch) for touch in situation.touches if touch.kind == "nut"
    ]
    return (*found, *_bed(situation, "nut", "nut-meets-wood"))


def nose_meets_wood(situation: Situation) -> tuple[Finding, ...]:
    """The spindle nose would touch wood that stands beside or before the cut, or the bed.

    The nose is the widest part that comes down with the cutter; pressed on the board it stalls the machine,
    which then no longer stands where it believes to stand. It must stay 2 mm above all wood under it (common
    practice, no source). Cure: let the cutter stick out further where enough shank stays gripped, or take a
    longer cutter.
    """
    found = [
        _too_low("nose-meets-wood", situation, touch) for touch in situation.touches if touch.kind == "nose"
    ]
    return (*found, *_bed(situation, "nose", "nose-meets-wood"))


def attached_meets_wood(situation: Situation) -> tuple[Finding, ...]:
    """Something hard that rides with the spindle would touch wood or the bed.

    A dust shoe's frame, a probe's bracket or the gantry goes wherever the spindle goes, and it is easily
    forgotten because it does not cut. It pushes the board off its place or breaks. A soft brush may touch
    wood and is not judged here. Cure: raise or take off what is attached, or let the cutter stick out further
    when it rides with the spindle.
    """
    found = []
    for touch in situation.touches:
        if touch.kind != "attached":
            continue
        more = touch.depth + situation.limits.wood_gap
        found.append(
            Finding(
                rule="attached-meets-wood",
                level="refuse",
                message=f"{touch.part} comes down to {shown(touch.height)} mm where wood stands up to "
                f"{shown(touch.wood)} mm",
                remedy=f"raise {touch.part} by {up(more)} mm or take it off",
                measured=touch.height,
                limit=touch.wood + situation.limits.wood_gap,
                setup=touch.setup,
                program=touch.program,
                at=touch.at,
            )
        )
    return (*found, *_bed(situation, "attached", "attached-meets-wood"))


def shank_gripped_too_little(situation: Situation) -> tuple[Finding, ...]:
    """The collet holds less of the shank than it should, or the cutter is to stick out further than it can.

    A shank gripped short is held by the collet's mouth alone: it creeps out under load, cuts deeper and
    deeper, and can fly. Reach is never gained by pulling the cutter out. Cure: push the shank in as far as
    the collet wants, and take a longer cutter when it then no longer reaches.
    """
    found = []
    for tool in situation.tools:
        most = tool.overall_length - tool.grip_wanted
        held = min(tool.gripped, tool.overall_length - tool.stickout)
        if held >= tool.grip_wanted - NEAR:
            continue
        found.append(
            Finding(
                rule="shank-gripped-too-little",
                level="refuse",
                message=f"{tool.name} sticks out {shown(tool.stickout)} mm of "
                f"{shown(tool.overall_length)} mm: "
                f"{shown(held)} mm are gripped, and the collet wants {shown(tool.grip_wanted)} mm",
                remedy=f"let it stick out {down(most)} mm at most, and take a cutter at least "
                f"{up(tool.stickout + tool.grip_wanted)} mm long if it must reach as far as now",
                measured=held,
                limit=tool.grip_wanted,
            )
        )
    return tuple(found)


def flutes_in_the_collet(situation: Situation) -> tuple[Finding, ...]:
    """The cutting edges reach into the collet.

    A collet closes on a round shank; on flutes it touches a few points, marks them, and holds next to
    nothing. The cutter then slips or breaks where the collet's mouth bears on the flutes. Cure: let the
    cutter stick out at least as far as its cutting edges are long.
    """
    found = []
    for tool in situation.tools:
        if tool.stickout >= tool.cutting_length - NEAR:
            continue
        needed = tool.cutting_length
        found.append(
            Finding(
                rule="flutes-in-the-collet",
                level="refuse",
                message=f"{tool.name} sticks out {shown(tool.stickout)} mm, and its cutting edges are "
                f"{shown(tool.cutting_length)} mm long",
                remedy=f"let it stick out {up(needed)} mm or more"
                if tool.overall_length - needed >= tool.grip_wanted - NEAR
                else f"take a cutter with the same edges at least {up(needed + tool.grip_wanted)} mm long, "
                f"and let it stick out {up(needed)} mm",
                measured=tool.stickout,
                limit=needed,
            )
        )
    return tuple(found)


def _too_low(rule: str, situation: Situation, touch: Touch) -> Finding:
    """Say that a part comes too near to wood, with the stick-out that cures it."""
    gap = situation.limits.wood_gap
    return Finding(
        rule=rule,
        level="refuse",
        message=f"the {touch.part} of {touch.tool.name} comes down to {shown(touch.height)} mm where wood "
        "stands "
        f"up to {shown(touch.wood)} mm; it must stay {shown(gap)} mm above it",
        remedy=_stick_out(touch.tool, touch.tool.stickout + touch.depth + gap),
        measured=touch.height,
        limit=touch.wood + gap,
        setup=touch.setup,
        program=touch.program,
        at=touch.at,
    )


def _stick_out(tool: Tool, needed: float) -> str:
    longest = tool.overall_length - tool.grip_wanted
    if needed <= longest + NEAR:
        return f"let {tool.name} stick out {up(needed)} mm; {shown(tool.grip_wanted)} mm then stay gripped"
    return (
        f"take a cutter at least {up(needed + tool.grip_wanted)} mm long and let it stick out "
        f"{up(needed)} mm ({tool.name} may stick out {down(longest)} mm at most)"
    )


def _bed(situation: Situation, kind: str, rule: str) -> Iterator[Finding]:
    """Compare the lowest place of a part with the bed's surface."""
    gap = situation.limits.wood_gap
    for run in situation.runs:
        origin = run.setup.work_origin[2]
        tool = run.program.tool
        known = run.moves.known
        if not known.any():
            continue
        row = int(run.moves.end[known, 2].argmin())
        x, y, tip = (float(v) for v in run.moves.end[known][row])
        for part in parts_of(tool, situation.machine, origin):
            above = part.bottom + origin + (0.0 if part.fixed else tip)
            if part.kind != kind or part.soft or above >= gap - NEAR:
                continue
            more = gap - above
            yield Finding(
                rule=rule,
                level="refuse",
                message=f"the {part.name} with {tool.name} comes down to {shown(above)} mm above the bed, "
                "and "
                f"must stay {shown(gap)} mm above it",
                remedy=_stick_out(tool, tool.stickout + more)
                if kind != "attached"
                else f"raise {part.name} by {up(more)} mm or take it off",
                measured=above,
                limit=gap,
                setup=run.setup.index,
                program=run.program.stem,
                at=(x, y, tip),
            )


def _longer(situation: Situation, tool: Tool, does: str, needed: float) -> str:
    """Name the shop's own cutter that would reach, if there is one."""
    for other in situation.job.shop.tools:
        if does in other.does and other.cutting_length >= needed - NEAR and other.name != tool.name:
            return f"; the shop's {other.name} has {shown(other.cutting_length)} mm"
    return "; the shop lists none"
