"""The strict reader of RS274/NGC. In: a program's text. Out: `Reading`: moves, events, what was not read.

Written from NISTIR 6556 (Kramer, Proctor, Messina, 2000), never from a writer. Promise: what it does not
fully know it refuses by line number; where report and public interpreter differ it takes the stricter.
"""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import TYPE_CHECKING

from stockwright.proving.arcs import SAGITTA, NotAnArc, arc_by_centre, arc_by_radius
from stockwright.proving.program import Event, Reading, Unread
from stockwright.proving.rs274_line import AXES, NotALine, Words, plain_text, what_follows, words
from stockwright.proving.rs274_usual import State, as_text, rows, straight
from stockwright.proving.track import Track

if TYPE_CHECKING:
    from stockwright.proving.rs274_usual import Row

__all__ = ["read", "read_strictly"]

LONGEST = 253  # characters without the line end: the interpreter's 254 bytes with it (the report says 256)
MOST_UNREAD = 20  # enough to see what is wrong with a file
MM = {200: 25.4, 210: 1.0}  # section 3.5.7
STRETCH = 1 << 16  # characters looked at in one go: enough for speed, and little beside a long text
BLANK = re.compile(r"[ \t\r\n]*", re.ASCII)
FEW = 8  # rows: below this, columns cost more than they save
UNPRINTABLE = re.compile(r"[^\x20-\x7e\t]", re.ASCII)
PLANES = {170: (0, 1, 2), 180: (2, 0, 1), 190: (1, 2, 0)}  # section 3.5.3: the axes of each arc plane
OFFSETS = "IJK"
NAMES = {  # codes that are of the language, but that a program must not use if it is to be proven
    "cutter radius": {410, 420},
    "tool length": {430},
    "cycle return": {980, 990},
    "work frame": {550, 560, 570, 580, 590, 591, 592, 593},
    "one line only": {100, 280, 300, 530, 920, 921, 922, 923},
    "motion": {810, 820, 830, 840, 850, 860, 870, 880, 890},
}
REFUSED_M = {49, 60}
PROBE = 382  # G38.2, times ten as all codes here
NEAREST_TOUCH = 0.254  # mm, section 3.5.9: from nearer it is an error
A_HAIR = 1e-9  # mm: what a difference of two decimal numbers may be out by


def read(text: str, machine: tuple[float, float, float] | None = None) -> Reading:
    """Read a program. Lines not understood are listed, 20 at most; nothing after the first is executed.

    `machine`: where the machine frame's zero lies, work frame, mm; without it that frame is refused.

    Stretches of plain straight moves are read many lines at once, with what `read_strictly` would give.
    """
    return _Machine(text, machine).run(strictly=False)


def read_strictly(text: str) -> Reading:
    """Read a program as `read` does, every line taken apart by itself: the reference, and slower."""
    return _Machine(text).run(strictly=True)


