"""The proof's pictures as files. In: what the proof saw. Out: one SVG for each setup, in a folder.

Promise: nothing is overwritten except, where that is asked for, an earlier picture of this program; each file
is there whole or not at all.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stockwright.mistakes import InputError, Mistake
from stockwright.packet.one_file import deliver_file

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stockwright.packet.model import Packet, Reason
    from stockwright.proving.seen import Seen

__all__ = ["Pictures"]

MARK = "<!-- stockwright proof picture -->"


@dataclass
class Pictures:
    """Pictures to be written to `folder`; `seen` is filled while the packet is proven.

    Raises `InputError` at once with everything that stands in the way. Without `replace` nothing may stand
    where a picture goes; with it, earlier pictures may.
    """

    packet: Packet
    folder: Path
    replace: bool
    seen: list[Seen] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Look for what stands in the way; nothing is touched."""
        if self.folder.exists() and not self.folder.is_dir():
            message = "a file stands where the folder for the pictures should"
            raise InputError(
                [Mistake(str(self.folder), 0, 0, "not-a-folder", message, "name another folder")]
            )
        hint = "name another folder, or write --force to replace earlier pictures"
        message = "something stands where a picture goes, expected nothing"
        there = [self._path(setup.index) for setup in self.packet.setups]
        wrong = [
            Mistake(str(path), 0, 0, "exists", message, hint)
            for path in there
            if not self.replace and (path.exists() or path.is_symlink())
        ]
        if wrong:
            raise InputError(wrong)

    def written(self, reasons: Sequence[Reason]) -> list[str]:
        """Write a picture of every setup that the proof came to; return what to say of it.

        Raises `InputError` where a file cannot be written.
        """
        from stockwright.packet.proof_picture import proof_pictures, standing_alone
        from stockwright.packet.writing import Writing

        drawn = proof_pictures(self.seen, reasons, Writing(self.packet.units))
        if not drawn:
            return ["no picture: as long as a program is not understood, none is cut in the simulated board"]
        new = not self.folder.exists()
        try:
            for index, svg in drawn.items():
                first, _, rest = standing_alone(svg).partition(">")
                deliver_file(self._path(index), f"{first}>\n{MARK}{rest}".encode(), MARK.encode())
        except InputError:
            if new:
                with contextlib.suppress(OSError):
                    self.folder.rmdir()  # made for nothing; never where a picture stands in it
            raise
        names = ", ".join(self._path(index).name for index in drawn)
        return [f"the pictures are in {self.folder}: {names}"]

    def _path(self, setup: int) -> Path:
        return self.folder / f"setup-{setup}.svg"
