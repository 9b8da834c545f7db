"""The strict reader of cutter location data as text. In: a program's text. Out: `Reading`.

Written from the vocabulary of ISO 4343 (ISO 3592 for the file), from memory except for the standards' titles,
and never from a writer. Promise: a statement that it does not fully know refuses the file; RAPID holds for
the next motion alone; what depends on the receiver (raw code, cycles, circles, relays) is refused.

FROM states where the tip stands at the start and moves nothing. How the tip gets there is up to the person,
so FROM is read as the way there: straight up from an unknown place, then along, without cutting.
"""

from __future__ import annotations

import math
import re

from stockwright.proving.program import Event, Reading, Unread
from stockwright.proving.track import Track
from stockwright.proving.unreadable import MOST_UNREAD, NotRead, number, numbered, sound

__all__ = ["read"]

COLUMNS = 72  # a card's columns 73 to 80 hold numbers for people; text there is no statement
UNITS = {"MM": 1.0, "INCHES": 25.4}
MINOR = re.compile(r"[A-Z0-9.+-]+", re.ASCII)
# Words of the vocabulary that a program must not use if it is to be proven; from memory of ISO 4343.
KNOWN_ELSEWHERE = {
    *("AIR", "ARCSLP", "CIRCLE", "CLAMP", "CLEARP", "COOLNT", "COUPLE", "CUTCOM", "CUTTER", "CYCLE", "END"),
    *("GODLTA", "GOHOME", "HEAD", "INSERT", "INTOL", "LEADER", "LOAD", "MACHIN", "MCHTOL", "MODE", "MULTAX"),
    *("OPSKIP", "ORIGIN", "OUTTOL", "PARTNO", "PITCH", "PIVOTZ", "PREFUN", "RETRCT", "REWIND", "ROTABL"),
    *("ROTHED", "SADDLE", "SAFETY", "SELCTL", "SEQNO", "TIMES", "TLSPEC", "TMARK", "TOOLNO", "TRANS"),
    *("TURRET", "UNLOAD"),
}


def read(text: str) -> Reading:
    """Read a program. Lines not understood are listed, 20 at most; nothing after the first is executed."""
    return _Receiver(text).run()


