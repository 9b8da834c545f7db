"""What one clamping knows when its hold-downs are placed. In: the plan stage fills it. Out: shared measures.

Work frame, mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding

if TYPE_CHECKING:
    from stockwright.job import Side, Zone
    from stockwright.machine import Shop
    from stockwright.planning.wood import Place, Wood
    from stockwright.tooling import Tool

__all__ = ["GAP", "Clamping", "beside_wall", "box", "no_hold_down"]

GAP = 6.0  # between a clamp's body and what it stands beside; common practice, no source


@dataclass(frozen=True, eq=False)
class Clamping:
    """What one setup knows when its hold-downs are placed.

    `face_height` is the highest wood, `tip` how low a cutter's tip comes, `walls` the sides cut here.
    """

    index: int
    shop: Shop
    wood: Wood
    place: Place
    face_height: float
    tip: float = 0.0
    walls: dict[Side, Tool] = field(default_factory=dict)
    stop_lines: dict[Side, float] = field(default_factory=dict)
    """Where a side that is cut in this setup will stand: its work x or y."""


def beside_wall(tool: Tool, tip: float, top: float, margin: float) -> float:
    """Return how far a solid of height `top` keeps from a wall cut by `tool` with its tip at `tip`, mm.

    The cutter's own edge runs on the wall; whatever of the assembly is wider and comes as low reaches over.
    """
    over = [c.radius - tool.radius for c in tool.assembly if tip + c.bottom < top + margin]
    return max([0.0, *over]) + margin


def no_hold_down(c: Clamping, zone: Zone, what: str, measured: float, limit: float) -> Finding:
    """Return the refusal of a zone for which the shop has nothing that fits."""
    return Finding(
        rule="no-hold-down",
        level="refuse",
        message=(
            f"zone {zone.name} asks for a {what} of at most {limit:.1f} mm, the lowest is {measured:.1f} mm"
            if measured
            else f"the zone {zone.name} asks for a {what}, and the shop lists none"
        ),
        remedy=f"add a {what} that low to the shop's hold-downs, or ask for thicker stock",
        measured=round(measured, 3),
        limit=round(limit, 3),
        setup=c.index,
    )


def box(x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
    """Return a rectangle's corners (4, 2), anticlockwise."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)
