"""The strict reader of a table of motion. In: comma-separated text as in RFC 4180. Out: `Reading`.

Written from the table's own page in the posts' README and from RFC 4180, never from the writer. Promise:
every cell is understood, or the file is refused: an unknown action, a filled cell that the action does not
use, an axis left blank that is known already, a text that a spreadsheet would calculate.
"""

from __future__ import annotations

import math
import re

from stockwright.proving.program import Event, Reading, Unread
from stockwright.proving.track import Track
from stockwright.proving.unreadable import MOST_UNREAD, NotRead, number, numbered, sound

__all__ = ["read"]

LONGEST = 1000  # characters; a row of nine cells and a text
UNITS = {"mm": 1.0, "inch": 25.4}
CELL = re.compile(r'(?:"((?:[^"]|"")*)"|([^",]*))(,|$)', re.ASCII)  # RFC 4180, section 2, without line ends
X, Y, Z, FEED, SPEED, WAIT, TOOL, TEXT = range(1, 9)
WIDTH = 9
# What each action may fill; all of it must be filled, but for places that are not known and text.
USES: dict[str, tuple[int, ...]] = {
    "program": (TEXT,),
    "setup": (TEXT,),
    "zero": (TEXT,),
    "note": (TEXT,),
    "tool": (TOOL, TEXT),
    "rapid": (X, Y, Z),
    "cut": (X, Y, Z, FEED),
    "touch": (X, Y, Z, FEED),
    "spindle on": (SPEED,),
    "spindle off": (),
    "wait": (WAIT,),
    "stop": (),
    "dust on": (),
    "dust off": (),
    "end": (),
}


def read(text: str) -> Reading:
    """Read a table. Rows not understood are listed, 20 at most; nothing after the first is executed."""
    return _Table(text).run()


def cells(line: str) -> list[str]:
    """Take a row apart. Raises `NotRead` for a quote that is open, or stands inside an unquoted cell."""
    found: list[str] = []
    at = 0
    while True:
        cell = CELL.match(line, at)
        if cell is None:
            raise NotRead(
                f"column {at + 1}: a quote is not closed, or stands inside a cell that has none around it"
            )
        found.append(cell[2] if cell[1] is None else cell[1].replace('""', '"'))
        if not cell[3]:
            return found
        at = cell.end()


class _Table:
    """What the rows have done so far."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.track = Track(text.count("\n") + 1)
        self.here = [math.nan] * 3
        self.unit = 0.0
        self.speed = 0.0
        self.ended = False
        self.events: list[Event] = []
        self.unread: list[Unread] = []

    def run(self) -> Reading:
        last = 1
        for line, raw, has_end in numbered(self.text):
            last = line
            try:
                sound(raw, has_end, LONGEST)
                if line == 1:
                    self._header(cells(raw))
                else:
                    self._row(cells(raw), line)
            except NotRead as error:
                self.unread.append(Unread(line, str(error)))
                if len(self.unread) >= MOST_UNREAD or line == 1:
                    break
        if not self.ended and not self.unread:
            self.unread.append(Unread(last, "the table has no end: a row 'end' belongs here", "no-end"))
        stated = frozenset({"units", "distance", "feed mode"} if self.unit else ())
        return Reading(self.track.moves(), tuple(self.events), stated, tuple(self.unread))

    def _header(self, row: list[str]) -> None:
        for name, unit in UNITS.items():
            places = [f"{axis} {name}" for axis in "xyz"]
            if row == ["action", *places, f"feed {name}/min", "speed rpm", "wait s", "tool", "text"]:
                self.unit = unit
                return
        raise NotRead("the first row names the columns and their units: action, x mm, y mm, z mm, ...")

    def _row(self, row: list[str], line: int) -> None:
        if self.ended:
            raise NotRead("'end' ends the program, and a row stands after it")
        if len(row) != WIDTH:
            raise NotRead(f"the row has {len(row)} cells; the first row names {WIDTH}")
        uses = USES.get(row[0])
        if uses is None:
            raise NotRead(f"cannot read {row[0][:20]!r}: an action belongs here: {', '.join(USES)}")
        for at in range(1, WIDTH):
            if row[at] and at not in uses:
                raise NotRead(f"'{row[0]}' does not use its cell {at + 1}, and it holds {row[at][:20]!r}")
            if not row[at] and at in uses and at not in {X, Y, Z}:
                raise NotRead(f"'{row[0]}' needs its cell {at + 1}, and it is empty")
        if row[TEXT][:1] in {"=", "+", "-", "@", "\t"}:
            raise NotRead("a spreadsheet would calculate this text; a ' belongs before it")
        if not self.unread:
            self._do(row, line)

    def _do(self, row: list[str], line: int) -> None:
        action = row[0]
        if action in {"rapid", "cut", "touch"}:
            self._move(row, line)
        elif action == "spindle on":
            self.speed = number(row[SPEED], "speed")
            if self.speed <= 0:
                raise NotRead(f"the speed {self.speed:g} is not above zero")
            self._event(line, "spindle", self.speed, "on")
        elif action == "spindle off":
            self.speed = 0.0
            self._event(line, "spindle", 0.0, "off")
        elif action == "wait":
            seconds = number(row[WAIT], "wait")
            if seconds < 0:
                raise NotRead("a wait is not below zero")
            self._event(line, "dwell", seconds)
        elif action == "tool":
            if not row[TOOL].isdigit():
                raise NotRead(f"a tool number is a whole number, not {row[TOOL][:12]!r}")
            if self.speed or self.track.count:
                raise NotRead("a table has one tool, named before anything turns or moves")
            self._event(line, "tool", number(row[TOOL], "tool"))
        elif action in {"dust on", "dust off"}:
            self._event(line, "dust", float(action == "dust on"))
        elif action == "stop":
            self._event(line, "stop", 0.0)
        elif action == "end":
            self.ended = True
            self._event(line, "end", 2.0)

    def _move(self, row: list[str], line: int) -> None:
        to = []
        for name, cell, old in zip("xyz", row[X : Z + 1], self.here, strict=True):
            if not cell and not math.isnan(old):
                raise NotRead(f"{name} is known and its cell is empty")
            to.append(number(cell, name) * self.unit if cell else math.nan)
        action = row[0]
        if action == "rapid":
            self.track.add(line, to, math.nan, self.speed)
            self.here = to
            return
        feed = number(row[FEED], "feed") * self.unit
        if feed <= 0:
            raise NotRead(f"the feed {feed:g} is not above zero")
        if any(map(math.isnan, to)):
            raise NotRead(f"'{action}' to a place that is not known")
        if action == "touch":
            if any(map(math.isnan, self.here)) or to[:2] != self.here[:2] or to[2] >= self.here[2]:
                raise NotRead("'touch' goes straight down from a known place")
            self.track.add(line, to, feed, self.speed)
            self.track.touch()
            self.here = [to[0], to[1], math.nan]
            self.track.jump(self.here)
            return
        self.track.add(line, to, feed, self.speed)
        self.here = to

    def _event(self, line: int, kind: str, value: float, note: str = "") -> None:
        self.events.append(Event(line, kind, value, self.track.count, note))  # type: ignore[arg-type]