class _Receiver:
    """The state of a receiver of the data."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.track = Track(text.count("\n") + 1)
        self.unit: float | None = None
        self.feed = 0.0  # mm/min
        self.speed = 0.0  # rpm, below 0 anticlockwise
        self.rapid = False
        self.begun = self.ended = False
        self.events: list[Event] = []
        self.unread: list[Unread] = []
        self.do = {
            "UNITS": self._units,
            "LOADTL": self._tool,
            "SPINDL": self._spindle,
            "FEDRAT": self._feed,
            "RAPID": self._rapid,
            "FROM": self._from,
            "GOTO": self._goto,
            "DELAY": self._delay,
            "STOP": self._stop,
            "OPSTOP": self._stop,
            "FINI": self._end,
        }

    def run(self) -> Reading:
        last, begun, parts = 1, 0, ""
        for line, raw, has_end in numbered(self.text):
            last = line
            try:
                sound(raw, has_end, COLUMNS)
                told = not parts and raw.lstrip(" ").startswith(("PARTNO", "PPRINT"))
                statement = (raw if told else raw.split("$$")[0]).rstrip(" ")
                if statement.endswith("$") and not told:
                    begun = begun or line
                    parts += statement[:-1]
                    continue
                if parts or statement.strip(" "):
                    whole, at = parts + statement, begun or line
                    begun, parts = 0, ""
                    self._statement(whole, at)
            except NotRead as error:
                begun, parts = 0, ""
                self.unread.append(Unread(line, str(error)))
                if len(self.unread) >= MOST_UNREAD:
                    break
        if parts and not self.unread:
            self.unread.append(Unread(last, "a statement goes on ($) past the end of the file"))
        if not self.ended and not self.unread:
            self.unread.append(Unread(last, "the program has no end: FINI belongs here", "no-end"))
        # The language is absolute, and each FEDRAT names its unit; UNITS is demanded before the first number.
        stated = {"distance", "feed mode"} | ({"units"} if self.unit is not None else set())
        return Reading(self.track.moves(), tuple(self.events), frozenset(stated), tuple(self.unread))

    def _statement(self, text: str, line: int) -> None:
        if self.ended:
            raise NotRead("FINI ends the program, and something stands after it")
        text = text.strip(" ")
        if text.startswith("PARTNO"):
            if self.begun:
                raise NotRead("a second PARTNO; a program has one, its first statement")
            self._for_people(text)
            self.begun = True
            return
        if not self.begun:
            raise NotRead("PARTNO is the first statement of a program")
        if text.startswith("PPRINT"):
            self._for_people(text)
            self._rapid_waits("PPRINT")
            return
        major, slash, rest = text.replace(" ", "").partition("/")
        act = self.do.get(major)
        if act is None:
            known = major in KNOWN_ELSEWHERE
            raise NotRead(
                f"{major} is not used in programs that can be proven"
                if known
                else f"cannot read {major[:12]!r}: a word of ISO 4343 belongs here"
            )
        if major != "GOTO":
            self._rapid_waits(major)
        minors = rest.split(",") if slash else []
        for minor in minors:
            if MINOR.fullmatch(minor) is None:
                raise NotRead(f"{major}: cannot read {minor[:12]!r} in its list")
        if not self.unread:
            act(line, major, minors)

    @staticmethod
    def _for_people(text: str) -> None:
        """Refuse text that some receivers would go on reading past the line."""
        if "$" in text:
            raise NotRead("$ in text for people: a receiver may take it for one that goes on")
        if len(text) > len("PARTNO") and text[len("PARTNO")] != " ":
            raise NotRead("PARTNO and PPRINT are six columns, and a space before their text")

    def _rapid_waits(self, major: str) -> None:
        if self.rapid:
            raise NotRead(f"RAPID holds for the next motion, and {major} stands between")

    def _units(self, line: int, major: str, minors: list[str]) -> None:  # noqa: ARG002
        if self.unit is not None:
            raise NotRead("UNITS stands twice")
        if len(minors) != 1 or minors[0] not in UNITS:
            raise NotRead("UNITS is MM or INCHES")
        self.unit = UNITS[minors[0]]

    def _scale(self, major: str) -> float:
        if self.unit is None:
            raise NotRead(f"{major} before UNITS: of which unit?")
        return self.unit

    def _tool(self, line: int, major: str, minors: list[str]) -> None:
        if len(minors) != 1 or not minors[0].isdigit():
            raise NotRead(f"{major} has one number, a whole one")
        if self.speed:
            raise NotRead("a tool is changed with the spindle on; SPINDL/OFF belongs before it")
        self.track.jump([math.nan] * 3)  # the receiver's machine may stand anywhere after a change
        self._event(line, "tool", number(minors[0], major))

    def _spindle(self, line: int, major: str, minors: list[str]) -> None:
        if minors == ["OFF"]:
            self.speed = 0.0
            self._event(line, "spindle", 0.0, "off")
            return
        if len(minors) != 3 or minors[1] != "RPM" or minors[2] not in {"CLW", "CCLW"}:
            raise NotRead("SPINDL is OFF, or a speed, RPM, and CLW or CCLW")
        speed = number(minors[0], major)
        if speed <= 0:
            raise NotRead(f"the speed {speed:g} is not above zero")
        right = minors[2] == "CLW"
        self.speed = speed if right else -speed
        self._event(line, "spindle", self.speed, "on" if right else "anticlockwise")

    def _feed(self, line: int, major: str, minors: list[str]) -> None:  # noqa: ARG002
        if len(minors) != 2 or minors[1] != "PERMIN":
            raise NotRead("FEDRAT is a feed and PERMIN")
        feed = number(minors[0], major)
        if feed <= 0:
            raise NotRead(f"the feed {feed:g} is not above zero")
        self.feed = feed * self._scale(major)

    def _rapid(self, line: int, major: str, minors: list[str]) -> None:  # noqa: ARG002
        if minors:
            raise NotRead("RAPID has no list")
        self.rapid = True

    def _place(self, major: str, minors: list[str]) -> list[float]:
        if len(minors) != 3:
            raise NotRead(f"{major} names x, y and z, three numbers; a tool axis is not proven")
        scale = self._scale(major)
        return [number(minor, major) * scale for minor in minors]

    def _from(self, line: int, major: str, minors: list[str]) -> None:
        to = self._place(major, minors)
        if self.track.count:
            raise NotRead("FROM states the start, and something has moved before it")
        if self.speed:
            raise NotRead("FROM with the spindle on: the person brings the tip there")
        self.track.add(line, [math.nan, math.nan, to[2]], math.nan, 0.0)
        self.track.add(line, to, math.nan, 0.0)

    def _goto(self, line: int, major: str, minors: list[str]) -> None:
        to = self._place(major, minors)
        if not self.rapid and self.feed <= 0:
            raise NotRead("GOTO with neither RAPID nor a feed; FEDRAT belongs before it")
        self.track.add(line, to, math.nan if self.rapid else self.feed, self.speed)
        self.rapid = False

    def _delay(self, line: int, major: str, minors: list[str]) -> None:
        if len(minors) != 1:
            raise NotRead("DELAY has one number, seconds")
        seconds = number(minors[0], major)
        if seconds < 0:
            raise NotRead("a delay is not below zero")
        self._event(line, "dwell", seconds)

    def _stop(self, line: int, major: str, minors: list[str]) -> None:
        if minors:
            raise NotRead(f"{major} has no list")
        self._event(line, "stop", 1.0 if major == "OPSTOP" else 0.0)

    def _end(self, line: int, major: str, minors: list[str]) -> None:
        if minors:
            raise NotRead(f"{major} has no list")
        self.ended = True
        self._event(line, "end", 2.0)

    def _event(self, line: int, kind: str, value: float, note: str = "") -> None:
        self.events.append(Event(line, kind, value, self.track.count, note))  # type: ignore[arg-type]
