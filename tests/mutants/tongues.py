"""What a damaged line looks like in each dialect. In: a reader's name. Out: a `Tongue`.

A tongue knows which lines are for people only, where units, feeds, speeds and tools are said, and how a place
is changed. It knows nothing of what is harm.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["TONGUES", "Tongue"]

Lines = list[str]
NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
N = r"(?:N\d+ )?"


@dataclass(frozen=True)
class Tongue:
    """One dialect. Patterns are matched against whole lines, but for `feed`, which is searched.

    `units` are pairs of what is exchanged for what where units are said; `tool` gives lines that name a tool,
    and `renamed` changes the number where one is named already; `placed` changes one axis of a line, or gives
    the line as it is.
    """

    for_people: str
    first_move: str
    units: tuple[tuple[str, str], ...]
    unit_line: str
    inch: str
    feed: str
    feed_is_a_line: bool
    spindle: str
    tool: Callable[[int, int], Lines]
    renamed: tuple[str, str] | None
    placed: Callable[[str, str, Callable[[float], str]], str]


def _word_placed(line: str, axis: str, change: Callable[[float], str]) -> str:
    return re.sub(rf"(?<![A-Z]){axis}({NUMBER})", lambda m: axis + change(float(m[1])), line)


def _listed_placed(line: str, axis: str, change: Callable[[float], str]) -> str:
    major, slash, tail = line.partition("/")
    if major not in {"FROM", "GOTO"}:
        return line
    words = tail.split(",")
    words["XYZ".index(axis)] = change(float(words["XYZ".index(axis)]))
    return f"{major}{slash}{','.join(words)}"


def _cell_placed(line: str, axis: str, change: Callable[[float], str]) -> str:
    cells = line.split(",")
    k = "XYZ".index(axis) + 1
    if cells[0] not in {"rapid", "cut"} or not cells[k]:
        return line
    cells[k] = change(float(cells[k]))
    return ",".join(cells)


def _word_tool(number: int, how: int) -> Lines:
    return [[f"T{number}"], [f"T{number}"], [f"T{number} M6"], [f"T{number}", "M6"]][how]


def _block_tool(number: int, how: int) -> Lines:
    return [[f"T{number}"], [f"T{number}"], [f"T{number} M06"], [f"T{number}", "M06"]][how]


WORDS = Tongue(
    for_people=r"\(.*",
    first_move=rf"{N}G0?0 .*",
    units=(("G20", "G21"), ("G21", "G20")),
    unit_line=rf"{N}G2[01]",
    inch=rf"{N}G20",
    feed=r" F[\d.]+",
    feed_is_a_line=False,
    spindle=rf"{N}(?:S[\d.]+(?: M0?[345])?|M0?[345])",
    tool=_word_tool,
    renamed=None,
    placed=_word_placed,
)
BLOCKS = Tongue(
    for_people=r"\(.*",
    first_move=rf"{N}G00 .*",
    units=(("G70", "G71"), ("G71", "G70")),
    unit_line=rf"{N}G7[01]",
    inch=rf"{N}G70",
    feed=r" F[\d.]+",
    feed_is_a_line=False,
    spindle=rf"{N}(?:S[\d.]+|M0[345])",
    tool=_block_tool,
    renamed=None,
    placed=_word_placed,
)
STATEMENTS = Tongue(
    for_people=r"(?:PARTNO|PPRINT).*",
    first_move=r"FROM/.*",
    units=(("INCHES", "MM"), ("MM", "INCHES")),
    unit_line=r"UNITS/.*",
    inch=r"UNITS/INCHES",
    feed=r"FEDRAT/.*",
    feed_is_a_line=True,
    spindle=r"SPINDL/.*",
    tool=lambda number, _: [f"LOADTL/{number}"],
    renamed=(r"LOADTL/\d+", "LOADTL/{}"),
    placed=_listed_placed,
)
ROWS = Tongue(
    for_people=r"(?:program|setup|zero|note),.*",
    first_move=r"rapid,.*",
    units=((" inch", " mm"), (" mm", " inch")),
    unit_line=r"action,.*",
    inch=r"action,x inch.*",
    feed=r"(?<=,)[\d.]+(?=,,,,$)",
    feed_is_a_line=False,
    spindle=r"spindle .*",
    tool=lambda number, _: [f"tool,,,,,,,{number},cutter"],
    renamed=(r"tool,,,,,,,\d+", "tool,,,,,,,{}"),
    placed=_cell_placed,
)
TONGUES: dict[str, Tongue] = {
    "cldata": STATEMENTS,
    "iso-6983": BLOCKS,
    "motion-table": ROWS,
    "rs274-ngc": WORDS,
    "spelled-out": WORDS,
}
