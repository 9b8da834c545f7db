"""Where the wood runs at a slant to what is to hold it. In: an outline, a foot beside it. Out: degrees.

Promise: what stands at a side touches wood that runs along that side; a foot at a slant pushes the board
aside, and one far off square stands beside another side altogether.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.hold_downs import Beside
    from stockwright.job import Side, Zone
    from stockwright.planning.clamping import Clamping

    Floats = NDArray[np.float64]

__all__ = ["SLANT", "slant_at", "slanting"]

# Degrees, how far from its side the wood may run at a foot on average; common practice, no source
SLANT = 30.0
STRIPS = 8  # of a foot, in which the wood is looked for; our own choice


def slant_at(outline: shapely.Polygon, foot: Floats, looks: tuple[float, float]) -> float:
    """Return how far from its side the wood runs where a foot touches it, on average, degrees.

    `foot` (4, 2) is a box; `looks` is the side's outward direction, a unit vector along an axis.
    """
    along = 1 if abs(looks[0]) > abs(looks[1]) else 0
    outwards = sum(looks) > 0
    low, high = foot.min(axis=0), foot.max(axis=0)
    x0, y0, x1, y1 = outline.bounds
    a, b = max(low[along], (x0, y0)[along]), min(high[along], (x1, y1)[along])
    if b <= a:
        return 90.0
    touched = low[1 - along] if outwards else high[1 - along]
    strips = [
        shapely.box(p, y0 - 1, q, y1 + 1) if along == 0 else shapely.box(x0 - 1, p, x1 + 1, q)
        for p, q in itertools.pairwise(np.linspace(a, b, STRIPS + 1))
    ]
    reached = np.asarray(shapely.bounds(shapely.intersection(strips, outline)))
    back = np.abs(reached[:, 1 - along + (2 if outwards else 0)] - touched)
    back = np.minimum(np.nan_to_num(back, nan=np.inf), b - a)
    return math.degrees(math.atan2(2 * float(back.mean()), b - a))


def slanting(c: Clamping, zone: Zone, h: Beside, side: Side, least: float) -> Finding:
    """Return the refusal of a side that runs at a slant wherever it could be held; `least` degrees."""
    return Finding(
        rule="no-room-for-clamps",
        level="refuse",
        message=f"{h.name} does not fit zone {zone.name}: wherever it could stand, {side} runs at a slant of "
        f"{least:.1f} degrees or more, and beyond {SLANT:g} degrees the board slides along it",
        remedy=f"saw {side} square first, or hold this board another way",
        measured=round(least, 3),
        limit=SLANT,
        setup=c.index,
    )
