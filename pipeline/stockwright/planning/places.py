"""Where feet are bolted to the bed. In: slots and holes. Out: which bolt a foot stands on.

Work frame, mm. Promise: what the shop bolts down stands on a slot or a hole within the stated play, and the
sheet names it; where the shop states none, hold-downs may stand anywhere.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.planning.clamping import told_apart
from stockwright.units import format_length

if TYPE_CHECKING:
    from stockwright.machine import Shop

__all__ = ["BoltPlace", "BoltPlaces", "none_fits"]


@frozen
class BoltPlace:
    """One slot or hole, work frame: a slot leaves `x` or `y` open (None)."""

    name: str
    x: float | None
    y: float | None

    def off(self, x: float, y: float) -> float:
        """Return how far the middle of a foot at (x, y) stands off it, the greater of both ways, mm."""
        return max(
            0.0 if self.x is None else abs(x - self.x),
            0.0 if self.y is None else abs(y - self.y),
        )


@frozen
class BoltPlaces:
    """Every slot and hole of the bed, work frame; no place at all means that feet stand anywhere."""

    places: tuple[BoltPlace, ...]
    play: float
    units: str

    @classmethod
    def of(cls, shop: Shop) -> BoltPlaces:
        """Return the shop's, seen from its mark."""
        if shop.bed.places is None:
            return cls((), 0.0, shop.units)
        mark_x, mark_y = shop.bed.mark
        found = []
        for number, (along, at) in enumerate(shop.bed.places.slots, 1):
            if along == "x":
                where = f"y {format_length(at - mark_y, shop.units)}"
                found.append(BoltPlace(f"slot {number} ({where})", None, at - mark_y))
            else:
                where = f"x {format_length(at - mark_x, shop.units)}"
                found.append(BoltPlace(f"slot {number} ({where})", at - mark_x, None))
        for number, (x, y) in enumerate(shop.bed.places.holes, 1):
            seen_x, seen_y = (format_length(v, shop.units) for v in (x - mark_x, y - mark_y))
            found.append(BoltPlace(f"hole {number} (x {seen_x}, y {seen_y})", x - mark_x, y - mark_y))
        return cls(tuple(found), shop.bed.places.play, shop.units)

    def nearest(self, x: float, y: float) -> tuple[float, BoltPlace | None]:
        """Return how far the nearest place is off a foot's middle, and which; 0 where none is asked."""
        if not self.places:
            return 0.0, None
        best = min(self.places, key=lambda p: p.off(x, y))
        return best.off(x, y), best

    def fits(self, x: float, y: float) -> bool:
        """Say whether a foot may stand with its middle at (x, y)."""
        return self.nearest(x, y)[0] <= self.play + 1e-6

    def outward(self, x: float, y: float, way: float, most: float) -> float | None:
        """Return how much further out a foot stands, `way` (1 or -1) along y, at most `most`; None: never."""
        if self.fits(x, y):
            return 0.0
        steps = [
            (p.y - y) * way - self.play
            for p in self.places
            if p.y is not None and (p.x is None or abs(x - p.x) <= self.play + 1e-6)
        ]
        fitting = [s for s in steps if 0.0 <= s <= most]
        return min(fitting) if fitting else None

    def told(self, name: str, x: float, y: float) -> str | None:
        """Return the sentence for the sheet: which slot or hole a foot's bolt stands in."""
        off, place = self.nearest(x, y)
        if place is None:
            return None
        if off <= 0.5:
            return f"{name}: bolt in {place.name}."
        return f"{name}: bolt in {place.name}, {format_length(off, 'mm', 0)} off the middle of its foot."


def none_fits(setup: int, what: str, where: str, off: float, play: float) -> Finding:
    """Return the refusal of a hold-down that no slot and no hole lets stand where it would hold."""
    away, stated = told_apart(off, play)
    return Finding(
        rule="no-place-for-hold-down",
        level="refuse",
        message=f"{what} cannot stand at {where}: the nearest slot or hole is {away} mm off the middle of "
        f"its foot, and {stated} mm of play are stated",
        remedy=f"where so much is to be had, state a play of {math.ceil(off * 10) / 10:.1f} mm under the "
        "bed's `places`; or add a slot or hole there, or hold this board another way",
        measured=round(off, 3),
        limit=round(play, 3),
        setup=setup,
    )
