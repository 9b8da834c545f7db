"""Which steps share a clamping.

In: a recipe's bound steps. Out: groups, one for each setup, in the order of work. Promise: a flip, a turn, a
pause, a face, and every `hold` begins a new clamping; an edge or end without `hold` is cut in the clamping
before it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen
from stockwright.job import BedStep, EdgeStep, FaceStep, FlipStep, MateStep, PauseStep, Step, TurnStep, Zone
from stockwright.planning.wood import Place, flipped, turn_to_near

if TYPE_CHECKING:
    from stockwright.job import Side
    from stockwright.tooling import Tool

__all__ = ["Group", "group"]


@frozen
class Group:
    """The cuts of one clamping: how the board lies (not yet shifted), and what holds it.

    `before` are things for people to do before this clamping, as the recipe's pauses say them; `moved` how
    far the board may warp meanwhile: mm, "by-moisture" where it is estimated, None where it does not rest.
    """

    place: Place
    steps: tuple[FaceStep | EdgeStep | MateStep, ...]
    hold: tuple[Zone, ...]
    against_fence: bool
    before: tuple[str, ...] = ()
    moved: float | Literal["by-moisture"] | None = None

    @property
    def tools(self) -> dict[Side, Tool]:
        """The cutter of each side that is cut."""
        return {step.side: step.tool for step in self.steps if isinstance(step, EdgeStep)}

    @property
    def together(self) -> int:
        """How many boards at most lie side by side in it; 1 where each lies alone."""
        return self.steps[0].together


def group(steps: tuple[Step, ...], number: int = 1) -> tuple[Group, ...]:
    """Return the clampings of the steps of the job's board `number`, from 1; bed steps are planned apart."""
    first = next((s for s in steps if isinstance(s, FaceStep)), None)
    place = Place(first.face if first else "A", 0)
    groups: list[Group] = []
    fresh, against_fence = True, False
    hold: tuple[Zone, ...] = ()
    before: tuple[str, ...] = ()
    moved: float | Literal["by-moisture"] | None = None
    for step in steps:
        if isinstance(step, FlipStep) and step.second_only and number % 2:
            continue
        if isinstance(step, FlipStep):
            place, fresh, against_fence = flipped(place, step.how), True, False
        elif isinstance(step, TurnStep):
            place, fresh, against_fence = turn_to_near(place, step.side), True, True
        elif isinstance(step, PauseStep):
            before, fresh = (*before, step.text), True
            moved = step.moved if step.moved is not None else moved
        elif not isinstance(step, BedStep):
            new = fresh or bool(step.hold) or isinstance(step, FaceStep | MateStep)
            hold = step.hold or hold
            if new:
                groups.append(Group(place, (step,), hold, against_fence, before, moved))
                before, moved = (), None
            else:
                last = groups[-1]
                groups[-1] = replace(last, steps=(*last.steps, step))
            fresh = False
    return tuple(groups)
