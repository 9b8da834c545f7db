"""The reader for programs that spell everything out. In: a program's text. Out: `Reading`.

RS274/NGC (NISTIR 6556) with nothing modal: a line that relies on an earlier one is refused, because an old
control may have forgotten it. Promise: it reads as the strict reader does, and accepts less; never more.
"""

from __future__ import annotations

from dataclasses import replace

from stockwright.proving import rs274
from stockwright.proving.program import Reading, Unread
from stockwright.proving.rs274_line import AXES, NotALine, Words, plain_text, words

__all__ = ["read"]

MOVING, CUTTING = {0, 10, 20, 30, 382}, {10, 20, 30, 382}  # codes times ten
MOST_UNREAD = 20  # lines told of a program that leans on others: it is refused for the first of them


def read(text: str, machine: tuple[float, float, float] | None = None) -> Reading:
    """Read a program; every line that leans on another is listed as not understood, 20 at most."""
    reading = rs274.read(text, machine) if machine is not None else rs274.read(text)
    if reading.unread:
        return reading
    leaning: list[Unread] = []
    named: set[str] = set()
    for number, raw in enumerate(text.split("\n"), 1):
        try:
            plain = plain_text(raw.removesuffix("\r"))
            if plain in {"", "%"}:
                continue
            block = words(plain)
        except NotALine:
            continue  # after the end: the strict reader does not look there either
        lacking = _lacking(block, named)
        if lacking:
            leaning.append(Unread(number, f"leans on an earlier line for {', '.join(lacking)}"))
            if len(leaning) >= MOST_UNREAD:
                break
        named = _named(block, named)
        if block.m.get("stop") in {2, 30}:
            break
    return replace(reading, unread=tuple(leaning))


def _lacking(block: Words, named: set[str]) -> list[str]:
    """Say which words a line needs of its own and lacks."""
    axes = [axis for axis in AXES if axis in block.values]
    motion = block.g.get("motion")
    lacking: list[str] = []
    if block.m.get("spindle") in {3, 4} and "S" not in block.values:
        lacking.append("its speed, S")
    if block.g.get("distance") == 910:
        lacking.append("where it is: G91 counts from there")
    if not axes:
        return lacking
    if motion not in MOVING:
        lacking.append("its motion word")
    if block.g.get("one line only") != 530:
        lacking += [axis for axis in AXES if axis in named and axis not in axes]
    if motion in CUTTING and "F" not in block.values:
        lacking.append("its feed, F")
    return lacking


def _named(block: Words, named: set[str]) -> set[str]:
    """Give the axes whose place is known after a line; a change, a stop or a touch makes them unknown."""
    if "tool change" in block.m or block.m.get("stop") in {0, 1}:
        return set()
    if block.g.get("one line only") == 530:
        return named - set(block.values)
    after = named | {axis for axis in AXES if axis in block.values}
    return after - {"Z"} if block.g.get("motion") == 382 else after
