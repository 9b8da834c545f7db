"""Whether what stands fixes a board's place. In: its outline, solids, work frame, mm. Out: yes or no.

Promise: yes only where a board that has moved can be put back by pushing it against what stands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.planning.setup import Solid

__all__ = ["registered"]

NEAR = 1.0  # mm: wood so near to a stop counts as against it, for a board is set with a tape; our own choice
APART = 0.3  # of its length a board's edge must be against something, from end to end; our own choice


def registered(outline: shapely.Polygon, standing: Sequence[Solid]) -> bool:
    """Say whether a board stands against stops that tell its place: along an edge, and at an end.

    At the edge its wood must be near them over a good part of the length, for one place lets it turn.
    """
    x0, y0, x1, y1 = outline.bounds
    at_end = False
    spans: dict[bool, list[float]] = {}
    for solid in standing:
        if solid.kind not in ("fence", "stop"):
            continue
        firm = shapely.Polygon(solid.outline)
        wood = outline.intersection(firm.buffer(NEAR))
        if wood.is_empty:
            continue
        if firm.bounds[2] <= x0 + NEAR or firm.bounds[0] >= x1 - NEAR:
            at_end = True
        else:
            spans.setdefault(firm.centroid.y < (y0 + y1) / 2, []).extend((wood.bounds[0], wood.bounds[2]))
    return at_end and any(max(each) - min(each) >= APART * (x1 - x0) for each in spans.values())
