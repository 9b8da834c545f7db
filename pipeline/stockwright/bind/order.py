"""Whether a recipe's steps can be cut in the order they stand in.

In: a recipe, its inputs' values, the finished size. Out: mistakes, each at its step. Promise: whatever is cut
is cut from a reference that is true by then, nothing is cut twice, and the steps leave the finished size.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.bind.one_edge import edge_faults
from stockwright.documents import recipe as asked
from stockwright.documents.expressions import length_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.loaded import Loaded
    from stockwright.job import Wanted
    from stockwright.mistakes import Mistake

__all__ = ["misordered"]

_MADE_BY: tuple[tuple[str, str, frozenset[str]], ...] = (
    ("length", "ends", frozenset({"end-1", "end-2"})),
    ("width", "edges", frozenset({"edge-1", "edge-2"})),
)
MOST_HOLLOW = 1.0  # mm in the middle of an edge; common practice, no source


def misordered(
    recipe: Loaded[asked.RecipeDocument], values: Mapping[str, Quantity], wanted: Wanted
) -> list[Mistake]:
    """Return what is wrong with the order of the steps, or with the sizes that they leave."""
    order = _Order(recipe, values, wanted)
    for index, step in enumerate(recipe.model.steps):
        order.step(index, step)
    order.sizes()
    return order.mistakes


class _Order:
    """Goes through the steps in order and knows which face is up and what has been cut."""

    def __init__(
        self, recipe: Loaded[asked.RecipeDocument], values: Mapping[str, Quantity], wanted: Wanted
    ) -> None:
        self.recipe, self.values, self.wanted = recipe, values, wanted
        self.mistakes: list[Mistake] = []
        self.up = "A"
        self.either: set[str] = set()  # not empty: some boards lie with the one face up, some with the other
        true = recipe.model.already
        self.faced: set[str] = {"A", "B"} if "faces" in true else set()
        self.true = set(true)  # what nobody cuts, for it is true when the board comes
        self.cut: set[str] = set()
        self.mated = False
        self.row = 1  # how many boards at most share the clamping that the step before was in
        self.thick: float | None = None  # how thick the last cut of a face left the board

    def step(self, index: int, step: asked.Step) -> None:
        if isinstance(step, asked.FlipStep):
            if step.of == "every-second-board":
                self.either |= {self.up}
            self.up = "B" if self.up == "A" else "A"
        elif isinstance(step, asked.TurnStep):
            self._turned(index, step)
        elif isinstance(step, asked.PauseStep):
            self._pause(index, step)
        elif isinstance(step, asked.FaceStep):
            self._face(index, step)
        elif isinstance(step, asked.MateStep):
            self._mate(index, step)
        elif not isinstance(step, asked.BedStep):
            self._side(index, step, step.edge if isinstance(step, asked.EdgeStep) else step.end)

    def _face(self, index: int, step: asked.FaceStep) -> None:
        self.row = step.together
        if "faces" in self.true:
            self._fault(
                index,
                "face",
                "both faces are said to be true already",
                "leave this step out, or take `faces` out of `already`",
            )
            return
        if self.either:
            self._fault(
                index,
                "face",
                "after a flip of every second board the boards lie with different faces up",
                "cut the faces before it",
            )
            return
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
        raised = any("raised" in self.recipe.model.holding[name].where for name in step.hold or ())
        if step.zero == "bed" and raised:
            self._fault(
                index,
                "zero",
                "z is taken on what the board rests on, and here that is risers and not the bed",
                "write `zero: support`, or leave it out",
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

    def _side(self, index: int, step: asked.EdgeStep | asked.EndStep, side: str) -> None:
        if side in self.cut:
            self._fault(index, _key(step), f"{side} is cut already", "leave this step out")
        elif side in self.true:
            self._fault(
                index,
                _key(step),
                f"{side} is said to be true already",
                "leave this step out, or take it out of `already`",
            )
        if step.hold or step.together > 1:
            self.row = step.together
        if self.row > 1 and side.startswith("edge"):
            self._fault(
                index,
                _key(step),
                "in a row of boards their edges touch each other, and no cutter comes between",
                "cut the edges of each board alone, in a clamping of its own",
            )
        if step.together > 1 and not step.hold:
            self._fault(
                index,
                "together",
                "a row of boards is a clamping of its own, and nothing is said to hold it",
                "say with `hold` what squeezes the row",
            )
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
        self._hollow(index, step)

    def _hollow(self, index: int, step: asked.EdgeStep | asked.EndStep) -> None:
        hollow = length_of(step.hollow, self.values) if isinstance(step, asked.EdgeStep) else None
        if hollow is not None and hollow > MOST_HOLLOW:
            self._fault(
                index,
                "hollow",
                f"the edge is to be hollow by {hollow:g} mm, and {MOST_HOLLOW:g} mm is the most",
                "no clamp closes a wider gap along a joint for good; 0.1 to 0.3 mm on a metre is usual",
            )

    def _mate(self, index: int, step: asked.MateStep) -> None:
        crooked = [edge for edge in ("edge-1", "edge-2") if edge not in self.true]
        if crooked:
            self._fault(
                index,
                "mate",
                f"the pass between two boards takes {step.take:g} mm, and nothing says that "
                f"{' and '.join(crooked)} {'are' if len(crooked) > 1 else 'is'} straight",
                "joint the edges first, and say so with `already: [edge-1, edge-2]`",
            )
        if self.mated:
            self._fault(index, "mate", "the neighbours' edges are cut already", "leave this step out")
        if self.faced != {"A", "B"}:
            self._fault(index, "mate", "the boards' faces are still rough", "cut both faces first")
        for name in step.hold:
            # What stands at an end, lies underneath or is counted out would have to be shared by both boards.
            if self.recipe.model.holding[name].where != ("face",):
                self._fault(
                    index,
                    "hold",
                    f"two boards cut in one pass are held each by clamps on its face, and {name} is "
                    "somewhere else",
                    "hold them by a zone with `where: face`",
                )
        self.mated = True

    def _turned(self, index: int, step: asked.TurnStep) -> None:
        edge = step.turn.to_fence
        if edge not in self.cut | self.true:
            self._fault(
                index,
                "turn",
                f"{edge} is to stand against the fence and is still crooked",
                f"cut {edge} first, or say `already: {edge}` where it comes straight",
            )

    def _pause(self, index: int, step: asked.PauseStep) -> None:
        if step.moved is not None and self.cut:
            self._fault(
                index,
                "moved",
                "the board moves while it rests, and sides that are cut already would be crooked after it",
                "let it rest before its edges and ends are cut",
            )

    def sizes(self) -> None:
        """Note a mistake where the finished size is missing, or is not what the last cut of a face leaves."""
        for fault in edge_faults(self.recipe.model.steps, self.wanted.width, self.true):
            self._fault(*fault)
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
        edges = sum(isinstance(step, asked.EdgeStep) for step in self.recipe.model.steps)
        for measure, kind, sides in _MADE_BY:
            cut, wanted = sides & self.cut, getattr(self.wanted, measure)
            if wanted is None and measure == "width" and edges == 1 and not sides & self.true:
                continue  # one edge straight, the other as it is
            if cut and wanted is None:
                self._finished(
                    "missing-key",
                    (),
                    f"{' and '.join(sorted(cut))} {'are' if len(cut) > 1 else 'is'} cut, "
                    f"but the finished {measure} is not said",
                    f'add it, as in `finished: {{{measure}: "={measure}"}}`',
                )
            elif wanted is not None and (left := sorted(sides - self.cut - self.true)):
                self._finished(
                    "out-of-order",
                    (measure,),
                    f"the finished {measure} is {wanted:g} mm, and no step cuts {' or '.join(left)}",
                    f"cut both {kind} to it, or leave the {measure} out: the board then keeps its own"
                    + (f", and {next(iter(cut))} alone is cut" if measure == "width" and cut else ""),
                )
        left = sorted({"A", "B"} - self.faced)
        if self.wanted.thickness is not None and left:
            self._finished(
                "out-of-order",
                ("thickness",),
                f"the finished thickness is {self.wanted.thickness:g} mm, and no step cuts face "
                f"{' or face '.join(left)}",
                "cut both faces, or leave the thickness out: the board then keeps its own",
            )

        if self.recipe.model.tolerance.parallelism is not None and left and self.faced:
            self.mistakes.append(
                self.recipe.mistake(
                    ("tolerance", "parallelism"),
                    "out-of-order",
                    f"the faces are to be parallel, and no step cuts face {' or face '.join(left)}",
                    "cut both faces, or leave it out",
                )
            )

    def _finished(self, code: str, path: tuple[str, ...], message: str, hint: str) -> None:
        self.mistakes.append(self.recipe.mistake(("finished", *path), code, message, hint))

    def _fault(self, index: int, key: str, message: str, hint: str) -> None:
        self.mistakes.append(self.recipe.mistake(("steps", index, key), "out-of-order", message, hint))


def _key(step: asked.EdgeStep | asked.EndStep) -> str:
    return "edge" if isinstance(step, asked.EdgeStep) else "end"
