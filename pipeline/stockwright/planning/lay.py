"""Where a board lies on the bed.

In: the wood, its clamping, the shop. Out: a place, spans that the fence leaves free. Work frame, mm. Promise:
a place can be found with a tape; along the fence the board goes where most of the fence can stay behind it
and no piece of it stands where a wall is cut.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.hold_downs import Backing
from stockwright.job import FaceStep
from stockwright.planning.clamping import GAP
from stockwright.planning.holding import room_beside
from stockwright.planning.underneath import over_vacuum, wants_vacuum
from stockwright.planning.wood import Place, Wood

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.job import Side
    from stockwright.machine import Shop
    from stockwright.planning.groups import Group
    from stockwright.planning.piece import Piece
    from stockwright.planning.setup import Solid
    from stockwright.tooling import Tool

__all__ = ["fence_too_little", "finished_at", "lowest_face_cut", "placed", "wall_at"]

LEAST_FENCE = 60.0  # mm behind a board, be it ever so short; common practice, no source
GUIDES = 1 / 3  # of a board's length that a fence guides well; common practice, no source
CHIP = 0.1  # mm: what is not brushed off; common practice, no source
NEAR = 1e-6  # mm; sums of decimals may differ by their last bits


def placed(
    shop: Shop,
    wood: Wood,
    piece: Piece,
    g: Group,
    along: float | None = None,
) -> tuple[Place, tuple[tuple[float, float], ...]]:
    """Shift the board to its place on the bed; also the spans of x that the fence must leave free.

    `along` is the shift in x where it is settled already.
    """
    mark_x, mark_y = shop.bed.mark
    lying = Place(g.place.up, g.place.quarter_turns)
    outline = wood.plan(lying)
    x0, y0, x1, y1 = outline.bounds
    lo, hi = shop.bed.x[0] - mark_x, shop.bed.x[1] - mark_x
    z = wood.rests_at(lying.up)
    fence = shop.fence
    face = fence.face - mark_y if fence else shop.bed.y[0] - mark_y
    if not g.against_fence:
        shift_x = _whole((lo + hi) / 2 - (x0 + x1) / 2)
        shift_y = _whole(face + room_beside(shop) + GAP - y0)
        if wants_vacuum(shop) and any(zone.where == "underneath" for zone in g.hold):
            room = ((lo - x0, hi - x1), (face + GAP - y0, shop.bed.y[1] - mark_y - y1))
            shift_x, shift_y = over_vacuum(shop, outline, (shift_x, shift_y), room)
        shift_x = shift_x if along is None else along
        return Place(lying.up, lying.quarter_turns, (shift_x, shift_y, z)), ()
    near = lying.side_looking(0.0, -1.0)
    shift_y = face - (wall_at(piece, lying, near) if near in wood.cut else y0)
    span = (lo - x0, hi - x1)
    keep = _keep_out(shop, wood, piece, lying, g.tools)
    shift_x = _along_fence(shop, span, (x0, x1), keep) if along is None else along
    return (
        Place(lying.up, lying.quarter_turns, (shift_x, shift_y, z)),
        tuple((a + shift_x, b + shift_x) for a, b in keep),
    )


def _keep_out(
    shop: Shop, wood: Wood, piece: Piece, lying: Place, tools: dict[Side, Tool]
) -> tuple[tuple[float, float], ...]:
    """Spans of x, before the shift, where a wall across the fence is cut and nothing may stand."""
    x0, _, x1, _ = wood.plan(lying).bounds
    margin = shop.machine.margin + 1.0
    block = max((h.length for h in shop.hold_downs if isinstance(h, Backing)), default=0.0)
    spans = []
    for side, tool in tools.items():
        nx, _ = lying.looks(side)
        wall = wall_at(piece, lying, side)
        reach = 2 * tool.diameter + margin
        if nx < 0:
            spans.append((min(x0, wall) - reach, wall + max(block + 1.0, margin)))
        elif nx > 0:
            spans.append((wall - margin, max(x1, wall) + reach))
    return tuple(spans)


def _along_fence(
    shop: Shop, span: tuple[float, float], board: tuple[float, float], keep: tuple[tuple[float, float], ...]
) -> float:
    """Return the shift in x that leaves most of the fence behind the board; ties: nearest to the middle."""
    mark_x, _ = shop.bed.mark
    pieces = [(a - mark_x, b - mark_x) for a, b in shop.fence.pieces] if shop.fence else []
    middle = (span[0] + span[1]) / 2
    if span[1] <= span[0]:
        return _whole(middle)
    best: tuple[float, float, float] | None = None
    for shift in np.arange(np.ceil(span[0]), np.floor(span[1]) + 0.5, 5.0):
        lo, hi = board[0] + shift, board[1] + shift
        clear = [p for p in pieces if not any(p[0] < b + shift and a + shift < p[1] for a, b in keep)]
        behind = [(max(a, lo), min(b, hi)) for a, b in clear if min(b, hi) - max(a, lo) > 20.0]
        reach = max(b for _, b in behind) - min(a for a, _ in behind) if behind else 0.0
        score = (-round(reach, 3), abs(float(shift) - middle), float(shift))
        best = score if best is None else min(best, score)
    assert best is not None
    return best[2]


def fence_too_little(
    g: Group, standing: Sequence[Solid], lying: shapely.Polygon, index: int, every: Sequence[Solid] = ()
) -> list[Finding]:
    """Return a refusal where what is left of the fence behind the wood cannot guide it, or a warning.

    `lying`: the wood that lies over the bed; `every`: the fence's pieces, those lifted off too. What of the
    fence is short beside the wood guides it badly: a chip at its end turns the board by as many times its own
    thickness as the board is longer.
    """
    if not g.against_fence:
        return []
    x0, _, x1, _ = lying.bounds
    pieces = [
        (float(s.outline[:, 0].min()), float(s.outline[:, 0].max())) for s in standing if s.kind == "fence"
    ]
    behind = [(max(a, x0), min(b, x1)) for a, b in pieces if a < x1 and x0 < b]
    reach = max(b for _, b in behind) - min(a for a, _ in behind) if behind else 0.0
    share = GUIDES * (x1 - x0)
    if reach >= max(LEAST_FENCE, share) - NEAR:
        return []
    too_little = reach < LEAST_FENCE
    why = (
        f"can stay behind the board; at least {LEAST_FENCE:.0f} mm are needed"
        if too_little
        else f"stay behind {x1 - x0:.0f} mm of board, less than a third: a chip of {CHIP:g} mm at one end of "
        f"it turns the board by {CHIP * (x1 - x0) / reach:.1f} mm over its length"
    )
    wanted = LEAST_FENCE if too_little else share
    stand = {s.name for s in standing}
    most = math.ceil(max(LEAST_FENCE, share) - NEAR)  # as much as brings no warning either
    cure = f"let at least {most} mm of it stand behind the board: a longer piece, or more"
    if any(s.name not in stand and s.outline[:, 0].max() > x0 and s.outline[:, 0].min() < x1 for s in every):
        why += "; a piece that reaches into a cut's way is lifted off whole"
        cure = (
            f"make it of several short pieces, {min(200.0, (x1 - x0) / 4):.0f} mm each at most, close to "
            "each other, so that some stay where one long one goes"
        )
    return [
        Finding(
            rule="fence-too-little",
            level="refuse" if too_little else "warn",
            message=f"only {reach:.0f} mm of fence {why}",
            remedy=cure,
            measured=round(reach, 3),
            limit=round(wanted, 3),
            setup=index,
        )
    ]


def wall_at(piece: Piece, place: Place, side: Side) -> float:
    """Return the work x (ends) or y (edges) at which a finished side stands."""
    p = piece.placement
    x, y = {"edge-1": (0.0, 0.0), "edge-2": (0.0, p.width), "end-1": (0.0, 0.0), "end-2": (p.length, 0.0)}[
        side
    ]
    at = place.matrix() @ np.array([x, y, 0.0, 1.0])
    nx, _ = place.looks(side)
    return float(at[0] if abs(nx) > 0.5 else at[1])


def lowest_face_cut(wood: Wood, place: Place, g: Group) -> float:
    """Return how low the face cuts of a clamping come, work frame; infinite where no face is cut."""
    low = float("inf")
    for step in g.steps:
        if isinstance(step, FaceStep):
            low = min(low, float(place.matrix()[2] @ np.array([0.0, 0.0, wood.cut_to(step), 1.0])))
    return low


def finished_at(piece: Piece, place: Place) -> shapely.Polygon:
    """Return where the finished piece lies in plan, work frame."""
    p = piece.placement
    return place.plan(shapely.box(0.0, 0.0, p.length, p.width))


def _whole(value: float) -> float:
    """Return the value on a whole millimetre: a place that a tape can show."""
    return float(np.round(value))
