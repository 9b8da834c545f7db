"""Reading many lines at once gives what reading them one by one gives, whatever the text is."""

from __future__ import annotations

import random
import tracemalloc
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawn import drawn
from random_programs import damaged, program
from stockwright.proving import rs274
from stockwright.proving.program import Moves, Reading
from stockwright.proving.rs274 import read, read_strictly

LINES = st.lists(
    st.one_of(
        st.from_regex(r"\A(N[0-9]{1,6} ?)?(G0?[0-3] ?)?(X-?[0-9]{0,3}\.?[0-9]{0,3} ?)?(Y-?[0-9.]{1,5} ?)?\Z"),
        st.from_regex(r"\AG1 X[0-9]{1,3}\.[0-9]{3} Y[0-9]{1,3}\.[0-9]{3}( F[0-9]{3})?\Z"),
        st.sampled_from(["G21 G90 G94", "G91", "G93", "M3 S900", "M6 T1", "G0 Z5", "(n)", "%", "M2", ""]),
        st.text(alphabet="GXYZF0123456789.-+ \t\r()%/N", max_size=12),
    ),
    max_size=40,
)


def same(text: str) -> Reading:
    """Read a text both ways, hold every part of the two readings equal, give the strict one."""
    fast, strict = read(text), read_strictly(text)
    for field in fields(Moves):
        a, b = getattr(fast.moves, field.name), getattr(strict.moves, field.name)
        assert np.array_equal(a, b, equal_nan=a.dtype == np.float64), (field.name, text)
    assert (fast.events, fast.stated, fast.unread) == (strict.events, strict.stated, strict.unread), text
    return strict


@pytest.mark.parametrize("block", range(10))
def test_random_and_damaged_programs_read_alike(block: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 2,500 random programs, most of them damaged, both ways give the same moves, events and refusals."""
    moves = refused = 0
    for seed in range(block * 250, block * 250 + 250):
        rng = random.Random(seed)
        # Short stretches, so that their ends fall anywhere.
        monkeypatch.setattr(rs274, "STRETCH", rng.choice([1, 40, 200, 1 << 16]))
        reading = same(damaged(program(rng), rng))
        moves += len(reading.moves)
        refused += bool(reading.unread)
    assert moves > 2500
    assert 50 < refused < 225  # neither of the two is the rule


@given(LINES)
@drawn(120, 500)
def test_lines_of_any_kind_read_alike(lines: list[str]) -> None:
    """Lines near the usual shape, and text of the language's letters, read alike both ways."""
    same("\n".join(["G21 G90 G94", "F500\nG1 X0", *lines, "M2"]))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n",
        "%",
        "%\nM2",
        "%\nM2\n%\nX",
        " \t%\r\nG0 Z1\n% \nM2\n",
        "M2",
        "X1\n" * 30,
        "\n\n%\n%%\n%\nM2\n",
    ],
)
def test_texts_of_next_to_nothing_read_alike(text: str) -> None:
    """Empty texts, lone marks and texts with nothing but mistakes read alike both ways."""
    same(text)


def test_a_long_program_reads_alike_over_many_stretches() -> None:
    """Ten thousand lines, longer than several stretches, read alike, and every move is there."""
    rng = random.Random(1)
    body = [f"X{rng.uniform(0, 900):.3f} Y{rng.uniform(0, 900):.3f}" for _ in range(10_000)]
    body[5000] = "G2 X10 Y10 R900"
    body[5001] = "G1 " + body[5001]
    body[7000] += " F0"
    reading = same("\n".join(["G17 G21 G90 G94", "F900\nG1 X0 Y0 Z5", *body, "M2", ""]))
    assert [unread.line for unread in reading.unread] == [7004]
    assert len(reading.moves) > 7000


@pytest.mark.parametrize(
    "line", ["G1 X5 F-1", "G0 1X5", "X1 5", "G10 X5", "X1Y2X3", "G1 X5 F9 S-1", "G1 X5 P2"]
)
def test_a_line_that_only_looks_usual_is_refused(line: str) -> None:
    """Among a hundred usual lines one that is not is read, or refused, as by itself."""
    lines = ["G17 G21 G90 G94", "F900\nG1 X0", *["X1.5 Y2.5"] * 50, line, *["X1.5 Y2.5"] * 50, "M2"]
    reading = same("\n".join(lines))
    alone = read_strictly(f"G21 G90 G94\nF900\nG1 X0\n{line}\nM2")
    assert [u.message for u in reading.unread] == [u.message for u in alone.unread]


@pytest.mark.wide
def test_memory_follows_the_text_by_less_than_three_times() -> None:
    """What reading holds at its height is below three times a long text; the moves alone are twice it."""
    text = "G21 G90 G94\nF900\nG1 " + "X123.456 Y-123.456\n" * 100_000 + "M2\n"
    tracemalloc.start()
    reading = read(text)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(reading.moves) == 100_000
    assert peak < 3 * len(text) + 3_000_000  # and the rows of one stretch


def test_moves_cannot_be_written_to() -> None:
    """Start and end share their places, so writing to one of them is an error and not a quiet change."""
    moves = read("G21 G90 G94\nG0 Z5\nX1 Y2\nM2\n").moves
    with pytest.raises(ValueError, match="read-only"):
        moves.end[0, 0] = 1.0
