"""How much is taken off at a time, and what no step takes. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.checking.wording import down, shown, up
from stockwright.findings import Finding
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from stockwright.checking.situation import Situation

__all__ = ["corner_left_round", "depth_beyond_cutter", "trim_too_wide"]

NEAR = 1e-6  # mm; sums of decimals may differ by their last bits
TRIM = 0.45  # of the diameter: a trim that is surely less than half


def depth_beyond_cutter(situation: Situation) -> tuple[Finding, ...]:
    """A step down is deeper than the cutting edges are long, or a step sideways wider than the cutter.

    Wood above the edges meets plain shank or the cutter's body, which cannot remove it; wood between two
    passes that lie further apart than the cutter is wide is never cut at all. On a face the flat of the
    cutter counts, its diameter less both corner radii. Cure: smaller steps.
    """
    found = []
    for setup, cut in situation.cuts():
        tool = cut.tool
        flat = tool.diameter if isinstance(cut, EdgeCut) else tool.diameter - 2 * tool.corner_radius
        run = situation.run_for(setup, tool)
        for what, step, most, why in (
            ("stepdown", cut.stepdown, tool.cutting_length, "cuts over"),
            ("stepover", cut.stepover, flat, "clears a width of"),
        ):
            if step <= most + NEAR:
                continue
            found.append(
                Finding(
                    rule="depth-beyond-cutter",
                    level="refuse",
                    message=f"the {what} of {cut.name} is {shown(step)} mm, and {tool.name} {why} "
                    f"{shown(most)} mm",
                    remedy=f"set the {what} to {down(most)} mm or less",
                    measured=step,
                    limit=most,
                    setup=setup.index,
                    program=run.program.stem if run else None,
                )
            )
    return tuple(found)


def trim_too_wide(situation: Situation) -> tuple[Finding, ...]:
    """An edge is trimmed by half the cutter's diameter or more at a time.

    Up to half the diameter every tooth enters or leaves along the grain of the wall; beyond it the teeth
    also strike towards the wall's far corner, grab, and pull the board. Less than half is common practice,
    no source. Cure: a smaller stepover for the edge cutter.
    """
    found = []
    for setup, cut in situation.cuts():
        half = cut.tool.diameter / 2
        if not isinstance(cut, EdgeCut) or cut.stepover < half - NEAR:
            continue
        run = situation.run_for(setup, cut.tool)
        found.append(
            Finding(
                rule="trim-too-wide",
                level="refuse",
                message=f"{cut.name} is trimmed by {shown(cut.stepover)} mm at a time, half of "
                f"{cut.tool.name} "
                f"is {shown(half)} mm",
                remedy=f"set its stepover to {down(TRIM * cut.tool.diameter)} mm or less "
                f"({TRIM:.0%} of the diameter)",
                measured=cut.stepover,
                limit=half,
                setup=setup.index,
                program=run.program.stem if run else None,
            )
        )
    return tuple(found)


def corner_left_round(situation: Situation) -> tuple[Finding, ...]:
    """A side is cut by a cutter whose rounded corners do not come out below the board.

    What is round leaves wood at the foot of the wall: the board is true above it only, and stands off the
    next fence by it. A fence is jointed down to the bed and no deeper, and every board would stand off it.
    Cure: go deeper below the board, or take a cutter with squarer corners.
    """
    found = []
    for setup, cut in situation.cuts():
        if not isinstance(cut, EdgeCut):
            continue
        tool, below = cut.tool, 0.0 - cut.bottom
        if tool.corner_radius <= max(below, 0.0) + NEAR:  # a square corner stays in nothing
            continue
        if cut.board is None:
            what = "the fence is cut down to the bed and no deeper"
            cure = "take a cutter with square corners for the fence"
        else:
            what = f"{cut.name} is cut {shown(below)} mm below the board"
            cure = (
                f"set its `below` to {up(tool.corner_radius)} mm or more, or take a cutter with corners of "
                f"{down(below)} mm or less"
            )
        run = situation.run_for(setup, tool)
        found.append(
            Finding(
                rule="corner-left-round",
                level="refuse",
                message=f"the corners of {tool.name} are round over {shown(tool.corner_radius)} mm, "
                f"and {what}",
                remedy=cure,
                measured=tool.corner_radius,
                limit=below,
                setup=setup.index,
                program=run.program.stem if run else None,
            )
        )
    return tuple(found)
