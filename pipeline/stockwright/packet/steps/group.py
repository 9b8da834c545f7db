"""Steps under a heading. In: sentences. Out: what the sheet's pages set in type."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.packet.model import Packet, Setup

__all__ = ["Blank", "Group", "Step", "count", "earlier", "file_name", "run_of"]


@frozen
class Step:
    """One thing to do, with what belongs to it; `halt` marks one that must not be passed over.

    `rows`: a small table that belongs to it, its head first.
    """

    text: str
    details: tuple[str, ...] = ()
    halt: bool = False
    rows: tuple[tuple[str, ...], ...] = ()


@frozen
class Blank:
    """A line to write readings on: what is read, and a word before each box."""

    text: str
    boxes: tuple[str, ...]


@dataclass
class Group:
    """Steps under one heading; `ticks` are boxes to tick, `blanks` lines to write on.

    `part`: which part of its setup, where clamps move in it. `numbered`: done one after another. `running`:
    stands on the second leaf, where a setup takes two. `handled`: the board is laid or held in it.
    """

    heading: str
    steps: list[Step] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    ticks: list[str] = field(default_factory=list)
    blanks: list[Blank] = field(default_factory=list)
    part: int = 1
    numbered: bool = True
    running: bool = False
    handled: bool = False

    def add(
        self, text: str, *details: str, halt: bool = False, rows: tuple[tuple[str, ...], ...] = ()
    ) -> None:
        """Append a step."""
        self.steps.append(Step(text, tuple(each for each in details if each), halt, rows))

    @property
    def empty(self) -> bool:
        """Say whether there is nothing to print."""
        return not (self.steps or self.ticks or self.blanks)


def earlier(packet: Packet, setup: Setup) -> list[Setup]:
    """Return the setups before this one in which a board of it lay; no other board's."""
    boards = {lie.board for lie in setup.lies}
    return [
        each
        for each in packet.setups
        if each.index < setup.index and boards & {lie.board for lie in each.lies}
    ]


def file_name(file: str) -> str:
    """Return a file's name without the folder it stands in."""
    return file.rpartition("/")[2]


def count(number: int, what: str) -> str:
    """Write `3 shims`, `1 shim`, `2 end-stops at end-1`."""
    name, at, where = what.partition(" at ")
    return f"{number} {name}{'' if number == 1 else 's'}{at}{where}"


def run_of(numbers: Iterable[str]) -> str:
    """Write three and more numbers in a row as `5 to 10`, others one by one; each once, in their order."""
    runs: list[list[int]] = []
    for number in dict.fromkeys(map(int, numbers)):
        if runs and runs[-1][-1] + 1 == number:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{r[0]} to {r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs)
