"""The reader of the ISO 6983 family against what is published or remembered of it.

Sources: ISO 6983-1:1982, 3.6 (read): a program opens with %, and a program's name may follow it before the
first line ends. A public copy of the code list of EIA RS-274-D (read): G70 inch, G71 metric, G74 and G75
arcs within and beyond one quadrant, G53 cancels shifts, G54 to G59 shifts along axes. NISTIR 6556, 3.5.3.2
(read): how far the radii of an arc's ends may differ. Rows marked MEMORY are ISO 6983-1 and DIN 66025 as
remembered: order of words, codes of two digits, dwell by F or X, numbers with a decimal sign. A strict
reader may take less than the standard, never more; the rows it takes beyond doubt are few.
"""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.proving.iso6983 import read

START = "%\nG71\nG17\nG90\nG94\nG00 Z5.0\nG00 X10.0 Y0.0\n"
MEMORY = "ISO 6983-1 and DIN 66025, from memory"
EIA = "EIA RS-274-D, public copy of its code list"

# block after the start, source, end X, Y, Z in mm
ENDS = [
    ("G01 X1.5 Y-2.25 F100.0", MEMORY, (1.5, -2.25, 5)),
    ("N0010G01X1.5F100.0", MEMORY, (1.5, 0, 5)),
    ("G00 X+3.0", MEMORY, (3, 0, 5)),
    ("X3.0", MEMORY, (3, 0, 5)),  # the motion word holds
    ("G01 X3.0 F100.0\nY4.0", MEMORY, (3, 4, 5)),
    ("G03 X0.0 Y10.0 I-10.0 J0.0 F9.0", MEMORY, (0, 10, 5)),
    ("G03 X0.0 Y10.0019 I-10.0 J0.0 F9.0", "NISTIR 6556, 3.5.3.2", (0, 10.0019, 5)),
    ("G02 X0.0 Y-10.0 Z4.0 I-10.0 J0.0 F9.0", MEMORY, (0, -10, 4)),
    ("G71\nG90\nG00 X1.0", EIA, (1, 0, 5)),  # modes restated
    ("(NAMES ARE FOR PEOPLE)\nG00 X1.0 (AND HERE)", MEMORY, (1, 0, 5)),
]

