"""cut: a planned setup becomes programs.

In: `Setup`, `Shop`. Out: `Program`s, in the order in which they are run. Promise: full coverage by
construction, entry from outside the wood, air skipped by the measured surface, and every coordinate already
on the post's resolution.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stockwright.machine import Shop
    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Setup

__all__ = ["cut"]


def cut(setup: Setup, shop: Shop, resolution: float) -> tuple[Program, ...]:
    """Give the setup's outline program, then one program for each run of cuts with the same tool.

    `resolution` is the smallest step the post can write, mm.
    """
    from stockwright.cutting.program import programs

    return programs(setup, shop, resolution)
