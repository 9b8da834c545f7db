"""A board laid so that its hold-downs can be bolted down. In: a place, slots and holes. Out: a place.

Work frame, mm. Promise: the smallest shift in whole centimetres, along the bed before across it, at which
every hold-down of the clamping finds its slot or hole; where there is none, the place stays and the findings
say why.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.job import EdgeStep
from stockwright.planning.clamping import Clamping
from stockwright.planning.enough_clamps import asked_by
from stockwright.planning.holding import fence_solids, hold
from stockwright.planning.lay import finished_at, lowest_face_cut, wall_at

if TYPE_CHECKING:
    from stockwright.job import Zone
    from stockwright.machine import Shop
    from stockwright.planning.groups import Group
    from stockwright.planning.piece import Piece
    from stockwright.planning.wood import Place, Wood

__all__ = ["clamping_at", "onto_bolts"]

STEPS = (0.0, 10.0, -10.0, 20.0, -20.0, 30.0, -30.0, 40.0, -40.0, 50.0, -50.0)  # as far as slots lie apart


def clamping_at(index: int, shop: Shop, wood: Wood, piece: Piece, g: Group, place: Place) -> Clamping:
    """Return what a clamping knows with the board at `place`."""
    return Clamping(
        index,
        shop,
        wood,
        place,
        wood.highest(place),
        -max((s.below for s in g.steps if isinstance(s, EdgeStep)), default=0.0),
        g.tools,
        {side: wall_at(piece, place, side) for side in g.tools},
        cut_low=lowest_face_cut(wood, place, g),
        finished=finished_at(piece, place),
        asked=asked_by(g.steps, shop, wood.board.species, wood.highest(place)),
    )


def onto_bolts(c: Clamping, piece: Piece, g: Group, zones: tuple[Zone, ...]) -> Clamping:
    """Return the clamping with the board shifted until all that holds it finds a slot or a hole."""
    shop = c.shop
    if shop.bed.places is None or g.against_fence:
        return c
    fence = () if shop.fence is None else fence_solids(shop, shop.fence, ())
    mark_x, mark_y = shop.bed.mark
    x0, y0, x1, y1 = c.wood.plan(c.place).bounds
    for dy in STEPS:
        for dx in STEPS:
            if x0 + dx < shop.bed.x[0] - mark_x or x1 + dx > shop.bed.x[1] - mark_x:
                continue
            if y0 + dy < shop.bed.y[0] - mark_y or y1 + dy > shop.bed.y[1] - mark_y:
                continue
            x, y, z = c.place.shift
            place = replace(c.place, shift=(x + dx, y + dy, z))
            tried = clamping_at(c.index, shop, c.wood, piece, g, place)
            if not any(f.rule == "no-place-for-hold-down" for f in hold(tried, zones, fence).findings):
                return tried
    return c
