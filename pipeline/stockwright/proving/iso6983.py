"""The strict reader of the ISO 6983 family. In: a program's text. Out: `Reading`.

Written from what ISO 6983-1 and DIN 66025 have in common: % opens, codes of two digits, words in one order,
G70 and G71 for units, numbers with a decimal sign. Most of it is from memory of those standards; the % and
its name are read there (ISO 6983-1:1982, 3.6). So it takes the narrowest meaning, and refuses by line number
what it does not fully know. With the reader of RS274/NGC it shares only geometry of arcs, and columns.
"""

from __future__ import annotations

import math

from stockwright.proving.arcs import SAGITTA, NotAnArc, arc_by_centre
from stockwright.proving.iso6983_block import Block, NotABlock, block_of
from stockwright.proving.program import Event, Reading, Unread
from stockwright.proving.track import Track

__all__ = ["read"]

LONGEST = 128  # characters a block; older controls hold no more (from memory)
MOST_UNREAD = 20  # enough to see what is wrong with a file
UNITS = {70: 25.4, 71: 1.0}  # EIA RS-274-D and ISO 6983: G70 inch, G71 metric
# Codes that need no doing: the plane of our arcs, no cutter radius, no cycle, absolute, feed a minute.
QUIET = {17: "plane", 40: "cutter radius", 80: "cycle", 90: "distance", 94: "feed mode"}
DWELL, ARCS = 4, {2, 3}


def read(text: str) -> Reading:
    """Read a program. Lines not understood are listed, 20 at most; nothing after the first is executed."""
    return _Control(text).run()


