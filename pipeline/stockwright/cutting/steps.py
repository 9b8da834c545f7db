"""Whole steps of a post's resolution. In: millimetres. Out: integers, and millimetres again.

Promise: what is planned in whole steps loses nothing when it is written. Levels round up and leave wood,
bites round down, overruns round outwards.
"""

from __future__ import annotations

import math

from stockwright.frozen import frozen

__all__ = ["Steps", "high_levels", "levels", "share"]

# Of one step: how far a float may miss a whole step and still be meant as that step.
SLACK = 1e-6


@frozen
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


def levels(steps: Steps, ceiling: float, z: float, stepdown: float) -> tuple[int, ...]:
    """Give the depths to cut at, falling to `z`, in steps: as few as `stepdown` allows, evenly apart."""
    last, top = steps.up(z), steps.up(ceiling)
    if top <= last:
        return (last,)
    marks = share(top - last, -(-(top - last) // max(1, steps.down(stepdown))))
    return tuple(top - mark for mark in marks[1:])


def high_levels(
    steps: Steps, ceiling: float, z: float, stepdown: float, light: float = 0.0
) -> tuple[int, ...]:
    """Give the depths to cut at, falling to `z`, in steps: as few and as high as may be.

    Each is a `stepdown` over the next, but the last, `z`, takes `light` (mm) where that is over nothing and
    less; the first takes what is left under the `ceiling`.
    """
    last, top = steps.up(z), steps.up(ceiling)
    deepest = max(1, steps.down(stepdown))
    finish = min(max(0, steps.down(light)), deepest) or deepest
    return (*reversed(range(last + finish, top, deepest)), last)
