"""What stands beside and on the board. In: zones, the shop's hold-downs, the wood as it lies. Out: solids.

Work frame, mm. Promise: nothing is put where a wall is cut; what does not fit is a finding, never left out
in silence. Whether the whole assembly clears what stands is judged later, by the check stage.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.machine import Backing, SideClamp, Stop, TopClamp
from stockwright.planning.clamping import GAP, Clamping, box, no_hold_down
from stockwright.planning.setup import Solid
from stockwright.planning.top_clamps import clamps_on_the_face

if TYPE_CHECKING:
    from stockwright.job import Side, Zone
    from stockwright.machine import Fence, Shop

__all__ = ["backing_block", "fence_solids", "hold", "room_beside"]

SHANK_GAP = 1.5  # mm beyond the margin, for a cut that goes a little below the board
FROM_END = 0.14  # of the length: where the first side clamp stands; common practice, no source


def room_beside(shop: Shop) -> float:
    """Return the depth that hold-downs want beside a board, mm."""
    depths = [30.0]
    for h in shop.hold_downs:
        if isinstance(h, SideClamp | Stop):
            depths.append(h.depth)
        elif isinstance(h, TopClamp):
            depths.append(h.body_depth + 2 * GAP)
    return max(depths)


def fence_solids(shop: Shop, fence: Fence, keep_out: tuple[tuple[float, float], ...]) -> tuple[Solid, ...]:
    """Return the fence's pieces, work frame; those in a keep-out span are lifted off where they can be."""
    mark_x, mark_y = shop.bed.mark
    face = fence.face - mark_y
    solids = []
    for number, (lo, hi) in enumerate(fence.pieces, 1):
        x0, x1 = lo - mark_x, hi - mark_x
        if fence.liftable and any(x0 < k1 and k0 < x1 for k0, k1 in keep_out):
            continue
        solids.append(
            Solid(f"fence piece {number}", "fence", box(x0, face - fence.depth, x1, face), 0.0, fence.height)
        )
    return tuple(solids)


def backing_block(
    c: Clamping, side: Side, wall_x: float, near_y: float
) -> tuple[Solid | None, Finding | None]:
    """Return the scrap that backs the near corner where teeth leave the wood at the left of the board.

    It stands flush with the fence, as high as the board unless the cutter's shank would rub on it, and
    reaches a cutter's width past the wall, so that the part beyond is milled away whole and nothing comes
    loose.
    """
    kinds = [h for h in c.shop.hold_downs if isinstance(h, Backing)]
    if not kinds:
        return None, Finding(
            rule="breakout-unbacked",
            level="warn",
            message=f"teeth leave the wood at a finished corner of {side}, and no scrap is there to back it",
            remedy="add a hold-down of kind `backing` to the shop, or expect splinters there",
            measured=0.0,
            limit=1.0,
            setup=c.index,
        )
    block, tool = kinds[0], c.walls[side]
    outline = box(wall_x - tool.diameter + 1.0, near_y - block.depth, wall_x + block.length, near_y)
    top = min(c.face_height, tool.cutting_length - c.shop.machine.margin - SHANK_GAP)
    return Solid(f"{block.name} at {side}", "backing", outline, 0.0, top, may_cut_to=c.tip), None


def hold(
    c: Clamping, zones: tuple[Zone, ...], standing: tuple[Solid, ...]
) -> tuple[tuple[Solid, ...], tuple[Finding, ...]]:
    """Return the solids of every zone, and what could not be placed."""
    solids: list[Solid] = []
    found: list[Finding] = []
    for zone in zones:
        if zone.where == "face":
            placed = clamps_on_the_face(c, zone, (*standing, *solids), found)
        else:
            placed = _at_the_sides(c, zone, found)
        solids.extend(placed)
    return tuple(solids), tuple(found)


def _at_the_sides(c: Clamping, zone: Zone, found: list[Finding]) -> list[Solid]:
    """Side clamps along edges, stops at ends, all lower than the zone asks."""
    assert zone.where != "face"
    limit = zone.below if zone.below is not None else np.inf
    solids: list[Solid] = []
    edges = [s for s in zone.where if s.startswith("edge")]
    ends = [s for s in zone.where if s.startswith("end")]
    for sides, kind, what in ((edges, SideClamp, "side clamp"), (ends, Stop, "stop")):
        if not sides:
            continue
        fitting = [h for h in c.shop.hold_downs if isinstance(h, kind)]
        low = [h for h in fitting if h.height <= limit]
        if not low:
            lowest = min((h.height for h in fitting), default=0.0)
            found.append(no_hold_down(c, zone, what, lowest, float(limit)))
            continue
        h = min(low, key=lambda k: (-k.height, k.name))  # the highest that stays under holds best
        each = max(1, h.count // len(sides))
        for side in sides:
            solids.extend(_along(c, h, side, each))
    return solids


def _along(c: Clamping, h: SideClamp | Stop, side: Side, count: int) -> list[Solid]:
    """`count` pieces of one hold-down spread along a side, each touching the wood where it stands."""
    outline = c.wood.plan(c.place)
    x0, y0, x1, y1 = outline.bounds
    nx, ny = c.place.looks(side)
    solids = []
    lo, hi = (y0, y1) if abs(nx) > abs(ny) else (x0, x1)
    count = min(count, max(1, int((hi - lo) // (h.length * 1.5))))
    inset = max(FROM_END * (hi - lo), h.length / 2 + 5.0)
    centres = np.linspace(lo + inset, hi - inset, count) if count > 1 else np.array([(lo + hi) / 2])
    for number, at in enumerate(centres, 1):
        a, b = at - h.length / 2, at + h.length / 2
        if abs(nx) > abs(ny):
            touched = outline.intersection(shapely.box(x0 - 1, a, x1 + 1, b)).bounds
            edge = touched[2] if nx > 0 else touched[0]
            foot = box(min(edge, edge + nx * h.depth), a, max(edge, edge + nx * h.depth), b)
        else:
            touched = outline.intersection(shapely.box(a, y0 - 1, b, y1 + 1)).bounds
            edge = touched[3] if ny > 0 else touched[1]
            foot = box(a, min(edge, edge + ny * h.depth), b, max(edge, edge + ny * h.depth))
        kind = "side-clamp" if isinstance(h, SideClamp) else "stop"
        solids.append(Solid(f"{h.name} {number} at {side}", kind, foot, 0.0, h.height))
    return solids