# block after the start, source of why it is an error, or of why nothing can stand on it
REFUSED = [
    ("G0 X1.0", MEMORY),  # codes have two digits
    ("G001 X1.0", MEMORY),
    ("G00 X1", MEMORY),  # no decimal sign: in units, or in thousandths?
    ("G00 X1.", MEMORY),
    ("G00 X.5", MEMORY),
    ("G00 X1,5", MEMORY),
    ("G00 X1.0e2", MEMORY),
    ("G00 Y1.0 X1.0", MEMORY),  # the order of words
    ("X1.0 G00", MEMORY),
    ("F100.0 G01 X1.0", MEMORY),
    ("M05 G00 X1.0", MEMORY),
    ("G00 X1.0 X2.0", MEMORY),
    ("G00 G01 X1.0 F9.0", MEMORY),
    ("g00 x1.0", MEMORY),  # the code table has no small letters
    ("G00\tX1.0", MEMORY),
    ("/G00 X1.0", MEMORY),
    (":10 G00 X1.0", MEMORY),
    ("G00 X1.0 ; NOTE", MEMORY),
    ("G00 X1.0 *71", MEMORY),
    ("(OPEN", MEMORY),
    ("(A (B) C)", MEMORY),
    ("( % )", "ISO 6983-1:1982, 3.6"),  # % is the sign that opens a program
    ("%", "ISO 6983-1:1982, 3.6"),
    ("G20", EIA),
    ("G21", EIA),
    ("G70", EIA),  # the units change within the program
    ("G53", EIA),
    ("G54", EIA),
    ("G59", EIA),
    ("G74", EIA),
    ("G75", EIA),
    ("G91", EIA),
    ("G92 X0.0", EIA),
    ("G93", EIA),
    ("G95", EIA),
    ("G41", EIA),
    ("G43", EIA),
    ("G33 X1.0", EIA),
    ("G81 X1.0 Z1.0 F9.0", EIA),
    ("G18", EIA),
    ("G04 P1.0", MEMORY),
    ("G04", MEMORY),
    ("G04 F1.0 X1.0", MEMORY),
    ("G01 G04 X1.0 F9.0", MEMORY),
    ("M10", EIA),
    ("M60", EIA),
    ("M3", MEMORY),
    ("G00 X1.0 M03", MEMORY),  # before the move, or after it?
    ("M06", MEMORY),  # no tool selected
    ("T-1", MEMORY),
    ("S-100", MEMORY),
    ("S1000.5", MEMORY),
    ("G01 X1.0", MEMORY),  # no feed
    ("G01 X1.0 F0.0", MEMORY),
    ("G01 X1.0 F-1.0", MEMORY),
    ("G01 X1.0 F100", MEMORY),
    ("G01 F100.0", MEMORY),
    ("G01 X1.0 I1.0 F9.0", MEMORY),
    ("I1.0 J1.0", MEMORY),
    ("G03 X0.0 Y10.0 F9.0", MEMORY),
    ("G03 X0.0 I-10.0 J0.0 F9.0", MEMORY),
    ("G03 X0.0 Y10.0 R10.0 F9.0", MEMORY),
    ("G03 X0.0 Y10.0 K1.0 F9.0", MEMORY),
    ("G03 X10.0 Y0.0 I-10.0 J0.0 F9.0", MEMORY),  # a whole circle
    ("G03 X-10.0 Y0.0 I-10.0 J0.0 F9.0", MEMORY),  # more than a quadrant
    ("G03 X0.0 Y10.0021 I-10.0 J0.0 F9.0", "NISTIR 6556, 3.5.3.2"),
    ("G03 X0.0 Y10.0 I0.0 J0.0 F9.0", "NISTIR 6556, 3.5.3.2"),
    ("O0001", MEMORY),
    ("N100000 G00 X1.0", MEMORY),
    ("G00 N10 X1.0", MEMORY),
    ("D01", MEMORY),
    ("A1.0", MEMORY),
    ("G00 X1.0 \u00e9", MEMORY),
    ("G00 X1.0 \x00M03", MEMORY),
    ("G00 X" + "1" * 130 + ".0", MEMORY),
    ("#1=5", MEMORY),
    ("G00 X[1+2]", MEMORY),
]

# file, source, whether it is clean
FILES = [
    ("%\nM30\n", "ISO 6983-1:1982, 3.6", True),
    ("%SHELF3\nM02\n", "ISO 6983-1:1982, 3.6", True),
    ("%\r\nM30\r\n", MEMORY, True),
    ("%\nM30\n%\n", MEMORY, True),
    ("M30\n", "ISO 6983-1:1982, 3.6", False),
    ("\n%\nM30\n", "ISO 6983-1:1982, 3.6", False),
    ("%SHELF (3\nM30\n", "ISO 6983-1:1982, 3.6", False),
    ("\ufeff%\nM30\n", MEMORY, False),
    ("%\nM30\nG00 X1.0\n", MEMORY, False),
    ("%\nM05\n", MEMORY, False),
    ("%\n", MEMORY, False),
    ("", MEMORY, False),
    ("%\nG00 X1.0\nM30\n", MEMORY, False),  # before any units
    ("%\nG71\nG00 X1.0\nM30\n", MEMORY, False),  # before G90
    ("%\nG71\nG90\nX1.0\nM30\n", MEMORY, False),  # before any motion word
    ("%\nF100.0\nG71\nM30\n", MEMORY, False),  # a feed in which units?
    ("%\nG71 F100.0\nM30\n", MEMORY, False),
    ("%\nG71\nG90\nG00 X1.0 Y0.0 Z0.0\nG03 X0.0 Y1.0 I-1.0 J0.0 F9.0\nM30\n", MEMORY, False),  # no plane
]


