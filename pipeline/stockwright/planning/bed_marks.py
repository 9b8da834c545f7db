"""Marks of earlier cuts in the bed. In: channels, a board as it lies, its shims. Out: findings, notes.

Work frame, mm. Promise: no seal, tape or shim is relied on where the bed has been cut away.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from stockwright.findings import Finding
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.machine import Shop
    from stockwright.planning.setup import ShimPlace

__all__ = ["marks_of", "over_marks", "shims_over_marks"]


def marks_of(shop: Shop) -> tuple[shapely.Polygon, ...]:
    """Return the outline of every mark."""
    mark_x, mark_y = shop.bed.mark
    return tuple(
        shapely.box(m.x[0] - mark_x, m.y[0] - mark_y, m.x[1] - mark_x, m.y[1] - mark_y)
        for m in shop.bed.marks
    )


def shims_over_marks(shop: Shop, shims: Sequence[ShimPlace], setup: int) -> tuple[Finding, ...]:
    """Return a warning for each shim that would stand in a mark and so carry nothing at its height."""
    found = []
    for shim in shims:
        for channel, outline in zip(shop.bed.marks, marks_of(shop), strict=True):
            if outline.contains(shapely.Point(shim.x, shim.y)):
                found.append(
                    Finding(
                        rule="shim-over-a-mark",
                        level="warn",
                        message=f"a shim of {shim.thickness:.2f} mm stands in a mark of the bed that is "
                        f"{channel.depth:.2f} mm deep, so the board would sag there",
                        remedy=f"put {channel.depth:.2f} mm more under it, or skim the bed below its marks",
                        measured=round(channel.depth, 3),
                        limit=0.0,
                        setup=setup,
                        at=(shim.x, shim.y, 0.0),
                    )
                )
    return tuple(found)


def over_marks(shop: Shop, outline: shapely.Polygon) -> tuple[str, ...]:
    """Return the sentence for the sheet where a board lies over marks."""
    under = [
        (number, channel)
        for number, (channel, mark) in enumerate(zip(shop.bed.marks, marks_of(shop), strict=True), 1)
        if outline.intersects(mark)
    ]
    if not under:
        return ()
    deepest = format_length(max(channel.depth for _, channel in under), shop.units)
    listed = ", ".join(str(number) for number, _ in under)
    text = (
        f"The board lies over marks of earlier cuts in the bed (mark {listed}, up to {deepest} deep): clear "
        "them of chips, and set no clamp's tip over one."
    )
    return (text,)
