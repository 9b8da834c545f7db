"""A reader of word-address text for the posts' own tests, from NISTIR 6556, sections 3.2 to 3.8.

It shares nothing with the posts: no table, no constant, no formatter. It reads only the words our programs
need and refuses everything else, so a word too many fails a test. In: text. Out: what a machine would do.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

LINE = re.compile(r"(N[0-9]+ ?)?((?:[A-Z][-+]?[0-9]+(?:\.[0-9]+)? ?)*)(\([^()]*\))?", re.ASCII)
WORD = re.compile(r"([A-Z])([-+]?[0-9]+(?:\.[0-9]+)?)", re.ASCII)
PASSIVE = {"G17", "G40", "G49", "G54", "G61", "G80", "G90", "G94"}


@dataclass
class Done:
    """What happened: moves (kind, x, y, z, feed) in mm, and machine actions, in order."""

    events: list[tuple[Any, ...]] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)
    modes: set[str] = field(default_factory=set)
    ended: bool = False

    @property
    def moves(self) -> list[tuple[Any, ...]]:
        """The moves alone."""
        return [event for event in self.events if event[0] in {"rapid", "feed"}]


def read(text: str) -> Done:
    """Carry a program out. Raises ValueError for anything that is not plain and known."""
    done, scale, motion, feed, speed = Done(), None, None, None, None
    at: list[float | None] = [None, None, None]
    assert text.endswith("\n"), "the last line has no end"
    lines = text.replace("\r\n", "\n").split("\n")[:-1]
    if lines[0] == "%":
        assert lines[-1] == "%", "the closing % is missing"
        lines = lines[1:-1]
    for line in lines:
        match = LINE.fullmatch(line)
        if match is None or done.ended:
            raise ValueError(f"not to be read: {line!r}")
        if match[3]:
            done.comments.append(match[3][1:-1])
        words = [(letter, number) for letter, number in WORD.findall(match[2])]
        if len({letter for letter, _ in words}) < len(words):
            raise ValueError(f"a letter repeats: {line!r}")
        values = {letter: float(number) for letter, number in words}
        codes = {f"{letter}{float(number):g}" for letter, number in words if letter in "GMT"}
        for code in codes:
            if code in {"G20", "G21"}:
                assert feed is None, "units stand after a feed"
                scale = 25.4 if code == "G20" else 1.0
            elif code in {"G0", "G1"}:
                motion = "rapid" if code == "G0" else "feed"
            elif code == "G4":
                done.events.append(("wait", values.pop("P")))
            elif code in {"M3", "M5", "M0", "M2", "M30", "M6"} or code[0] == "T":
                assert len(words) == 1, f"a machine action shares its line: {line!r}"
                if code == "M3":
                    done.events.append(("spindle", speed))
                else:
                    done.events.append((code,))
                done.ended = code in {"M2", "M30"}
            elif code in PASSIVE:
                done.modes.add(code)
            else:
                raise ValueError(f"unknown: {code}")
        if "S" in values:
            speed = values["S"]
        if "F" in values:
            assert scale is not None
            feed = values["F"] * scale
        if {"X", "Y", "Z"} & set(values):
            assert scale is not None, f"motion in no units: {line!r}"
            assert motion is not None, f"motion in no mode: {line!r}"
            at = [
                values[letter] * scale if letter in values else old
                for letter, old in zip("XYZ", at, strict=True)
            ]
            done.events.append((motion, *at, feed if motion == "feed" else None))
        left = set(values) - set("GMTSFXYZ")
        if left:
            raise ValueError(f"unknown letters {left}: {line!r}")
    if not done.ended:
        raise ValueError("no end of program")
    return done
