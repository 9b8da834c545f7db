"""Whether a recipe's document is consistent beyond its single fields.

In: the document's tree. Out: options that exclude each other, and defaults that form a circle. Promise: the
tree is judged as written, even where other parts of it could not be understood.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.documents.expressions import Expression, ExpressionError
from stockwright.documents.recipe import MOST_NAMES
from stockwright.documents.source import Items, Table

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["contradictions"]


def contradictions(root: Table) -> Iterator[tuple[tuple[str | int, ...], str, str, str]]:
    """Yield (path, code, message, hint) of options that exclude each other, and of defaults in a circle."""
    yield from _circles(root.get("inputs"))
    steps = root.get("steps")
    if not isinstance(steps, Items):
        return
    for index, step in enumerate(steps):
        if isinstance(step, Table) and "face" in step and "take" in step and "to" in step:
            yield (
                ("steps", index, "take"),
                "contradiction",
                "'take' and 'to' both say how much comes off this face, expected one of them",
                "keep 'to' for the second face, whose thickness it sets",
            )


def _circles(inputs: object) -> Iterator[tuple[tuple[str | int, ...], str, str, str]]:
    """Yield each default that hangs on itself by way of other defaults, once for each circle."""
    if not isinstance(inputs, Table) or len(inputs) > MOST_NAMES:
        return
    uses: dict[str, tuple[str, ...]] = {}
    for name, each in inputs.items():
        text = each.get("default") if isinstance(each, Table) else None
        if isinstance(text, str) and text.startswith("="):
            try:
                uses[name] = Expression(text).names
            except ExpressionError:
                continue  # said by the field itself
    left = {name: [each for each in names if each in uses] for name, names in uses.items()}
    while free := [name for name, names in left.items() if not any(each in left for each in names)]:
        for name in free:
            del left[name]
    while left:  # each that is left leads to one that is left, so that walking on comes round
        way = [next(iter(left))]
        while (further := next(each for each in left[way[-1]] if each in left)) not in way:
            way.append(further)
        circle = [*way[way.index(further) :], further]
        message = f"defaults hang on each other: {' -> '.join(circle)}"
        yield ("inputs", further, "default"), "circle", message, _OUT
        for name in way:
            del left[name]
        while free := [name for name, names in left.items() if not any(each in left for each in names)]:
            for name in free:
                del left[name]


_OUT = "give one of them a default of its own, or none"
