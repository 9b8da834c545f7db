"""The last page: what the proof says, what it cannot know, and what can hurt. In: a packet. Out: plain text.

Promise: every number is the packet's; of many boards each has one line, not a page.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from stockwright.packet.as_cut import as_cut
from stockwright.packet.expected import expected_tables
from stockwright.packet.feeds import BY_HAND
from stockwright.packet.steps.group import run_of
from stockwright.packet.writing import sentence
from stockwright.packet.zero_words import if_zero_is_wrong

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.packet.expected import ExpectedTable
    from stockwright.packet.model import Finished, Packet, PacketFinding
    from stockwright.packet.writing import Row, Writing

__all__ = ["last_page", "simulated"]

APART = 1  # boards told each by itself
HELD = re.compile(r"(?<=is held )[\d.]+(?= times as hard)")
TOO_FAR = re.compile(r"(?<=all runs )[\d.]+(?= (?:mm|in) too (?:high|far to the (?:left|right);))")
ABREAST = 6  # columns beside the first that a leaf holds
OF_THE_BOARD = "That the board lies as drawn"  # how the proof begins what it cannot know of a board
OF_THE_BED = "That the bed stands firm, and has no screw, nail or stone where it is cut."
MENDED = (
    "Seen in time, by block or outline: take the zero again with this cutter, run the outline again. Later: "
    "stop, lock out. All ran too high: take z again, run that file from its start. Too deep or aside: look "
    "at cutter, bed and clamps, read the board anew, make a packet from that."
)


def last_page(packet: Packet, writing: Writing) -> dict[str, Any]:
    """Return what stands on the last page; of more than `APART` boards, in tables of a line a board."""
    finished = {name: as_cut(packet, name) for name in packet.finished if name in packet.boards}
    expected = expected_tables(packet, writing)
    apart = len(packet.boards) <= APART
    return {
        "verdict": packet.proof.verdict,
        "cells": writing.cells(packet.proof.cell),
        "reasons": [
            {
                "place": (reason.program or "")
                + (f":{reason.line}" if reason.program and reason.line else ""),
                "text": sentence(writing.words(reason.message)),
                "rule": reason.rule,
            }
            for reason in packet.proof.reasons
        ],
        "finished": [
            {"name": name, "rows": _finished(done, writing)} for name, done in finished.items() if apart
        ],
        "finished_tables": []
        if apart
        else _a_line_each({n: dict(_finished(done, writing)) for n, done in finished.items()}),
        "held": _held(packet, writing),
        "expected": [
            {
                "name": table.name,
                "rows": _alike_once(table.rows),
                "says": [sentence(each) for each in table.says],
            }
            for table in expected
            if apart
        ],
        "expected_tables": [] if apart else _expected_tables(expected),
        "expected_says": []
        if apart
        else [sentence(each) for each in dict.fromkeys(text for table in expected for text in table.says)],
        "zeros": _zeros(packet, writing),
        "zeros_mended": MENDED,
        "cannot_know": [
            OF_THE_BED if not packet.boards and each.startswith(OF_THE_BOARD) else sentence(each)
            for each in packet.proof.cannot_know
        ],
        "made_with": f"{packet.made_with.name} {packet.made_with.version}",
        "digest": packet.recipe.digest,
    }


def _finished(done: Finished, writing: Writing) -> list[list[str]]:
    def span(ends: tuple[float, float] | None) -> str:
        return "" if ends is None else " to ".join(dict.fromkeys(writing.fine(end) for end in ends))

    def each(values: Mapping[str, float | None]) -> str:
        told: dict[str, list[str]] = {}
        for name, value in values.items():
            if value is not None:
                told.setdefault(writing.fine(value), []).append(name)
        return "; ".join(f"{', '.join(names)} {size}" for size, names in told.items())

    rows = [
        ["Length", span(done.length)],
        ["Width", span(done.width)],
        ["Thickness", span(done.thickness)],
        ["Out of flat", each(done.flatness)],
        ["Faces out of parallel", "" if done.parallelism is None else writing.fine(done.parallelism)],
        ["Out of square", each(done.squareness)],
        ["Out of straight", each(done.straightness)],
    ]
    return [row for row in rows if row[1]]


def _alike_once(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return a line for each of a board's measures, or one for the sides of which the same is expected."""
    found: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for row in rows:
        what, _, side = row.name.partition(" of ")
        found.setdefault((what, row.cells), []).append(side.removeprefix("face "))
    return [
        {
            # A name does not break at its hyphen.
            "name": (what + (f" of {', '.join(sides)}" if sides[0] else "")).replace("-", "\u2011"),
            "cells": list(cells),
        }
        for (what, cells), sides in found.items()
    ]