class _Control:
    """The state of a control while a program runs."""

    def __init__(self, text: str) -> None:
        self.rows = text.split("\n")
        if self.rows[-1] == "":
            self.rows.pop()
        self.track = Track(len(self.rows))
        self.here = [math.nan] * 3
        self.unit: float | None = None
        self.motion: int | None = None
        self.feed = self.speed = 0.0
        self.turning = 0
        self.selected: float | None = None
        self.ended = False
        self.stated: set[str] = set()
        self.told: set[str] = set()  # the same, however late
        self.events: list[Event] = []
        self.words: dict[str, tuple[int, int]] = {}  # where each code first stands
        self.unread: list[Unread] = []

    def run(self) -> Reading:
        first = self.rows[0].removesuffix("\r") if self.rows else ""
        name = first.removeprefix("%")
        if not first.startswith("%") or not (name == "" or (name.isascii() and name.isalnum())):
            self._refuse(1, "the program does not begin with %, alone or with a name of letters and digits")
        for number, raw in enumerate(self.rows[1:], 2):
            line = raw.removesuffix("\r")
            try:
                self._line(line, number)
            except (NotABlock, NotAnArc) as error:
                self._refuse(number, str(error))
                if len(self.unread) >= MOST_UNREAD:
                    break
        if not self.ended and not self.unread:
            last = max(1, len(self.rows))
            self.unread.append(Unread(last, "the program has no end: M02 or M30 belongs here", "no-end"))
        words = tuple((code, *first) for code, first in self.words.items())
        return Reading(
            self.track.moves(), tuple(self.events), frozenset(self.stated), tuple(self.unread), words
        )

    def _line(self, line: str, number: int) -> None:
        if len(line) > LONGEST:
            raise NotABlock(f"the block is {len(line)} characters long; {LONGEST} at most")
        if self.ended:
            if line.strip(" ") not in {"", "%"}:
                raise NotABlock("the program has ended, and something follows")
            return
        if self.unread and line.strip(" ") == "%" and not any(r.strip(" \r") for r in self.rows[number:]):
            return  # nothing after what was not understood is done, so not the end either: this may follow it
        block = block_of(line)
        if block is not None and not self.unread:
            self._do(block, number)

    def _refuse(self, line: int, message: str) -> None:
        self.unread.append(Unread(line, message))

    def _do(self, block: Block, number: int) -> None:
        """Do one block: modes, then F, S and T, then its one action or its one move."""
        values, axes = block.values, [letter for letter in "XYZ" if letter in block.values]
        for word in (*(f"G{code}" for code in block.g), *([] if block.m is None else [f"M{block.m}"])):
            self.words.setdefault(word, (number, self.track.count))
        dwell = DWELL in block.g
        if dwell:
            self._dwell(block, number)
            return
        for code in block.g:
            if code in UNITS:
                self._units(code, block)
            elif code == 40 and self.track.count and QUIET[code] not in self.told:
                raise NotABlock("G40 said first after a move: with what was that made? say it before")
            elif code in QUIET:
                self._state(QUIET[code])
            else:
                self.motion = code
        if "F" in values:
            self._known_units("a feed")
            if "feed mode" not in self.told:
                raise NotABlock("a feed before G94: a minute, or a turn?")
            self.feed = values["F"] * (self.unit or 0.0)
        if "S" in values:
            self._speed(values["S"], block, number)
        if "T" in values:
            self.selected = values["T"]
            self._event(number, "select", self.selected)
        if axes:
            self._go(block, axes, number)
        elif "I" in values or "J" in values:
            raise NotABlock("I or J without the end of an arc, X and Y")
        elif any(code in {0, 1, 2, 3} for code in block.g):
            raise NotABlock("a motion word on a block that names no axis")
        if block.m is not None:
            self._act(block.m, number)

    def _dwell(self, block: Block, number: int) -> None:
        held = [letter for letter in "FX" if letter in block.values]
        if len(held) != 1 or len(block.values) != 1 or block.g != (DWELL,) or block.m is not None:
            raise NotABlock("G04 takes its seconds as F or X, and stands alone")
        self._event(number, "dwell", block.values[held[0]])
        if block.values[held[0]] < 0:
            raise NotABlock("a wait below zero")

    def _units(self, code: int, block: Block) -> None:
        if self.unit is not None and self.unit != UNITS[code]:
            raise NotABlock("the units change within the program")
        if block.values:
            raise NotABlock("the units share a block with numbers; which unit are they in?")
        self.unit = UNITS[code]
        self._state("units")

    def _known_units(self, what: str) -> None:
        if self.unit is None:
            raise NotABlock(f"{what} before G70 or G71: inches or millimetres?")

    def _state(self, what: str) -> None:
        self.told.add(what)
        if not self.track.count:
            self.stated.add(what)

    def _event(self, number: int, kind: str, value: float, note: str = "") -> None:
        self.events.append(Event(number, kind, value, self.track.count, note))  # type: ignore[arg-type]

    def _speed(self, rpm: float, block: Block, number: int) -> None:
        changed, self.speed = rpm != self.speed, rpm
        if self.turning and changed and block.m not in {3, 4, 5}:
            self._event(number, "spindle", self.turning * rpm, "on" if self.turning > 0 else "anticlockwise")

    def _act(self, code: int, number: int) -> None:
        if code in {2, 30}:
            self._event(number, "end", code)
            self.ended = True
        elif code in {3, 4, 5}:
            self.turning = {3: 1, 4: -1, 5: 0}[code]
            note = {1: "on", -1: "anticlockwise", 0: "off"}[self.turning]
            self._event(number, "spindle", self.turning * self.speed, note)
        elif code == 6:
            if self.selected is None:
                raise NotABlock("M06 with no tool selected: T belongs before it")
            self.turning, self.motion = 0, None
            self._nowhere()
            self._event(number, "tool", self.selected)
        elif code in {7, 8, 9}:
            self._event(number, "dust", 0.0 if code == 9 else 1.0)
        else:
            self._event(number, "stop", code)

    def _nowhere(self) -> None:
        self.here = [math.nan] * 3
        self.track.jump(self.here)

    def _go(self, block: Block, axes: list[str], number: int) -> None:
        self._known_units("a move")
        if "distance" not in self.stated:
            raise NotABlock("a move before G90: absolute, or steps?")
        if block.m is not None:
            raise NotABlock("a machine function on a block that moves: before the move, or after it?")
        if self.motion is None:
            raise NotABlock("an axis without a motion word: G00 or G01 belongs before it")
        unit, values = self.unit or 0.0, block.values
        new = [
            values[letter] * unit if letter in values else at
            for letter, at in zip("XYZ", self.here, strict=True)
        ]
        offsets = [letter for letter in "IJ" if letter in values]
        if self.motion not in ARCS and offsets:
            raise NotABlock(f"{offsets[0]} without an arc that uses it")
        rpm = self.turning * self.speed
        if self.motion == 0:
            self.track.add(number, new, math.nan, rpm)
        elif self.feed <= 0:
            raise NotABlock("a cut with no feed set: an F word above zero belongs before it")
        elif self.motion == 1:
            self.track.add(number, new, self.feed, rpm)
        else:
            self._arc(block, axes, number, new)
        self.here = new

    def _arc(self, block: Block, axes: list[str], number: int, new: list[float]) -> None:
        """Go round the centre that I and J give from the start, in the plane of X and Y."""
        if "plane" not in self.stated:
            raise NotABlock("an arc before G17: in which plane?")
        if any(math.isnan(at) for at in self.here):
            raise NotABlock("an arc from a place that is not known")
        values, unit = block.values, self.unit or 0.0
        if not {"X", "Y"} <= set(axes) or "I" not in values or "J" not in values:
            raise NotABlock("an arc needs X, Y, I and J")
        arc = arc_by_centre(
            (self.here[0], self.here[1], self.here[2]),
            (new[0], new[1], new[2]),
            (values["I"] * unit, values["J"] * unit),
            clockwise=self.motion == 2,
            inch=unit != 1.0,
        )
        if abs(arc.sweep) > math.pi / 2 + 1e-3 + 0.05 / arc.radius:
            raise NotABlock("an arc of more than a quarter turn: older controls hold one quadrant a block")
        for point in arc.points():
            self.track.add(number, list(point), self.feed, self.turning * self.speed, SAGITTA)
