"""Awkward lines of every language that is proven: what each reader makes of them was read, and holds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from as_read import pages_in
from proving.awkward_lines import LINES, PROGRAMS, line_as, read_as
from stockwright.proving.rs274 import read, read_strictly

HERE = Path(__file__).parent
READ, SAID = pages_in(HERE / "read_of_programs.txt"), pages_in(HERE / "read_of_awkward_lines.txt")


def test_every_program_and_line_has_been_read() -> None:
    """The pages hold what is asked here and nothing else, and hundreds of lines of it."""
    assert READ.keys() == PROGRAMS.keys()
    assert SAID.keys() == LINES.keys()
    assert sum(map(len, SAID.values())) > 400


@pytest.mark.parametrize("name", PROGRAMS)
def test_a_whole_program_is_read_as_was_read(name: str) -> None:
    """Every move with its line, ends, feed and speed, every event and every refusal, to nine digits."""
    reader, text = PROGRAMS[name]
    assert read_as(reader, text) == READ[name]


@pytest.mark.parametrize("name", LINES)
def test_a_single_line_means_what_was_read(name: str) -> None:
    """What one line adds behind a known beginning, or the words in which it is refused."""
    for said in SAID[name]:
        assert line_as(name, said.partition(" | ")[0]) == said


@pytest.mark.parametrize("name", [name for name, (reader, _) in PROGRAMS.items() if reader == "rs274-ngc"])
def test_the_strict_way_reads_awkward_programs_alike(name: str) -> None:
    """Every line taken apart by itself gives the moves, events and refusals that many at once give."""
    text = PROGRAMS[name][1]
    fast, strict = read(text), read_strictly(text)
    assert (fast.events, fast.stated, fast.unread) == (strict.events, strict.stated, strict.unread)
    assert np.array_equal(fast.moves.end, strict.moves.end, equal_nan=True)
    assert np.array_equal(fast.moves.start, strict.moves.start, equal_nan=True)
