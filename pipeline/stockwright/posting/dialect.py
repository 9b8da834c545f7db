"""The base of a dialect that does not use word-address lines. In: a `Program`. Out: lines of text.

Promise: everything that all dialects share is here once: whole counts of the resolution, moves that go
nowhere left out, slanting rapids refused, the spindle stopped before the end. A dialect adds its own lines,
and no more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar, Literal

from stockwright.findings import Refused
from stockwright.frozen import frozen
from stockwright.motion.nodes import (
    Arc,
    Dust,
    Dwell,
    Feed,
    Pause,
    Probe,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.posting.digits import Way, count, counts, snap, step_of
from stockwright.posting.file_name import file_name
from stockwright.posting.refusing import no_arc, refusals, slanting, too_long

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from stockwright.findings import Finding
    from stockwright.motion.nodes import Node, Program
    from stockwright.posting.post import Refusal
    from stockwright.posting.traits import LineEnding, Units

__all__ = ["Axes", "Basics", "Dialect", "Told"]

# mm a chord may stand off its arc: a tenth of what a wall is judged to; common practice, no source
CHORD_SAGITTA = 0.005
Axes = tuple[int | None, int | None, int | None]


@frozen
class Basics:
    """What every dialect must say of itself, whatever its words are like. One tool a file."""

    units: tuple[Units, ...] = ("mm", "inch")  # what it can be written in
    decimals_mm: int = 3  # decimals kept of a position in mm: the resolution the motion is planned in
    decimals_inch: int = 4
    feed_decimals_mm: int = 1
    feed_decimals_inch: int = 2
    speed_decimals: int = 0
    line_length: int = 250  # characters, line end not counted
    line_ending: LineEnding = "lf"
    tool_change: Literal["none"] = "none"
    machine_zero: tuple[float, float, float] | None = None  # mm, bed frame, where it moves in the machine's
    spin_up: float = 0.0  # seconds to wait after starting the spindle
    extension: str = "txt"
    name_length: int = 60
    name_case: Literal["lower", "upper"] = "lower"
    name_hyphens: bool = True

    def decimals(self, units: Units) -> int:
        """Give the decimals kept of a position."""
        return self.decimals_mm if units == "mm" else self.decimals_inch

    def feed_decimals(self, units: Units) -> int:
        """Give the decimals kept of a feed."""
        return self.feed_decimals_mm if units == "mm" else self.feed_decimals_inch


@dataclass
class Told:
    """What the text has said so far: `at` in whole counts of the resolution, None where an axis is not known.

    `unsure` are the axes that must be said again; `feed` is the feed that was said last, a count; `turning`
    says whether the spindle was left on.
    """

    program: Program
    units: Units
    at: list[int | None] = field(default_factory=lambda: [None, None, None])
    unsure: set[int] = field(default_factory=lambda: {0, 1, 2})
    feed: int | None = None
    turning: bool = False
    before: Node | None = None
    after: Node | None = None


class Dialect:
    """A dialect of lines. A subclass gives the first methods below, each of them lines without end."""

    name: str = ""
    reader: str | None = None
    about: str = ""
    traits: Basics = Basics()
    refuses: ClassVar[Mapping[type, Refusal]] = {}
    # Whether its header asks for the cutter by number, in a word that is read back.
    names_tool: ClassVar[bool] = False

    # -- what a dialect says -------------------------------------------------------------------------------

    def header(self, told: Told) -> Iterable[str]:
        """Say what the program is, in what units, and with which tool."""
        raise NotImplementedError

    def end(self, told: Told) -> Iterable[str]:
        """End; `told.turning` says whether the spindle must still be stopped."""
        raise NotImplementedError

    def rapid_to(self, to: Axes, told: Told) -> Iterable[str]:
        """Move without cutting to `to`, whole counts; `told.at` is where it stands."""
        raise NotImplementedError

    def cut_to(self, to: Axes, feed: int, told: Told) -> Iterable[str]:
        """Move in a straight line at `feed`, a count; `told.feed` is the one that was said last."""
        raise NotImplementedError

    def remark(self, text: str) -> Iterable[str]:
        """Give text for people. It must not become a word, whatever it says."""
        raise NotImplementedError

    def wait(self, seconds: float) -> Iterable[str]:
        """Wait, spindle as it is."""
        raise NotImplementedError

    def spindle_on(self, rpm: int, told: Told) -> Iterable[str]:
        """Turn clockwise at `rpm`, a count of the last decimal of the speed."""
        raise NotImplementedError

    def spindle_off(self, told: Told) -> Iterable[str]:
        """Stop the spindle."""
        raise NotImplementedError

    def pause(self, text: str, told: Told) -> Iterable[str]:
        """Wait for the person."""
        raise NotImplementedError

    def dust(self, on: bool, told: Told) -> Iterable[str]:
        """Switch the dust collector, or tell the person to."""
        raise NotImplementedError

    def touch(self, to: Axes, feed: int, told: Told) -> Iterable[str]:
        """Go straight down until something is touched. A dialect without such a word refuses `Probe`."""
        raise NotImplementedError

    def words(self) -> Iterable[str]:
        """Give the sentences of `posts show` that are this dialect's own."""
        return ()

    def may_not(self, program: Program, units: Units) -> Iterable[Finding]:  # noqa: ARG002
        """Give what this dialect refuses beyond kinds of nodes; nothing, unless overridden."""
        return ()

    # -- what all of them have -----------------------------------------------------------------------------

    def writes(self) -> dict[type, Callable[[Any, Told], Iterable[str]]]:
        """Give the table: kind of node -> the method that gives its lines."""
        table: dict[type, Callable[[Any, Told], Iterable[str]]] = {
            Remark: lambda node, told: self.remark(node.text),  # noqa: ARG005
            UseTool: lambda node, told: (),  # noqa: ARG005 - one tool a file, and the header names it
            SpindleOn: self._spindle_on,
            SpindleOff: self._spindle_off,
            Rapid: self._rapid,
            Feed: self._cut,
            Arc: self._arc,
            Probe: self._touch,
            Dwell: self._dwell,
            Pause: self._pause,
            Dust: lambda node, told: self.dust(node.on, told),
        }
        return {node: method for node, method in table.items() if node not in self.refuses}

    def written(self) -> frozenset[type]:
        """Give the kinds of nodes it writes."""
        return frozenset(self.writes())

    def refused(self) -> dict[type, Refusal]:
        """Give the kinds of nodes it refuses."""
        return dict(self.refuses)

    @property
    def extension(self) -> str:
        """File extension without its dot."""
        return self.traits.extension

    def resolution(self, units: Units) -> float:
        """Give the smallest step of a position, mm."""
        return step_of(self.traits.decimals(units), units)

    def snap(self, mm: float, units: Units, way: Way = "nearest") -> float:
        """Give the position in mm that the text will say, rounded the asked way."""
        return snap(mm, units, self.traits.decimals(units), way)

    def feed_count(self, mm_per_minute: float, units: Units) -> int:
        """Give a feed in mm/min as a whole count of the last decimal of a feed."""
        return count(mm_per_minute, units, self.traits.feed_decimals(units))

    def speed_count(self, rpm: float) -> int:
        """Give a speed in rpm as a whole count of the last decimal of a speed."""
        return round(rpm * 10.0**self.traits.speed_decimals)

    def file_name(self, stem: str) -> str:
        """Give the file name for a program's stem. Raises ValueError for what is no stem."""
        return file_name(stem, self.traits)

    def describe(self) -> str:
        """Say in words what the dialect does."""
        traits = self.traits
        lines = [
            f"{self.name}: {self.about}",
            f"proof: read back by {self.reader}"
            if self.reader
            else "proof: no reader; its packets are unproven",
        ]
        lines += [
            f"{units}: {traits.decimals(units)} decimals, feed {traits.feed_decimals(units)}, "
            f"step {self.resolution(units):g} mm"
            for units in traits.units
        ]
        lines += self.words()
        end = "CR LF" if traits.line_ending == "cr-lf" else "LF"
        lines += [
            f"lines: at most {traits.line_length} characters, ending in {end}",
            "spindle: started, " + (f"then a wait of {traits.spin_up:g} s" if traits.spin_up else "no wait"),
            "tool change: none, one file a tool",
            f"files: .{self.extension}, {traits.name_length} characters before it, {traits.name_case} case"
            + ("" if traits.name_hyphens else ", letters and digits only"),
        ]
        lines += [
            f"refuses {node.__name__}: {why.why}; {why.remedy}"
            for node, why in sorted(self.refuses.items(), key=lambda each: each[0].__name__)
        ]
        return "\n".join(lines) + "\n"

    def refusals(self, program: Program, units: Units) -> tuple[Finding, ...]:
        """Give what it refuses in this program, all at once."""
        return (*refusals(self, program, units), *self.may_not(program, units))

    def write(self, program: Program, units: Units) -> str:
        """Give the whole text. Raises Refused."""
        return "".join(self.lines(program, units))

    def lines(self, program: Program, units: Units) -> Iterator[str]:
        """Give the text line by line, line ends included. Raises Refused before the first line."""
        refused = self.refusals(program, units)
        if refused:
            raise Refused(refused)
        newline = "\r\n" if self.traits.line_ending == "cr-lf" else "\n"
        longest = self.traits.line_length
        for line in self._all(program, units):
            if len(line) > longest:
                raise Refused((too_long(self, program, line),))
            yield line + newline

    def _all(self, program: Program, units: Units) -> Iterator[str]:
        told, table, nodes = Told(program, units), self.writes(), program.nodes
        yield from self.header(told)
        for index, node in enumerate(nodes):
            told.after = nodes[index + 1] if index + 1 < len(nodes) else None
            yield from table[type(node)](node, told)
            told.before = node
        yield from self.end(told)

    def _rapid(self, node: Rapid, told: Told) -> Iterator[str]:
        decimals = self.traits.decimals(told.units)
        asked = tuple(
            None if mm is None else count(mm, told.units, decimals) for mm in (node.x, node.y, node.z)
        )
        moved = [new is not None and new != old for new, old in zip(asked, told.at, strict=True)]
        if moved[2] and (moved[0] or moved[1]):
            raise Refused((slanting(self, told.program),))
        named = {axis for axis, new in enumerate(asked) if new is not None}
        if any(moved) or named & told.unsure:
            to = [old if new is None else new for new, old in zip(asked, told.at, strict=True)]
            yield from self.rapid_to((to[0], to[1], to[2]), told)
            told.at = to
        told.unsure -= named

    def _cut(self, node: Feed, told: Told) -> Iterator[str]:
        feed = self.feed_count(node.feed, told.units)
        for x, y, z in counts(node.points, told.units, self.traits.decimals(told.units)):
            to = [x, y, z]
            if to != told.at or told.unsure:
                yield from self.cut_to((x, y, z), feed, told)
                told.at, told.feed = list(to), feed
                told.unsure.clear()

    def _arc(self, node: Arc, told: Told) -> Iterator[str]:
        """Lay an arc out as chords: nothing else is sure to be understood alike everywhere."""
        from stockwright.motion.arcs import chords

        step = self.resolution(told.units)
        here = [math.nan if whole is None else whole * step for whole in told.at]
        try:
            points = chords(here, node, CHORD_SAGITTA)
        except ValueError as error:
            raise Refused((no_arc(self, told.program, str(error)),)) from None
        yield from self._cut(Feed(points, node.feed), told)

    def _touch(self, node: Probe, told: Told) -> Iterator[str]:
        floor = count(node.z, told.units, self.traits.decimals(told.units))
        feed = self.feed_count(node.feed, told.units)
        yield from self.touch((told.at[0], told.at[1], floor), feed, told)
        told.at[2] = told.feed = None
        told.unsure.add(2)

    def _spindle_on(self, node: SpindleOn, told: Told) -> Iterator[str]:
        yield from self.spindle_on(self.speed_count(node.rpm), told)
        told.turning = True
        if self.traits.spin_up > 0 and not isinstance(told.after, Dwell):
            yield from self.wait(self.traits.spin_up)

    def _spindle_off(self, node: SpindleOff, told: Told) -> Iterable[str]:  # noqa: ARG002
        told.turning = False
        return self.spindle_off(told)

    def _dwell(self, node: Dwell, told: Told) -> Iterable[str]:
        least = self.traits.spin_up if isinstance(told.before, SpindleOn) else 0.0
        seconds = max(node.seconds, least)
        return self.wait(seconds) if seconds > 0 else ()

    def _pause(self, node: Pause, told: Told) -> Iterator[str]:
        yield from self.pause(node.text, told)
        told.unsure, told.feed = {0, 1, 2}, None  # somebody may have moved the machine
