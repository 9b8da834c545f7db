"""The errors that sliding a board along adds. In: a shop, how the board was slid. Out: steps and leans, mm.

Promise: what counts is what the board rests on in a position: a freshly cut face whose height was read, or
the bed or fence with a chip under it. Plain geometry: a part that leans on a leaning one adds up both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.budget.figures import figure
from stockwright.frozen import frozen
from stockwright.traces import slid_apart

if TYPE_CHECKING:
    from stockwright.budget.combining import Kind
    from stockwright.budget.figures import Source
    from stockwright.machine import Shop
    from stockwright.planning.setup import Slid

__all__ = ["Apart", "apart", "same_clamping"]


@frozen
class Apart:
    """How far positions may be off each other, mm: `key` names the figure that it rests on, "" for none.

    `step` where two parts meet, `lean` at the board's far end; `bridged`: how high the bend between two parts
    stands over the bed when the board is turned over and lies on it.
    """

    key: str
    step: float
    lean: float
    bridged: float
    kind: Kind
    source: Source


def apart(shop: Shop, slid: Slid | None) -> Apart | None:
    """Return what the positions of a clamping leave between its parts; None where it is not slid."""
    if slid is None or slid.count < 2:
        return None
    slides = slid.count - 1
    if slid.on.startswith("fresh"):
        reads = shop.slide.reads
        step, lean = slid_apart(reads, slid.shared, slid.new, slides)
        source: Source = "stated" if "reads" in shop.slide.said else "guess"
        bridged = lean / slides / slid.new * slid.bears / 4
        return Apart("", step, lean, bridged, "rectangular", source)
    chip = figure(shop, "seating")
    if chip is None or slid.bears <= 0:
        return None
    # A chip at one end of what bears in one position, at the other end in the next.
    lean = 2 * chip.size / slid.bears * slid.new
    return Apart("seating", chip.size, lean, 0.0, chip.kind, chip.source)


def same_clamping(one: tuple[int, Slid | None], other: tuple[int, Slid | None]) -> bool:
    """Say whether two setups, each its number and how it was slid, are positions of one clamping."""
    (first, a), (second, b) = one, other
    return a is not None and b is not None and first - a.number == second - b.number
