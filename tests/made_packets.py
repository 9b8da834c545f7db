"""Packets of the shipped examples, made once and put on the disk, for tests that begin with one."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from example_jobs import EXAMPLES
from stockwright.packet.deliver import deliver
from stockwright.run import Request, make

if TYPE_CHECKING:
    from typing import Literal

__all__ = ["packet_of"]

_HELD: list[TemporaryDirectory[str]] = []


@cache
def packet_of(job: str = "job", post: str | None = None, units: Literal["mm", "inch"] | None = None) -> Path:
    """Return the folder of an example's packet; it is only read, and goes with the process."""
    held = TemporaryDirectory()
    _HELD.append(held)
    folder = Path(held.name) / "packet"
    made = make(Request(EXAMPLES / "stair-tread" / f"{job}.yaml", post=post, units=units))
    deliver(folder, made.files)
    return folder
