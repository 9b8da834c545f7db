"""A second reading of cutter location data, for the judge of mutants. In: a text. Out: `Script`.

From the posts' page on `cldata` and from memory of ISO 4343's vocabulary: PARTNO first, FINI last, a major
word, a slash and its list; `$` carries a statement on, `$$` ends what is read of a line, PPRINT is for
people. What a receiver may take in its own way is not in the text: there it stops. Shares nothing with the
proof's reader.
"""

from __future__ import annotations

import math
from decimal import Decimal, InvalidOperation

from mutants.second_text import Note, Script, Step, StopsError

__all__ = ["statements"]

COLUMNS = 72
DIGITS = set("0123456789+-.")
SCALES = {"MM": Decimal(1), "INCHES": Decimal("25.4")}


def statements(text: str) -> Script:
    """Read a whole file."""
    return _Receiver().run(text)


def _number(word: str) -> Decimal:
    try:
        if word and set(word) <= DIGITS:
            return Decimal(word)
    except InvalidOperation:
        pass
    raise StopsError(f"{word} is no number")


class _Receiver:
    def __init__(self) -> None:
        self.out = Script()
        self.at: list[float] = [math.nan] * 3
        self.scale: Decimal | None = None
        self.feed = self.rpm = Decimal(0)
        self.rapid = self.begun = self.over = False
        self.open_at, self.so_far = 0, ""  # a statement that $ carries on, and the line that it began on

    def run(self, text: str) -> Script:
        *lines, rest = text.split("\n")
        for number, raw in enumerate(lines, 1):
            try:
                self.line(raw.removesuffix("\r"), number)
            except StopsError as why:
                self.out.bad = (number, str(why))
                return self.out
        if rest or self.so_far or not self.over:
            self.out.bad = (max(1, len(lines) + bool(rest)), "no end")
        return self.out

    def line(self, line: str, number: int) -> None:
        if len(line) > COLUMNS or not line.isascii() or (line and not line.isprintable()):
            raise StopsError("beyond the card, or no sign of the set")
        if not self.so_far and line.lstrip().startswith(("PARTNO", "PPRINT")):
            self.for_people(line.strip())
            return
        line = line.split("$$", 1)[0].rstrip()
        self.open_at = self.open_at if self.so_far else number
        self.so_far += line.removesuffix("$")
        if line.endswith("$"):
            self.so_far = self.so_far or " "
            return
        whole, self.so_far = self.so_far.replace(" ", ""), ""
        if whole:
            self.say(whole, self.open_at)

    def for_people(self, line: str) -> None:
        word, text = line[:6], line[6:]
        if "$" in text or (text and text[0] != " "):
            raise StopsError("text that a receiver may take for more")
        if self.over or self.rapid or (word == "PARTNO") == self.begun:
            raise StopsError("PARTNO once and first; nothing after RAPID, nor after FINI")
        self.begun = True

    def say(self, whole: str, number: int) -> None:
        if self.over or not self.begun:
            raise StopsError("outside PARTNO and FINI")
        major, slash, tail = whole.partition("/")
        words = tail.split(",") if slash else []
        if self.rapid and major != "GOTO":
            raise StopsError("RAPID is of the next motion, and another word comes")
        match major, words:
            case "UNITS", [name] if name in SCALES and self.scale is None:
                self.scale = SCALES[name]
            case "LOADTL", [name] if name.isdigit() and not self.rpm:
                self.at = [math.nan] * 3
                self.note(number, "tool", float(name))
                if self.moved():
                    self.note(number, "changed", float(name))
            case "SPINDL", ["OFF"]:
                self.rpm = Decimal(0)
                self.note(number, "spindle", 0.0, "off")
            case "SPINDL", [speed, "RPM", "CLW" | "CCLW" as way] if _number(speed) > 0:
                self.rpm = _number(speed) * (1 if way == "CLW" else -1)
                self.note(number, "spindle", float(self.rpm), "on")
            case "FEDRAT", [feed, "PERMIN"] if _number(feed) > 0:
                self.feed = _number(feed) * self.unit()
            case "RAPID", [] if not slash:
                self.rapid = True
            case "FROM", [_, _, _] if not self.rpm and not self.moved():
                # The person brings the tip there: straight up first, then along.
                x, y, z = self.place(words)
                self.step(number, (math.nan, math.nan, z), math.nan, rapid=True)
                self.step(number, (x, y, z), math.nan, rapid=True)
            case "GOTO", [_, _, _] if self.rapid or self.feed > 0:
                speed_along = math.nan if self.rapid else float(self.feed)
                self.step(number, self.place(words), speed_along, rapid=self.rapid)
                self.rapid = False
            case "DELAY", [seconds] if _number(seconds) >= 0:
                self.note(number, "wait", float(_number(seconds)))
            case (("STOP" | "OPSTOP"), []) if not slash:
                self.note(number, "stop", 0.0)
            case "FINI", [] if not slash:
                self.note(number, "end", 0.0)
                self.over = True
            case _:
                raise StopsError(f"{major}: not sure to be taken alike")

    def unit(self) -> Decimal:
        if self.scale is None:
            raise StopsError("in no unit")
        return self.scale

    def place(self, words: list[str]) -> tuple[float, float, float]:
        x, y, z = (float(_number(word) * self.unit()) for word in words)
        return x, y, z

    def moved(self) -> bool:
        return any(isinstance(item, Step) for item in self.out.items)

    def step(self, number: int, to: tuple[float, float, float], feed: float, *, rapid: bool) -> None:
        x, y, z = self.at
        self.out.items.append(Step(number, rapid, (x, y, z), to, feed, float(self.rpm)))
        self.at = list(to)

    def note(self, number: int, what: str, value: float, said: str = "") -> None:
        self.out.items.append(Note(number, what, value, said))
