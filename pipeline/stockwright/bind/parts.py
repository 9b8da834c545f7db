"""What is asked of each board: its sizes and steps, from its own values of the recipe's inputs.

In: a job's documents. Out: one `Own` for each board, or a single one for all of them where no board has
values of its own. Promise: one cutter does a role for all boards, so it must reach as deep as the deepest
board needs.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.bind.steps import bind_steps
from stockwright.documents.expressions import length_of
from stockwright.documents.parts import AskedOfBoard
from stockwright.job import BedStep, Own, Tolerance, Wanted

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from stockwright.documents import Documents
    from stockwright.documents.expressions import Expression
    from stockwright.documents.loaded import Loaded
    from stockwright.documents.recipe import RecipeDocument
    from stockwright.job import Step
    from stockwright.mistakes import Mistake
    from stockwright.tooling import Tool

__all__ = ["bind_parts", "deepest", "values_of_parts"]

MEASURES = ("length", "width", "thickness")


def values_of_parts(documents: Documents) -> tuple[AskedOfBoard, ...]:
    """Return what is asked of each board, or once of all of them."""
    return documents.asked or (AskedOfBoard("", documents.values),)


def deepest(reach: float | Expression | None, every: Sequence[AskedOfBoard]) -> float | None:
    """Return the greatest reach that any board asks of a tool role, mm; None where none is asked."""
    reaches = [length_of(reach, asked.values) for asked in every]
    return max((each for each in reaches if each is not None), default=None)


def bind_parts(
    recipe: Loaded[RecipeDocument], every: Sequence[AskedOfBoard], tools: Mapping[str, Tool]
) -> tuple[tuple[Own, ...], list[Mistake]]:
    """Return what each board becomes, and what is wrong with it; of one part only, with the part's name."""
    owns: list[Own] = []
    said: list[tuple[str, list[Mistake]]] = []
    done: dict[int, tuple[Own, list[Mistake]]] = {}
    for number, asked in enumerate(every, 1):
        if id(asked.values) not in done:
            done[id(asked.values)] = _bound(recipe, asked, tools)
            said.append((asked.part or f"board {number}", done[id(asked.values)][1]))
        owns.append(replace(done[id(asked.values)][0], part=asked.part))
    common = Counter(mistake for _, mistakes in said for mistake in mistakes)
    found = [
        each if common[each] == len(said) else replace(each, message=f"{name}: {each.message}")
        for name, mistakes in said
        for each in mistakes
    ]
    return tuple(owns), [*dict.fromkeys(found), *_of_the_bed(recipe, owns)]


def _bound(
    recipe: Loaded[RecipeDocument], asked: AskedOfBoard, tools: Mapping[str, Tool]
) -> tuple[Own, list[Mistake]]:
    model = recipe.model
    finished = {name: length_of(getattr(model.finished, name), asked.values) for name in MEASURES}
    tolerance = {name: getattr(model.tolerance, name) for name in type(model.tolerance).model_fields}
    wanted = Wanted(**finished, tolerance=Tolerance(**tolerance))
    steps, mistakes = bind_steps(recipe, asked.values, tools, wanted)
    return Own("", wanted, steps), mistakes


def _of_the_bed(recipe: Loaded[RecipeDocument], owns: Sequence[Own]) -> Iterator[Mistake]:
    """Yield where the bed, which is cut once for all boards, would be cut in two ways."""
    beds = {tuple(step.take for step in _beds(own.steps)) for own in owns}
    if len(beds) < 2:
        return
    places = [index for index, step in enumerate(recipe.model.steps) if "bed" in type(step).model_fields]
    for index, takes in zip(places, zip(*sorted(beds), strict=True), strict=False):
        if len(set(takes)) > 1:
            yield recipe.mistake(
                ("steps", index, "take"),
                "contradiction",
                f"the bed is cut once for all boards, and its `take` comes to "
                f"{' and '.join(f'{take:g} mm' for take in sorted(set(takes)))}, expected one figure",
                "let it hang on no input that boards give a value of their own",
            )


def _beds(steps: Sequence[Step]) -> Iterator[BedStep]:
    return (step for step in steps if isinstance(step, BedStep))
