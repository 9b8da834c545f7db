"""What holds the board. In: zones, the shop's hold-downs, the wood as it lies. Out: solids, grips, sentences.

Work frame, mm. Promise: nothing is put where a wall is cut; what does not fit is a finding, never silently
left out. Whether the whole assembly clears what stands, and whether the grips are strong enough, is judged
later by the check stage.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from stockwright.hold_downs import Backing, Beside, TopClamp
from stockwright.job import EdgeStep
from stockwright.planning.beside import Placed, hold_beside
from stockwright.planning.clamping import GAP, Clamping, box
from stockwright.planning.grips import Held, bolts_of, press_grips
from stockwright.planning.in_waste import hold_in_waste
from stockwright.planning.setup import Solid
from stockwright.planning.top_clamps import clamps_on_the_face
from stockwright.planning.underneath import hold_underneath

if TYPE_CHECKING:
    from stockwright.job import Side, Zone
    from stockwright.machine import Fence, Shop
    from stockwright.planning.groups import Group

__all__ = ["backing_block", "backings", "fence_solids", "hold", "room_beside"]

BACKS = 1.5  # mm off the wood, as the check counts it, that scrap still backs it; common practice, no source
SHANK_GAP = 1.5  # mm beyond the margin, for a cut that goes a little below the board


def room_beside(shop: Shop) -> float:
    """Return the depth that hold-downs want beside a board, mm."""
    depths = [30.0]
    for h in shop.hold_downs:
        if isinstance(h, Beside):
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


def backing_block(c: Clamping, side: Side, wall_x: float, corner_y: float) -> Solid | None:
    """Return the scrap that backs the corner where teeth leave the wood of an end; None where there is none.

    It stands in line with the edge, as high as the board unless the cutter's shank would rub on it, and
    reaches a cutter's width past the wall, so that the part beyond is milled away whole and nothing comes
    loose.
    """
    kinds = [h for h in c.shop.hold_downs if isinstance(h, Backing)]
    if not kinds:
        return None  # the check stage sees the corner that nothing backs
    block, tool = kinds[0], c.walls[side]
    past = tool.diameter - 1.0
    if c.place.looks(side)[0] < 0:
        outline = box(wall_x - past, corner_y - block.depth, wall_x + block.length, corner_y)
    else:
        outline = box(wall_x - block.length, corner_y, wall_x + past, corner_y + block.depth)
    top = min(c.face_height, tool.cutting_length - c.shop.machine.margin - SHANK_GAP)
    return Solid(f"{block.name} at {side}", "backing", outline, 0.0, top, may_cut_to=c.tip)


def backings(c: Clamping, groups: tuple[Group, ...]) -> list[Solid]:
    """Scrap where teeth leave the wood at a finished corner: the near one at the left, the far one else.

    With a cutter turning clockwise the end lying to the left breaks out at the near edge, the end to the
    right at the far edge; an edge still to be cut takes the breakout with it.
    """
    later = [s.side for other in groups for s in other.steps if isinstance(s, EdgeStep)]
    plan = c.wood.plan(c.place)
    _, y0, _, y1 = plan.bounds
    blocks = []
    for side in c.walls:
        nx, _ = c.place.looks(side)
        if abs(nx) < 0.5:
            continue
        edge = c.place.side_looking(0.0, -1.0 if nx < 0 else 1.0)
        if edge in c.wood.cut or edge not in later:
            y = c.stop_lines.get(edge, float(y0 if nx < 0 else y1))
            if edge not in c.wood.cut and not _touches(plan, c.stop_lines[side], y):
                continue  # a natural edge: the check stage sees the corner that nothing backs
            block = backing_block(c, side, c.stop_lines[side], y)
            blocks += [block] if block else []
    return blocks


def _touches(plan: shapely.Polygon, wall_x: float, y: float) -> bool:
    """Say whether wood reaches to `y` where an end's wall stands, so that a straight block bears there."""
    return bool(plan.distance(shapely.Point(wall_x, y)) <= BACKS)


def hold(c: Clamping, zones: tuple[Zone, ...], standing: tuple[Solid, ...]) -> Held:
    """Return what every zone comes to: solids, grips, notes for the sheet, and what could not be placed."""
    placed = Placed()
    ends = {
        side for zone in zones if isinstance(zone.where, tuple) for side in zone.where if side[:3] == "end"
    }
    for zone in zones:
        if zone.where == "face":
            clamps = clamps_on_the_face(c, zone, (*standing, *placed.solids), placed.found)
            placed.solids.extend(clamps)
            pressing = press_grips(c, clamps)
            placed.grips.extend(pressing)
            for grip in pressing[:1]:  # all of one kind
                named = grip.name.rpartition(" ")[0]
                placed.notes.append(
                    f"On the face: {named}, each presses with {grip.force:.0f} N ({grip.source})."
                )
            placed.notes.extend(bolts_of(c, clamps))
        elif zone.where == "raised":
            pass  # it carries and does not hold: planned once it is known what presses
        elif zone.where == "underneath":
            hold_underneath(c, zone, placed)
        elif zone.where == "waste":
            hold_in_waste(c, zone, standing, placed)
        else:
            hold_beside(c, zone, zone.where, standing, placed, spare=len(ends))
    return Held(
        solids=tuple(placed.solids),
        grips=tuple(placed.grips),
        notes=tuple(placed.notes),
        findings=tuple(placed.found),
        on_tape=placed.on_tape,
    )
