"""What boards that one pass cuts must have in common. In: their own cuts. Out: nothing, or why it cannot be.

Promise: boards that become different parts share a clamping only where one pass makes each of them right;
otherwise the two that differ are named, with both numbers.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding, Refused

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.job import MateStep, Zone
    from stockwright.planning.setup import EdgeCut, FaceCut

__all__ = ["lowest_zones", "one_height", "one_line", "one_take"]

ALIKE = 0.001  # mm: what is called alike here is far finer than any post's resolution makes it


def lowest_zones(zones: Sequence[Sequence[Zone]]) -> tuple[Zone, ...]:
    """Return the zones of a row: what holds all of it stays below the lowest that any of its boards says."""
    found = []
    for alike in zip(*zones, strict=True):
        heights = [zone.below for zone in alike if zone.below is not None]
        found.append(replace(alike[0], below=min(heights, default=None)))
    return tuple(found)


def one_height(cuts: Sequence[FaceCut], index: int) -> None:
    """Raise `Refused` where one pass over these faces does not leave each at its own height."""
    heights = {cut.board: cut.z for cut in cuts}
    _alike(heights, cuts[0].name, " over the support", "thickness", index)


def one_line(cuts: Sequence[EdgeCut], lengths: Mapping[str, float | None], index: int) -> None:
    """Raise `Refused` where one wall does not stand where each board's own does; `lengths`: the finished."""
    way = cuts[0].line[1] - cuts[0].line[0]
    across = np.array([-way[1], way[0]]) / float(np.hypot(*way))
    places = {str(cut.board): float(cut.line[0] @ across) for cut in cuts}
    if max(places.values()) - min(places.values()) <= ALIKE:
        return
    # The ends on the left stand in line, so what differs is how long the boards are to be.
    sizes = {name: lengths[name] or place for name, place in places.items()}
    _alike(sizes, f"{cuts[0].name}", " from the other end", "length", index)


def one_take(steps: Mapping[str, MateStep], index: int) -> None:
    """Raise `Refused` where two neighbours' edges, cut by one pass, are to lose different amounts."""
    _alike({name: step.take for name, step in steps.items()}, "what comes off", "", "take", index)


def _alike(sizes: Mapping[str, float], what: str, unit: str, measure: str, index: int) -> None:
    low, high = (which(sizes, key=lambda name: sizes[name]) for which in (min, max))
    if sizes[high] - sizes[low] <= ALIKE:
        return
    finding = Finding(
        rule="row-of-two-sizes",
        level="refuse",
        message=f"{low} and {high} are cut by one pass, and {what} is {sizes[low]:.2f} mm{unit} for {low}, "
        f"{sizes[high]:.2f} mm{unit} for {high}",
        remedy=f"give {low} and {high} the same {measure}, or make a job of its own for each part",
        measured=round(sizes[high], 3),
        limit=round(sizes[low], 3),
        setup=index,
    )
    raise Refused((finding,))
