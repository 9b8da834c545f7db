"""How far a cutter bends. In: a force at its tip, its lengths, diameters and material. Out: mm.

Textbook beams (Euler-Bernoulli): held at the nut's face, fluted part and shank each with their own second
moment of area. The holder, the spindle and the gantry give way too and are not counted here; N, mm, N/mm2.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stockwright.tooling import Tool

__all__ = ["MODULUS", "bends", "out_of_upright", "second_moment", "tip_bends"]

# Young's moduli, N/mm2; from memory, as handbooks of materials give them.
MODULUS = {"carbide": 600_000.0, "steel": 210_000.0}
FLUTED = 0.8  # of the diameter is what flutes leave to bend; common practice, no source


def second_moment(diameter: float) -> float:
    """Return the second moment of area of a round bar, mm4."""
    return math.pi * diameter**4 / 64


def bends(
    force: float, reach: float, fluted: float, core: float, shank: float, modulus: float, *, at: float = 0.0
) -> float:
    """Return how far a stepped cantilever bends at a height `at` above its tip, mm.

    `force` pushes at the tip, `reach` is from tip to nut, the part up to `fluted` is `core` thick, the rest
    `shank`. At the tip it is F/(3E) * (b^3/If + (L^3 - b^3)/Is).
    """
    total = 0.0
    for begin, high, thick in ((0.0, min(fluted, reach), core), (fluted, reach, shank)):
        low = max(begin, at)
        if high > low:
            total += ((high**3 - low**3) / 3 - at * (high**2 - low**2) / 2) / second_moment(thick)
    return force / modulus * total


def tip_bends(tool: Tool, force: float, *, at: float = 0.0) -> float:
    """Return how far a cutter in its collet bends at a height `at` above its tip, mm."""
    return bends(
        force,
        tool.stickout,
        tool.fluted_length,
        FLUTED * tool.diameter,
        tool.shank_diameter,
        MODULUS[tool.bends_as],
        at=at,
    )


def out_of_upright(tool: Tool, force: float, height: float) -> float:
    """Return how far a wall of that height is out of upright where the cutter bends as it cuts it, mm."""
    return abs(tip_bends(tool, force) - tip_bends(tool, force, at=min(height, tool.stickout)))
