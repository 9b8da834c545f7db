"""The writer that word-address dialects share. In: a `Program` and the traits. Out: lines of text.

Promise: each kind of node goes out by the table `WordAddress.writes`, or is refused with a remedy; there is
no other way out. Motion is absolute, in straight lines, one word of machine action a line, and every program
is whole: it states its modes, stops the spindle and ends. It never says a machine-frame or offset word.

A dialect is a subclass, or an instance with other traits. A subclass may override `refuses` and the methods
named in `writes`; each gives the words of its lines, without line number and line end.
"""

from __future__ import annotations

import hashlib
import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar

from stockwright.findings import Refused
from stockwright.motion.nodes import (
    Dust,
    Dwell,
    Feed,
    Node,
    Pause,
    Probe,
    Program,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.posting.digits import MM_PER_INCH, Way, count, counts, digits, snap
from stockwright.posting.plain_text import wrapped
from stockwright.posting.post import Refusal
from stockwright.posting.refusing import refusals, slanting, too_long, too_near_to_touch
from stockwright.posting.traits import Traits, Units
from stockwright.posting.wording import described

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from typing import Self

    from stockwright.findings import Finding

__all__ = ["Said", "WordAddress"]

_STEM = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*", re.ASCII)
LEAST_TOUCH = 0.254  # mm: from nearer a probing move is an error (NISTIR 6556, 3.5.9)
_DIGEST = 4  # letters of a digest that keep two shortened names apart: 1 in 65536


@dataclass
class Said:
    """What the text has said so far: the memory of one program being written.

    `at` holds whole counts of the resolution, None where no word has stated the axis; `word` the motion word
    that holds, `feed` the F that holds (a count), both None where they must be said again; `last` is the last
    line that acts.
    """

    program: Program
    units: Units
    at: list[int | None] = field(default_factory=lambda: [None, None, None])
    word: str | None = None
    feed: int | None = None
    before: Node | None = None
    after: Node | None = None
    last: str = ""

    def forget(self) -> None:
        """Say everything again: somebody else may have moved the machine."""
        self.at = [None, None, None]
        self.word = self.feed = None


class WordAddress:
    """A word-address dialect: traits, and a table from node to words."""

    name: str = ""
    reader: str | None = None
    about: str = ""
    traits: Traits = Traits()
    refuses: ClassVar[Mapping[type, Refusal]] = {}

    def __init__(
        self, *, name: str | None = None, about: str | None = None, traits: Traits | None = None
    ) -> None:
        self.name = self.name if name is None else name
        self.about = self.about if about is None else about
        self.traits = self.traits if traits is None else traits

    def like(self, *, name: str, about: str, traits: Traits) -> Self:
        """Give the same dialect with other traits, read back by the same reader."""
        return type(self)(name=name, about=about, traits=traits)

    # -- what it says it can do ----------------------------------------------------------------------------

    def writes(self) -> dict[type, Callable[[Any, Said], Iterable[str]]]:
        """Give the table: kind of node -> the method that gives its lines."""
        table: dict[type, Callable[[Any, Said], Iterable[str]]] = {
            Remark: self.remark,
            UseTool: self.use_tool,
            SpindleOn: self.spindle_on,
            SpindleOff: self.spindle_off,
            Rapid: self.rapid,
            Feed: self.cut,
            Probe: self.probe,
            Dwell: self.dwell,
            Pause: self.pause,
            Dust: self.dust,
        }
        refused = self.refused()
        return {node: method for node, method in table.items() if node not in refused}

    def written(self) -> frozenset[type]:
        """Give the kinds of nodes it writes."""
        return frozenset(self.writes())

    def refused(self) -> dict[type, Refusal]:
        """Give the kinds of nodes it refuses: its class's, and what its traits leave no word for."""
        refused = dict(self.refuses)
        if self.traits.dwell_unit == "none":
            refused.setdefault(
                Dwell,
                Refusal(
                    "it has no dwell word whose unit is sure",
                    "use a high approach instead of waiting, or state dwell-unit in a profile",
                ),
            )
        if self.traits.pause_word is None:
            refused.setdefault(
                Pause,
                Refusal("it has no word that waits", "end the program there and begin another one"),
            )
        if self.traits.probe_word is None:
            refused.setdefault(
                Probe,
                Refusal(
                    "it has no word that stops at a touch",
                    "read by hand, or state probe-word in a profile where it has one",
                ),
            )
        return refused

    @property
    def extension(self) -> str:
        """File extension without its dot."""
        return self.traits.extension

    def resolution(self, units: Units) -> float:
        """Give the smallest step of a position, mm."""
        step: float = 10.0 ** -self.traits.decimals(units)
        return step if units == "mm" else step * MM_PER_INCH

    def snap(self, mm: float, units: Units, way: Way = "nearest") -> float:
        """Give the position in mm that the text will say, rounded the asked way."""
        return snap(mm, units, self.traits.decimals(units), way)

    def describe(self) -> str:
        """Say in words what the dialect does."""
        return described(self)

    def file_name(self, stem: str) -> str:
        """Give the file name for a program's stem; one too long keeps its start and a digest of the whole.

        Raises ValueError for a stem that is not lower-case letters, digits and single hyphens.
        """
        if not _STEM.fullmatch(stem):
            raise ValueError(f"{stem!r} is no stem of a file name")
        traits = self.traits
        plain = stem if traits.name_hyphens else stem.replace("-", "")
        if len(plain) > traits.name_length:
            digest = hashlib.sha256(stem.encode()).hexdigest()[:_DIGEST]
            plain = plain[: traits.name_length - min(_DIGEST, traits.name_length - 1)].rstrip("-")
            plain = (plain + digest)[: traits.name_length]
        name = f"{plain}.{traits.extension}"
        return name.upper() if traits.name_case == "upper" else name.lower()

    def refusals(self, program: Program, units: Units) -> tuple[Finding, ...]:
        """Give what it refuses in this program, all at once."""
        return refusals(self, program, units)

    # -- the text -------------------------------------------------------------------------------------------

    def write(self, program: Program, units: Units) -> str:
        """Give the whole text. Raises Refused."""
        return "".join(self.lines(program, units))

    def lines(self, program: Program, units: Units) -> Iterator[str]:
        """Give the text line by line, line ends included. Raises Refused before the first line.

        A line longer than the dialect takes is refused where it would stand.
        """
        refused = self.refusals(program, units)
        if refused:
            raise Refused(refused)
        traits = self.traits
        newline, number = traits.newline, 0
        if traits.percent:
            yield "%" + newline
        for words in self._all(program, units):
            line = words
            if traits.line_number_step:
                number += traits.line_number_step
                if number > traits.line_number_limit:
                    number = traits.line_number_step
                line = f"N{number} {words}" if traits.spaced else f"N{number}{words}"
            if len(line) > traits.line_length:
                raise Refused((too_long(self, program, line),))
            yield line + newline
        if traits.percent:
            yield "%" + newline

    def _all(self, program: Program, units: Units) -> Iterator[str]:
        said, table, nodes = Said(program, units), self.writes(), program.nodes
        yield from self.header(said)
        for index, node in enumerate(nodes):
            said.after = nodes[index + 1] if index + 1 < len(nodes) else None
            for words in table[type(node)](node, said):
                if not words.startswith("("):
                    said.last = words
                yield words
            said.before = node
        yield from self.end(said)

    def header(self, said: Said) -> Iterator[str]:
        """Say what the program is, then put every mode in a known state."""
        program, traits = said.program, self.traits
        for text in (
            program.title,
            f"program: {program.stem}",
            f"setup: {program.setup}",
            f"tool: {program.tool.number} {program.tool.name}",
            f"zero: {program.touch_off}",
        ):
            yield from self.comment(text)
        word = traits.units_word(said.units)
        if word is not None:
            yield word
        yield from traits.start_words
        if traits.work_frame is not None:
            yield traits.work_frame
        if not any(isinstance(node, SpindleOn) for node in program.nodes):
            yield self.code("M", 5)  # a program with the spindle off does not take it from others that it is

    def end(self, said: Said) -> Iterator[str]:
        """Stop the spindle, whatever was said before, and end."""
        if said.last != self.code("M", 5):
            yield self.code("M", 5)
        yield from self.traits.end_words

    def comment(self, text: str) -> Iterator[str]:
        """Give people's text as comment lines, made harmless; nothing where the dialect has no comments."""
        traits = self.traits
        if traits.comments == "none":
            return
        number = len(f"N{traits.line_number_limit} ") if traits.line_number_step else 0
        width = min(traits.comment_length, traits.line_length - number) - len("()")
        for line in wrapped(text, width):
            yield f"({line})"

    def code(self, letter: str, number: int) -> str:
        """Give a G or M word with the dialect's number of digits."""
        return f"{letter}{number:0{self.traits.code_digits}d}"

    # -- one method a kind of node --------------------------------------------------------------------------

    def remark(self, node: Remark, said: Said) -> Iterable[str]:  # noqa: ARG002 - every method has one shape
        """Give text for people, as comments."""
        return self.comment(node.text)

    def use_tool(self, node: UseTool, said: Said) -> Iterator[str]:
        """Change the tool by the dialect's way; where it has none, the header has named it."""
        change = self.traits.tool_change
        if change == "none":
            return
        yield self.code("M", 5)
        yield from self.comment(f"tool: {node.number} {node.name}")
        if change == "word":
            yield f"T{node.number}"
            yield self.code("M", 6)
        elif self.traits.pause_word is not None:
            yield self.traits.pause_word
        said.forget()

    def spindle_on(self, node: SpindleOn, said: Said) -> Iterator[str]:
        """Say the speed, start clockwise, and wait as long as the traits say."""
        decimals = self.traits.speed_decimals
        yield "S" + digits(self.speed_count(node.rpm), decimals, point=decimals > 0)
        yield self.code("M", 3)
        if self.traits.spin_up > 0 and not isinstance(said.after, Dwell):
            yield self._wait(self.traits.spin_up)

    def spindle_off(self, node: SpindleOff, said: Said) -> Iterator[str]:  # noqa: ARG002
        """Stop the spindle."""
        yield self.code("M", 5)

    def dwell(self, node: Dwell, said: Said) -> Iterator[str]:
        """Wait; after a spindle start at least as long as the traits say."""
        started = isinstance(said.before, SpindleOn)
        seconds = max(node.seconds, self.traits.spin_up if started else 0.0)
        if seconds > 0:
            yield self._wait(seconds)

    def pause(self, node: Pause, said: Said) -> Iterator[str]:
        """Wait for the person, who is told why and who may have moved the machine."""
        yield from self.comment(node.text)
        if self.traits.pause_word is not None:
            yield self.traits.pause_word
        said.forget()

    def dust(self, node: Dust, said: Said) -> Iterator[str]:  # noqa: ARG002
        """Switch the dust collector's relay, or tell the person to."""
        word = self.traits.dust_on if node.on else self.traits.dust_off
        if word is None:
            yield from self.comment(f"dust collector {'on' if node.on else 'off'}: by hand")
        else:
            yield word

    def rapid(self, node: Rapid, said: Said) -> Iterator[str]:
        """Move without cutting, up, along or down; never slantwise: machines differ in how they go."""
        decimals = self.traits.decimals(said.units)
        to: list[int | None] = [
            None if mm is None else count(mm, said.units, decimals) for mm in (node.x, node.y, node.z)
        ]
        moved = [new is not None and new != old for new, old in zip(to, said.at, strict=True)]
        if moved[2] and (moved[0] or moved[1]):
            raise Refused((slanting(self, said.program),))
        if any(moved):
            said.feed = None  # stated again with the next cutting move
            yield self._move(self.code("G", 0), to, said, "")

    def cut(self, node: Feed, said: Said) -> Iterator[str]:
        """Move in straight lines at a feed; a point that rounds to where the tool is needs no line."""
        feed = self.feed_count(node.feed, said.units)
        decimals = self.traits.feed_decimals(said.units)
        f_word = "F" + digits(feed, decimals, point=decimals > 0)
        for to in counts(node.points, said.units, self.traits.decimals(said.units)):
            if to == said.at:
                continue
            yield self._move(self.code("G", 1), to, said, "" if said.feed == feed else f_word)
            said.feed = feed

    def probe(self, node: Probe, said: Said) -> Iterator[str]:
        """Go straight down until something is touched, its feed on the line; then z must be said again."""
        decimals = self.traits.feed_decimals(said.units)
        f_word = "F" + digits(self.feed_count(node.feed, said.units), decimals, point=decimals > 0)
        floor = count(node.z, said.units, self.traits.decimals(said.units))
        least = math.ceil(LEAST_TOUCH / self.resolution(said.units) - 1e-9)
        if None in said.at or (said.at[2] or 0) - floor < least:
            raise Refused((too_near_to_touch(self, said.program, LEAST_TOUCH),))
        assert self.traits.probe_word is not None
        yield self._move(self.traits.probe_word, [None, None, floor], said, f_word)
        said.at[2] = said.word = said.feed = None

    # -- words ----------------------------------------------------------------------------------------------

    def _move(self, word: str, to: list[int | None] | list[int], said: Said, f_word: str) -> str:
        traits = self.traits
        decimals, point = traits.decimals(said.units), traits.point_always
        words = []
        if not traits.modal_motion or word != said.word:
            words.append(word)
        for axis, letter in enumerate("XYZ"):
            new, old = to[axis], said.at[axis]
            whole = old if new is None else new
            if whole is not None and (whole != old or not traits.modal_axes):
                words.append(letter + digits(whole, decimals, point=point))
            said.at[axis] = whole
        if f_word:
            words.append(f_word)
        said.word = word
        return (" " if traits.spaced else "").join(words)

    def feed_count(self, mm_per_minute: float, units: Units) -> int:
        """Give a feed in mm/min as a whole count of the last decimal of F."""
        return count(mm_per_minute, units, self.traits.feed_decimals(units))

    def speed_count(self, rpm: float) -> int:
        """Give a speed in rpm as a whole count of the last decimal of S."""
        return round(rpm * 10.0**self.traits.speed_decimals)

    def _wait(self, seconds: float) -> str:
        # Milliseconds have no fraction; a wait is rounded to one and never to nothing.
        thousandths = max(1, round(seconds * 1000))
        if self.traits.dwell_unit == "milliseconds":
            length = digits(thousandths, 0, point=False)
        else:
            length = digits(thousandths, 3, point=self.traits.point_always)
        return (" " if self.traits.spaced else "").join((self.code("G", 4), f"P{length}"))
