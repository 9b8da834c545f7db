"""A recipe's steps -> bound steps.

In: the recipe's steps, its inputs' values, the cutters. Out: steps of `job`. Promise: every option has a
number. What a recipe leaves open is taken from the cutter in the shop's document, or from the cautious values
named here; whether the steps can be cut in their order is said by `order`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from stockwright import job as bound
from stockwright.bind.order import misordered
from stockwright.documents import recipe as asked
from stockwright.documents.expressions import length_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.loaded import Loaded
    from stockwright.job import Wanted
    from stockwright.mistakes import Mistake
    from stockwright.tooling import Tool

__all__ = ["bind_steps"]

LIGHT_LEVEL = 0.5  # mm the last level over a face takes; common practice, no source


def bind_steps(
    recipe: Loaded[asked.RecipeDocument],
    values: Mapping[str, Quantity],
    tools: Mapping[str, Tool],
    wanted: Wanted,
) -> tuple[tuple[bound.Step, ...], list[Mistake]]:
    """Return the steps that could be bound, and what is wrong with their order or their sizes."""
    binder = _Binder(recipe, values, tools)
    steps = [binder.step(step) for step in recipe.model.steps]
    return tuple(s for s in steps if s is not None), misordered(recipe, values, wanted)


class _Binder:
    """Binds one step after another; None where no cutter of the shop does it."""

    def __init__(
        self,
        recipe: Loaded[asked.RecipeDocument],
        values: Mapping[str, Quantity],
        tools: Mapping[str, Tool],
    ) -> None:
        self.recipe, self.values, self.tools = recipe, values, tools

    def step(self, step: asked.Step) -> bound.Step | None:
        if isinstance(step, asked.FlipStep):
            return bound.FlipStep(step.flip, step.of == "every-second-board")
        if isinstance(step, asked.TurnStep):
            return bound.TurnStep(step.turn.to_fence)
        if isinstance(step, asked.PauseStep):
            moved = step.moved
            return bound.PauseStep(
                step.pause, moved if isinstance(moved, str) else length_of(moved, self.values)
            )
        tool = self.tools.get(step.tool)
        if tool is None:
            return None
        if isinstance(step, asked.FaceStep):
            return self._face(step, tool)
        if isinstance(step, asked.MateStep):
            return self._mate(step, tool)
        if isinstance(step, asked.BedStep):
            return self._bed(step, tool)
        return self._edge(step, tool)

    # one kind of step each

    def _face(self, step: asked.FaceStep, tool: Tool) -> bound.FaceStep:
        take = step.take if step.take is not None else "half-of-surplus"
        amount = length_of(take, self.values) if not isinstance(take, str) else take
        assert amount is not None
        return bound.FaceStep(
            face=step.face,
            tool=tool,
            seat=step.seat or "thickest",
            take=amount,
            to=length_of(step.to, self.values),
            passes=step.passes or "along",
            direction=step.direction or "both-ways",
            perimeter=step.perimeter or "none",
            stepover=step.stepover * tool.diameter if step.stepover is not None else tool.stepover,
            stepdown=step.stepdown if step.stepdown is not None else tool.stepdown,
            light=step.light if step.light is not None else LIGHT_LEVEL,
            hold=self._zones(step.hold),
            # A cutter's radius: both parts' last passes end in wood that is cut flat; our own choice.
            overlap=step.overlap if step.overlap is not None else tool.radius,
            together=step.together,
        )

    def _edge(self, step: asked.EdgeStep | asked.EndStep, tool: Tool) -> bound.EdgeStep:
        edge = step if isinstance(step, asked.EdgeStep) else None
        hollow = None if edge is None else length_of(edge.hollow, self.values)
        return bound.EdgeStep(
            side=step.edge if isinstance(step, asked.EdgeStep) else step.end,
            tool=tool,
            to=length_of(step.to, self.values),
            stepover=tool.stepover,
            stepdown=step.stepdown if step.stepdown is not None else tool.stepdown,
            below=step.below,
            light=step.light,
            hold=self._zones(step.hold),
            spring=step.spring,
            hollow=hollow or 0.0,
            together=step.together,
            take=None if edge is None else length_of(edge.take, self.values),
        )

    def _mate(self, step: asked.MateStep, tool: Tool) -> bound.MateStep:
        return bound.MateStep(
            tool=tool,
            take=step.take,
            stepdown=tool.stepdown,
            below=step.below,
            hold=self._zones(step.hold),
        )

    def _bed(self, step: asked.BedStep, tool: Tool) -> bound.BedStep:
        take = length_of(step.take, self.values)
        assert take is not None
        return bound.BedStep(
            what=step.bed,
            tool=tool,
            take=take,
            stepover=step.stepover * tool.diameter if step.stepover is not None else tool.stepover,
            stepdown=step.stepdown if step.stepdown is not None else tool.stepdown,
        )

    def _zones(self, names: tuple[str, ...] | None) -> tuple[bound.Zone, ...]:
        zones = []
        for name in names or ():
            zone = self.recipe.model.holding[name]
            sides = cast("tuple[bound.Side, ...]", tuple(s for s in zone.where if s not in asked.ALONE))
            alone: asked.Alone = next((s for s in asked.ALONE if s in zone.where), "face")
            zones.append(bound.Zone(name, sides or alone, length_of(zone.below, self.values), zone.clear_of))
        return tuple(zones)
