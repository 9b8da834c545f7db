"""The motion as a table for people and spreadsheets. In: motion. Out: comma-separated values as in RFC 4180.

One row a move or an action, under plain names of our own. No cell of text can be a formula: a spreadsheet
takes = + - @ at the start of a cell for one. Proven by the reader `motion-table`.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from stockwright.motion import SpindleOn
from stockwright.posting import Basics, Dialect, digits, folded, spelled

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from stockwright.posting import Axes, Told

TEXT = 120  # characters of text in a cell; longer text goes on in the next row
# ; and | and tabs part cells in some countries' spreadsheets, in the middle of ours; the rest says nothing.
_LEFT_OUT = re.compile(r"[^\x20-\x7e]|[;|`~^\\{}]", re.ASCII)
_FORMULA = ("=", "+", "-", "@")


class MotionTable(Dialect):
    """Rows of `action`, where to, how fast, and text."""

    name = "motion-table"
    reader = "motion-table"
    about = "a table of every move and action, for people and spreadsheets; no controller reads it"
    names_tool = True
    traits = Basics(
        line_length=400,  # twelve columns with the longest numbers, and a text all of whose signs are doubled
        line_ending="cr-lf",  # RFC 4180, 2.1
        extension="csv",
    )

    def words(self) -> Iterable[str]:
        """Say what the rows are."""
        return (
            "rows: action, x, y, z, feed, speed, wait, tool, text; the first row names them and the units",
            "motion: straight lines only, absolute; arcs as chords; every known axis on every row",
            "pause: stop",
            "probing move: touch",
            "dwell: wait, in seconds",
            "comments: note; a text that begins with = + - or @ is given a ' before it",
            "dust collector: dust on, dust off",
            "end: end",
        )

    def header(self, told: Told) -> Iterator[str]:
        """Name the columns and their units, then say what the program is."""
        program, unit = told.program, told.units
        yield f"action,x {unit},y {unit},z {unit},feed {unit}/min,speed rpm,wait s,tool,text"
        for action, text in (("program", program.title), ("setup", f"{program.setup}: {program.stem}")):
            yield from self._text(action, text)
        yield from self._text("zero", program.touch_off)
        for name in cells(program.tool.name)[:1] or ["cutter"]:
            yield f"tool,,,,,,,{program.tool.number},{quoted(name)}"
        if not any(isinstance(node, SpindleOn) for node in program.nodes):
            yield "spindle off,,,,,,,,"

    def end(self, told: Told) -> Iterator[str]:
        """Stop the spindle if it turns, and end."""
        if told.turning:
            yield "spindle off,,,,,,,,"
        yield "end,,,,,,,,"

    def rapid_to(self, to: Axes, told: Told) -> Iterator[str]:
        """Say where to."""
        yield f"rapid,{self._places(to, told)},,,,,"

    def cut_to(self, to: Axes, feed: int, told: Told) -> Iterator[str]:
        """Say where to and how fast."""
        yield f"cut,{self._places(to, told)},{self._feed(feed, told)},,,,"

    def touch(self, to: Axes, feed: int, told: Told) -> Iterator[str]:
        """Say the floor, and how fast."""
        yield f"touch,{self._places(to, told)},{self._feed(feed, told)},,,,"

    def remark(self, text: str) -> Iterator[str]:
        """Give text for people, a row for each piece of it."""
        yield from self._text("note", text)

    def wait(self, seconds: float) -> Iterator[str]:
        """Wait; never rounded to nothing."""
        yield f"wait,,,,,,{digits(max(1, round(seconds * 1000)), 3)},,"

    def spindle_on(self, rpm: int, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Turn clockwise."""
        yield f"spindle on,,,,,{rpm},,,"

    def spindle_off(self, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Stop the spindle."""
        yield "spindle off,,,,,,,,"

    def pause(self, text: str, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Tell the person why, and stop."""
        yield from self._text("note", text)
        yield "stop,,,,,,,,"

    def dust(self, on: bool, told: Told) -> Iterator[str]:  # noqa: ARG002
        """Switch the dust collector."""
        yield f"dust {'on' if on else 'off'},,,,,,,,"

    def _text(self, action: str, text: str) -> Iterator[str]:
        for cell in cells(text):
            yield f"{action},,,,,,,,{quoted(cell)}"

    def _places(self, to: Axes, told: Told) -> str:
        decimals = self.traits.decimals(told.units)
        return ",".join("" if whole is None else digits(whole, decimals) for whole in to)

    def _feed(self, feed: int, told: Told) -> str:
        return digits(feed, self.traits.feed_decimals(told.units))


def cells(text: str) -> list[str]:
    """Give people's text as cells: printable ASCII, none too long, none that a spreadsheet calculates."""
    plain = _LEFT_OUT.sub(" ", spelled(text))
    return [f"'{cell}" if cell.startswith(_FORMULA) else cell for cell in folded(plain, TEXT)]


def quoted(cell: str) -> str:
    """Give a cell as RFC 4180 writes it (2.5 to 2.7): in quotes where it must be, quotes doubled."""
    return '"' + cell.replace('"', '""') + '"' if re.search(r'[",]', cell) else cell


POST = MotionTable()
