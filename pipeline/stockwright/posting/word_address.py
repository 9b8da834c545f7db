"""The writer that word-address dialects share. In: a `Program` and the traits. Out: lines of text.

Promise: each kind of node is written by the table `WordAddress.writes`, or refused with a remedy; there is no
other way out. Motion is absolute, with one machine action on a line, and every program is complete: it states
its modes, stops the spindle and ends. It never writes an offset, and uses the machine frame only for a
declared retract.

A dialect is a subclass, or an instance with other traits. A subclass may override `refuses` and the methods
named in `writes`; each gives the words of its lines, without line number and line end.
"""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING, Any, ClassVar

from stockwright.findings import Refused
from stockwright.motion.nodes import (
    Arc,
    Dust,
    Dwell,
    Feed,
    Pause,
    Probe,
    Program,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.posting.digits import Way, count, digits, snap
from stockwright.posting.motion_words import MotionWords
from stockwright.posting.plain_text import bare, wrapped
from stockwright.posting.post import Refusal
from stockwright.posting.refusing import refusals, too_big, too_long
from stockwright.posting.said import Said
from stockwright.posting.traits import Traits, Units
from stockwright.posting.wording import described

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from typing import Self

    from stockwright.findings import Finding

__all__ = ["Said", "WordAddress"]

# Lines that are made and counted together: enough for speed, few enough to be no burden.
_BLOCK = 4096


class WordAddress(MotionWords):
    """A word-address dialect: traits, and a table from node to words."""

    name: str = ""
    reader: str | None = None
    about: str = ""
    traits: Traits = Traits()
    refuses: ClassVar[Mapping[type, Refusal]] = {}
    # What its control takes from a person's hand beyond what the traits write: the proof refuses the rest.
    also_takes: ClassVar[tuple[str, ...]] = ()
    takes_whole_numbers: ClassVar[bool] = False  # X15 is 15, as X15.0 is

    def __init__(
        self, *, name: str | None = None, about: str | None = None, traits: Traits | None = None
    ) -> None:
        self.name = self.name if name is None else name
        self.about = self.about if about is None else about
        super().__init__(self.traits if traits is None else traits)

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
            Arc: self.arc,
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
                    "approach from higher up, or state dwell-unit in a profile",
                ),
            )
        if not self.traits.can_pause:
            why = (
                "its stop word may be passed over" if self.traits.pause_word else "it has no word that waits"
            )
            refused.setdefault(Pause, Refusal(why, "end the program there and begin another one"))
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

    def snap(self, mm: float, units: Units, way: Way = "nearest") -> float:
        """Give the position in mm that the text will say, rounded the asked way."""
        return snap(mm, units, self.traits.decimals(units), way)

    def describe(self) -> str:
        """Say in words what the dialect does."""
        return described(self)

    def refusals(self, program: Program, units: Units) -> tuple[Finding, ...]:
        """Give what it refuses in this program, all at once."""
        return refusals(self, program, units)

    # -- the text -------------------------------------------------------------------------------------------

    def write(self, program: Program, units: Units) -> str:
        """Give the whole text. Raises Refused."""
        return "".join("".join(block) for block in self._blocks(program, units))

    def lines(self, program: Program, units: Units) -> Iterator[str]:
        """Give the text line by line, line ends included, a few thousand in the making at a time.

        Raises Refused before the first line; for a line or a file longer than the dialect takes, where it is.
        """
        for block in self._blocks(program, units):
            yield from block

    def _blocks(self, program: Program, units: Units) -> Iterator[list[str]]:
        refused = self.refusals(program, units)
        if refused:
            raise Refused(refused)
        traits = self.traits
        newline, number, step = traits.newline, 0, traits.line_number_step
        sizes, size = traits.file_bytes or traits.file_lines, [0, 0]
        percent = ["%" + newline] if traits.percent else []
        if percent:
            yield percent
        words = self._all(program, units)
        while block := list(islice(words, _BLOCK)):
            if step:
                per, gap = max(1, traits.line_number_limit // step), " " if traits.spaced else ""
                block = [f"N{(number + k) % per * step + step}{gap}{line}" for k, line in enumerate(block)]
                number += len(block)
            if max(map(len, block)) > traits.line_length:
                raise Refused((too_long(self, program, max(block, key=len)),))
            block = [line + newline for line in block]
            if sizes:
                size[0] += sum(map(len, block))
                size[1] += len(block)
                for at, what in enumerate(("bytes", "lines")):
                    limit = (traits.file_bytes, traits.file_lines)[at]
                    ends = 2 * (len(percent[0]), 1)[at] if percent else 0
                    if 0 < limit < size[at] + ends:
                        raise Refused((too_big(self, program, size[at] + ends, limit, what),))
            yield block
        if percent:
            yield percent

    def _all(self, program: Program, units: Units) -> Iterator[str]:
        said, table, nodes = Said(program, units, top=self._top(program, units)), self.writes(), program.nodes
        yield from self.header(said)
        for index, node in enumerate(nodes):
            said.after = nodes[index + 1] if index + 1 < len(nodes) else None
            if isinstance(node, Feed):
                said.last = ""  # a move, if it goes anywhere: nothing that the end need know of
                yield from table[Feed](node, said)
            else:
                for words in table[type(node)](node, said):
                    if not words.startswith("("):
                        said.last = words
                    yield words
            said.before = node
        yield from self.end(said)

    def _top(self, program: Program, units: Units) -> int | None:
        heights = [node.z for node in program.nodes if isinstance(node, Rapid) and node.z is not None]
        return count(max(heights), units, self.traits.decimals(units)) if heights else None

    def header(self, said: Said) -> Iterator[str]:
        """Say what the program is, then put every mode in a known state."""
        program = said.program
        for text in (
            program.title,
            f"program: {program.stem}",
            f"setup: {program.setup}",
            f"tool: {program.tool.number} {program.tool.name}",
            f"zero: {program.touch_off}",
        ):
            yield from self.comment(text)
        yield from self.modes(said)
        if not any(isinstance(node, SpindleOn) for node in program.nodes):
            yield self.code("M", 5)  # a program with the spindle off does not take it from others that it is
        yield from self.retract(said)

    def end(self, said: Said) -> Iterator[str]:
        """Stop the spindle, whatever was said before, and end."""
        last = said.last
        for words in self.retract(said):
            last = words
            yield words
        if last != self.code("M", 5):
            yield self.code("M", 5)
        yield from self.traits.end_words

    def comment(self, text: str) -> Iterator[str]:
        """Give people's text as comment lines, made harmless; nothing where the dialect has no comments."""
        traits = self.traits
        if traits.comments == "none":
            return
        number = len(f"N{traits.line_number_limit} ") if traits.line_number_step else 0
        width = min(traits.comment_length, traits.line_length - number) - len("()")
        if traits.characters != "plain":
            text = bare(text, signs=traits.characters == "capitals")
        for line in wrapped(text, width):
            yield f"({line})"

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
        speed = "S" + digits(self.speed_count(node.rpm), decimals, point=decimals > 0)
        if self.traits.speed_with_start:
            yield (" " if self.traits.spaced else "").join((speed, self.code("M", 3)))
        else:
            yield speed
            yield self.code("M", 3)
        if self.waited > 0 and not isinstance(said.after, Dwell):
            yield self._wait(self.waited)

    @property
    def waited(self) -> float:
        """Seconds that the program waits after starting the spindle; none where the control does."""
        return self.traits.spin_up if self.traits.spin_up_by == "dwell" else 0.0

    def spindle_off(self, node: SpindleOff, said: Said) -> Iterator[str]:  # noqa: ARG002
        """Stop the spindle."""
        yield self.code("M", 5)

    def dwell(self, node: Dwell, said: Said) -> Iterator[str]:
        """Wait; after a spindle start at least as long as the traits say."""
        started = isinstance(said.before, SpindleOn)
        seconds = max(node.seconds, self.waited if started else 0.0)
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
            return
        if not node.on and self.traits.dust_off_delay > 0:
            yield self._wait(self.traits.dust_off_delay)
        yield word
        if node.on and self.traits.dust_on_delay > 0:
            yield self._wait(self.traits.dust_on_delay)

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
        return (" " if self.traits.spaced else "").join(
            (self.code("G", 4), f"{self.traits.dwell_letter}{length}")
        )
