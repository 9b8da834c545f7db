"""Programs dressed in ways that mean nothing. In: lines and a seeded choice. Out: other lines, same doings.

What means nothing differs from dialect to dialect: blanks, order of words and small letters say nothing in
NISTIR 6556 (section 3.3), but the older family has an order and capitals only, and a table has cells.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

__all__ = ["DRESSING"]

Lines = list[str]
Edit = tuple[Lines, tuple[int, ...]]
WORD = re.compile(r"([A-Z])([+-]?\d+(?:\.\d*)?)")
PLACE = re.compile(r"([XYZIJF])([+-]?\d+\.\d+)")
ITEM = re.compile(r"([/,])([+-]?\d+\.\d+)")  # a number with a point in a list, or in a cell


def _silent(line: str) -> bool:
    """Say whether a line is for people in any dialect: such a line is left as it is."""
    return line.startswith(("(", "PARTNO", "PPRINT", "program,", "setup,", "zero,", "note,", "action,"))


def _spaces(lines: Lines, r: random.Random) -> Edit:
    """Blanks and tabs anywhere outside comments: section 3.3 takes them out before it reads."""
    return _spread(lines, r, ["", "", "", " ", "  ", "\t"])


def _blanks(lines: Lines, r: random.Random) -> Edit:
    """Blanks alone, and few enough for the line: neither the older family nor a card knows a tab."""
    return _spread(lines, r, ["", "", "", "", "", " "])


def _spread(lines: Lines, r: random.Random, between: list[str]) -> Edit:
    def spread(line: str) -> str:
        if _silent(line) or line.startswith("%") or r.random() < 0.5:
            return line
        if r.random() < 0.3:
            return line.replace(" ", "")
        return "".join(char + r.choice(between) for char in line)

    return [spread(line) for line in lines], ()


def _comment(texts: list[str]) -> Callable[[Lines, random.Random], Edit]:
    def edit(lines: Lines, r: random.Random) -> Edit:
        text = r.choice(texts)
        at = r.randrange(1 if lines[0] == "%" else 0, len(lines) + 1)
        if at < len(lines) and r.random() < 0.6 and not lines[at].startswith(("(", "%")):
            first, _, rest = lines[at].partition(" ")
            return [*lines[:at], f"{first} {text} {rest}".rstrip(), *lines[at + 1 :]], (at + 1,)
        if "%" in lines:
            at = min(at, len(lines) - 2)  # behind the end nothing may stand
        return [*lines[:at], text, *lines[at:]], (at + 1,)

    return edit


def _remark(lines: Lines, r: random.Random) -> Edit:
    """Add a PPRINT where it parts no RAPID from its motion, or $$ behind a statement."""
    at = r.randrange(1, len(lines))
    if r.random() < 0.6 and not _silent(lines[at]):
        return [*lines[:at], lines[at] + r.choice([" $$ LOOK", "$$", " $$ GOTO/0,0,0"]), *lines[at + 1 :]], (
            at + 1,
        )
    while lines[at - 1].startswith("RAPID"):
        at -= 1
    return [*lines[:at], r.choice(["PPRINT LOOK", "PPRINT GOTO/0,0,0", "PPRINT"]), *lines[at:]], (at + 1,)


def _note(lines: Lines, r: random.Random) -> Edit:
    at = r.randrange(1, len(lines))
    text = r.choice(
        ["note,,,,,,,,look", 'note,,,,,,,,"slow, here"', "note,,,,,,,,'-5 is low", "setup,,,,,,,,again"]
    )
    return [*lines[:at], text, *lines[at:]], (at + 1,)


def _blank_lines(fillings: list[str]) -> Callable[[Lines, random.Random], Edit]:
    def edit(lines: Lines, r: random.Random) -> Edit:
        at = r.randrange(1 if lines[0].startswith("%") else 0, len(lines) + 1)
        return [*lines[:at], *[r.choice(fillings)] * r.randint(1, 3), *lines[at:]], ()

    return edit


def _each(
    pattern: re.Pattern[str], change: Callable[[str, str], str]
) -> Callable[[Lines, random.Random], Edit]:
    def edit(lines: Lines, r: random.Random) -> Edit:
        def dress(match: re.Match[str]) -> str:
            return change(match[1], match[2]) if r.random() < 0.5 else match[0]

        return [line if _silent(line) else pattern.sub(dress, line) for line in lines], ()

    return edit


def _leading_zero(letter: str, number: str) -> str:
    sign = number[0] if number[0] in "+-" else ""
    return f"{letter}{sign}0{number[len(sign) :]}"


def _plus(letter: str, number: str) -> str:
    return f"{letter}{number}" if number.startswith("-") or letter == "F" else f"{letter}+{number}"


def _plus_anywhere(letter: str, number: str) -> str:
    return f"{letter}{number}" if number.startswith("-") else f"{letter}+{number}"


def _trailing_zero(letter: str, number: str) -> str:
    return f"{letter}{number}0" if "." in number else f"{letter}{number}."


def _line_numbers(lines: Lines, r: random.Random) -> Edit:
    step, number = r.choice([1, 5, 10]), 0
    new = []
    for line in lines:
        number += step
        new.append(line if line.startswith("(") or r.random() < 0.2 else f"N{number} {line}")
    return new, ()


def _other_numbers(lines: Lines, r: random.Random) -> Edit:
    """N words that count otherwise, or are left out."""
    step, out = r.choice([2, 5, 10]), r.random() < 0.5

    def numbered(match: re.Match[str]) -> str:
        return "" if out and r.random() < 0.5 else f"N{int(match[1]) * step} "

    return [re.sub(r"^N(\d+) ", numbered, line) for line in lines], ()


def _lower_case(lines: Lines, r: random.Random) -> Edit:
    return [line.lower() if r.random() < 0.7 else line for line in lines], ()


def _word_order(lines: Lines, r: random.Random) -> Edit:
    """Shuffle the words of a line: their order says nothing (section 3.3.6)."""
    new = []
    for line in lines:
        words = line.split(" ")
        if not line.startswith("("):
            r.shuffle(words)
        new.append(" ".join(words))
    return new, ()


def _carried_on(lines: Lines, r: random.Random) -> Edit:
    """Part a statement at a comma; $ carries it on to the next line."""
    long = [k for k, line in enumerate(lines) if not _silent(line) and "," in line]
    if not long:
        return [*lines], ()
    at = r.choice(long)
    comma = r.choice([k for k, char in enumerate(lines[at]) if char == ","]) + 1
    return [*lines[:at], f"{lines[at][:comma]}$", lines[at][comma:], *lines[at + 1 :]], ()


def _quoted(lines: Lines, r: random.Random) -> Edit:
    """Put quotes round cells that need none (RFC 4180, section 2.5)."""

    def dress(line: str) -> str:
        if '"' in line:
            return line
        return ",".join(f'"{cell}"' if r.random() < 0.2 else cell for cell in line.split(","))

    return [dress(line) for line in lines], ()


def _as_they_are(lines: Lines, _: random.Random) -> Edit:
    return [*lines], ()


NGC: dict[str, Callable[[Lines, random.Random], Edit]] = {
    "spaces": _spaces,
    "comment": _comment(["(look)", "(MSG, slow here)", "( G0 Z-50 )", "()", "(S24000 M3 F9 %)"]),
    "blank lines": _blank_lines(["", "  ", "\t"]),
    "leading zeros": _each(WORD, _leading_zero),
    "plus signs": _each(WORD, _plus_anywhere),
    "trailing zeros": _each(WORD, _trailing_zero),
    "line numbers": _line_numbers,
    "lower case": _lower_case,
    "word order": _word_order,
    "line ends": _as_they_are,
}
DRESSING: dict[str, dict[str, Callable[[Lines, random.Random], Edit]]] = {
    "rs274-ngc": NGC,
    "spelled-out": NGC,
    "iso-6983": {
        "spaces": _blanks,
        "comment": _comment(["(LOOK)", "(SLOW HERE)", "( G00 Z-50.0 )", "()"]),
        "blank lines": _blank_lines(["", "  "]),
        "leading zeros": _each(PLACE, _leading_zero),
        "plus signs": _each(PLACE, _plus),
        "trailing zeros": _each(PLACE, _trailing_zero),
        "line numbers": _other_numbers,
        "line ends": _as_they_are,
    },
    "cldata": {
        "spaces": _blanks,
        "comment": _remark,
        "blank lines": _blank_lines(["", "  "]),
        "leading zeros": _each(ITEM, _leading_zero),
        "plus signs": _each(ITEM, _plus_anywhere),
        "trailing zeros": _each(ITEM, _trailing_zero),
        "statement carried on": _carried_on,
        "line ends": _as_they_are,
    },
    "motion-table": {
        "comment": _note,
        "leading zeros": _each(ITEM, _leading_zero),
        "plus signs": _each(ITEM, _plus_anywhere),
        "trailing zeros": _each(ITEM, _trailing_zero),
        "quoted cells": _quoted,
        "line ends": _as_they_are,
    },
}
