"""What a person lays out before a job begins.

In: a packet. Out: sentences, each naming a handful of things.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from stockwright.packet.clamp_states import states_of
from stockwright.packet.counted import stack, things
from stockwright.packet.steps.group import count

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.packet.model import Packet
    from stockwright.packet.writing import Writing

__all__ = ["laid_out"]

STICKOUT_WITHIN = 1.0  # mm: what a rule reads at a collet; common practice, no source
BY_HAND = (
    "By hand: tape, steel rule, square, straightedge, feeler gauges, callipers, pencil, strips of paper; "
    "brush and vacuum; what protects ears, eyes and breath."
)


def laid_out(packet: Packet, blocks: Iterable[float], writing: Writing) -> list[str]:
    """Return what lies ready: hold-downs, shims, blocks (mm), and what every job wants."""
    most: Counter[str] = Counter()
    shims: Counter[float] = Counter()
    for setup in packet.setups:
        for standing in [state.standing for state in states_of(setup)] or [frozenset[str]()]:
            most |= things([*standing])
        most |= things([each.name for each in setup.beneath if each.kind == "tape"])
        used: Counter[float] = Counter()
        for shim in setup.shims:
            used.update(stack(shim.thickness, packet.shim_stock))
        shims |= used
    told = []
    if most:
        told.append(
            "Holding: " + ", ".join(count(number, name) for name, number in sorted(most.items())) + "."
        )
    if shims:
        each = ", ".join(f"{number} of {writing.bare(thick)}" for thick, number in sorted(shims.items()))
        told.append(f"Shims: {each} {'mm' if writing.units == 'mm' else 'in'}.")
    block = " and ".join(dict.fromkeys(writing.shown(thick) for thick in blocks))
    if block:
        told.append(f"A block {block} thick, to slide under the cutter.")
    within = writing.length(STICKOUT_WITHIN)
    told.append(
        f"A cutter that cannot be set to its stick-out within {within}: correct the shop's document, make "
        "the packet anew."
    )
    return [*told, BY_HAND]