@pytest.mark.parametrize(("block", "source", "end"), ENDS)
def test_a_block_ends_where_the_family_says(block: str, source: str, end: tuple[float, float, float]) -> None:
    """The source named: this block is understood, and the tip ends there."""
    found = read(f"{START}{block}\nM30\n")
    assert found.unread == (), source
    assert found.moves.end[-1] == pytest.approx(end, abs=1e-9)


@pytest.mark.parametrize(("block", "source"), REFUSED)
def test_what_is_an_error_or_of_two_meanings_is_refused(block: str, source: str) -> None:
    """The source named: this block is no block of the family, or its meaning differs between lists."""
    found = read(f"{START}{block}\nM30\n")
    assert found.unread, source
    assert found.unread[0].line == START.count("\n") + 1


@pytest.mark.parametrize(("text", "source", "clean"), FILES)
def test_a_file_is_clean_or_not(text: str, source: str, *, clean: bool) -> None:
    """The source named: how a file begins and ends, and what must stand before what."""
    assert (read(text).unread == ()) is clean, source


def test_inch_is_g70() -> None:
    """EIA RS-274-D, public copy of its code list: G70 is inch; lengths and feeds are in it."""
    found = read("%\nG70\nG17\nG90\nG94\nG00 Z1.0\nG00 X1.0 Y0.0\nG01 X2.0 F10.0\nM30\n")
    assert found.unread == ()
    assert found.moves.end[-1] == pytest.approx((50.8, 0, 25.4))
    assert found.moves.feed[-1] == pytest.approx(254)


@pytest.mark.parametrize("letter", ["F", "X"])
def test_a_dwell_holds_its_seconds_in_f_or_x(letter: str) -> None:
    """DIN 66025, from memory: G04 with F or X, in seconds; the feed is not touched by it."""
    found = read(f"{START}G01 X1.0 F100.0\nG04 {letter}2.5\nG01 X2.0\nM30\n")
    assert found.unread == ()
    assert [event.value for event in found.events if event.kind == "dwell"] == [2.5]
    assert found.moves.feed[-1] == 100


def test_machine_functions_act_one_a_block() -> None:
    """DIN 66025, from memory: M03, M04, M05 spindle; M08, M09 coolant; M00 stop; M06 tool; M02, M30 end."""
    text = f"{START}S9000 M03\nG01 X1.0 F100.0\nM08\nM09\nM05\nM00\nT4 M06\nM04\nM30\n"
    found = read(text)
    assert found.unread == ()
    told = [(event.kind, event.value, event.note) for event in found.events]
    assert told == [
        ("spindle", 9000, "on"),
        ("dust", 1, ""),
        ("dust", 0, ""),
        ("spindle", 0, "off"),
        ("stop", 0, ""),
        ("select", 4, ""),
        ("tool", 4, ""),
        ("spindle", -9000, "anticlockwise"),
        ("end", 30, ""),
    ]
    assert found.moves.rpm[-1] == 9000


def test_after_a_tool_change_no_place_is_known() -> None:
    """Common practice, no source: a changer moves the axes where it likes."""
    found = read(f"{START}T4 M06\nG00 Z9.0\nM30\n")
    assert found.unread == ()
    assert np.isnan(found.moves.start[-1]).all()
    assert np.isnan(found.moves.end[-1][:2]).all()


def test_an_arc_runs_on_its_circle() -> None:
    """Plane geometry: every chord of a quarter about (0, 0) ends 10 from it."""
    found = read(f"{START}G03 X0.0 Y10.0 I-10.0 J0.0 F9.0\nM30\n")
    away = np.hypot(found.moves.end[2:, 0], found.moves.end[2:, 1])
    assert away == pytest.approx(np.full(len(away), 10.0))
