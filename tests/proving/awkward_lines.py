"""Awkward lines of every language that is proven, and what each reader makes of them, as text to be read.

In: nothing. Out: `PROGRAMS`, whole ones, and `LINES`, single ones behind a beginning; `read_as` and `line_as`
tell a reading in full. Promise: every number of a reading is told to nine digits, NaN as a dash.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from stockwright.proving.readers import READERS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.proving.program import Reading

__all__ = ["LINES", "PROGRAMS", "line_as", "read_as"]

UNPRINTABLE = re.compile(r"<([0-9a-f]+)>")
HEAD = "G17 G21 G90 G94\n"
KNOWN = f"{HEAD}F500\nG0 Z5\nG0 X1 Y2\n"
TABLE = "action,x mm,y mm,z mm,feed mm/min,speed rpm,wait s,tool,text\n"
BEGUN = "rapid,,,50.0,,,,,\nrapid,1.0,2.0,50.0,,,,,\n"
ISO = "%\nG17\nG71\nG90\nG94\n"
CARDS = "PARTNO A\nUNITS/MM\n"

# name -> reader, text
PROGRAMS: dict[str, tuple[str, str]] = {
    "straight moves and all that goes with them": (
        "rs274-ngc",
        (
            f"{HEAD}(a) T3\nM6\nG0 Z5\nM3 S9000\nX1 Y-2.5 F300\nG1 Z-.5\nG01 X+3. S9500\n"
            f"S9500\nM7\nX4 F450 M5\nM8\n"
            "G4 P0\nG4 P.25 M9\nM4 S8000\nS0 T0\nG0 Z9\nM0\nM1\nG53.00001 G0 Z1\n"
        ),
    ),
    "a tool change leaves the place unknown and the spindle off": (
        "rs274-ngc",
        f"{HEAD}T1 M6\nM3 S5000\nG0 Z3\nX1 Y1\nT2\nM6\nZ4\nG1 Y2 F90\nN7 M2\nG0 X9",
    ),
    "inches": (
        "rs274-ngc",
        (
            "g20 g90 g94 g17\nf10\ng0z1\nx.5y-1\ng1x1\ng2x1.004y-1i.002\n"
            "g3x1.004y-1i0j.001f20\ng21\ng1x1f30\ng4p1\nm30\n"
        ),
    ),
    "steps, and places again": (
        "rs274-ngc",
        f"{HEAD}G0 Z5\nX1 Y2\nG91\nX1.5\nG1 X-1 Y.25 Z-2 F100\nG2 X.02 I.01\nG90\nX0\nG0 Y7\nM2\n",
    ),
    "inverse time": (
        "rs274-ngc",
        "G21 G90 G93 G17\nG0 Z5\nG0 X0 Y0\nG1 X3 Y4 F2\nX3 Y5 F.5\nG3 X3 Y6 J.5 F4\nG94\nG1 X0 F60\nM2\n",
    ),
    "probing": (
        "rs274-ngc",
        f"{HEAD}F150\nG0 Z5\nX1 Y2\nG38.2 Z4.746\nG0 Z9\nX2\nG38.2 X0 Y1\nG0 Z9\nX5 Y5\nG1 Z4\nM2\n",
    ),
    "arcs by their centre": (
        "rs274-ngc",
        (
            f"{HEAD}F60\nG0 Z5\nX1 Y2\nG3 X1.05 Y2.05 J.05\nG2 X1.1 Y2 Z4 J-.05\n"
            "X1 Y2 I-.05\nG3 X1 Y2 I.01 Z5\n"
            "X1.002 Y2 I.05\nM2\n"
        ),
    ),
    "arcs by their radius": (
        "rs274-ngc",
        (
            f"{HEAD}F60\nG0 Z5\nX1 Y2\nG2 X1.06 Y2.02 R.04\nG3 X1 Y2 R.04\n"
            f"G2 X1.06 Y2.02 R-.04\nG3 X1.0 Y2 R-.04\n"
            "G3 X1.06 R.031\nG2 X1 R-.031 Z4\nM2\n"
        ),
    ),
    "arcs in the two upright planes": (
        "rs274-ngc",
        (
            f"{HEAD}F60\nG0 Z5\nX1 Y2\nG18 G2 X1.05 Z5.05 K.05\nG3 X1.1 Z5 R.05\nG19 G2 Y2.05 Z5.05 J.05 X1\n"
            "G3 Y2.1 Z5 R.05\nG2 Y2.06 R.021\nG18 G2 Z5.04 R.021\nM2\n"
        ),
    ),
    "dressed in what means nothing": (
        "rs274-ngc",
        "\n (a (not) \n",
    ),
    "between two lines of percent": (
        "rs274-ngc",
        " \t\n% \r\nG21 G90 G94 \r\n(50 %)\nG0\tZ 1 . 5\n%%\n %\t\nnothing of this\n",
    ),
    "percent that is not closed": ("rs274-ngc", "%\nG21 G90\nG0 Z1\nM2\n"),
    "percent in the first line alone": ("rs274-ngc", "%\nM2\n% "),
    "percent after words": ("rs274-ngc", "M0 %\nM2\n%\n"),
    "no end, three lines": ("rs274-ngc", "G21\nG90\nG0 Z1"),
    "no end, three lines and a blank one": ("rs274-ngc", "G21\nG90\nG0 Z1\n\n"),
    "no text": ("rs274-ngc", ""),
    "as long as a line may be, and longer": (
        "rs274-ngc",
        f"({'a' * 251})\n({'a' * 250})\r\n({'a' * 252})\n({'a' * 251})\r\nM2\n",
    ),
    "twenty lines not understood are enough": ("rs274-ngc", "Q1\n" * 19 + "G0 Z1\n" + "Q1\n" * 3 + "M2\n"),
    "many usual lines and what stops them": (
        "rs274-ngc",
        (
            f"{HEAD}M3 S700\nG0 Z5\nG00X1Y2\nX2 F60\nN5 X3\nY3.5\nG1 Y4\nX1.25 Y1. Z.5\n"
            f"Z4 F90\nG0 X0\nG01 X-.5\nG1 X2 F0\n"
        ),
    ),
    "many usual lines in inches, from places not known": (
        "rs274-ngc",
        "G20 G90 G94\nG0 Z1\n"
        + "".join(f"G1 X{k} F{k}\n" for k in range(1, 12))
        + "G0 Y1\nG91\n"
        + "X1\n" * 10
        + "M2\n",
    ),
    "a modal rapid of many lines": ("rs274-ngc", HEAD + "G0 Z5\n" + "X1\nY2\n" * 5 + "M2\n"),
    "ISO: all that may be said": (
        "iso-6983",
        (
            "%7A\r\nN10G17G71G90G94G40G80\r\n(AN OLD ONE)\nN20T0003\nM06\n"
            "G00Z60.0\nX1.0Y2.0\nS9000M03\nS9500\n"
            "G01Z-0.5F300.0\nX+3.0\nF90.5\nG03X3.05Y2.05I0.0J0.05\nG02X3.1Y2.0I0.0J-0.05\nG04F0.5\nG04X0.0\nM07\n"
            "M09\nM08\nS8000M04\nS8500\nM05\nM00\nM01\nG00Z60.0\n  \nM30\n\n%\n"
        ),
    ),
    "ISO: inches": (
        "iso-6983",
        "%\nG70\nG90\nG17\nG94\nG00Z1.0\nX0.5Y1.0\nG01X1.0F10.0\nG03X1.002Y1.002I0.0J0.002\nM02\n",
    ),
    "ISO: no end": ("iso-6983", "%\nG71\nG90\nG00Z1.0"),
    "ISO: no text": ("iso-6983", ""),
    "ISO: twenty are enough": ("iso-6983", "G71\n" + "Q\n" * 23),
    "ISO: as long as a block may be": ("iso-6983", f"%\n({'A' * 126})\n({'A' * 127})\nM02\n"),
    "ISO: modes after a move are not stated before it": ("iso-6983", "%\nG71\nG90\nG00Z1.0\nG94\nG17\nM30\n"),
    "cards: all that may be said": (
        "cldata",
        (
            "PARTNO A PLANK\n$$ a remark is no statement\nUNITS / MM\nPPRINT FACE A\n"
            "LOADTL/3\nSPINDL/9000,RPM,CLW\nSPINDL/OFF\nFROM/1.0,2.0,60.0\n"
            "SPINDL/8000.5,RPM,CCLW\nFEDRAT/900.0,PERMIN\nRAPID\nGOTO/5.0,-6.5,60.0\n"
            "GOTO/5.0,$\n-6.5,$$ going on\n"
            "GOTO/6.0,+6.5,.5\nDELAY/0\nDELAY/2.5\nSTOP\nOPSTOP\nSPINDL/OFF\nLOADTL/4\n"
            "RAPID\nGOTO/0,0,9\nFINI\n"
        ),
    ),
    "cards: inches": (
        "cldata",
        "PARTNO\nUNITS/INCHES\nFEDRAT/10,PERMIN\nRAPID\nGOTO/1,2,3\nGOTO/1,2,$ $$ on\n2.5\nFINI\n",
    ),
    "cards: a statement that never ends": ("cldata", f"{CARDS}GOTO/1,2,$\n"),
    "cards: one that goes on to the end of the file, and no more": ("cldata", f"{CARDS}GOTO/1,2,$\n3,$\n"),
    "cards: no end": ("cldata", f"{CARDS}FEDRAT/9,PERMIN\n"),
    "cards: no text": ("cldata", ""),
    "cards: no units": ("cldata", "PARTNO A\nFINI\n"),
    "cards: as wide as a card": ("cldata", f"PARTNO {'A' * 65}\nPPRINT {'A' * 66}\nFINI\n"),
    "cards: twenty are enough": ("cldata", f"{CARDS}" + "FLY/1\n" * 23),
    "cards: a bad card ends what went on": ("cldata", f"{CARDS}GOTO/1,$\n\u00e92,$\nFLY/1\nCYCLE/1\nFINI\n"),
    "table: all that may be said": (
        "motion-table",
        (
            f'{TABLE}program,,,,,,,,"a ""b"", c"\nsetup,,,,,,,,1\n'
            'zero,,,,,,,,"at, the mark"\nnote,,,,,,,,\'=1\n'
            "tool,,,,,,,3,mill\nspindle on,,,,,9000,,,\ndust on,,,,,,,,\nrapid,,,50.0,,,,,\n"
            "rapid,1.5,-2.25,50.0,,,,,\n"
            "cut,1.5,2.0,3.0,300.0,,,,\nspindle on,,,,,0.5,,,\ncut,1.5,2.5,3.0,0.5,,,,\ndust off,,,,,,,,\n"
            "wait,,,,,,0,,\nwait,,,,,,2.5,,\nspindle off,,,,,,,,\nstop,,,,,,,,\n"
            "touch,1.5,2.5,2.5,60.0,,,,\nrapid,1.5,2.5,9.0,,,,,\ncut,1.5,2.5,8.0,9.0,,,,\nend,,,,,,,,\n"
        ),
    ),
    "table: inches": (
        "motion-table",
        (
            f"{TABLE.replace('mm', 'inch')}rapid,,,2,,,,,\nrapid,1,-1,2,,,,,\n"
            "cut,1,.5,+1.5,10,,,,\nend,,,,,,,,\r\n"
        ),
    ),
    "table: no text": ("motion-table", ""),
    "table: a first row that is not one, and then more": ("motion-table", "action,x\nfly\nend,,,,,,,,\n"),
    "table: twenty are enough": ("motion-table", TABLE + "fly,,,,,,,,\n" * 23),
    "table: no end": ("motion-table", TABLE + BEGUN),
    "table: as long as a row may be": (
        "motion-table",
        f"{TABLE}note,,,,,,,,{'a' * 988}\nnote,,,,,,,,{'a' * 989}\nend,,,,,,,,\n",
    ),
    "spelled out: all that may be said": (
        "spelled-out",
        (
            f"{HEAD}(a)\n\nN3 G0 Z5\nG0 X1 Y2 Z5\nS900 M3\nG1 X1 Y2 Z-1 F60\n"
            f"G2 X1.05 Y2.05 Z-1 I.05 F70\nM5\nM0\n"
            "G0 Z5\nG0 X1 Y1 Z5\nM1\nG0 Z6\nT2 M6\nG0 Z7\nG38.2 Z6 F50\nG0 Z7\nG4 P1\nM30\nX\n(\n"
        ),
    ),
    "spelled out: each line leans on another": (
        "spelled-out",
        (
            f"{HEAD}S900\nM3\nG0 Z5\nG0 X1 Y2\nX2\nG0 X1 Z5\nF60\nG1 X1 Y2\n"
            f"G3 X1.05 Y2.05 R.05\nG1 X2 Y2 Z5 F9\n"
            "M4\nG38.2 Z1\nG0 X1 Y2\nG0 Z2\nM2\n"
        ),
    ),
    "spelled out: twenty are enough": ("spelled-out", f"{HEAD}F9\nG0 Z5\n" + "X1\n" * 23 + "M2\n"),
    "spelled out: percent": ("spelled-out", f"%\n{HEAD}G0 Z5\r\nM2\n%\nX1\n"),
}

# name -> reader, what stands before a line, what stands behind it; the lines are those of the page
LINES: dict[str, tuple[str, str, str]] = {
    "rs274: words": ("rs274-ngc", KNOWN, "M2\n"),
    "rs274: what a line lacks": ("rs274-ngc", KNOWN, "M2\n"),
    "rs274: from a place that is not known": ("rs274-ngc", "G21 G90 G94\nF60\n", "M2\n"),
    "rs274: turning": ("rs274-ngc", f"{KNOWN}M3 S9\n", "M2\n"),
    "rs274: turning the other way, in steps": ("rs274-ngc", f"{KNOWN}M4 S9\nG91\nG1 X1\n", "M2\n"),
    "rs274: in inches": ("rs274-ngc", "G17 G20 G90 G94\nF5\nG0 Z5\nG0 X1 Y2\n", "M2\n"),
    "rs274: in the machine's frame, without its zero": ("rs274-ngc", KNOWN, "M2\n"),
    "ISO: blocks": ("iso-6983", f"{ISO}F500.0\nG00Z5.0\nX1.0Y2.0\n", "M02\n"),
    "ISO: turning": ("iso-6983", f"{ISO}F0.5\nG00Z5.0\nX1.0Y2.0\nS9M03\n", "M02\n"),
    "ISO: turning the other way": ("iso-6983", f"{ISO}T1\nG00Z5.0\nS9M04\n", "M02\n"),
    "ISO: in inches": ("iso-6983", "%\nG17\nG70\nG90\nG94\nF5.0\nG00Z5.0\nX1.0Y2.0\n", "M02\n"),
    "ISO: before anything is set": ("iso-6983", "%\n", "M02\n"),
    "ISO: with units": ("iso-6983", "%\nG71G94\nF50.0\n", "M02\n"),
    "ISO: how it begins": ("iso-6983", "", "M02\n"),
    "ISO: behind the end": ("iso-6983", "%\nM02\n", "%\n"),
    "cards": ("cldata", f"{CARDS}FEDRAT/600,PERMIN\nRAPID\nGOTO/1,2,9\n", "FINI\n"),
    "cards: RAPID waits": ("cldata", f"{CARDS}FEDRAT/600,PERMIN\nRAPID\n", "GOTO/1,2,4\nFINI\n"),
    "cards: with the spindle on": ("cldata", f"{CARDS}SPINDL/9,RPM,CCLW\n", "FINI\n"),
    "cards: at first": ("cldata", "", "FINI\n"),
    "cards: before units": ("cldata", "PARTNO A\n", "FINI\n"),
    "cards: units": ("cldata", "PARTNO A\n", "FINI\n"),
    "cards: slow": ("cldata", f"{CARDS}FEDRAT/.5,PERMIN\n", "FINI\n"),
    "cards: behind the end": ("cldata", "PARTNO A\nUNITS/MM\nFINI\n", ""),
    "rows": ("motion-table", TABLE + BEGUN, "end,,,,,,,,\n"),
    "rows: before a move": ("motion-table", TABLE, "end,,,,,,,,\n"),
    "rows: with the spindle on": ("motion-table", f"{TABLE}spindle on,,,,,9,,,\n", "end,,,,,,,,\n"),
    "rows: behind the end": ("motion-table", f"{TABLE}end,,,,,,,,\n", ""),
    "spelled out": ("spelled-out", f"{HEAD}G0 Z5\nG0 X1 Y2 Z5\n", "M2\n"),
}


def read_as(reader: str, text: str) -> list[str]:
    """Tell the reading of a text: moves, events, what it states, what was not understood."""
    return list(_told(READERS[reader](text)))


def line_as(name: str, line: str) -> str:
    """Tell on one line what a reader makes of a line: what it adds to the reading, or why it is refused.

    `line` as it stands on the page: what is not printable is told as <hexadecimal>.
    """
    reader, before, behind = LINES[name]
    plain = UNPRINTABLE.sub(lambda found: chr(int(found[1], 16)), line)
    old = [said.partition(" ")[2] if ": end" in said else said for said in read_as(reader, before + behind)]
    new = read_as(reader, f"{before}{plain}\n{behind}")
    more = [said for said in new if said not in old and said.partition(" ")[2] not in old]
    return f"{line} | {'; '.join(more)}"


def _told(reading: Reading) -> Iterable[str]:
    moves = reading.moves
    for k in range(len(moves)):
        kind = "rapid" if moves.rapid[k] else f"feed {_number(moves.feed[k])}"
        more = f" off {_number(moves.sagitta[k])}" if moves.sagitta[k] else ""
        more += " touching" if moves.touches[k] else ""
        ways = (" ".join(map(_number, end.tolist())) for end in (moves.start[k], moves.end[k]))
        yield f"{moves.line[k]}: {kind} rpm {_number(moves.rpm[k])}{more}: {' to '.join(ways)}"
    for e in reading.events:
        yield f"{e.line}: {e.kind} {_number(e.value)} {e.note or '-'} after {e.after}"
    yield f"states {', '.join(sorted(reading.stated)) or 'nothing'}"
    lines: dict[str, list[str]] = {}
    for unread in reading.unread:
        lines.setdefault(f"{unread.rule}: {_shown(unread.message)}", []).append(str(unread.line))
    for said, at in lines.items():
        yield f"{' '.join(at)}: {said}"


def _number(value: float) -> str:
    return "-" if math.isnan(value) else f"{value:.9g}"


def _shown(text: str) -> str:
    """Give a text with what is not printable told, and long runs shortened."""
    plain = text if len(text) < 200 else f"{text[:20]}...{len(text)}"
    return "".join(c if c.isascii() and c.isprintable() else f"<{ord(c):x}>" for c in plain)
