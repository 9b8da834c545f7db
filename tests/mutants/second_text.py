"""A second reading of word-address text, for the judge of mutants. In: a program's text. Out: `Script`.

Written anew from NISTIR 6556 (Kramer, Proctor, Messina, 2000), sections 3.3 to 3.8, in decimal arithmetic;
shares nothing with the proof's reader. It goes on as a strict controller would, and stops where one would
stop: at the first line that such a controller refuses, or whose meaning lies outside the program's text.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from decimal import Decimal

__all__ = ["Control", "Note", "Script", "Step", "StopsError", "script"]

Place = tuple[float, float, float]

TOKEN = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))", re.ASCII)
ONE_MODE = [  # section 3.4, table 4: one of each set a line
    "0 1 2 3 38.2 80 81 82 83 84 85 86 87 88 89",
    "17 18 19",
    "90 91",
    "93 94",
    "20 21",
    "40 41 42",
    "43 49",
    "98 99",
    "54 55 56 57 58 59 59.1 59.2 59.3",
    "61 61.1 64",
    "4 10 28 30 53 92 92.1 92.2 92.3",
]
ONE_M = ["0 1 2 30 60", "6", "3 4 5", "7 8 9", "48 49"]
G_SET = {Decimal(code): k for k, row in enumerate(ONE_MODE) for code in row.split()}
M_SET = {Decimal(code): k for k, row in enumerate(ONE_M) for code in row.split()}
# What these do hangs on a table or a place that is not in the text: another zero, an offset, a cycle.
ELSEWHERE = {
    *map(Decimal, ("10", "28", "30", "38.2", "41", "42", "43", "53", "55", "56", "57", "58", "59", "59.1")),
    *map(Decimal, ("59.2", "59.3", "92", "92.1", "92.2", "92.3")),
    *map(Decimal, range(81, 90)),
}
CHORD = 0.008  # mm a chord may stand off its arc


@dataclass(frozen=True)
class Step:
    """One straight move, mm and mm/min; NaN where a coordinate is not known yet; `rpm` above 0 clockwise."""

    line: int
    rapid: bool
    start: Place
    end: Place
    feed: float
    rpm: float


@dataclass(frozen=True)
class Note:
    """Something other than a move: spindle (rpm), tool (number), stop, end, first (modes not yet said).

    changed: a tool is changed after a move; rounding: from here on corners are rounded, and a move follows.
    """

    line: int
    what: str
    value: float
    said: str = ""


@dataclass
class Script:
    """Moves and notes in the order they happen; `bad`: the line where a strict controller stops, and why."""

    items: list[Step | Note] = field(default_factory=list)
    bad: tuple[int, str] | None = None


class StopsError(Exception):
    """A strict controller goes no further than here."""


def script(text: str) -> Script:
    """Read a whole program."""
    return Control().run(text)


def _bare(line: str) -> str:
    """Take comments and blanks out."""
    if len(line) > 253 or re.search(r"[^\x20-\x7e\t\r]", line):
        raise StopsError("too long, or a character that is not of the language")
    out, depth = [], 0
    for char in line:
        if char == "(":
            depth += 1
        elif char == ")":
            depth -= 1
        elif depth == 0:
            out.append(char)
        elif char in "!~":
            raise StopsError("a sign that some controls act on wherever it stands")
        if depth not in {0, 1}:
            raise StopsError("brackets")
    if depth:
        raise StopsError("an open comment")
    return re.sub(r"[ \t\r]", "", "".join(out)).upper()


class Control:
    """A controller as the report describes it, from a cold start."""

    def __init__(self) -> None:
        self.out = Script()
        self.at: list[float] = [math.nan] * 3
        self.mode: Decimal | None = None
        self.mm = Decimal(1)
        self.relative = self.inverse = False
        self.plane, self.plane_said = 17, False
        self.f = Decimal(0)
        self.s = Decimal(0)
        self.sense = 0
        self.tool: Decimal | None = None
        self.said: set[str] = set()
        self.begun = False
        self.spoken: set[int] = set()  # the rows of `ONE_MODE` of which anything was ever said
        self.rounding = 0  # the line of a G64 that no move has come after yet

    def run(self, text: str) -> Script:
        """Go through a text, line by line."""
        lines = text.split("\n")
        if lines and not lines[-1]:
            lines.pop()
        for number, line in enumerate(lines, 1):
            try:
                if self.line(_bare(line), number):
                    break
            except StopsError as why:
                self.out.bad = (number, str(why))
                return self.out
        else:
            self.out.bad = (max(1, len(lines)), "no end")
            return self.out
        for behind, line in enumerate(lines[number:], number + 1):
            if line.strip() != "%" and (not re.fullmatch(r"[ \t]*(\([^()]*\)[ \t]*)*\r?", line)):
                self.out.bad = (behind, "behind the end: whoever sends lines one by one goes on")
                break
        return self.out

    def line(self, bare: str, number: int) -> bool:
        """Do one line; say whether the program ends with it."""
        match = re.match(r"N(\d{1,5})(?!\d)", bare)
        bare = bare[match.end() :] if match else bare
        g: dict[int, Decimal] = {}
        m: dict[int, Decimal] = {}
        w: dict[str, Decimal] = {}
        at = 0
        while at < len(bare):
            token = TOKEN.match(bare, at)
            if token is None:
                raise StopsError(f"cannot read {bare[at:]}")
            at = token.end()
            letter, value = token[1], Decimal(token[2])
            if abs(value) >= 10**7:
                raise StopsError("no number for a machine")
            if letter in "GM":
                table, found = (G_SET, g) if letter == "G" else (M_SET, m)
                if value not in table or table[value] in found:
                    raise StopsError(f"{letter}{value}")
                found[table[value]] = value
            elif letter not in "FIJKPRSTXYZ" or letter in w:
                raise StopsError(f"{letter}{value}")
            else:
                w[letter] = value
        if len(m) > 4 or set(g.values()) & ELSEWHERE or set(m.values()) & {Decimal(49), Decimal(60)}:
            raise StopsError("codes whose meaning is not in the text")
        return self.act(g, m, w, number)

    def act(self, g: dict[int, Decimal], m: dict[int, Decimal], w: dict[str, Decimal], number: int) -> bool:
        """Do what a line's words say, in the report's order; say whether the program ends with it."""
        axes = [a for a in "XYZ" if a in w]
        self.sense_of_words(g, w, axes)
        if self.begun and ({5, 6, 8} & set(g)) - self.spoken:
            raise StopsError("an offset or a frame taken back after a move that may have had it")
        if 3 in g:
            if 3 not in self.spoken or self.inverse != (g[3] == 93):
                self.f = Decimal(0)  # of which mode, the text does not say
            self.inverse = g[3] == 93
            self.tell("feed mode")
        if "F" in w:
            self.f = w["F"]
        turned = False
        if "S" in w:
            turned = self.sense != 0 and w["S"] != self.s
            self.s = w["S"]
        if "T" in w:
            self.tool = w["T"]
            self.note(number, "tool", float(self.tool))
        if g.get(10) == 4:
            self.note(number, "wait", float(w["P"]))
        if 1 in m:
            if self.tool is None:
                raise StopsError("M6 and no tool")
            self.note(number, "tool", float(self.tool))
            if not all(map(math.isnan, self.at[:2])):
                self.note(number, "changed", float(self.tool))
            self.sense, self.at = 0, [math.nan] * 3
        if 2 in m:
            self.sense = {3: 1, 4: -1, 5: 0}[int(m[2])]
        if 2 in m or turned:
            self.note(number, "spindle", float(self.sense * self.s), "on" if self.sense else "off")
        if 1 in g:
            self.plane, self.plane_said = int(g[1]), True
        if 4 in g:
            unit = Decimal("25.4") if g[4] == 20 else Decimal(1)
            if unit != self.mm or 4 not in self.spoken:
                self.f = Decimal(0)  # of which unit it is now, the text does not say
            self.mm = unit
            self.tell("units")
        if 9 in g:
            self.rounding = number if g[9] == 64 else 0
        if 2 in g:
            self.relative = g[2] == 91
            self.tell("distance")
        if 0 in g:
            self.mode = None if g[0] == 80 else g[0]
        if axes or (0 in g and g[0] != 80):
            self.go(w, axes, number)
        self.spoken |= set(g)
        if 0 in m:
            self.note(number, "end" if m[0] in {2, 30} else "stop", float(m[0]))
        return 0 in m and m[0] in {2, 30}

    def sense_of_words(self, g: dict[int, Decimal], w: dict[str, Decimal], axes: list[str]) -> None:
        """Stop where words lack each other (section 3.5)."""
        mode = g.get(0, self.mode)
        arc = mode in {2, 3} and bool(axes)
        dwell = g.get(10) == 4
        alone = [letter for letter in "IJKR" if letter in w and not arc]
        if alone or ("P" in w) != dwell or (dwell and (w["P"] < 0 or axes)):
            raise StopsError("a word that nothing uses, or lacks its own")
        if axes and (mode is None or mode == 80):
            raise StopsError("axis words and no motion")
        if 0 in g and g[0] != 80 and not axes:
            raise StopsError("a motion and no axis words")
        if any(w.get(letter, Decimal(0)) < 0 for letter in "FST") or w.get("T", Decimal(0)) % 1:
            raise StopsError("below zero, or a broken tool number")
        if "F" in w and 4 in g:
            raise StopsError("a feed beside a change of units")

    def tell(self, mode: str) -> None:
        """Note that a mode is said before the first move."""
        if not self.begun:
            self.said.add(mode)

    def note(self, number: int, what: str, value: float, said: str = "") -> None:
        """Note what is no move."""
        self.out.items.append(Note(number, what, value, said))

    def go(self, w: dict[str, Decimal], axes: list[str], number: int) -> None:
        """Do a line's move."""
        if not self.begun:
            self.begun = True
            lacking = {"units", "distance", "feed mode"} - self.said
            if lacking:
                self.note(number, "first", 0.0, ", ".join(sorted(lacking)))
        if self.rounding:
            self.note(self.rounding, "rounding", 0.0)
            self.rounding = 0
        to = list(self.at)
        for axis in axes:
            k = "XYZ".index(axis)
            away = float(w[axis] * self.mm)
            if self.relative and math.isnan(self.at[k]):
                raise StopsError("a distance from nowhere")
            to[k] = self.at[k] + away if self.relative else away
        rapid = self.mode == 0
        feed = math.nan
        points = [to]
        length = math.dist(self.at, to)
        if self.mode in {2, 3}:
            points, length = self.arc(w, to)
        if not rapid:
            if self.inverse and w.get("F", Decimal(0)) <= 0:
                raise StopsError("no feed on an inverse-time line")
            if self.f <= 0:
                raise StopsError("no feed")
            feed = float(self.f) * length if self.inverse else float(self.f * self.mm)
        for point in points:
            rpm = float(self.sense * self.s)
            a, b = self.at, point
            self.out.items.append(Step(number, rapid, (a[0], a[1], a[2]), (b[0], b[1], b[2]), feed, rpm))
            self.at = point

    def arc(self, w: dict[str, Decimal], to: list[float]) -> tuple[list[list[float]], float]:
        """Chop an arc; only the X-Y plane is read here, which is all that a flat board needs."""
        if not self.plane_said:
            raise StopsError("an arc in the plane that somebody left")
        if self.plane != 17 or "K" in w or not ({"X", "Y"} & set(w)) or any(map(math.isnan, self.at)):
            raise StopsError("an arc of another plane, or from nowhere")
        x0, y0, z0 = self.at
        if "R" in w:
            raise StopsError("an arc by radius: two centres are near one another")
        if not {"I", "J"} & set(w):
            raise StopsError("an arc without its centre")
        cx = x0 + float(w.get("I", Decimal(0)) * self.mm)
        cy = y0 + float(w.get("J", Decimal(0)) * self.mm)
        r0, r1 = math.hypot(x0 - cx, y0 - cy), math.hypot(to[0] - cx, to[1] - cy)
        if not r0 or not r1 or abs(r0 - r1) > (0.002 if self.mm == 1 else 0.0002 * 25.4):
            raise StopsError("radii of the arc's ends differ")
        a0, a1 = math.atan2(y0 - cy, x0 - cx), math.atan2(to[1] - cy, to[0] - cx)
        turn = (a1 - a0) % (2 * math.pi) if self.mode == 3 else -((a0 - a1) % (2 * math.pi))
        if (x0, y0) == (to[0], to[1]) or turn == 0:
            turn = 2 * math.pi if self.mode == 3 else -2 * math.pi
        count = max(1, math.ceil(abs(turn) / (2 * math.acos(1 - min(1.0, CHORD / r0)))))
        points = [
            [cx + r0 * math.cos(a0 + turn * t), cy + r0 * math.sin(a0 + turn * t), z0 + (to[2] - z0) * t]
            for t in (k / count for k in range(1, count))
        ]
        return [*points, to], math.hypot(r0 * turn, to[2] - z0)
