"""What a round cutter clears. In: radii, bites and insets, mm. Out: how far lines and loops must reach.

Plane geometry: the area that a line sweeps is a stadium whose ends are half discs. Promise: a region whose
lines keep to these numbers is cleared everywhere, also in its corners.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stockwright.cutting.steps import share

if TYPE_CHECKING:
    from stockwright.cutting.steps import Steps

__all__ = ["end_overrun", "least_overrun", "line_places", "loop_inset"]

# How much further than geometry asks a line runs, mm; common practice, no source.
OVERRUN_MARGIN = 1.0


def least_overrun(reach: float, half: float) -> float:
    """Give how far beyond the wood's end a line's own end must lie (below zero: it may stop short), mm.

    A point at the wood's end and `half` to the side of the line is cleared by the end disc of radius `reach`
    iff half² + e² <= reach² (Pythagoras). ValueError if `half` exceeds `reach`: no line clears it.
    """
    if half > reach:
        raise ValueError(f"a cutter that clears {reach:g} mm to its side cannot clear {half:g} mm")
    return -math.sqrt(reach * reach - half * half)


def end_overrun(radius: float, least: float, stepover: float, *, turns: bool) -> float:
    """Give the overrun of a line's end, mm: the `least` that coverage asks and a margin.

    Where the cutter `turns` there to the next line it also runs so far out that the sideways move takes no
    wider a bite than `stepover`.
    """
    wanted = least + OVERRUN_MARGIN
    return max(wanted, radius - stepover) if turns else wanted


def loop_inset(radius: float, reach: float, stepover: float) -> float:
    """Give how far inside an outline a loop runs (below zero: outside), mm.

    It bites `stepover` wide, and never so far in that a square corner is missed: the corner's distance from
    the loop's corner is inset · sqrt(2), which must not exceed `reach`. A loop at this limit bites
    radius · (1 + 1/sqrt(2)), the widest spacing of nested loops.
    """
    return min(stepover - radius, reach / math.sqrt(2))


def line_places(
    steps: Steps,
    region: tuple[float, float],
    radius: float,
    side: float,
    stepover: float,
    limits: tuple[float, float],
) -> tuple[int, ...]:
    """Give where parallel lines lie across a `region` from low to high (mm), rising, in steps: the fewest.

    Evenly apart, never more than `stepover`; the first bites no wider than `stepover` (where `limits`, the
    machine's travel, let it lie so far out). The last lies half of it inside, or, where that saves a line, up
    to `side` inside: what a line clears to its side.
    """
    bite = max(1, steps.down(stepover))
    half = bite // 2
    low, high = region
    inside_low, inside_high = steps.down(low) + half, steps.up(high) - half
    if inside_high <= inside_low:
        return (steps.nearest((low + high) / 2),)
    first = min(max(steps.down(low + stepover - radius), steps.up(limits[0])), inside_low)
    gaps = max(1, -(-(steps.up(high) - max(steps.down(side), half) - first) // bite))
    last = min(inside_high, first + gaps * bite)
    return tuple(first + mark for mark in share(last - first, gaps))
