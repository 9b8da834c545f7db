"""Recipes that cut only one edge and leave the other as it is. In: a recipe's steps. Out: what is wrong.

Promise: where only one edge is cut there is no finished width; where a width is given, what comes off the
edge follows from it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.documents.recipe import EdgeStep

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from stockwright.documents.recipe import Step

__all__ = ["edge_faults"]


def edge_faults(
    steps: Sequence[Step], width: float | None, true: Collection[str]
) -> Iterator[tuple[int, str, str, str]]:
    """Yield (step, key, message, hint) for each thing that an edge step may not ask.

    `width` is the finished width, None where it is not given; `true` is what is true of the board when it
    arrives.
    """
    edges = [(index, step) for index, step in enumerate(steps) if isinstance(step, EdgeStep)]
    alone = len(edges) == 1 and width is None and not {"edge-1", "edge-2"} & set(true)
    for index, step in edges:
        if step.take is not None and not alone:
            yield (
                index,
                "take",
                "how much comes off an edge follows from the finished width, or from the edge that is true",
                "leave `take` out, or cut one edge alone and leave the width out",
            )
        if step.to is not None and alone:
            yield (
                index,
                "to",
                f"{step.edge} is the only edge that is cut, so there is no width to cut it to",
                "leave `to` out, and say with `take` how much comes off it; or cut both, and say the width",
            )
