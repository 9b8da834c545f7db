"""The reader that takes no line on trust of another."""

from __future__ import annotations

import pytest

from stockwright.proving.rs274 import read as strict
from stockwright.proving.spelled_out import read

WHOLE = """\
G21
G17
G90
G94
G00 Z60.000
G00 X1.000 Y2.000 Z60.000
S9000 M03
G01 X1.000 Y2.000 Z20.000 F400.0
G01 X9.000 Y2.000 Z20.000 F400.0
G00 X9.000 Y2.000 Z60.000
M05
M30
"""


def test_a_whole_program_reads_as_the_strict_reader_reads_it() -> None:
    """Same moves, same events, nothing unread."""
    mine, theirs = read(WHOLE), strict(WHOLE)
    assert mine.unread == ()
    assert (mine.moves.end[1:] == theirs.moves.end[1:]).all()
    assert mine.events == theirs.events


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("G01 X9.000 Y2.000 Z20.000 F400.0", "X9.000 Y2.000 Z20.000 F400.0", 9, "motion word"),
        ("G01 X9.000 Y2.000 Z20.000 F400.0", "G01 X9.000 Y2.000 Z20.000", 9, "its feed, F"),
        ("G01 X9.000 Y2.000 Z20.000 F400.0", "G01 X9.000 Z20.000 F400.0", 9, "for Y"),
        ("G01 X9.000 Y2.000 Z20.000 F400.0", "G01 X9.000 F400.0", 9, "for Y, Z"),
        ("G00 X1.000 Y2.000 Z60.000", "G00 X1.000 Y2.000", 6, "for Z"),
        ("S9000 M03", "S9000\nM03", 8, "its speed, S"),
        ("G00 X9.000 Y2.000 Z60.000", "G00 Z60.000", 10, "for X, Y"),
        ("M05\nM30", "M05", 11, "no end"),
        ("M05", "G53 G00 Z0.0", 11, "not used"),
    ],
)
def test_a_line_that_leans_is_refused_with_what_it_lacks(old: str, new: str, line: int, words: str) -> None:
    """A lost word, wherever it is lost."""
    found = read(WHOLE.replace(old, new, 1))
    assert found.unread[0].line == line
    assert words in found.unread[0].message


ARCS = WHOLE.replace(
    "G00 X9.000 Y2.000 Z60.000",
    "G02 X9.000 Y4.000 Z20.000 I0.000 J1.000 F400.0\n"
    "G03 X9.000 Y2.000 Z20.000 I0.000 J-1.000 F400.0\n"
    "G38.2 X9.000 Y2.000 Z5.000 F40.0\n"
    "G00 X9.000 Y2.000 Z60.000",
)


@pytest.mark.parametrize("line", [9, 10, 11, 12])
def test_whatever_cuts_names_its_feed(line: int) -> None:
    """A straight cut, an arc either way, a touch: read with an F of its own, refused without."""
    assert read(ARCS).unread == ()
    lines = ARCS.split("\n")
    lines[line - 1] = lines[line - 1].partition(" F")[0]
    [lacking] = read("\n".join(lines)).unread
    assert (lacking.line, "its feed, F" in lacking.message) == (line, True)


def test_after_a_stop_nothing_is_known_so_z_may_come_alone_again() -> None:
    """Somebody may have moved the machine: the first move after it is up, by itself."""
    text = WHOLE.replace("M05\n", "M05\nM00\nG00 Z60.000\nG00 X0.000 Y0.000 Z60.000\n")
    assert read(text).unread == ()


def test_the_machine_frame_is_read_where_its_zero_is_known() -> None:
    """Z of that frame is that much higher in the work frame; x and y are not taken in it."""
    text = WHOLE.replace("G00 Z60.000\nG00 X1", "G53 G00 Z-2.000\nG00 Z60.000\nG00 X1", 1)
    found = read(text, (0.0, 0.0, 100.0))
    assert found.unread == ()
    assert found.moves.end[0][2] == pytest.approx(98.0)
    assert read(text.replace("G53 G00 Z-2.000", "G53 G00 X0.0 Z-2.000"), (0.0, 0.0, 100.0)).unread
    assert read(text.replace("G53 G00 Z-2.000", "G53 Z-2.000"), (0.0, 0.0, 100.0)).unread
    assert read(text.replace("G90", "G91"), (0.0, 0.0, 100.0)).unread
