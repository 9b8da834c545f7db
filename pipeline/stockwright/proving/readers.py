"""The readers that prove, by name. In: a reader's name, or a packet's program. Out: `Reading`s.

Promise: none of them shares a table, a constant or a formatter with any post.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from stockwright.proving import cldata, iso6983, motion_table, rs274, spelled_out
from stockwright.proving.program import Reading

if TYPE_CHECKING:
    from stockwright.packet.model import Packet, Program, Setup

__all__ = ["IN_MACHINE_FRAME", "READERS", "InMachineFrame", "Reader", "read_in_setup"]

Reader = Callable[[str], Reading]


class InMachineFrame(Protocol):
    """A reader that can be told where the machine frame's zero lies, work frame, mm."""

    def __call__(self, text: str, machine: tuple[float, float, float] | None = None) -> Reading:
        """Read a program."""


# Readers that know the machine frame, where the packet says where its zero lies (work frame, mm).
IN_MACHINE_FRAME: dict[str, InMachineFrame] = {
    "rs274-ngc": rs274.read,
    "spelled-out": spelled_out.read,
}
READERS: dict[str, Reader] = {
    "cldata": cldata.read,
    "iso-6983": iso6983.read,
    "motion-table": motion_table.read,
    "rs274-ngc": rs274.read,
    "spelled-out": spelled_out.read,
}


def read_in_setup(packet: Packet, setup: Setup, program: Program, text: str) -> Reading | None:
    """Read a program's text as it runs in its setup, work frame; None where no reader is known for it."""
    name = program.reader or program.post
    framed = IN_MACHINE_FRAME.get(name)
    zero, origin = packet.machine.zero, setup.work_origin
    if framed is None or zero is None or program.tool is None:
        reader = READERS.get(name)
        return None if reader is None else reader(text)
    # The machine frame is said of the spindle's nose, a program of the tip.
    nose = packet.tools[program.tool].assembly[-1].bottom
    return framed(text, (zero[0] - origin[0], zero[1] - origin[1], zero[2] - origin[2] - nose))
