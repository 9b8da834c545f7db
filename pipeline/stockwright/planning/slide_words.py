"""What the sheet says of a board that is slid along. In: a position, the wood as it lies. Out: sentences.

Work frame, mm. Promise: how the board is brought back to its place is said in numbers that a tape or a feeler
can show; what hangs over the bed is named with its weight, and with where a stand must carry it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.board.moisture import density
from stockwright.board.species import SPECIES
from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.planning.clamping import FAR
from stockwright.planning.setup import EdgeCut
from stockwright.traces import slid_apart
from stockwright.units import format_length

if TYPE_CHECKING:
    from stockwright.board.surface import Board
    from stockwright.machine import Shop
    from stockwright.planning.setup import Cut
    from stockwright.planning.sliding import Position
    from stockwright.planning.wood import Place, Wood

__all__ = ["fresh_heights", "hangs_over", "no_stands", "slide_notes", "slide_on"]

FROM_RIM = 15.0  # mm from the rims of fresh wood at which it is read; common practice, no source
LAST_STAND = 60.0  # mm from a board's end to the stand nearest to it; common practice, no source
HEAVY = 750.0  # kg/m3, where no species is said: the heavy ones; common practice, no source


def slide_notes(shop: Shop, position: Position, cuts: tuple[Cut, ...], *, turned: bool) -> tuple[str, ...]:
    """Return what must be said and done at one position; `turned`: the recipe asks for other passes."""
    units, slid = shop.units, position.slid
    to = "right" if position.from_right else "left"
    notes = []
    if slid.count == 1:
        return ()
    if slid.number == 1:
        notes.append(
            f"The board is longer than the machine reaches: it is cut in {slid.count} positions, and slid to "
            f"the {to} by {format_length(slid.new, units)} between them. Both sides of the machine must be "
            "free for it, with nothing that the gantry could push it against. In the drawings fine dotted "
            "lines across the board show how far the cutter's middle can go."
        )
    else:
        notes.append(
            f"Loosen what holds it and slide the board {format_length(abs(slid.by), units)} to "
            f"the {to}{_until(shop)}; along x it may be off by {format_length(shop.slide.within, units, 2)}."
        )
        notes += _as_before(shop, position, cuts)
    if turned and slid.number == 1:
        notes.append(
            "The passes run across the board here, and none round its rim, whatever the recipe says: one "
            "along it would end in wood that is still to be cut."
        )
    return tuple(notes)


def slide_on(shop: Shop, position: Position) -> str:
    """Return what is done before the board is loosened, so that it is found again; nothing at the last."""
    if position.last:
        return ""
    to = "right" if position.from_right else "left"
    by = format_length(position.slid.new, shop.units)
    back = "left" if to == "right" else "right"
    start = "Before anything is loosened: "
    if shop.slide.register == "stop":
        return (
            f"{start}clamp a block to the board, clear of every cut to come, its face exactly {by} to the "
            f"{back} of a stop that is fixed to the bed or the fence."
        )
    if shop.slide.register == "pins":
        return (
            f"{start}with a pin through the waste into the bed, bore a second hole of its size in the waste, "
            f"exactly {by} to the {back} of it; no pin stands while anything is cut."
        )
    where = "upper face" if position.slid.on == "fence" else "near edge"
    return (
        f"{start}scribe a fine line on the board's {where} over a line on the fence or the bed, and a second "
        f"one on the board exactly {by} to the {back} of it."
    )


def _until(shop: Shop) -> str:
    return {
        "stop": ", until the block meets the stop",
        "pins": ", until the pin drops into the second hole; take it out once the board is held",
        "line": ", until the second line stands over the one on the fence or the bed",
    }[shop.slide.register]


def _as_before(shop: Shop, position: Position, cuts: tuple[Cut, ...]) -> list[str]:
    """Return how it is made sure that the board lies as it did, and what that rests on."""
    units, slid = shop.units, position.slid
    reads = format_length(shop.slide.reads, units, 2)
    _, lean = slid_apart(shop.slide.reads, slid.shared, slid.new, 1)
    tips = (
        f"{format_length(slid.shared, units, 0)} of it lie on the bed, so what a reading may be out by tips "
        f"this part by up to {format_length(lean, units, 2)} over its length"
    )
    if slid.on == "fresh face":
        said = (
            "Nothing but the fresh face says that the board lies as it did. Every shim goes back under the "
            "same place of the board; then read the fresh face where the sheet says, and shim until all "
            f"three places read the same within {reads}. {tips}."
        )
    elif slid.on == "fresh edge" and position.fresh is not None:
        a, b = position.fresh[0] + FROM_RIM, position.fresh[1] - FROM_RIM
        wall = next(float(c.line[0, 1]) for c in cuts if isinstance(c, EdgeCut))
        name = next(c.name for c in cuts if isinstance(c, EdgeCut))
        said = (
            f"Nothing but the fresh part of {name} says that the board lies as it did. Before it is clamped, "
            "spindle locked out, touch that part with a straight pin in the collet at x "
            f"{format_length(a, units, 0)} and at x {format_length(b, units, 0)}: at both it must stand at y "
            f"{format_length(wall, units, 2)} within {reads}, half the pin's thickness taken off. {tips}."
        )
    elif slid.on == "fence":
        said = "The fence says that the board lies as it did: brush it and the edge, and push the board home."
    else:
        said = "The flat face below says that the board lies as it did: brush it and the bed once more."
    return [said]


def fresh_heights(
    shop: Shop, wood: Wood, place: Place, position: Position, z: float
) -> tuple[tuple[float, float, float, float], ...]:
    """Return three places of the fresh face on the bed, what they must read, and within how much."""
    if position.slid.on != "fresh face" or position.fresh is None:
        return ()
    low, high = position.fresh
    part = wood.plan(place).intersection(shapely.box(low, -FAR, high, FAR)).buffer(-FROM_RIM)
    if part.is_empty:
        return ()
    x0, y0, x1, y1 = part.bounds
    wanted = ((x0, y0), (x0, y1), (x1, (y0 + y1) / 2))
    at = [shapely.Point(shapely.shortest_line(part, shapely.Point(p)).coords[0]) for p in wanted]
    return tuple((round(p.x, 1), round(p.y, 1), round(z, 2), shop.slide.reads) for p in at)


@frozen
class _Over:
    """What hangs over one end of the bed: how far, mm, how heavy, kg, and the x at which stands carry it."""

    side: str
    by: float
    mass: float
    stands: tuple[float, ...]


def hangs_over(shop: Shop, board: Board, wood: Wood, place: Place, position: Position) -> tuple[str, ...]:
    """Return what hangs over either end of the bed, how heavy it is, and where stands must carry it."""
    units = shop.units
    unsure = "" if board.species in SPECIES else " at the most, its species not being said"
    found = []
    for over in _over(shop, board, wood, place, position):
        at = " and ".join(format_length(x, units, 0) for x in over.stands)
        found.append(
            f"{format_length(over.by, units, 0)} of the board hang over the {over.side} end of the bed, "
            f"{over.mass:.1f} kg{unsure}: a stand under it at x {at} from the mark, level with the bed "
            f"within {format_length(shop.slide.reads, units, 2)} by a straightedge laid across; shims that "
            "lie beyond the bed go on the stands."
        )
    return tuple(found)


def no_stands(
    shop: Shop, board: Board, wood: Wood, place: Place, position: Position, index: int
) -> list[Finding]:
    """Return a warning, once for each clamping, where the shop lists nothing that carries the overhang."""
    over = _over(shop, board, wood, place, position)
    if shop.slide.supports or position.slid.number > 1 or not over:
        return []
    most = max(over, key=lambda each: each.mass)
    return [
        Finding(
            rule="nothing-carries-overhang",
            level="warn",
            message=f"{board.name} hangs over the {most.side} end of the bed by {most.by:.0f} mm, "
            f"{most.mass:.1f} kg of it, and the shop lists nothing that carries it",
            remedy="set stands level with the bed where the sheet says, and say `supports: yes` under "
            "`slide` in the shop's document",
            measured=round(most.by, 1),
            limit=LAST_STAND,
            setup=index,
        )
    ]


def _over(shop: Shop, board: Board, wood: Wood, place: Place, position: Position) -> list[_Over]:
    outline = wood.plan(place)
    x0, _, x1, _ = outline.bounds
    bed = position.bed
    thick = float((board.top - board.bottom).mean())
    species = SPECIES.get(board.species or "")
    weighs = density(species.gravity, 12.0) if species else HEAVY
    found = []
    for side, low, high in (("left", x0, bed[0]), ("right", bed[1], x1)):
        if high - low < LAST_STAND:
            continue
        area = outline.intersection(shapely.box(low, -FAR, high, FAR)).area
        near, far = (high, low + LAST_STAND) if side == "left" else (low, high - LAST_STAND)
        count = int(np.ceil((high - low) / shop.longest_span))
        stands = tuple(float(x) for x in np.linspace(near, far, count + 1)[1:])
        found.append(_Over(side, high - low, area * thick * weighs * 1e-9, stands))
    return found
