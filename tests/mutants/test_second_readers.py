"""The second readers of the four other dialects: they read what is meant, and stop where controls differ.

Every text is written by hand; what it does is worked out in its sentence.
"""

from __future__ import annotations

import math

import pytest

from mutants.second_reading import SECOND
from mutants.second_text import Note, Step
from stockwright.proving.readers import READERS

BLOCKS = """\
%
N1 G71
N2 G17
N3 G90
N4 G94
N5 G00 Z60.0
N6 S9000
N7 M03
N8 G00 X1.0 Y2.0
N9 G01 Z20.0 F400.0
N10 G01 X9.0
N11 G00 Z60.0
N12 M05
N13 M30
%
"""
WHOLE_LINES = """\
G21
G90
G94
G00 Z60.000
S9000 M03
G00 X1.000 Y2.000 Z60.000
G01 X1.000 Y2.000 Z20.000 F400.0
G01 X9.000 Y2.000 Z20.000 F400.0
G00 X9.000 Y2.000 Z60.000
M05
M30
"""
STATEMENTS = """\
PARTNO A BOARD
UNITS/MM
LOADTL/2
FROM/1.000,2.000,60.000
SPINDL/9000,RPM,CLW
FEDRAT/400.0,PERMIN
GOTO/1.000,2.000,20.000
GOTO/9.000,2.000,20.000
RAPID
GOTO/9.000,2.000,60.000
SPINDL/OFF
FINI
"""
ROWS = """\
action,x mm,y mm,z mm,feed mm/min,speed rpm,wait s,tool,text
note,,,,,,,,"slow, here"
tool,,,,,,,2,mill
rapid,,,60.000,,,,,
spindle on,,,,,9000,,,
rapid,1.000,2.000,60.000,,,,,
cut,1.000,2.000,20.000,400.0,,,,
cut,9.000,2.000,20.000,400.0,,,,
rapid,9.000,2.000,60.000,,,,,
spindle off,,,,,,,,
end,,,,,,,,
"""
TEXTS = {"iso-6983": BLOCKS, "spelled-out": WHOLE_LINES, "cldata": STATEMENTS, "motion-table": ROWS}
CUTS = [((1.0, 2.0, 60.0), (1.0, 2.0, 20.0)), ((1.0, 2.0, 20.0), (9.0, 2.0, 20.0))]


@pytest.mark.parametrize("name", TEXTS)
def test_what_is_meant_is_read(name: str) -> None:
    """Down 40 mm and along 8 mm at 400 mm/min and 9000 rpm; up first, up last, and then it ends."""
    read = SECOND[name](TEXTS[name])
    assert read.bad is None
    steps = [item for item in read.items if isinstance(item, Step)]
    assert [(s.start, s.end) for s in steps if not s.rapid] == CUTS
    assert {(s.feed, s.rpm) for s in steps if not s.rapid} == {(400.0, 9000.0)}
    assert steps[0].end[2] == steps[-1].end[2] == 60.0
    assert all(map(math.isnan, steps[0].end[:2]))
    assert [item.what for item in read.items if isinstance(item, Note)][-2:] == ["spindle", "end"]


@pytest.mark.parametrize("name", TEXTS)
def test_the_proofs_reader_reads_it_too(name: str) -> None:
    """Two readers written apart say the same of a text that is right: every end of every move."""
    read, other = SECOND[name](TEXTS[name]), READERS[name](TEXTS[name])
    assert other.unread == ()
    ends = [item.end for item in read.items if isinstance(item, Step)]
    assert [tuple(end) for end in other.moves.end[1:].tolist()] == ends[1:]


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("%\nN1", "N1", 1),
        ("N5 G00 Z60.0", "N5 G00 Z60", 6),
        ("N5 G00 Z60.0", "N5 G00 Z.5", 6),
        ("N5 G00 Z60.0", "N5 Z60.0 G00", 6),
        ("N5 G00 Z60.0", "N5 G0 Z60.0", 6),
        ("N5 G00 Z60.0", "N5 G00 Z60.0 M03", 6),
        ("N5 G00 Z60.0", "N5 G54", 6),
        ("N5 G00 Z60.0", "N5 G00", 6),
        ("N5 G00 Z60.0", "N5 g00 Z60.0", 6),
        ("N10 G01 X9.0", "N10 G02 X9.0", 11),
        ("N10 G01 X9.0", "N10 G70", 11),
        ("N9 G01 Z20.0 F400.0", "N9 G01 Z20.0", 10),
        ("N13 M30\n%", "N13 M30\nN14 G00 X5.0\n%", 15),
        ("N13 M30\n%", "%", 14),
    ],
)
def test_a_control_of_the_older_family_stops(old: str, new: str, line: int) -> None:
    """No %, no point, words out of order, one digit, an action beside a move, a stored zero, another unit."""
    bad = SECOND["iso-6983"](BLOCKS.replace(old, new)).bad
    assert bad is not None
    assert bad[0] == line


