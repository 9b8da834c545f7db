"""Codes of the language that a program must not use if it is to be proven: each is refused, on its line."""

from __future__ import annotations

import pytest

from stockwright.proving.iso6983 import read as read_iso
from stockwright.proving.rs274 import read

# NISTIR 6556, table 4 and sections 3.5.2 to 3.5.19, 3.6; what moves zeros, offsets, frames and cycles.
OFFSETS = ("G41", "G42", "G43", "G92 X0", "G92.1", "G92.2", "G92.3", "G10 P1 X0")
FRAMES = ("G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3", "G28", "G30", "G53 G0 X0")
CYCLES = tuple(f"G{code} X2 Y1 {rest}" for code in range(81, 90) for rest in ("Z-1 R2", "I0 J1"))
OTHERS = ("G98", "G99", "M49", "M60")
BEGIN = "G17 G21 G40 G49 G54 G90 G94\nG0 Z5\nG0 X0 Y0\nG1 X1 F100\n"


@pytest.mark.parametrize("words", [*OFFSETS, *FRAMES, *CYCLES, *OTHERS])
def test_it_is_refused_where_it_stands(words: str) -> None:
    """The line is named and the word itself, whatever stands beside it; nothing after it is taken as read."""
    reading = read(f"{BEGIN}{words}\nG1 X2\nM2\n")
    [first, *_] = reading.unread
    assert first.line == 5
    word, _, _ = words.partition(" ")
    assert first.message == f"{word} is not used in programs that can be proven"
    assert len(reading.moves.line) == 3


@pytest.mark.parametrize("words", ["G80", "G49", "G40", "G54", "M48", "M9", "G61", "G64", "G4 P1"])
def test_what_takes_them_back_is_proven(words: str) -> None:
    """Ending a cycle or an offset, the first frame and a wait change nothing."""
    reading = read(f"{BEGIN}{words}\nG1 X2\nM2\n")
    assert reading.unread == ()
    assert len(reading.moves.line) == 4


@pytest.mark.parametrize("word", ["G40", "G49", "G54"])
def test_what_is_taken_back_after_a_move_is_refused(word: str) -> None:
    """An offset or another frame may have held until then: where the moves before went, nobody knows."""
    reading = read(f"{BEGIN.replace(word + ' ', '')}{word}\nG1 X2\nM2\n")
    assert [(u.line, u.message.split(":")[0]) for u in reading.unread] == [
        (5, f"{word} said first after a move")
    ]
    assert read(f"{BEGIN}{word}\nG1 X2\nM2\n").unread == ()


def test_a_strange_character_is_named_with_its_column() -> None:
    """Columns count from 1, as editors count them."""
    first = read_iso("%\nN1 G90 G71\nN2 X1\u00b7Y2\nN3 M30\n%\n").unread[0]
    assert first.line == 3
    assert "U+00B7 in column 6 " in first.message
