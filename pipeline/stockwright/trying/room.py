"""Where a trial is run. In: a shop. Out: `Room`: where the nose is brought, and how far a move may go.

Promise: the nose stays well above everything that the shop's document names, and even a move 25.4 times as
long as it was meant stays inside the travel.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.units import INCH

if TYPE_CHECKING:
    from stockwright.machine import Shop

__all__ = ["LARGEST", "Room", "room_of"]

LARGEST = 4.0  # mm: the size of a trial's figures; seen by eye, and small
_SMALLEST = 0.5  # mm: less is not seen
_REACH = 2.5  # a figure goes this many sizes from its start at most
_ABOVE = 50.0  # mm between the lowest moving part and the highest thing; common practice, no source
_BELOW_TOP = 10.0  # mm kept from the upper end of travel


@frozen
class Room:
    """`size` of the figures, mm; `place` of the spindle nose, bed frame, None without a shop."""

    size: float = LARGEST
    place: tuple[float, float, float] | None = None


def room_of(shop: Shop) -> Room:
    """Find the room in a shop's travel. Raises Refused with both numbers where there is none."""
    machine = shop.machine
    heights = [getattr(thing, "height", getattr(thing, "arm_height", 0.0)) for thing in shop.hold_downs]
    highest = max([0.0, *heights, *([shop.fence.height] if shop.fence else [])])
    lowest = min([0.0, *(part.bottom for part in machine.attached if part.moves_with == "z")])
    z = machine.z[1] - _BELOW_TOP
    found = []
    if z + lowest - highest < _ABOVE:
        found.append(
            Finding(
                rule="trial-too-low",
                level="refuse",
                message="at the top of its travel the spindle is too near to what stands on the bed",
                remedy="take the hold-downs off the bed, and out of the document that you name",
                measured=z + lowest - highest,
                limit=_ABOVE,
            )
        )
    half = min(machine.x[1] - machine.x[0], machine.y[1] - machine.y[0]) / 2
    size = min(LARGEST, int(half / INCH / _REACH * 10) / 10)
    if size < _SMALLEST:
        found.append(
            Finding(
                rule="trial-too-wide",
                level="refuse",
                message="a move taken for inches would leave the travel",
                remedy="take the units from the machine's manual; a trial is not for so small a machine",
                measured=_SMALLEST * _REACH * INCH,
                limit=half,
            )
        )
    if found:
        raise Refused(tuple(found))
    return Room(size, (sum(machine.x) / 2, sum(machine.y) / 2, z))