def test_blanks_behind_the_end_are_nothing() -> None:
    """Blank lines between the end and the last % say nothing."""
    assert SECOND["iso-6983"](BLOCKS.replace("M30\n", "M30\n\n  \n")).bad is None


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("G01 X9.000 Y2.000 Z20.000 F400.0", "X9.000 Y2.000 Z20.000 F400.0", 8),
        ("G01 X9.000 Y2.000 Z20.000 F400.0", "G01 X9.000 Z20.000 F400.0", 8),
        ("G01 X9.000 Y2.000 Z20.000 F400.0", "G01 X9.000 Y2.000 Z20.000", 8),
        ("S9000 M03", "S9000\nM03", 6),
    ],
)
def test_a_control_that_forgets_stops(old: str, new: str, line: int) -> None:
    """A line without its motion word, an axis, its feed or its speed leans on one before."""
    bad = SECOND["spelled-out"](WHOLE_LINES.replace(old, new)).bad
    assert bad is not None
    assert bad[0] == line


def test_after_a_stop_nothing_need_be_said_again() -> None:
    """A person may have moved it by hand: the first moves after a stop are up alone."""
    text = WHOLE_LINES.replace("M05\n", "M05\nM00\nG00 Z60.000\nG00 Z60.000\n")
    assert SECOND["spelled-out"](text).bad is None


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("PARTNO A BOARD\n", "", 1),
        ("UNITS/MM\n", "", 3),
        ("UNITS/MM", "UNITS/MM\nUNITS/INCHES", 3),
        ("LOADTL/2", "LOADTL", 3),
        ("FROM/1.000,2.000,60.000", "FROM/1.000,2.000", 4),
        ("SPINDL/9000,RPM,CLW", "SPINDL/9000,CLW", 5),
        ("SPINDL/9000,RPM,CLW", "SPINDL/ON", 5),
        ("FEDRAT/400.0,PERMIN", "FEDRAT/400.0", 6),
        ("FEDRAT/400.0,PERMIN\n", "", 6),
        ("RAPID\n", "RAPID\nPPRINT LOOK\n", 10),
        ("RAPID\n", "CYCLE/OFF\n", 9),
        ("GOTO/9.000,2.000,60.000", "GOTO/9.000,2.000,60.000,0,0,1", 10),
        ("FINI\n", "FINI\nSTOP\n", 13),
        ("FINI\n", "", 11),
    ],
)
def test_a_receiver_stops(old: str, new: str, line: int) -> None:
    """No PARTNO, units not said or twice, lists too short or long, a word after RAPID or FINI, no end."""
    bad = SECOND["cldata"](STATEMENTS.replace(old, new, 1)).bad
    assert bad is not None
    assert bad[0] == line


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("GOTO/1.000,2.000,20.000", "GO TO / 1.0, +2.0, $\n 020. $$ GOTO/0,0,0"),
        ("FEDRAT/400.0,PERMIN", "\nPPRINT GOTO/0,0,0\nFEDRAT/400,PERMIN"),
    ],
)
def test_what_means_nothing_to_a_receiver(old: str, new: str) -> None:
    """Blanks, $ and $$, text for people and zeros change nothing of what is done."""
    plain, dressed = (SECOND["cldata"](text) for text in (STATEMENTS, STATEMENTS.replace(old, new)))
    assert dressed.bad is None
    ends = [[i.end for i in read.items if isinstance(i, Step)][1:] for read in (plain, dressed)]
    assert ends[0] == ends[1]


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("x mm", "x inch", 1),
        ("mill", "=mill", 3),
        ("tool,,,,,,,2,mill", "tool,,,,,,,2.5,mill", 3),
        ("cut,9.000,2.000,20.000,400.0,,,,", "cut,9.000,,20.000,400.0,,,,", 8),
        ("cut,9.000,2.000,20.000,400.0,,,,", "cut,9.000,2.000,20.000,,,,,", 8),
        ("cut,9.000,2.000,20.000,400.0,,,,", "cut,9.000,2.000,20.000,400.0,9,,,", 8),
        ("cut,9.000,2.000,20.000,400.0,,,,", "cut,9.000,2.000,20.000,400.0,,,", 8),
        ("cut,9.000,2.000,20.000,400.0,,,,", 'cut,9"0,2.000,20.000,400.0,,,,', 8),
        ("cut,9.000,2.000,20.000,400.0,,,,", "", 8),
        ("end,,,,,,,,\n", "end,,,,,,,,\nstop,,,,,,,,\n", 12),
        ("end,,,,,,,,\n", "", 10),
    ],
)
def test_a_table_that_is_not_sure_stops(old: str, new: str, line: int) -> None:
    """Two units, a formula, a broken number, an axis or a feed left out, a cell too much or few, a quote."""
    bad = SECOND["motion-table"](ROWS.replace(old, new, 1)).bad
    assert bad is not None
    assert bad[0] == line
