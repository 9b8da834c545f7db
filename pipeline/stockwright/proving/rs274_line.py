"""One line of RS274/NGC taken apart. In: a line's text. Out: its words, or why it is no line.

Written from NISTIR 6556, section 3.3; shares nothing with any writer. Promise: a line is whole or refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

__all__ = ["AXES", "NotALine", "Words", "plain_text", "what_follows", "words"]

AXES = "XYZ"
LETTERS = "FGIJKMPRSTXYZ"  # the letters this reader knows what to do with
KNOWN_ELSEWHERE = "ABCDHL"  # letters of the language that our programs have no use for, section 3.3.2

NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"  # section 3.3.2.1: no exponent, no comma
WORD = re.compile(rf"([A-Z])({NUMBER})", re.ASCII)
LINE_NUMBER = re.compile(r"N([0-9]+)", re.ASCII)
CLOSE = 1e-4  # section 3.3.2: how near an integer a code must be
FARTHEST = 1e7  # ten kilometres, or as many inches, rpm or mm/min, is no number for a machine
# Some small controls on a serial line hold (!) and go on (~) at once, whatever stands around these signs:
# common practice, no source.
AT_ONCE = "!~"

# Motion groups, section 3.4, table 4; codes times ten, so that 59.1 and 38.2 are whole.
G_GROUPS: dict[str, tuple[int, ...]] = {
    "motion": (0, 10, 20, 30, 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890),
    "plane": (170, 180, 190),
    "distance": (900, 910),
    "feed mode": (930, 940),
    "units": (200, 210),
    "cutter radius": (400, 410, 420),
    "tool length": (430, 490),
    "cycle return": (980, 990),
    "work frame": (540, 550, 560, 570, 580, 590, 591, 592, 593),
    "path control": (610, 611, 640),
    "one line only": (40, 100, 280, 300, 530, 920, 921, 922, 923),
}
G_GROUP = {code: name for name, codes in G_GROUPS.items() for code in codes}
M_GROUPS: dict[str, tuple[int, ...]] = {
    "stop": (0, 1, 2, 30, 60),
    "tool change": (6,),
    "spindle": (3, 4, 5),
    "coolant": (7, 8, 9),
    "overrides": (48, 49),
}
M_GROUP = {code: name for name, codes in M_GROUPS.items() for code in codes}
MOST_M = 4  # section 3.3.5


class NotALine(Exception):  # noqa: N818 - it says what the text is not
    """The text is not a line of the language, or not one that can be proven."""


@dataclass
class Words:
    """A line's words: `g` and `m` by group (G codes times ten), the rest by letter."""

    g: dict[str, int] = field(default_factory=dict)
    m: dict[str, int] = field(default_factory=dict)
    values: dict[str, float] = field(default_factory=dict)


def plain_text(raw: str) -> str:
    """Take comments, blanks and tabs out of a line and raise its letters (sections 3.3, 3.3.4)."""
    if "(" in raw or ")" in raw:
        kept: list[str] = []
        inside = closed = False
        for char in raw:
            if char == "(":
                if inside:
                    raise NotALine("a comment inside a comment; use one pair of brackets")
                inside = True
            elif char == ")":
                if not inside:
                    raise NotALine("a closing bracket without an opening one")
                inside, closed = False, True
            elif not inside:
                if closed and char not in " \t":
                    if not char.isalpha():  # some controls join the digits on its two sides, some do not
                        raise NotALine("a comment inside a word; it belongs between words or on its own line")
                    closed = False
                kept.append(char)
            elif char in AT_ONCE:
                raise NotALine(f"{char} in a comment: some controls stop or go on at it, wherever it stands")
        if inside:
            raise NotALine("a comment that is not closed on its line")
        raw = "".join(kept)
    return raw.replace(" ", "").replace("\t", "").upper()


def words(text: str) -> Words:
    """Read the words of a line already taken through `plain_text`.

    Raises `NotALine` for anything outside the grammar, a repeated letter, two codes of one group, or a
    code that is not of the language.
    """
    if text.startswith("/"):
        raise NotALine("a line that a switch can skip is not proven; take out the /")
    at = 0
    if text.startswith("N"):
        number = LINE_NUMBER.match(text)
        if number is None or len(number[1]) > 5:  # section 3.3.1
            raise NotALine("a line number is 1 to 5 digits, with no sign")
        at = number.end()
    found = Words()
    count = 0
    while at < len(text):
        word = WORD.match(text, at)
        if word is None:
            raise NotALine(f"cannot read {text[at : at + 12]!r}: a letter and a plain number belong here")
        at = word.end()
        letter, value = word[1], float(word[2])
        if abs(value) >= FARTHEST:
            raise NotALine(f"{letter}{value:g} is beyond all machines")
        if letter == "G":
            _add_g(found, value, word[0])
        elif letter == "M":
            count += 1
            _add_m(found, value, word[0], count)
        elif letter in KNOWN_ELSEWHERE:
            raise NotALine(f"{word[0]} is not used in programs that can be proven")
        elif letter not in LETTERS:
            raise NotALine(f"no word of the language begins with {letter}")
        elif letter in found.values:
            raise NotALine(f"{letter} stands twice")
        else:
            found.values[letter] = value
    return found


def _add_g(found: Words, value: float, text: str) -> None:
    code = round(10 * value)
    group = G_GROUP.get(code)
    if group is None or abs(10 * value - code) > CLOSE:
        raise NotALine(f"{text} is not a code of the language")
    if group in found.g:
        raise NotALine(f"{text}: a second word of the {group} group")
    found.g[group] = code


def _add_m(found: Words, value: float, text: str, count: int) -> None:
    code = round(value)
    group = M_GROUP.get(code)
    if group is None or abs(value - code) > CLOSE:
        raise NotALine(f"{text} is not a code of the language")
    if group in found.m:
        raise NotALine(f"{text}: a second word of the {group} group")
    if count > MOST_M:
        raise NotALine(f"more than {MOST_M} M words")
    found.m[group] = code


def what_follows(text: str, end: int) -> tuple[int, str] | None:
    """Give the first line with words after line `end`, where the program ends, and why it may not be there.

    Section 3.6.1 says that such words are never executed; but where lines are sent one by one, as over a
    serial line, whoever sends them goes on, and a control that has ended begins anew with them.
    """
    at = len(text)
    for _ in range(text.count("\n") - end + 1):  # from the end back: a long text is not copied
        at = text.rfind("\n", 0, at)
    for number, raw in enumerate(text[at + 1 :].split("\n"), end + 1):
        line = raw.removesuffix("\r")
        try:
            if line.strip(" \t") != "%" and plain_text(line):
                return number, "the program has ended, and something follows; a sender of lines would run it"
        except NotALine as error:
            return number, str(error)
    return None
