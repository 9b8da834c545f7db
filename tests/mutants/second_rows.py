"""A second reading of a table of motion, for the judge of mutants. In: a text. Out: `Script`.

From the posts' page on `motion-table` (columns, actions, every known axis in every row that moves, no text
that a spreadsheet would calculate) and from RFC 4180, sign by sign. A row that says less than its action
needs, or more, has no sure meaning: there it stops. Shares nothing with the proof's reader.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal

from mutants.second_text import Note, Script, Step, StopsError

__all__ = ["rows"]

TELLING = {"program", "setup", "zero", "note"}
BARE = {"spindle off", "stop", "dust on", "dust off", "end"}
COLUMNS = ("action", "x", "y", "z", "feed", "speed", "wait", "tool", "text")


def rows(text: str) -> Script:
    """Read a whole table."""
    return _Sheet().run(text)


def _cells(line: str) -> list[str]:
    """Part a record into its cells (RFC 4180, section 2.4 to 2.7)."""
    if not line.isascii() or (line and not line.isprintable()):
        raise StopsError("no sign of a plain text")
    found, cell, quoted, closed = [], "", False, False
    for char in [*line, ","]:
        if quoted and not closed:
            closed = char == '"'
            cell += "" if closed else char
        elif closed and char == '"':
            cell, closed = cell + char, False
        elif char == ",":
            found.append(cell)
            cell, quoted, closed = "", False, False
        elif char == '"' and not cell and not closed:
            quoted = True
        elif char == '"' or closed:
            raise StopsError("a quote inside a cell")
        else:
            cell += char
    if quoted and not closed:
        raise StopsError("an open quote")
    return found


def _number(cell: str) -> Decimal:
    if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)", cell, re.ASCII) is None:
        raise StopsError(f"{cell} is no number")
    return Decimal(cell)


class _Sheet:
    def __init__(self) -> None:
        self.out = Script()
        self.at: list[float] = [math.nan] * 3
        self.scale = Decimal(1)
        self.rpm = 0.0
        self.over = self.busy = False

    def run(self, text: str) -> Script:
        *lines, rest = text.split("\n")
        lines = [*lines, rest] if rest else lines
        for number, raw in enumerate(lines, 1):
            try:
                cells = _cells(raw.removesuffix("\r"))
                if number == 1:
                    self.head(cells)
                else:
                    self.row(cells, number)
            except StopsError as why:
                self.out.bad = (number, str(why))
                return self.out
        if not self.over or rest:
            self.out.bad = (max(1, len(lines)), "no end")
        return self.out

    def head(self, cells: list[str]) -> None:
        for unit, scale in (("mm", 1), ("inch", "25.4")):
            units = ("", *[f" {unit}"] * 3, f" {unit}/min", " rpm", " s", "", "")
            if cells == [name + more for name, more in zip(COLUMNS, units, strict=True)]:
                self.scale = Decimal(scale)
                return
        raise StopsError("the columns have other names")

    def row(self, cells: list[str], number: int) -> None:
        if self.over or len(cells) != len(COLUMNS):
            raise StopsError("after the end, or not the columns' number")
        action, *rest = cells
        x, y, z, feed, speed, wait, tool, text = rest
        full = {name for name, cell in zip(COLUMNS[1:], rest, strict=True) if cell}
        if text[:1] in set("=+-@"):
            raise StopsError("a text that would be calculated")
        if action in TELLING and full == {"text"}:
            return
        if action in BARE and not full:
            self.bare(action, number)
        elif action == "tool" and full == {"tool", "text"} and tool.isdigit() and not self.busy:
            self.note(number, "tool", float(tool))
        elif action == "wait" and full == {"wait"} and _number(wait) >= 0:
            return
        elif action == "spindle on" and full == {"speed"} and _number(speed) > 0:
            self.rpm, self.busy = float(speed), True
            self.note(number, "spindle", self.rpm, "on")
        elif action == "rapid" and full <= {"x", "y", "z"}:
            self.go((x, y, z), math.nan, number, rapid=True)
        elif action == "cut" and full == {"x", "y", "z", "feed"} and _number(feed) > 0:
            self.go((x, y, z), float(_number(feed) * self.scale), number, rapid=False)
        else:
            raise StopsError(f"{action}: too little, too much, or unknown")

    def bare(self, action: str, number: int) -> None:
        if action == "spindle off":
            self.rpm = 0.0
            self.note(number, "spindle", 0.0, "off")
        elif action in {"stop", "end"}:
            self.over = action == "end"
            self.note(number, action, 0.0)

    def go(self, cells: tuple[str, str, str], feed: float, number: int, *, rapid: bool) -> None:
        if any(not cell and not math.isnan(at) for cell, at in zip(cells, self.at, strict=True)):
            raise StopsError("a known axis is left out")
        x, y, z = (float(_number(cell) * self.scale) if cell else math.nan for cell in cells)
        a, b, c = self.at
        self.out.items.append(Step(number, rapid, (a, b, c), (x, y, z), feed, self.rpm))
        self.at, self.busy = [x, y, z], True

    def note(self, number: int, what: str, value: float, said: str = "") -> None:
        self.out.items.append(Note(number, what, value, said))
