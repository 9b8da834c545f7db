"""What may not stand on a line of RS274/NGC, or is lacking. In: a line's words, what holds. Out: `NotALine`.

Written from NISTIR 6556, section 3.5; shares nothing with any writer. Promise: a word that nothing on its
line uses, and a code whose doings are not all in the text, refuse the line.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.proving.rs274_line import NotALine

if TYPE_CHECKING:
    from stockwright.proving.rs274_line import Words

__all__ = ["is_motion", "refuse", "retracts_in_machine_frame", "unused"]

NAMES = {  # codes that are of the language, but that a program must not use if it is to be proven
    "cutter radius": {410, 420},
    "tool length": {430},
    "cycle return": {980, 990},
    "work frame": {550, 560, 570, 580, 590, 591, 592, 593},
    "one line only": {100, 280, 300, 530, 920, 921, 922, 923},
    "motion": {810, 820, 830, 840, 850, 860, 870, 880, 890},
}
REFUSED_M = {49, 60}


def is_motion(code: int | None) -> bool:
    """Say whether a code of the motion group moves: G80 does not."""
    return code is not None and code != 800


def retracts_in_machine_frame(block: Words, *, incremental: bool) -> bool:
    """Say whether a line is G53 as it can be proven: with G0 or G1, in G90, and Z alone (section 3.5.12).

    The section allows more axes; more than a retract has no use here.
    """
    alone = "Z" in block.values and set(block.values) <= {"Z", "F"}
    if not alone or block.m or incremental or set(block.g) != {"one line only", "motion"}:
        return False
    return block.g["one line only"] == 530 and block.g["motion"] in {0, 10}


def refuse(block: Words, *, in_machine: bool) -> None:
    """Refuse codes that move zeros, offsets and frames, cycles, and what leaves feeds to nobody.

    `in_machine`: this line's G53 is one that can be proven.
    """
    for group, codes in NAMES.items():
        code = block.g.get(group)
        if code in codes and not (code == 530 and in_machine):
            raise NotALine(f"G{code / 10:g} is not used in programs that can be proven")
    for code in block.m.values():
        if code in REFUSED_M:
            raise NotALine(f"M{code} is not used in programs that can be proven")


def unused(block: Words, axes: list[str], motion: int | None) -> None:
    """Refuse words that nothing on the line uses, and lines that lack a word (section 3.5).

    `motion`: the code times ten that holds on this line.
    """
    values = block.values
    arc = motion in {20, 30}
    dwell = block.g.get("one line only") == 40
    for letter in "IJKR":
        if letter in values and not arc:
            raise NotALine(f"{letter} without an arc that uses it")
    if "P" in values and not dwell:
        raise NotALine("P without a dwell that uses it")
    if dwell:
        if "P" not in values or values["P"] < 0:
            raise NotALine("a dwell needs P, its seconds, not below zero")
        if axes:
            raise NotALine("a dwell and a move on one line; give each its own")
    code = block.g.get("motion")
    if code == 800 and axes:
        raise NotALine("G80 ends motion, and the line names an axis")
    if axes and motion is None:
        raise NotALine("an axis without a motion word: G0 or G1 belongs before it")
    if is_motion(code) and not axes:
        raise NotALine(f"G{(code or 0) / 10:g} names no axis")
    if "T" in values and (values["T"] < 0 or values["T"] != round(values["T"])):
        raise NotALine("a tool number is a whole number, not below zero")
