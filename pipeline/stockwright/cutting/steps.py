"""Whole steps of a post's resolution. In: millimetres. Out: integers, and millimetres again.

Promise: what is planned in whole steps loses nothing when it is written (levels round up and leave wood,
bites round down, overruns round outwards).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["Steps", "levels", "share"]

# Of one step: how far a float may miss a whole step and still be meant as that step.
SLACK = 1e-6


@dataclass(frozen=True)
class Steps:
    """A resolution of `size` mm."""

    size: float

    def up(self, length: float) -> int:
        """Give the least whole number of steps that is not below `length` mm."""
        return math.ceil(length / self.size - SLACK)

    def down(self, length: float) -> int:
        """Give the greatest whole number of steps that is not above `length` mm."""
        return math.floor(length / self.size + SLACK)

    def nearest(self, length: float) -> int:
        """Give the whole number of steps nearest to `length` mm."""
        return math.floor(length / self.size + 0.5)

    def mm(self, count: int) -> float:
        """Give the millimetres of `count` steps."""
        return count * self.size


def share(whole: int, parts: int) -> tuple[int, ...]:
    """Give `parts` + 1 even marks from 0 to `whole`; neighbours differ by at most ceil(whole / parts)."""
    return tuple((whole * part) // parts for part in range(parts + 1))


def levels(steps: Steps, ceiling: float, z: float, stepdown: float, light: float = 0.0) -> tuple[int, ...]:
    """Give the depths to cut at, falling, in steps: as few as `stepdown` allows, evenly apart.

    The last is `z`; with `light` (mm) over nothing, the last takes at most that much and stands alone.
    """
    last, top = steps.up(z), steps.up(ceiling)
    deepest = max(1, steps.down(stepdown))
    finish = min(max(0, steps.down(light)), deepest)
    rest = top - last - finish
    if rest <= 0:
        return (last,)
    marks = share(rest, -(-rest // deepest))
    found = tuple(top - mark for mark in marks[1:])
    return (*found, last) if finish else found
