"""The programs of a trial. In: a dialect that is near, units, the room. Out: the programs' texts.

Promise: every text is inspected before it is handed out: every word of every line by itself and, where the
dialect's reader knows the words, the whole text by that reader. A text that is not harmless is not handed
out.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.frozen import frozen
from stockwright.motion.nodes import Arc, Dwell, Feed, Node, Pause, Program, Remark
from stockwright.tooling import Tool
from stockwright.trying.questions import QUESTIONS
from stockwright.units import INCH

if TYPE_CHECKING:
    from stockwright.posting.traits import Traits, Units
    from stockwright.posting.word_address import WordAddress
    from stockwright.trying.questions import Try
    from stockwright.trying.room import Room

__all__ = ["Made", "Trial", "trial_of"]

FEED = 300.0  # mm/min: slow enough to stop by hand
_REACH = 2.5  # sizes
NO_TOOL = Tool(
    name="no-cutter",
    number=1,
    kind="end-mill",
    does=(),
    diameter=1.0,
    cutting_length=1.0,
    shank_diameter=1.0,
    overall_length=2.0,
    gripped=1.0,
    grip_wanted=1.0,
    stickout=1.0,
    marked_max_rpm=None,
    flutes=1,
    centre_cutting=False,
    ramp=0.0,
    corner_radius=0.0,
    rpm=1.0,
    feed=FEED,
    plunge_feed=FEED,
    stepover=1.0,
    stepdown=1.0,
    assembly=(),
)
_WORD = re.compile(r"([A-Z])([-+]?[0-9]+(?:\.[0-9]+)?)", re.ASCII)
# All that a trial may say: modes, units, frames, straight moves, arcs, a wait, a stop, an end, M5.
_G = frozenset(
    {0, 1, 2, 3, 4, 15, 17, 20, 21, 40, 49, 54, 55, 56, 57, 58, 59, 61, 64, 69, 70, 71, 80, 90, 94, 97}
)
_M = frozenset({0, 2, 5, 30})
_LETTERS = frozenset("NGXYZIJRFPM")


@frozen
class Made:
    """One program of a trial; `read` says whether the dialect's reader has read it back."""

    question: str
    letter: str
    file: str
    text: str
    read: bool


@frozen
class Trial:
    """What is given: the programs, in the order in which they are run."""

    post: WordAddress
    units: Units
    size: float
    room: Room
    programs: tuple[Made, ...]


def trial_of(post: WordAddress, units: Units, room: Room) -> Trial:
    """Write the programs. Raises ValueError where one would not be harmless."""
    # A size that is a short number in the units it is written in, and never larger than the room's.
    size = room.size if units == "mm" else math.floor(room.size / INCH * 100) / 100 * INCH
    plain = replace(
        post.traits,
        units=(units,),
        comments="none",
        line_number_step=0,
        line_number_limit=99999,
        percent=False,
        work_frame=None,
        start_words=("G17", "G90"),
        arcs="none",
        retract="work",
        spin_up=0.0,
        dust_on=None,
        dust_off=None,
        dust_on_delay=0.0,
        dust_off_delay=0.0,
        tool_change="none",
        rapid_feed=0.0,
        restate_modes=False,
        trailing_zeros=False,
        plus_sign=False,
        least_digits=1,
    )
    made = []
    for number, question in enumerate(QUESTIONS, 1):
        for each in question.tries:
            stem = f"t{number:02d}{each.letter}"
            text, read = _written(post, plain, units, size, stem, each)
            made.append(Made(question.name, each.letter, f"{stem}.{post.extension}", text, read))
    return Trial(post, units, size, room, tuple(made))


def _written(
    post: WordAddress, plain: Traits, units: Units, size: float, stem: str, each: Try
) -> tuple[str, bool]:
    traits = replace(plain, **each.traits)
    if each.figure == "stairs":
        traits = replace(traits, line_length=253, comment_length=250)
    nodes = _figure(each.figure, size)
    program = Program(stem, "trial", 0, "outline", NO_TOOL, nodes, (), "in the air")
    text = post.like(name=post.name, about=post.about, traits=traits).write(program, units)
    _look_at_words(text, stem, size, units)
    return text, _look_at_reading(text, stem, size, post.reader)


def _figure(name: str, s: float) -> tuple[Node, ...]:
    """Give the moves of a figure of size `s`, mm, all at the height where the work zero was set."""
    square = [(0.0, 0.0), (s, 0.0), (s, s), (0.0, s), (0.0, 0.0)]
    if name == "square":
        return (_line([(s, s)]), _line([(x + s, y + s) for x, y in square]), _line([(0.0, 0.0)]))
    if name == "squares":
        return tuple(_line(square) for _ in range(3))
    if name == "circle":
        ways = [(0.0, s), (-s, 0.0), (0.0, -s), (s, 0.0)]
        arcs = [Arc((0.0, 0.0), (x, y, 0.0), False, FEED) for x, y in ways]
        return (_line([(0.0, 0.0), (s, 0.0)]), *arcs, _line([(0.0, 0.0)]))
    if name == "stairs":
        nodes: list[Node] = [_line([(0.0, 0.0)])]
        for k, length in enumerate((60, 80, 128, 250), 1):
            nodes += [Remark("x" * (length - 2)), _line([(s * k / 2, 0.0)])]
        return tuple(nodes)
    there, back = _line([(0.0, 0.0), (s, 0.0)]), _line([(0.0, 0.0)])
    if name == "wait":
        return (there, Dwell(3.0), back)
    if name == "pause":
        return (there, Pause("let it go on"), back)
    return (there, back)


def _line(points: list[tuple[float, float]]) -> Feed:
    import numpy as np

    return Feed(np.array([(x, y, 0.0) for x, y in points]), FEED)


def _look_at_words(text: str, stem: str, size: float, units: Units) -> None:
    """Look at each word of a text. Raises ValueError for one that a trial may not say."""
    reach = size * _REACH / (INCH if units == "inch" else 1.0)
    for line in re.sub(r"\([^()]*\)", "", text).splitlines():
        rest = _WORD.sub("", line).strip()
        if rest not in {"", "%"}:
            raise ValueError(f"{stem}: {line!r} is not made of words")
        words = [(letter, float(value)) for letter, value in _WORD.findall(line)]
        waits = ("G", 4.0) in words
        for letter, value in words:
            if (
                letter not in _LETTERS
                or (letter == "G" and value not in _G)
                or (letter == "M" and value not in _M)
            ):
                raise ValueError(f"{stem}: {letter}{value:g} may not stand in a trial")
            if (letter == "Z" and value != 0) or (letter in "XYIJR" and abs(value) > reach and not waits):
                raise ValueError(f"{stem}: {letter}{value:g} goes too far")
            if waits and letter in "PX" and value > 3:
                raise ValueError(f"{stem}: {letter}{value:g} waits too long")


def _look_at_reading(text: str, stem: str, size: float, reader: str | None) -> bool:
    """Read a text back; say whether all of it was understood. Raises ValueError for what is not harmless."""
    from stockwright.proving.readers import READERS

    if reader not in READERS:
        return False
    reading = READERS[reader](text)
    if reading.unread:
        return False
    for event in reading.events:
        if (event.kind == "spindle" and event.note != "off") or event.kind in {"dust", "tool", "select"}:
            raise ValueError(f"{stem}: line {event.line} is read as {event.kind} {event.value:g}")
    for end in reading.moves.end.tolist():
        if end[2] != 0 or math.hypot(end[0], end[1]) > size * _REACH * math.sqrt(2):
            raise ValueError(f"{stem}: a move is read to {end}")
    return True
