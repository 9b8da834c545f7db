"""A packet's facts against each other, before anything is cut. In: a `Packet`. Out: reasons.

The sheet tells a person one number, and the proof reckons with another that should say the same: where
packet.json was edited they part. Promise: whatever stands in it twice says the same twice.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from stockwright.packet.model import Reason
from stockwright.proving.run import HAIR

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.packet.model import Packet, Setup, Tool

__all__ = ["disagree", "judge_facts"]

# Kinds of things that no cutter may run into, whatever else a packet says.
METAL = frozenset({"riser", "screw", "side-clamp", "stop", "top-clamp"})


def judge_facts(packet: Packet) -> list[Reason]:
    """Tell what stands twice in a packet and says two things: of cutters, of setups, of their order."""
    found: list[Reason] = []
    for name, tool in sorted(packet.tools.items()):
        found += _of_tool(name, tool)
    named: dict[int, str] = {}
    for name, tool in sorted(packet.tools.items()):
        if (other := named.setdefault(tool.number, name)) != name:
            found.append(disagree(f"{other} and {name} are both tool {tool.number}"))
    for setup in packet.setups:
        found += _of_setup(setup, packet)
    return [*found, *_of_order(packet)]


def disagree(
    message: str, measured: float | None = None, limit: float | None = None, **where: object
) -> Reason:
    """Return the reason of facts that disagree: `measured` what one says, `limit` what the other says."""
    return Reason.model_validate(
        {"rule": "facts-disagree", "message": message, "measured": measured, "limit": limit, **where}
    )


def _of_tool(name: str, tool: Tool) -> Iterator[Reason]:
    """Compare a cutter, as the sheet names it, with the cylinders that the proof moves."""
    cutter, *above = tool.assembly
    cuts = min(tool.cutting_length, tool.stickout)
    said = [("diameter", tool.diameter, cutter.diameter), ("cutting length", cuts, cutter.top)]
    nut = (
        min((abs(part.bottom - tool.stickout), part.bottom) for part in above)[1] if above else tool.stickout
    )
    said += [("stick-out", tool.stickout, nut)]
    said += [("lower end", 0.0, cutter.bottom)]
    for what, told, moved in said:
        if abs(told - moved) > HAIR:
            text = f"{name}: its {what} is {told:g} mm on the sheet and {moved:g} mm in its assembly"
            yield disagree(text, moved, told)
    for below, part in pairwise(tool.assembly):
        if abs(part.bottom - below.top) > HAIR:
            text = (
                f"{name}: a part of its assembly ends at {below.top:g} mm, the next starts at {part.bottom:g}"
            )
            yield disagree(text, part.bottom, below.top)
    length = tool.gripped + tool.stickout
    if abs(length - tool.overall_length) > HAIR:
        text = f"{name}: {length:g} mm gripped and sticking out; it is {tool.overall_length:g} mm long"
        yield disagree(text, length, tool.overall_length)


def _of_setup(setup: Setup, packet: Packet) -> Iterator[Reason]:
    """Compare what a setup says of its zero, of what stands and of its boards."""
    for program in setup.programs:
        if program.touch_off.z != setup.zero.z:
            text = (
                f"z is touched off on the {program.touch_off.z} here, and on the {setup.zero.z} in the setup"
            )
            yield disagree(text, setup=setup.index, program=program.file)
        if packet.machine.controls and program.post not in packet.machine.controls:
            text = f"it is written by {program.post}, and what a control of that takes is not said"
            yield disagree(text, setup=setup.index, program=program.file)
        if program.purpose == "cut" and program.tool and packet.tools[program.tool].kind == "touch-probe":
            text = f"this program cuts, and {program.tool} is a touch probe"
            yield disagree(text, setup=setup.index, program=program.file)
    for axis, told, origin in zip("xy", (setup.zero.x, setup.zero.y), setup.work_origin, strict=False):
        if not isinstance(told, str) and abs(told - origin) > HAIR:
            text = f"zero is taken at {axis} {told:g} on the bed, and the programs run from {axis} {origin:g}"
            yield disagree(text, told, origin, setup=setup.index)
    height = setup.work_origin[2]
    if setup.zero.z == "bed" and abs(height) > HAIR:
        text = f"z is touched off on the bed, and the programs run from {height:g} mm above it"
        yield disagree(text, height, 0.0, setup=setup.index)
    for thing in setup.solids:
        if thing.top < thing.bottom:
            text = f"{thing.name} ends at {thing.top:g} mm, below where it begins, {thing.bottom:g} mm"
            yield disagree(text, thing.top, thing.bottom, setup=setup.index)
        if thing.may_cut_to is not None and thing.kind in METAL:
            text = f"{thing.name} is a {thing.kind}, and may be cut: only wood may"
            yield disagree(text, setup=setup.index)
    names = {solid.name for solid in setup.solids}
    stand = {name for program in setup.programs for name in program.standing}
    for name in sorted(names - stand) if setup.programs else ():
        yield disagree(f"{name} is drawn here, and stands while no program runs", setup=setup.index)
    for offcut in setup.offcuts:
        for name in sorted(set(offcut.held_by) - names) if isinstance(offcut.held_by, list) else ():
            yield disagree(f"an offcut is held by {name}, which does not stand here", setup=setup.index)
    lying = {lies.board for lies in setup.lies}
    for board in sorted({shim.board for shim in setup.shims} - lying):
        yield disagree(f"shims are laid under {board}, which does not lie here", setup=setup.index)


def _of_order(packet: Packet) -> Iterator[Reason]:
    """Compare the setups' numbers, and what has been run already, with the order they are listed in."""
    for before, after in pairwise(packet.setups):
        if after.index <= before.index:
            text = f"setup {after.index} is listed after setup {before.index}: in which order are they run?"
            yield disagree(text, setup=after.index)
    # What only goes through the air, as an outline does, may be run once more before what is left to do.
    programs = [
        (s.index, program) for s in packet.setups for program in s.programs if program.purpose == "cut"
    ]
    for (_, earlier), (index, later) in pairwise(programs):
        if later.done and not earlier.done:
            text = f"it has been run already, and {earlier.file}, which comes before it, has not"
            yield disagree(text, setup=index, program=later.file)
