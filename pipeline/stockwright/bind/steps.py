"""A recipe's steps -> bound steps.

Promise: every option has a number, and an order that cannot be cut is a mistake with its place.
What a recipe leaves open is taken from the cutter in the shop's document, or is one of the cautious values
named here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright import job as bound
from stockwright.documents import recipe as asked
from stockwright.documents.expressions import Expression

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.loaded import Loaded
    from stockwright.job import Wanted
    from stockwright.mistakes import Mistake
    from stockwright.tooling import Tool

__all__ = ["bind_steps", "length_of"]

LIGHT_LEVEL = 0.5  # mm the last level over a face takes; common practice, no source


def length_of(value: float | Expression | None, values: Mapping[str, Quantity]) -> float | None:
    """Return a length in mm; a sum is worked out."""
    return value.evaluate(values).value if isinstance(value, Expression) else value


def bind_steps(
    recipe: Loaded[asked.RecipeDocument],
    values: Mapping[str, Quantity],
    tools: Mapping[str, Tool],
    wanted: Wanted,
) -> tuple[tuple[bound.Step, ...], list[Mistake]]:
    """Return the steps that could be bound, and what is wrong with their order or their sizes."""
    binder = _Binder(recipe, values, tools, wanted)
    steps = [binder.step(index, step) for index, step in enumerate(recipe.model.steps)]
    binder.sizes()
    return tuple(s for s in steps if s is not None), binder.mistakes


class _Binder:
    """Goes through the steps in order and knows which face is up and what has been cut."""

    def __init__(
        self,
        recipe: Loaded[asked.RecipeDocument],
        values: Mapping[str, Quantity],
        tools: Mapping[str, Tool],
        wanted: Wanted,
    ) -> None:
        self.recipe, self.values, self.tools, self.wanted = recipe, values, tools, wanted
        self.mistakes: list[Mistake] = []
        self.up = "A"
        self.faced: set[str] = set()
        self.cut: set[str] = set()
        self.thick: float | None = None  # how thick the last cut of a face left the board

    def step(self, index: int, step: asked.Step) -> bound.Step | None:
        if isinstance(step, asked.FlipStep):
            self.up = "B" if self.up == "A" else "A"
            return bound.FlipStep(step.flip)
        if isinstance(step, asked.TurnStep):
            return bound.TurnStep(self._turned(index, step))
        if isinstance(step, asked.PauseStep):
            return self._pause(index, step)
        tool = self.tools.get(step.tool)
        if isinstance(step, asked.FaceStep):
            self._face_in_order(index, step)
            return self._face(step, tool) if tool else None
        if isinstance(step, asked.BedStep):
            return self._bed(step, tool) if tool else None
        side = step.edge if isinstance(step, asked.EdgeStep) else step.end
        self._side_in_order(index, step, side)
        return self._edge(step, side, tool) if tool else None

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
        )

    def _pause(self, index: int, step: asked.PauseStep) -> bound.PauseStep:
        moved = step.moved
        if moved is not None and self.cut:
            self._fault(
                index,
                "moved",
                "the board moves while it rests, and sides that are cut already would be crooked after it",
                "let it rest before its edges and ends are cut",
            )
        return bound.PauseStep(step.pause, moved if isinstance(moved, str) else length_of(moved, self.values))

    def _edge(self, step: asked.EdgeStep | asked.EndStep, side: bound.Side, tool: Tool) -> bound.EdgeStep:
        return bound.EdgeStep(
            side=side,
            tool=tool,
            to=length_of(step.to, self.values),
            stepover=tool.stepover,
            stepdown=step.stepdown if step.stepdown is not None else tool.stepdown,
            below=step.below,
            light=step.light,
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
            sides = tuple(s for s in zone.where if s != "face")
            zones.append(bound.Zone(name, sides or "face", length_of(zone.below, self.values), zone.clear_of))
        return tuple(zones)

    # what cannot be cut in this order

    def _face_in_order(self, index: int, step: asked.FaceStep) -> None:
        if step.face != self.up:
            self._fault(
                index,
                "face",
                f"face {step.face} lies underneath at this step",
                "put `- flip: edge-over-edge` before it"
                if self.faced
                else "call the face that is cut first A; the other one is B",
            )
        elif step.face == "B" and "A" not in self.faced:
            self._fault(index, "face", "face B is cut from face A, which is not flat yet", "cut face A first")
        elif step.face == "A" and step.to is not None and "B" not in self.faced:
            self._fault(
                index,
                "to",
                "the first face is referenced to nothing, so it cannot be cut to a thickness",
                "say with `take` how much comes off it",
            )
        if self.cut and step.face not in self.faced:
            self._fault(
                index,
                "face",
                "the edges stand square to faces that are cut before them",
                "cut the faces first",
            )
        elif step.to is None and step.face in self.faced:
            self._fault(
                index,
                "face",
                f"face {step.face} is cut once more, and it is not said how far",
                "say with `to` how thick the board is after it",
            )
        self.faced.add(step.face)
        to = length_of(step.to, self.values)
        if to is None and step.face == "B":
            to = self.wanted.thickness
        if to is not None and self.thick is not None and to > self.thick + 1e-6:
            self._fault(
                index,
                "to",
                f"face {step.face} is cut to {to:g} mm, and the board is only {self.thick:g} mm thick then",
                "a later cut of a face leaves the board as thick or thinner",
            )
        self.thick = to if to is not None else self.thick

    def _side_in_order(self, index: int, step: asked.EdgeStep | asked.EndStep, side: str) -> None:
        if side in self.cut:
            self._fault(index, _key(step), f"{side} is cut already", "leave this step out")
        if self.up not in self.faced and self.faced:
            self._fault(
                index,
                _key(step),
                f"face {self.up}, which is up, is still rough",
                "cut both faces before the edges",
            )
        self.cut.add(side)
        to, measure = length_of(step.to, self.values), "width" if side.startswith("edge") else "length"
        finished = getattr(self.wanted, measure)
        if to is not None and finished is not None and abs(to - finished) > 1e-6:
            self._fault(
                index,
                "to",
                f"{side} is cut to {to:g} mm, and the finished {measure} is {finished:g} mm",
                f"let `to` and `finished: {measure}` say the same",
            )

    def _turned(self, index: int, step: asked.TurnStep) -> bound.Side:
        edge = step.turn.to_fence
        if edge not in self.cut:
            self._fault(
                index,
                "turn",
                f"{edge} is to stand against the fence and is still crooked",
                f"cut {edge} first",
            )
        return edge

    def sizes(self) -> None:
        """Note a mistake where the finished size is not said, or not what the last cut of a face leaves."""
        thickness = self.wanted.thickness
        if self.thick is not None and thickness is not None and abs(self.thick - thickness) > 1e-6:
            last = max(
                i
                for i, s in enumerate(self.recipe.model.steps)
                if isinstance(s, asked.FaceStep) and s.to is not None
            )
            self._fault(
                last,
                "to",
                f"the last face is cut to {self.thick:g} mm, and the finished thickness is {thickness:g} mm",
                "let `to` and `finished: thickness` say the same",
            )
        missing = [m for m in ("length", "width") if getattr(self.wanted, m) is None]
        if self.cut and missing:
            self.mistakes.append(
                self.recipe.mistake(
                    ("finished",),
                    "missing-key",
                    f"edges and ends are cut, but the finished {' and '.join(missing)} is not said",
                    'add it, as in `finished: {length: "=length", width: "=width", thickness: "=thickness"}`',
                )
            )

    def _fault(self, index: int, key: str, message: str, hint: str) -> None:
        self.mistakes.append(self.recipe.mistake(("steps", index, key), "out-of-order", message, hint))


def _key(step: asked.EdgeStep | asked.EndStep) -> str:
    return "edge" if isinstance(step, asked.EdgeStep) else "end"
