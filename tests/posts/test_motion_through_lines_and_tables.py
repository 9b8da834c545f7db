"""Random motion through the posts that are no word-address code, and back by the readers that prove them."""

from __future__ import annotations

import csv
import io
import re
import tracemalloc
from itertools import islice

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawn import drawn
from programs import expected_moves, program, random_programs, spindle_stopped_at_pauses, texts, with_nodes
from stockwright.findings import Refused
from stockwright.motion import Feed, Probe, Program, Rapid, Remark, SpindleOff, SpindleOn
from stockwright.posting import Units, load_post
from stockwright.proving.readers import READERS

NAMES = st.sampled_from(["cldata", "motion-table"])
UNITS = st.sampled_from(["mm", "inch"])


@drawn(60, 300)
@given(random_programs(), NAMES, UNITS)
def test_what_is_written_is_read_back(random: Program, name: str, units: Units) -> None:
    """Every move, to half a step, and every speed; no line that is not understood."""
    random, post = spindle_stopped_at_pauses(random), load_post(name)
    reading = READERS[name](post.write(random, units))
    assert reading.unread == ()
    step = post.resolution(units)
    got = [
        ("rapid" if rapid else "feed", *(None if np.isnan(v) else round(v / step) for v in end))
        for rapid, end in zip(reading.moves.rapid, reading.moves.end, strict=True)
    ]
    assert got == expected_moves(random, post, units)
    turned = [event.value for event in reading.events if event.kind == "spindle" and event.note == "on"]
    assert turned == [round(node.rpm) for node in random.nodes if isinstance(node, SpindleOn)]
    assert reading.stated >= {"units", "distance", "feed mode"}


@drawn(60, 200)
@given(texts(), texts(), NAMES)
def test_no_text_becomes_a_word(text: str, other: str, name: str) -> None:
    """Title, zero and remarks of any kind: what acts is what acts without them."""
    post = load_post(name)

    def acts(title: str, zero: str, remark: str) -> object:
        reading = READERS[name](
            post.write(
                program(Rapid(z=9.0), Remark(remark), Rapid(x=1.0, y=2.0), title=title, touch_off=zero), "mm"
            )
        )
        assert reading.unread == ()
        return [(e.kind, e.value, e.after) for e in reading.events], repr(reading.moves.end.tolist())

    assert acts(text, other, text + other) == acts("a", "b", "c")


@drawn(60, 200)
@given(texts())
def test_no_cell_is_calculated_and_every_row_is_one(text: str) -> None:
    """A library's own reader of RFC 4180 finds nine cells in each row, and no text that begins a formula."""
    said = load_post("motion-table").write(program(Rapid(z=1.0), Remark(text), title=text), "mm")
    rows = list(csv.reader(io.StringIO(said, newline=""), strict=True))
    assert {len(row) for row in rows} == {9}
    for row in rows[1:]:
        assert row[0][:1] not in set("=+-@")
        assert row[8][:1] not in set("=+-@\t\r")
        for cell in row[1:8]:
            assert re.fullmatch(r"(-?[0-9]+(\.[0-9]+)?)?", cell)


def test_quotes_are_doubled_and_commas_quoted() -> None:
    """As RFC 4180 says in its section 2, rules 6 and 7."""
    text = load_post("motion-table").write(program(Rapid(z=1.0), Remark('a "b", c')), "mm")
    assert 'note,,,,,,,,"a ""b"", c"\r\n' in text
    assert "note,,,,,,,,'=1+1\r\n" in load_post("motion-table").write(program(Remark("=1+1")), "mm")


def test_a_probing_move_is_a_row_and_no_statement() -> None:
    """The table has a word of its own for it; the vocabulary of ISO 4343 has none, and it is refused."""
    probing = program(Rapid(z=60.0), Rapid(x=1.0, y=2.0), Rapid(z=20.0), Probe(5.0, 100.0), Rapid(z=60.0))
    with pytest.raises(Refused, match="no move that stops at a touch"):
        load_post("cldata").write(probing, "mm")
    moves = READERS["motion-table"](load_post("motion-table").write(probing, "mm")).moves
    assert moves.touches.tolist() == [False, False, False, True, False]
    assert np.isnan(moves.start[4][2])
    assert moves.feed[3] == 100.0


@pytest.mark.parametrize(
    "nodes",
    [
        (Rapid(x=1.0, y=2.0), Rapid(z=60.0)),
        (Rapid(z=60.0), Rapid(x=1.0)),
        (Feed(np.array([[1.0, 2.0, 3.0]]), 900.0),),
    ],
)
def test_a_start_that_from_cannot_say_is_refused(nodes: tuple[Rapid | Feed, ...]) -> None:
    """All three coordinates stand in every statement, so Z alone comes first, then X and Y."""
    with pytest.raises(Refused, match="does not begin with Z alone"):
        load_post("cldata").write(program(*nodes), "mm")


@pytest.mark.wide
@pytest.mark.parametrize("name", ["cldata", "motion-table"])
def test_a_long_program_is_written_and_read_as_a_stream(name: str) -> None:
    """Writing keeps a small part of the text in memory; reading at most what the moves themselves take."""
    count = 12_000
    k = np.arange(1.0, count + 1)
    slab = Feed(np.column_stack([k % 977, k / 7, -(k % 13)]), 900.0)
    post = load_post(name)
    of = with_nodes(program(), Rapid(z=60.0), Rapid(x=0.0, y=0.0), slab, Rapid(z=60.0), SpindleOff())
    assert len(list(islice(post.lines(of, "mm"), 5))) == 5
    tracemalloc.start()
    size = sum(map(len, post.lines(of, "mm")))
    written = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    text = post.write(of, "mm")
    assert len(text) == size
    tracemalloc.start()
    reading = READERS[name](text)
    read = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(reading.moves) == count + 3
    # The positions as numbers take 24 bytes a move, as whole counts in lists some 200.
    assert written < count * 300
    # A move in columns is 24 + 8 + 8 + 8 + 1 + 1 bytes, and the readers may take as much again.
    assert read < count * 120