def _a_line_each(boards: Mapping[str, Mapping[str, str]]) -> list[dict[str, Any]]:
    """Return tables with a line for each board, or for those of which all is alike, each as wide as a leaf.

    Few boards of which much is told have a column each instead.
    """
    columns = list(dict.fromkeys(key for values in boards.values() for key in values))
    lines: dict[tuple[str, ...], list[str]] = {}
    for name, values in boards.items():
        lines.setdefault(tuple(values.get(key, "") for key in columns), []).append(name)
    called = [", ".join(names) for names in lines.values()]
    if len(lines) < len(columns) and len(lines) <= ABREAST:
        rows = [[key, *(cells[number] for cells in lines)] for number, key in enumerate(columns)]
        return [{"head": ["What", *called], "rows": rows}]
    return [
        {
            "head": ["Board", *columns[first : first + ABREAST]],
            "rows": [
                [name, *cells[first : first + ABREAST]] for name, cells in zip(called, lines, strict=True)
            ],
        }
        for first in range(0, len(columns), ABREAST)
    ]


def _expected_tables(tables: Sequence[ExpectedTable]) -> list[dict[str, Any]]:
    """Return what each board may be out by: asked once where it is alike, then expected and at worst."""
    boards: dict[str, dict[str, str]] = {}
    for table in tables:
        for row in table.rows:
            asked, expected, worst, _ = row.cells
            title = f"{row.name}, {asked} asked" if asked else row.name
            boards.setdefault(table.name, {})[title] = f"{expected}; {worst}"
    return _a_line_each(_sides_together(boards))


def _sides_together(boards: Mapping[str, Mapping[str, str]]) -> dict[str, dict[str, str]]:
    """Return what is told of each board; sides of which the same is told for every board have one line."""
    alike: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for title in dict.fromkeys(title for values in boards.values() for title in values):
        name, comma, asked = title.partition(", ")
        what, _, side = name.partition(" of ")
        told = tuple(values.get(title, "") for values in boards.values())
        alike.setdefault((what, comma + asked, told), []).append(side.removeprefix("face "))
    found: dict[str, dict[str, str]] = {name: {} for name in boards}
    for (what, asked, told), sides in alike.items():
        title = f"{what}{' of ' if any(sides) else ''}{', '.join(filter(None, sides))}{asked}"
        for name, value in zip(boards, told, strict=True):
            if value:
                found[name][title] = value
    return found


def _held(packet: Packet, writing: Writing) -> list[str]:
    """Return how hard each setup's boards are held; of boards in a row, the one that is held least."""
    by_setup: dict[int | None, list[PacketFinding]] = {}
    for f in packet.findings:
        if f.rule == BY_HAND:
            by_setup.setdefault(f.setup, []).append(f)
    told: dict[str, list[str]] = {}
    for setup, found in by_setup.items():
        least = min(found, key=lambda f: f.measured if f.measured is not None else 0.0)
        others = " The others are held harder." if len(found) > 1 else ""
        text = sentence(writing.words(least.message)) + others
        lying = [lie.board for s in packet.setups if s.index == setup for lie in s.lies]
        if len(packet.boards) > 1 and len(lying) == 1:  # which board lies in a setup stands at its head
            text = re.sub(f"^{re.escape(lying[0])}(?= is held )", "The board", text, flags=re.IGNORECASE)
        told.setdefault(text, []).append("" if setup is None else str(setup))
    return [
        f"Setup {run_of(setups.split(', '))}: {text}" if setups else text
        for setups, text in _but_for_a_number(
            [(", ".join(each for each in setups if each), text) for text, setups in told.items()], HELD
        )
    ]


def _but_for_a_number(rows: Sequence[tuple[str, str]], number: re.Pattern[str]) -> list[tuple[str, str]]:
    """Return rows of setups and sentence, those together that differ only in the `number` found in them.

    Where they differ there are as many numbers as setups, in the same order.
    """
    alike: dict[str, dict[str, str]] = {}
    for setups, text in rows:
        found = number.search(text) if setups else None
        key = text if found is None else text[: found.start()] + "\0" + text[found.end() :]
        alike.setdefault(key, {}).update(dict.fromkeys(setups.split(", "), "" if found is None else found[0]))
    told = []
    for key, those in alike.items():
        each = sorted(those, key=lambda setup: int(setup or 0))
        numbers = [those[setup] for setup in each]
        one = numbers[:1] if len(set(numbers)) == 1 else numbers
        told.append((", ".join(each), key.replace("\0", ", ".join(one))))
    return told


def simulated(packet: Packet) -> str:
    """Say what the files were cut in: a board, or the bed where that itself is cut."""
    return "board" if packet.boards else "bed"


def _zeros(packet: Packet, writing: Writing) -> list[dict[str, str]]:
    """Return what a zero taken wrongly does, those setups together of which the same is to be said."""
    told: dict[str, list[str]] = {}
    for setup in packet.setups:
        if all(program.done for program in setup.programs):
            continue
        boards = {lie.board for lie in setup.lies}
        before = frozenset(
            cut.name
            for each in packet.setups
            if each.index < setup.index
            for cut in each.cuts
            if cut.board in boards
        )
        for each in if_zero_is_wrong(setup, before, writing):
            told.setdefault(sentence(each), []).append(str(setup.index))
    rows = [(", ".join(setups), text) for text, setups in told.items()]
    return [
        {"setups": run_of(setups.split(", ")), "text": text}
        for setups, text in _but_for_a_number(rows, TOO_FAR)
    ]
