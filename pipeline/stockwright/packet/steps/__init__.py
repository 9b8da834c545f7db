"""What the person at the machine does in one setup, step by step, in plain words.

In: the packet, one setup, and what else the sheet knows of it. Out: groups of steps. Promise: every number is
the packet's; hands go near the cutter only in steps that begin with a stopped spindle; no step is left out
because people usually remember it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.packet.steps.afterwards import afterwards, readings, when_wrong
from stockwright.packet.steps.cutting import cutter_and_zero, hidden_mark, runs
from stockwright.packet.steps.group import Blank, Group, Step, file_name
from stockwright.packet.steps.laying import hold, how_it_lies, lay

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.drawing import Moves
    from stockwright.packet.extras import Extras
    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.plan_drawing import Tagged
    from stockwright.packet.wood import Wood
    from stockwright.packet.writing import Writing
    from stockwright.packet.zero_spot import ZeroSpot

__all__ = ["Blank", "Group", "Step", "file_name", "how_it_lies", "steps_for"]


def steps_for(
    packet: Packet,
    setup: Setup,
    woods: Mapping[str, Wood],
    tags: Tagged,
    extras: Extras,
    writing: Writing,
    moves: Mapping[str, Moves],
    *,
    z_zero: ZeroSpot | None,
) -> list[Group]:
    """Return the steps of `setup` in the order they are done; where clamps move, each with its part.

    `moves`: by file, as its programs were read back; `z_zero`: where the drawing shows that z is taken.
    """
    hides = hidden_mark(packet, setup, woods)
    across, down = cutter_and_zero(packet, setup, extras, writing, hides=hides, drawn=z_zero is not None)
    first = [
        lay(packet, setup, woods, extras, writing, moves),
        hold(packet, setup, woods, tags, extras, writing),
    ]
    # What comes to stand round the mark leaves no room to find it.
    first = [across, *first, down] if hides else [*first, across]
    first[-1].running = True
    middle = list(runs(packet, setup, tags, extras, writing, z_zero))
    last = [
        afterwards(packet, setup, woods, writing),
        readings(packet, setup, len(tags.checks), writing),
        when_wrong(setup),
    ]
    for group in last:
        group.part = max((each.part for each in middle), default=1)
        group.running = True
    return [*first, *middle, *last]
