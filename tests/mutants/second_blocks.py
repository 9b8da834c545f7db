"""A second reading of the ISO 6983 family, for the judge of mutants. In: a program's text. Out: `Script`.

From the post's page (posts/pages/iso-6983.md) and from memory of ISO 6983-1 and DIN 66025: % begins, a
block's words stand in the order N G X Y Z I J F S T M, codes have two digits, lengths and feeds a decimal
sign with digits on both sides. In decimal arithmetic, word by word; shares nothing with the proof's reader.
What controls of the family take differently (stored zeros, an M beside a move, arcs, text behind the end that
the next start would run) is no meaning of the text: there it stops.
"""

from __future__ import annotations

import itertools
import math
import re
from decimal import Decimal

from mutants.second_text import Note, Script, Step, StopsError

__all__ = ["blocks"]

RANK = {letter: k for k, letter in enumerate("NGXYZFSTM")}
SHAPE = {
    **dict.fromkeys("XYZ", r"[+-]?\d{1,8}\.\d{1,8}"),
    "F": r"\d{1,8}\.\d{1,8}",
    "N": r"\d{1,5}",
    "G": r"\d\d",
    "M": r"\d\d",
    "S": r"\d{1,6}",
    "T": r"\d{1,4}",
}
SAID = {"70": "units", "71": "units", "90": "distance", "94": "feed mode"}
QUIET = {"17", "40", "80"}
SENSE = {"03": 1, "04": -1, "05": 0}
KEPT = 128  # characters that an older control keeps of a block; from memory


def blocks(text: str) -> Script:
    """Read a whole program."""
    return _Tape().run(text.split("\n"))


def _taken_apart(line: str) -> list[tuple[str, str]]:
    """Give the words of a block, comments and blanks out; each letter once but G."""
    if len(line) > KEPT or re.search(r"[^A-Z0-9 ()+\-./]", line):
        raise StopsError("too long, or a sign that the code does not have")
    bare = re.sub(r"\([^()]*\)", "", line).replace(" ", "")
    found = re.findall(r"([A-Z])([^A-Z]*)", bare)
    if "".join(a + b for a, b in found) != bare:
        raise StopsError("something that is no word")
    if any(a not in SHAPE or re.fullmatch(SHAPE[a], b, re.ASCII) is None for a, b in found):
        raise StopsError("a word that is none of the family's")
    ranks = [RANK[a] for a, _ in found]
    if any(y < x or (x == y and x != RANK["G"]) for x, y in itertools.pairwise(ranks)):
        raise StopsError("words out of order, or twice")
    return found


