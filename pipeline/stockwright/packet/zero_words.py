"""What a wrong zero does, told to the person who takes it.

In: packet and `Seen`, or a setup. Out: packet, words. Promise: every sentence says how the mistake happens,
how far off everything then is, and what the cutter hits; where it hits nothing, the sentence says so.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from stockwright.packet.counted import kind_of, numbered
from stockwright.packet.model import ZeroWrong

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.writing import Writing
    from stockwright.proving.seen import Seen
    from stockwright.proving.wrong_zero import Fitted

__all__ = ["if_zero_is_wrong", "with_wrong_zeros"]

MOST_NAMES = 3  # things named one by one
SEEN = 0.5  # mm: less off the place is nothing beside what the other axis is off; our own choice
LITTLE = 1.0  # mm: an example of what an eye misses a mark by


def with_wrong_zeros(
    packet: Packet, boards: Iterable[Seen], fitted: Mapping[int, Fitted | None] | None = None
) -> Packet:
    """Return the packet with what a wrong zero would do in each setup; `fitted` as for `wrong_zeros`."""
    from stockwright.proving.wrong_zero import wrong_zeros

    found = wrong_zeros(boards, fitted)
    setups = [
        setup.model_copy(
            update={
                "if_zero_wrong": [
                    ZeroWrong.model_validate(dataclasses.asdict(w) | {"meets": list(w.meets)})
                    for w in found
                    if w.setup == setup.index
                ]
            }
        )
        for setup in packet.setups
    ]
    return packet.model_copy(update={"setups": setups})


def if_zero_is_wrong(setup: Setup, before: frozenset[str], writing: Writing) -> list[str]:
    """Return a sentence for each likely mistake; a corner is named only where something is run into.

    What is run into is called as the drawing numbers it, once a thing and not once a part.

    `before`: the names of what is cut in the setups before. Last, what nothing shows but looking again: the
    mark missed by a little, a shim forgotten.
    """
    wrongly = [w for w in setup.if_zero_wrong if w.case != "at-the-corner" or w.meets]
    tags = numbered(solid.name for solid in setup.solids)
    told = [f"{_how(wrong)}: {_off(wrong, writing)}; {_met(wrong, tags, writing)}" for wrong in wrongly]
    return told + _missed(setup, before, writing) + _shims(setup, writing)


def _missed(setup: Setup, before: frozenset[str], writing: Writing) -> list[str]:
    sides = {cut.name for cut in setup.cuts}
    off = writing.length(LITTLE)
    told = []
    # A quarter round, ends lie across y.
    axes = ("y", "x") if any(lie.quarter_turns % 2 for lie in setup.lies) else ("x", "y")
    pairs = (({"end-1", "end-2"}, "ends", "length"), ({"edge-1", "edge-2"}, "edges", "width"))
    for axis, (pair, both, size) in zip(axes, pairs, strict=True):
        mine = sorted(sides & pair)
        if len(mine) == 2:
            told.append(f"in {axis}, both {both} shift, the {size} stays")
        elif mine and pair <= before | sides:  # else the other is yet to be cut, from this one
            told.append(f"in {axis}, {mine[0]} and the {size} are {off} off")
    return [f"the mark missed by {off}: {'; '.join(told)}"] if told else []


def _shims(setup: Setup, writing: Writing) -> list[str]:
    thick = [shim.thickness for shim in setup.shims if shim.thickness > 0]
    if not thick:
        return []
    most = writing.length(max(thick))
    shown = "a pull at every shim shows it; cut so, read the face anew"
    return [f"a shim forgotten: the face is out of flat there, by up to {most}; {shown}"]


def _how(wrong: ZeroWrong) -> str:
    return {
        "kept": f"z not taken again after “{wrong.before}”",
        "on-the-wood": "z taken on the board",
        "on-the-support": "z taken on what the board rests on",
        "on-the-bed": "z taken on the bed, though the board stands on risers",
        "on-a-riser": "z taken on a piece as high as the risers, though the board lies on the bed",
        "at-the-corner": "x and y taken at the board's corner",
    }[wrong.case]


def _off(wrong: ZeroWrong, writing: Writing) -> str:
    x, y, z = wrong.off
    parts = []
    if abs(x) >= SEEN:
        parts.append(f"{writing.place(abs(x))} too far to the {'right' if x > 0 else 'left'}")
    if abs(y) >= SEEN:
        parts.append(f"{writing.place(abs(y))} too far {'away from' if y > 0 else 'towards'} you")
    if z:
        parts.append(f"{writing.length(abs(z))} too {'high' if z > 0 else 'deep'}")
    return "all runs " + " and ".join(parts)


def _met(wrong: ZeroWrong, tags: Mapping[str, str], writing: Writing) -> str:
    told = []
    if wrong.outline_bed:
        deep = writing.length(wrong.outline_bed)
        told.append(f"the outline program drives the still cutter {deep} into the bed")
    if wrong.bed > wrong.bed_allows:
        most = writing.length(wrong.bed_allows)
        told.append(f"the cut goes {writing.length(wrong.bed)} into the bed ({most} at most)")
    if wrong.meets:
        # The parts of one thing are told once, by the number it bears in the drawing.
        told_as = (f"{kind_of(name)} {tags[name]}" if name in tags else name for name in wrong.meets)
        met = list(dict.fromkeys(told_as))
        more = len(met) - len(met[:MOST_NAMES])
        told.append(f"it runs into {', '.join(met[:MOST_NAMES])}" + (f" and {more} more" if more else ""))
    if wrong.nut:
        told.append("the nut meets the wood")
    if wrong.stops and not wrong.meets:  # running into what stands is enough
        told.append(f"it meets the {wrong.stops} end of the travel")
    if not told:
        told.append("it meets nothing that stands")
    if wrong.off[2] and not wrong.outline_bed:
        told.append("the block shows it")
    return ", ".join(told)
