"""The strict reader of RS274/NGC. In: a program's text. Out: `Reading`: moves, events, what was not read.

Written from NISTIR 6556 (Kramer, Proctor, Messina, 2000), never from a writer. Promise: what it does not
fully know it refuses by line number; where report and public interpreter differ it takes the stricter.
Here a text is gone through, line by line or many at once; what a line does is `rs274_control`'s matter.
"""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

from stockwright.proving.arcs import NotAnArc
from stockwright.proving.program import Reading, Unread
from stockwright.proving.rs274_control import Control
from stockwright.proving.rs274_line import NotALine, plain_text, what_follows, words
from stockwright.proving.rs274_usual import State, as_text, rows, straight

if TYPE_CHECKING:
    from stockwright.proving.rs274_usual import Row

__all__ = ["read", "read_strictly"]

LONGEST = 253  # characters without the line end: the interpreter's 254 bytes with it (the report says 256)
MOST_UNREAD = 20  # enough to see what is wrong with a file
STRETCH = 1 << 16  # characters looked at in one go: enough for speed, and little beside a long text
BLANK = re.compile(r"[ \t\r\n]*", re.ASCII)
FEW = 8  # rows: below this, columns cost more than they save
UNPRINTABLE = re.compile(r"[^\x20-\x7e\t]", re.ASCII)


def read(text: str, machine: tuple[float, float, float] | None = None) -> Reading:
    """Read a program. Lines not understood are listed, 20 at most; nothing after the first is executed.

    `machine`: where the machine frame's zero lies, work frame, mm; without it that frame is refused.

    Stretches of plain straight moves are read many lines at once, with what `read_strictly` would give.
    """
    return _Text(text, machine).run(strictly=False)


def read_strictly(text: str) -> Reading:
    """Read a program as `read` does, every line taken apart by itself: the reference, and slower."""
    return _Text(text).run(strictly=True)


class _Text:
    """A text on its way through a control."""

    def __init__(self, text: str, machine: tuple[float, float, float] | None = None) -> None:
        self.text = text
        self.count = text.count("\n") + (not text.endswith("\n") and text != "")
        self.control = Control(self.count, machine)
        self.unread: list[Unread] = []
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
        if not self.control.ended and not self.unread:
            message = "the program has no end: M2 or M30 belongs here"
            self.unread.append(Unread(max(1, self.count), message, "no-end"))
        elif (
            self.control.ended and (more := what_follows(self.text, self.control.events[-1].line)) is not None
        ):
            self.unread.append(Unread(*more))
        done = self.control
        words = tuple((f"{letter}{code:g}", *first) for (letter, code), first in done.words.items())
        return Reading(
            done.track.moves(), tuple(done.events), frozenset(done.stated), tuple(self.unread), words
        )

    def _over(self) -> bool:
        return self.control.ended or len(self.unread) >= MOST_UNREAD

    def _stretch(self, found: list[Row], number: int) -> None:
        """Do the lines of a stretch: those between two that are not usual at once."""
        others = [k for k, row in enumerate(found) if row[5]]
        for before, other in pairwise([-1, *others, len(found)]):
            # After the end, or a line not understood, a line that is usual asks for nothing.
            if not self.unread and not self.control.ended:
                self._usual(found[before + 1 : other], number + before + 1)
            if other == len(found) or self._over():
                return
            self._line(found[other][5].removesuffix("\n"), number + other)

    def _usual(self, block: list[Row], number: int) -> None:
        """Do usual lines: many at once wherever what holds lets them be straight moves."""
        k, control = 0, self.control
        while k < len(block) and not self.unread:
            done = 0
            known = control.motion in {0, 10} or block[k][0]
            if known and len(block) - k > FEW and not (control.inverse_time or control.incremental):
                x, y, z = control.here
                moves = straight(block[k:], State(control.motion, (x, y, z), control.unit, control.feed))
                done = len(moves.ends)
            if done:
                control.track.add_many(number + k, moves.ends, moves.feeds, control.turning * control.speed)
                control.here = list(moves.after.here)
                control.motion, control.feed = moves.after.motion, moves.after.feed
                control.moved = True
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
                    self.control.execute(block, number)
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