class _Machine:
    """The state of section 3 while a program runs."""

    def __init__(self, text: str, machine: tuple[float, float, float] | None = None) -> None:
        self.text = text
        self.machine, self.in_machine = machine, False
        self.count = text.count("\n") + (not text.endswith("\n") and text != "")
        self.here = [math.nan] * 3
        self.motion: int | None = None
        self.plane = 170
        self.unit = 1.0
        self.incremental = False
        self.inverse_time = False
        self.feed, self.lost = 0.0, 0  # the number as written, and the line that took it away
        self.speed = 0.0
        self.turning = 0
        self.selected: float | None = None
        self.stated: set[str] = set()
        self.moved = False
        self.ended = False
        self.events: list[Event] = []
        self.unread: list[Unread] = []
        self.track = Track(self.count)
        self.marked = False

    def run(self, *, strictly: bool) -> Reading:
        stop = self._percent()
        at, number = 0, 1
        while at < stop and not self._over():
            cut = self.text.rfind("\n", at, min(stop, at + STRETCH)) + 1
            if cut == 0:
                cut = self.text.find("\n", at, stop) + 1 or stop
            if strictly:
                lines = self.text[at:cut].split("\n")
                lines = lines if lines[-1] else lines[:-1]
                for k, raw in enumerate(lines, number):
                    if self._over():
                        break
                    self._line(raw, k)
                number += len(lines)
            else:
                found = rows(self.text, at, cut)
                self._stretch(found, number)
                number += len(found)
            at = cut
        if not self.ended and not self.unread:
            message = "the program has no end: M2 or M30 belongs here"
            self.unread.append(Unread(max(1, self.count), message, "no-end"))
        elif self.ended and (more := what_follows(self.text, self.events[-1].line)) is not None:
            self.unread.append(Unread(*more))
        return Reading(self.track.moves(), tuple(self.events), frozenset(self.stated), tuple(self.unread))

    def _over(self) -> bool:
        return self.ended or len(self.unread) >= MOST_UNREAD

    def _stretch(self, found: list[Row], number: int) -> None:
        """Do the lines of a stretch: those between two that are not usual at once."""
        others = [k for k, row in enumerate(found) if row[5]]
        for before, other in pairwise([-1, *others, len(found)]):
            # After the end, or a line not understood, a line that is usual asks for nothing.
            if not self.unread and not self.ended:
                self._usual(found[before + 1 : other], number + before + 1)
            if other == len(found) or self._over():
                return
            self._line(found[other][5].removesuffix("\n"), number + other)

    def _usual(self, block: list[Row], number: int) -> None:
        """Do usual lines: many at once wherever what holds lets them be straight moves."""
        k = 0
        while k < len(block) and not self.unread:
            done = 0
            known = self.motion in {0, 10} or block[k][0]
            if known and len(block) - k > FEW and not (self.inverse_time or self.incremental):
                x, y, z = self.here
                moves = straight(block[k:], State(self.motion, (x, y, z), self.unit, self.feed))
                done = len(moves.ends)
            if done:
                self.track.add_many(number + k, moves.ends, moves.feeds, self.turning * self.speed)
                self.here = list(moves.after.here)
                self.motion, self.feed = moves.after.motion, moves.after.feed
                self.moved = True
            else:
                self._line(as_text(block[k]), number + k)
            k += max(done, 1)

    def _line(self, raw: str, number: int) -> None:
        """Do one line, strictly."""
        line = raw.removesuffix("\r")
        if self.marked and line.strip(" \t") == "%":
            return
        try:
            self._check_text(line, len(raw))
            plain = plain_text(line)
            if plain:
                block = words(plain)
                if not self.unread:
                    self._execute(block, number)
        except (NotALine, NotAnArc) as error:
            self.unread.append(Unread(number, str(error)))

    def _percent(self) -> int:
        """Find where reading ends: at the closing %, where one opens the text (section 3.1)."""
        first = BLANK.match(self.text)
        assert first is not None
        if not self._is_percent(first.end()):
            return len(self.text)
        self.marked = True
        at = self.text.find("%", first.end() + 1)
        while at >= 0:
            line_end = self.text.find("\n", at)
            line_end = len(self.text) if line_end < 0 else line_end
            if self._is_percent(at):
                return line_end
            at = self.text.find("%", line_end)
        # The report asks for the second one; the interpreter only notes that it is missing.
        self.unread.append(Unread(self.count, "the file begins with % and has no closing %"))
        return len(self.text)

    def _is_percent(self, at: int) -> bool:
        """Say whether the line that the place `at` is in holds a % and nothing else."""
        start = self.text.rfind("\n", 0, at) + 1
        end = self.text.find("\n", at)
        return self.text[start : len(self.text) if end < 0 else end].strip(" \t\r") == "%"

    def _check_text(self, line: str, length: int) -> None:
        if length > LONGEST:
            raise NotALine(f"the line is {length} characters long; {LONGEST} at most")
        bad = UNPRINTABLE.search(line)
        if bad is not None:
            raise NotALine(
                f"the character U+{ord(bad[0]):04X} in column {bad.start() + 1} is not printable ASCII"
            )

    def _move(self, number: int, new: list[float], feed: float, sagitta: float = 0.0) -> None:
        """Go to `new`; `feed` NaN is a rapid move."""
        self.track.add(number, new, feed, self.turning * self.speed, sagitta)
        self.here = new
        self.moved = True

    def _execute(self, block: Words, number: int) -> None:
        """Do one line in the order of section 3.8, table 8."""
        self._refuse(block)
        g, m, values = block.g, block.m, block.values
        axes = [axis for axis in AXES if axis in values]
        motion = g.get("motion", self.motion if axes else None)
        self._unused(block, axes, motion)
        if "feed mode" in g:
            if self.inverse_time != (g["feed mode"] == 930):
                self.inverse_time = not self.inverse_time
                self.feed, self.lost = 0.0, number  # a feed is of one mode alone
            self._state("feed mode")
        if "F" in values:
            if values["F"] < 0:
                raise NotALine(f"the feed {values['F']:g} is below zero")
            self.feed = values["F"]
            if self.inverse_time and motion not in {10, 20, 30}:
                raise NotALine("F in inverse time belongs on the line of its move")
        if "S" in values:
            if values["S"] < 0:
                raise NotALine(f"the speed {values['S']:g} is below zero")
            changed = values["S"] != self.speed
            self.speed = values["S"]
            if self.turning and changed and "spindle" not in m:
                self._spindle(number)
        self._tool(block, number)
        if "spindle" in m:
            self.turning = {3: 1, 4: -1, 5: 0}[m["spindle"]]
            self._spindle(number)
        if "coolant" in m:
            self._event(number, "dust", 0.0 if m["coolant"] == 9 else 1.0)
        if g.get("one line only") == 40:
            self._event(number, "dwell", values["P"])
        if "plane" in g:
            self.plane = g["plane"]
            self.stated.add("plane")  # an arc asks for it, wherever it stands
        if "units" in g:
            unit = MM[g["units"]]
            if unit != self.unit and "F" in values:
                raise NotALine("a feed on the line that changes units: of which unit? give each its own line")
            if unit != self.unit:
                self.unit, self.feed, self.lost = unit, 0.0, number  # not all rescale a feed alike
            self._state("units")
        if "distance" in g:
            self.incremental = g["distance"] == 910
            self._state("distance")
        if "motion" in g:
            self.motion = None if g["motion"] == 800 else g["motion"]
        if axes or self._is_motion(g.get("motion")):
            self._go(values, axes, number)
        if "stop" in m:
            self._stop(m["stop"], number)

    @staticmethod
    def _is_motion(code: int | None) -> bool:
        return code is not None and code != 800

    def _refuse(self, block: Words) -> None:
        # Section 3.5.12: with G0 or G1 and G90. Z alone is a retract; more than that has no use here.
        alone = "Z" in block.values and set(block.values) <= {"Z", "F"}
        retract = alone and not block.m and not self.incremental
        self.in_machine = self.machine is not None and retract and block.g.get("one line only") == 530
        self.in_machine &= set(block.g) == {"one line only", "motion"} and block.g["motion"] in {0, 10}
        for group, codes in NAMES.items():
            code = block.g.get(group)
            if code in codes and not (code == 530 and self.in_machine):
                raise NotALine(f"G{code / 10:g} is not used in programs that can be proven")
        for code in block.m.values():
            if code in REFUSED_M:
                raise NotALine(f"M{code} is not used in programs that can be proven")

    def _unused(self, block: Words, axes: list[str], motion: int | None) -> None:
        """Refuse words that nothing on the line uses, and lines that lack a word (section 3.5)."""
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
        if self._is_motion(code) and not axes:
            raise NotALine(f"G{(code or 0) / 10:g} names no axis")
        if "T" in values and (values["T"] < 0 or values["T"] != round(values["T"])):
            raise NotALine("a tool number is a whole number, not below zero")

    def _state(self, what: str) -> None:
        if not self.moved:
            self.stated.add(what)

    def _event(self, number: int, kind: str, value: float, note: str = "") -> None:
        self.events.append(Event(number, kind, value, self.track.count, note))  # type: ignore[arg-type]

    def _spindle(self, number: int) -> None:
        self._event(number, "spindle", self.turning * self.speed, "on" if self.turning else "off")
        if self.turning < 0:
            self.events[-1] = Event(number, "spindle", -self.speed, self.track.count, "anticlockwise")

    def _tool(self, block: Words, number: int) -> None:
        if "T" in block.values:
            self.selected = block.values["T"]
            self._event(number, "select", self.selected)
        if "tool change" in block.m:
            if self.selected is None:
                raise NotALine("M6 with no tool selected: T belongs before it")
            self.turning = 0
            self.here = [math.nan] * 3  # section 3.6.3 lets the machine stand anywhere after a change
            self.track.jump(self.here)
            self._event(number, "tool", self.selected)

    def _go(self, values: dict[str, float], axes: list[str], number: int) -> None:
        old = self.here
        new = list(old)
        for axis in axes:
            at = AXES.index(axis)
            distance = values[axis] * self.unit
            if self.in_machine and self.machine is not None:
                distance += self.machine[at]
            if self.incremental and math.isnan(old[at]):
                raise NotALine(f"a distance along {axis} from a place that is not known")
            new[at] = old[at] + distance if self.incremental else distance
        if self.motion == 0:
            self._move(number, new, math.nan)
        elif self.motion == 10:
            self._move(number, new, self._rate(values, math.dist(old, new)))
        elif self.motion == PROBE:
            self._probe(axes, number, old, new)
        else:
            self._arc(values, axes, number, new)

    def _probe(self, axes: list[str], number: int, old: list[float], new: list[float]) -> None:
        """Go until something is touched (section 3.5.9); where that was is not known afterwards."""
        if self.inverse_time:
            raise NotALine("a probing move in inverse time; G94 belongs before it")
        if any(math.isnan(value) for value in old):
            raise NotALine("a probing move from a place that is not known")
        if math.dist(old, new) < NEAREST_TOUCH - A_HAIR:
            raise NotALine(f"a probing move of {math.dist(old, new):.4g} mm; {NEAREST_TOUCH} at least")
        self._move(number, new, self._rate({}, math.nan))
        self.track.touch()
        self.here = [math.nan if axis in axes else at for axis, at in zip(AXES, new, strict=True)]
        self.track.jump(self.here)

    def _rate(self, values: dict[str, float], length: float) -> float:
        """Give the feed of a move of `length`, mm/min."""
        if self.inverse_time:
            if values.get("F", 0.0) <= 0:
                raise NotALine("in inverse time every cut needs its own F")
            return values["F"] * length
        if self.feed <= 0:
            since = f"; line {self.lost} took away the one that was set" if self.lost else ""
            raise NotALine(f"a cut with no feed set: an F word above zero belongs before it{since}")
        return self.feed * self.unit

    def _arc(self, values: dict[str, float], axes: list[str], number: int, to: list[float]) -> None:
        if "plane" not in self.stated:
            raise NotALine("an arc before G17: in the plane that an earlier program left, whichever it is")
        a, b, c = PLANES[self.plane]
        if any(math.isnan(value) for value in self.here):
            raise NotALine("an arc from a place that is not known")
        if AXES[a] not in axes and AXES[b] not in axes:
            raise NotALine(f"an arc here names {AXES[a]} or {AXES[b]}, its end")
        if OFFSETS[c] in values:
            raise NotALine(f"{OFFSETS[c]} is not of the plane of this arc")
        centred = OFFSETS[a] in values or OFFSETS[b] in values
        start = (self.here[a], self.here[b], self.here[c])
        end = (to[a], to[b], to[c])
        clockwise = self.motion == 20
        if "R" in values:
            if centred:
                raise NotALine("an arc has a centre or a radius, not both")
            arc = arc_by_radius(start, end, values["R"] * self.unit, clockwise=clockwise)
        elif centred:
            offset = (values.get(OFFSETS[a], 0.0) * self.unit, values.get(OFFSETS[b], 0.0) * self.unit)
            arc = arc_by_centre(start, end, offset, clockwise=clockwise, inch=self.unit != 1.0)
        else:
            raise NotALine(f"an arc needs its centre, {OFFSETS[a]} and {OFFSETS[b]}")
        feed = self._rate(values, arc.length)
        for point in arc.points():
            new = [0.0] * 3
            new[a], new[b], new[c] = point
            self._move(number, new, feed, SAGITTA)

    def _stop(self, code: int, number: int) -> None:
        if code in {2, 30}:
            self._event(number, "end", code)
            self.ended = True
        else:
            self._event(number, "stop", code)
