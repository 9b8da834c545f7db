"""Cutter location data in the words of ISO 4343, as text. In: motion. Out: statements of 72 columns at most.

From the vocabulary of ISO 4343 (ISO 3592 gives the file), from memory of the standards but for the titles.
What receivers are sure to agree on is used: straight moves of the tip, no cycle, no circle, no raw code.
A move states all three coordinates here, so the way to the first place is the person's: FROM names it.
Proven by the reader `cldata`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.motion import Arc, Feed, Probe, Rapid, SpindleOn
from stockwright.posting import Basics, Dialect, Refusal, cannot_say, count, digits, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from stockwright.findings import Finding
    from stockwright.motion import Program
    from stockwright.posting import Axes, Told, Units

TEXT = 72 - len("PARTNO ")  # columns left for people's text


class Cldata(Dialect):
    """One statement a line: a major word, a slash, its list."""

    name = "cldata"
    reader = "cldata"
    about = "cutter location data in the words of ISO 4343, for a receiver that writes its own code"
    names_tool = True
    traits = Basics(
        line_length=72,  # the columns of a punched card, which the text form keeps
        spin_up=3.0,
        extension="cld",
    )
    refuses = {  # noqa: RUF012 - a table
        Probe: Refusal(
            "its vocabulary has no move that stops at a touch",
            "measure with a dialect that has a probing move",
        ),
    }

    def words(self) -> Iterable[str]:
        """Say what the statements are."""
        return (
            "statements: ISO 4343 words, numbers always with a point, UNITS stated first",
            "motion: straight lines only, absolute; arcs as chords; all axes on every GOTO",
            "start: PARTNO, UNITS, LOADTL; FROM names the place that the person brings the tip to",
            "rapids: RAPID before each",
            "dwell: DELAY in seconds",
            "pause: PPRINT, then STOP",
            "probing move: none",
            "comments: PPRINT",
            "dust collector: by hand",
            "end: SPINDL/OFF, FINI",
        )

    def may_not(self, program: Program, units: Units) -> Iterable[Finding]:  # noqa: ARG002
        """Refuse a program that does not begin with Z alone, then X and Y: no FROM says the same."""
        if _start(program) is None and any(isinstance(node, Rapid | Feed | Arc) for node in program.nodes):
            message = "the program does not begin with Z alone to a height, then X and Y"
            yield cannot_say(self, program, message, "move up first, then along")

    def header(self, told: Told) -> Iterator[str]:
        """Say what it is, its units and its tool; with no spindle start, that it stands still."""
        program = told.program
        first, *rest = wrapped(program.title, TEXT) or [program.stem]
        yield f"PARTNO {first}"
        yield "UNITS/MM" if told.units == "mm" else "UNITS/INCHES"
        yield f"LOADTL/{program.tool.number}"
        for line in rest:
            yield f"PPRINT {line}"
        for text in (
            f"program: {program.stem}",
            f"setup: {program.setup}",
            f"tool: {program.tool.number} {program.tool.name}",
            f"zero: {program.touch_off}",
        ):
            yield from self.remark(text)
        if not any(isinstance(node, SpindleOn) for node in program.nodes):
            yield "SPINDL/OFF"

    def end(self, told: Told) -> Iterator[str]:
        """Stop the spindle if it turns, and end."""
        if told.turning:
            yield "SPINDL/OFF"
        yield "FINI"

    def rapid_to(self, to: Axes, told: Told) -> Iterator[str]:
        """Say RAPID, which holds for one motion, and the place; the first way is the person's."""
        if None in to:  # Z alone, the first of all: told together with x and y, by FROM
            start = _start(told.program)
            assert start is not None
            at = [count(mm, told.units, self.traits.decimals(told.units)) for mm in start]
            x, y, z = (digits(whole, self.traits.decimals(told.units)) for whole in at)
            yield from self.remark(f"by hand and spindle off: the tip straight up to z {z}")
            yield from self.remark(f"then to x {x} y {y}")
            yield f"FROM/{x},{y},{z}"
        elif None in told.at:
            return  # x and y were in FROM
        else:
            yield "RAPID"
            yield f"GOTO/{self._list(to, told)}"

    def cut_to(self, to: Axes, feed: int, told: Told) -> Iterator[str]:
        """Say the feed where it changes, and the place."""
        if feed != told.feed:
            yield f"FEDRAT/{digits(feed, self.traits.feed_decimals(told.units))},PERMIN"
        yield f"GOTO/{self._list(to, told)}"

    def remark(self, text: str) -> Iterator[str]:
        """Print text for people; its first six columns say that it is no other word."""
        for line in wrapped(text, TEXT):
            yield f"PPRINT {line}"

    def wait(self, seconds: float) -> Iterator[str]:
        """Wait; never rounded to nothing."""
        yield f"DELAY/{digits(max(1, round(seconds * 1000)), 3)}"

    def spindle_on(self, rpm: int, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Turn clockwise."""
        yield f"SPINDL/{rpm},RPM,CLW"

    def spindle_off(self, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Stop the spindle."""
        yield "SPINDL/OFF"

    def pause(self, text: str, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Tell the person why, and stop."""
        yield from self.remark(text)
        yield "STOP"

    def dust(self, on: bool, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Tell the person: a relay word of the vocabulary may be what holds the work."""
        yield from self.remark(f"dust collector {'on' if on else 'off'}: by hand")

    def _list(self, to: Axes, told: Told) -> str:
        decimals = self.traits.decimals(told.units)
        assert None not in to
        return ",".join(digits(whole, decimals) for whole in to if whole is not None)


def _start(program: Program) -> tuple[float, float, float] | None:
    """Give the place that the first two moves lead to: Z alone, then X and Y at that height."""
    z: float | None = None
    for node in program.nodes:
        if isinstance(node, Rapid):
            if z is None:
                if node.z is None or node.x is not None or node.y is not None:
                    return None
                z = node.z
            elif node.x is None or node.y is None or node.z not in {None, z}:
                return None
            else:
                return (node.x, node.y, z)
        elif isinstance(node, Feed | Arc):
            return None
    return None


POST = Cldata()
