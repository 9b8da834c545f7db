"""Hold-downs of a shop's document -> the values that planning places. In: a validated part. Out: a hold-down.

Promise: every number is carried over, none is invented.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright import hold_downs as bound
from stockwright.documents import hold_downs as said

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["bind_hold_down", "bind_marks", "bind_places"]


def bind_hold_down(name: str, part: said.HoldDownPart) -> bound.HoldDown:
    """Return one hold-down under the name the shop gives it."""
    if isinstance(part, said.SideClampPart):
        return bound.SideClamp(name, part.count, part.length, part.depth, part.height, part.push)
    if isinstance(part, said.LeverStopPart):
        return bound.LeverStop(name, part.count, part.length, part.depth, part.height, part.push)
    if isinstance(part, said.WedgePart):
        return bound.Wedge(
            name, part.count, part.length, part.depth, part.height, part.angle, part.drive, part.push
        )
    if isinstance(part, said.StopPart):
        return bound.Stop(name, part.count, part.length, part.depth, part.height, part.carries)
    if isinstance(part, said.TopClampPart):
        b = part.bolt
        bolt = None if b is None else bound.Bolt(b.diameter, b.torque, b.from_heel, b.from_work, b.nut_factor)
        return bound.TopClamp(
            name,
            part.count,
            part.width,
            part.arm,
            part.arm_height,
            part.body_depth,
            part.reach,
            part.press,
            bolt,
        )
    if isinstance(part, said.TapePart):
        return bound.Tape(name, part.count, part.width, part.thickness, part.shear, part.lift)
    if isinstance(part, said.VacuumPart):
        areas = tuple((a.x, a.y) for a in part.areas)
        return bound.Vacuum(name, areas, part.seal, part.follows, part.pressure)
    if isinstance(part, said.ScrewPart):
        return bound.Screw(
            name, part.count, part.head, part.head_height, part.depth, part.sunk, part.shear, part.pull
        )
    if isinstance(part, said.RiserPart):
        return bound.Riser(name, part.count, part.length, part.width, part.height)
    return bound.Backing(name, part.count, part.length, part.depth)


def bind_places(part: said.PlacesPart | None) -> bound.Places | None:
    """Return the bed's slots and holes, in the order they are said."""
    if part is None:
        return None
    slots = tuple((group.along, at) for group in part.slots for at in sorted(group.at))
    holes = (
        ()
        if part.holes is None
        else tuple((x, y) for x in sorted(part.holes.x) for y in sorted(part.holes.y))
    )
    return bound.Places(slots, holes, part.play)


def bind_marks(parts: Sequence[said.ChannelPart]) -> tuple[bound.Channel, ...]:
    """Return the marks of earlier cuts."""
    return tuple(bound.Channel(part.x, part.y, part.depth) for part in parts)
