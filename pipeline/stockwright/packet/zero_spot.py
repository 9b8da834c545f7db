"""Where z is to be taken. In: a setup, and the paths read back from its programs. Out: a place on the bed.

Promise: it is the place where an outline program comes down for the block, so that z is taken and checked at
one spot; otherwise bare bed nearest the mark with room for the cutter; never on wood, and none at all where
no bed is bare.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.drawing import Moves
    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.wood import Wood

__all__ = ["ZeroSpot", "zero_spot"]

ROOM = 5.0  # mm about the cutter; our own choice
GRID, FARTHEST = 10.0, 400.0  # mm: how fine and how far from the mark bare bed is sought


@frozen
class ZeroSpot:
    """A place on the bed, work mm; `checked`: the outline program comes down just there."""

    x: float
    y: float
    checked: bool


def zero_spot(
    packet: Packet, setup: Setup, woods: Mapping[str, Wood], paths: Mapping[str, Moves]
) -> ZeroSpot | None:
    """Return where z is taken on the bed; None where it is taken on wood, or no bed is bare near the mark."""
    if setup.zero.z == "stock-top" or not setup.programs:
        return None
    for program in setup.programs:
        if program.purpose == "outline" and program.file in paths:
            found = _comes_down(paths[program.file])
            if found is not None:
                return ZeroSpot(*found, checked=True)
    if not woods:
        return None
    found = _bare(packet, setup, woods)
    return None if found is None else ZeroSpot(*found, checked=False)


def _comes_down(moves: Moves) -> tuple[float, float] | None:
    """Return where a path comes down, straight, to a height of its own."""
    known = np.isfinite(moves.end).all(axis=1)
    ends = moves.end[known]
    if len(ends) < 2:
        return None
    lowest = ends[:, 2] < ends[:, 2].min() + 0.01
    spots = set(map(tuple, np.round(ends[lowest][:, :2], 6).tolist()))
    # Round the work it stays at one height; a descent for the block is one spot below that.
    if len(spots) != 1 or lowest.all():
        return None
    [(x, y)] = spots
    return x, y


def _bare(packet: Packet, setup: Setup, woods: Mapping[str, Wood]) -> tuple[float, float] | None:
    tool = next((p.tool for p in setup.programs if p.tool is not None), None)
    half = (packet.tools[tool].diameter / 2 if tool is not None else 0.0) + ROOM
    steps = np.arange(-FARTHEST, FARTHEST + GRID / 2, GRID)
    x, y = (each.ravel() for each in np.meshgrid(steps, steps, indexing="ij"))
    travel, origin = packet.machine.travel, setup.work_origin
    good = (x + origin[0] >= travel.x[0]) & (x + origin[0] <= travel.x[1])
    good &= (y + origin[1] >= travel.y[0]) & (y + origin[1] <= travel.y[1])
    # A box about each thing is enough: what stands askew stands farther off.
    for outline in [*(s.outline for s in setup.solids), *(w.before for w in woods.values())]:
        low, high = np.min(outline, axis=0), np.max(outline, axis=0)
        away = np.hypot(
            np.maximum(np.maximum(low[0] - x, x - high[0]), 0.0),
            np.maximum(np.maximum(low[1] - y, y - high[1]), 0.0),
        )
        good &= away >= half
    if not good.any():
        return None
    # Clear of the mark itself, so that the two are told apart.
    far = np.where(good & (np.hypot(x, y) >= 2 * half), np.hypot(x, y), np.inf)
    best = int(np.lexsort((y, x, far))[0])
    return (float(x[best]), float(y[best])) if np.isfinite(far[best]) else None
