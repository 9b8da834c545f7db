"""Cut once more: from a packet to the next one, in which what is to be done now comes first.

In: a packet's folder and what the person saw at the machine. Out: a new packet's files. Promise: it starts
from packet.json and from the programs' texts as a proving reader reads them, never from the job's documents;
programs already run stay in, so that the proof begins at the measured board and ends at what is wanted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.recutting.asking import Asked
    from stockwright.recutting.whole import Recut

__all__ = ["again"]


def again(packet: Path, asked: Asked) -> Recut:
    """Plan, write and prove what is to be cut once more. Raises `InputError` and `Refused`."""
    from stockwright.recutting.whole import recut

    return recut(packet, asked)