class _Tape:
    """A control that holds a tape of blocks, from a cold start."""

    def __init__(self) -> None:
        self.out = Script()
        self.at: list[float] = [math.nan] * 3
        self.scale: Decimal | None = None
        self.move: str | None = None
        self.f = self.s = Decimal(0)
        self.sense = 0
        self.tool: str | None = None
        self.said: set[str] = set()
        self.spoken: set[str] = set()
        self.begun = self.over = False

    def run(self, lines: list[str]) -> Script:
        if not lines[-1]:
            lines = lines[:-1]
        for number, raw in enumerate(lines, 1):
            try:
                self.line(raw.removesuffix("\r"), number)
            except StopsError as why:
                self.out.bad = (number, str(why))
                return self.out
        if not self.over:
            self.out.bad = (max(1, len(lines)), "no end")
        return self.out

    def line(self, line: str, number: int) -> None:
        if number == 1:
            if re.fullmatch(r"%[A-Za-z0-9]*", line) is None:
                raise StopsError("no % to begin with")
        elif not self.over:
            self.block(_taken_apart(line), number)
        elif line.strip(" ") not in {"", "%"}:
            raise StopsError("behind the end: the next start would run it")

    def block(self, words: list[tuple[str, str]], number: int) -> None:
        g = [value for letter, value in words if letter == "G"]
        w = {letter: value for letter, value in words if letter not in "NG"}
        if g == ["04"] and len(w) == 1 and set(w) <= {"F", "X"}:
            if "-" in next(iter(w.values())):
                raise StopsError("a wait below nothing")
            return  # a wait, in whatever unit
        self.codes(g, w)
        axes = [axis for axis in "XYZ" if axis in w]
        if "F" in w:
            if self.scale is None:
                raise StopsError("a feed in no unit")
            if "94" not in self.spoken:
                raise StopsError("a feed a minute, or a turn?")
            self.f = Decimal(w["F"]) * self.scale
        turned = "S" in w and self.sense != 0 and Decimal(w["S"]) != self.s
        self.s = Decimal(w.get("S", self.s))
        m = w.get("M")
        if turned and m not in SENSE:
            self.spindle(number)
        if "T" in w:
            self.tool = w["T"]
            self.note(number, "tool", float(self.tool))
        if axes:
            if m is not None:
                raise StopsError("an action beside a move: before or after it?")
            self.go(w, axes, number)
        elif any(code in {"00", "01"} for code in g):
            raise StopsError("a motion to nowhere")
        if m is not None:
            self.act(m, number)

    def codes(self, g: list[str], w: dict[str, str]) -> None:
        if sum(code in {"00", "01"} for code in g) > 1 or len(set(g)) < len(g):
            raise StopsError("two of a kind")
        if {"70", "71"} <= set(g):
            raise StopsError("two units")
        if self.begun and "40" in g and "40" not in self.spoken:
            raise StopsError("a radius taken back after a move that may have had it")
        self.spoken |= set(g)
        for code in g:
            if code in {"70", "71"}:
                scale = Decimal("25.4") if code == "70" else Decimal(1)
                if w or self.scale not in {None, scale}:
                    raise StopsError("units beside numbers, or other ones half-way")
                self.scale = scale
            if code in {"00", "01"}:
                self.move = code
            elif code in SAID:
                if not self.begun:
                    self.said.add(SAID[code])
            elif code not in QUIET:
                raise StopsError(f"G{code}: its meaning is not in the text")

    def act(self, m: str, number: int) -> None:
        if m in SENSE:
            self.sense = SENSE[m]
            self.spindle(number)
        elif m == "06":
            if self.tool is None:
                raise StopsError("M06 and no tool")
            self.note(number, "tool", float(self.tool))
            if not all(map(math.isnan, self.at[:2])):
                self.note(number, "changed", float(self.tool))
            self.sense, self.at, self.move = 0, [math.nan] * 3, None
        elif m in {"02", "30"}:
            self.note(number, "end", float(m))
            self.over = True
        elif m in {"00", "01"}:
            self.note(number, "stop", float(m))
        elif m not in {"07", "08", "09"}:
            raise StopsError(f"M{m}")

    def go(self, w: dict[str, str], axes: list[str], number: int) -> None:
        if self.move is None or self.scale is None:
            raise StopsError("an axis with no motion, or in no unit")
        if not self.begun:
            self.begun = True
            lacking = {"units", "distance", "feed mode"} - self.said
            if lacking:
                self.note(number, "first", 0.0, ", ".join(sorted(lacking)))
        to = [float(Decimal(w[a]) * self.scale) if a in axes else self.at["XYZ".index(a)] for a in "XYZ"]
        rapid = self.move == "00"
        if not rapid and self.f <= 0:
            raise StopsError("no feed")
        feed = math.nan if rapid else float(self.f)
        (a, b, c), (x, y, z) = self.at, to
        self.out.items.append(Step(number, rapid, (a, b, c), (x, y, z), feed, float(self.sense * self.s)))
        self.at = to

    def spindle(self, number: int) -> None:
        self.note(number, "spindle", float(self.sense * self.s), "on" if self.sense else "off")

    def note(self, number: int, what: str, value: float, said: str = "") -> None:
        self.out.items.append(Note(number, what, value, said))
