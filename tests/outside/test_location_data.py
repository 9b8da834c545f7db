"""The reader of cutter location data against the vocabulary it is written from.

Source of the words and their lists: ISO 4343 (the language of cutter location data, minor and major words),
the text form of the same family; both from memory of the standards, which were not at hand. Row by row
below.
"""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.proving.cldata import read

# Written by hand from the vocabulary, not by any writer.
BY_HAND = """\
PARTNO SHELF BOARD 3 FACE A
UNITS/MM
LOADTL/1
$$ a remark, which no receiver sees
SPINDL/12000,RPM,CLW
RAPID
GOTO/-25.0,15.0,60.0
RAPID
GOTO/-25.0,15.0,35.0
FEDRAT/1800.0,PERMIN
GOTO/-25.0,15.0,31.5
GOTO/625.0,$
 15.0,31.5
RAPID
GOTO/625.0,15.0,60.0
SPINDL/OFF
FINI
"""
HEAD = "PARTNO X\nUNITS/MM\nFROM/0,0,50\n"


def test_the_program_by_hand_is_read_as_it_is_meant() -> None:
    """RAPID holds for one motion; FEDRAT until another; $ goes on; $$ says nothing."""
    reading = read(BY_HAND)
    assert reading.unread == ()
    moves = reading.moves
    assert moves.rapid.tolist() == [True, True, False, False, True]
    assert moves.end.tolist()[3] == [625.0, 15.0, 31.5]
    assert moves.feed.tolist()[2:4] == [1800.0, 1800.0]
    assert set(moves.rpm.tolist()) == {12000.0}
    assert np.isnan(moves.start[0]).all()
    assert [event.kind for event in reading.events] == ["tool", "spindle", "spindle", "end"]


def test_from_is_the_persons_way_to_the_start() -> None:
    """FROM moves nothing; the way there is up, then along, before anything else."""
    moves = read(HEAD + "RAPID\nGOTO/1,2,50\nFINI\n").moves
    assert moves.rapid.all()
    assert np.isnan(moves.end[0][:2]).all()
    assert moves.end[0][2] == 50.0
    assert moves.end[1].tolist() == [0.0, 0.0, 50.0]
    assert len(moves) == 3


def test_inches_are_inches_of_feed_too() -> None:
    """UNITS/INCHES: 1 is 25.4 mm, 10 PERMIN is 254 mm/min."""
    moves = read("PARTNO X\nUNITS/INCHES\nFROM/0,0,2\nFEDRAT/10,PERMIN\nGOTO/1,0,2\nFINI\n").moves
    assert moves.end[-1].tolist() == [25.4, 0.0, 50.8]
    assert moves.feed[-1] == 254.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("UNITS/MM\nFINI\n", "PARTNO is the first"),
        (HEAD + "RAPID\nFINI\n", "RAPID holds for the next motion"),
        (HEAD + "RAPID\nSPINDL/OFF\nGOTO/1,2,3\nFINI\n", "RAPID holds for the next motion"),
        (HEAD + "GOTO/1,2,3\nFINI\n", "neither RAPID nor a feed"),
        (HEAD + "FINI\nSPINDL/9000,RPM,CLW\n", "stands after it"),
        (HEAD + "FINI\nPARTNO Y\n", "stands after it"),
        (HEAD + "RAPID\nGOTO/1,2,3\n", "no end"),
        (HEAD + "JUMP/1\nFINI\n", "cannot read 'JUMP'"),
        (HEAD + "goto/1,2,3\nFINI\n", "cannot read 'goto'"),
        (HEAD + "COOLNT/FLOOD\nFINI\n", "COOLNT is not used"),
        (HEAD + "CYCLE/DRILL,5\nFINI\n", "CYCLE is not used"),
        (HEAD + "INSERT G0 Z-5\nFINI\n", "cannot read"),
        (HEAD + "PARTNO Y\nFINI\n", "a second PARTNO"),
        (HEAD + "UNITS/INCHES\nFINI\n", "UNITS stands twice"),
        ("PARTNO X\nFROM/0,0,50\nFINI\n", "before UNITS"),
        ("PARTNO X\nUNITS/CM\nFINI\n", "UNITS is MM or INCHES"),
        (HEAD + "RAPID\nGOTO/1,2\nFINI\n", "three numbers"),
        (HEAD + "RAPID\nGOTO/1,2,3,0,0,1\nFINI\n", "three numbers"),
        (HEAD + "RAPID\nGOTO/1,2,1E3\nFINI\n", "plain number"),
        (HEAD + "RAPID\nGOTO/1,2,\nFINI\n", "cannot read"),
        (HEAD + "FEDRAT/900\nFINI\n", "FEDRAT is a feed and PERMIN"),
        (HEAD + "FEDRAT/0,PERMIN\nFINI\n", "not above zero"),
        (HEAD + "SPINDL/9000,CLW\nFINI\n", "SPINDL is OFF"),
        (HEAD + "SPINDL/9000,RPM,CLW\nLOADTL/2\nFINI\n", "with the spindle on"),
        (HEAD + "RAPID\nGOTO/1,2,3\nFROM/0,0,9\nFINI\n", "has moved before it"),
        ("PARTNO X $\nUNITS/MM\nFINI\n", "$ in text"),
        (HEAD + "PPRINT " + "x" * 66 + "\nFINI\n", "73 characters"),
        (HEAD + "PPRINT caf\u00e9\nFINI\n", "U+00E9"),
        (HEAD + "PPRINT a\x00\nFINI\n", "U+0000"),
        (HEAD + "DELAY/-1\nFINI\n", "not below zero"),
        (HEAD + "STOP/1\nFINI\n", "has no list"),
        (HEAD + "GOTO/1,$\n", "past the end"),
        (HEAD + "FINI", "has no end"),
        ("", "no end"),
    ],
)
def test_what_is_not_fully_known_is_refused(text: str, said: str) -> None:
    """The line is named, with what was expected."""
    unread = read(text).unread
    assert unread
    assert said in unread[0].message


def test_anticlockwise_is_seen() -> None:
    """CCLW turns the other way, and the proof is told so."""
    [spindle, *_] = read(HEAD + "SPINDL/9000,RPM,CCLW\nFINI\n").events
    assert (spindle.value, spindle.note) == (-9000.0, "anticlockwise")
