"""What holds for every post that is installed, found as the program finds them."""

from __future__ import annotations

import ast
import inspect
import re
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import stockwright_posts
from programs import expected_moves, program, random_programs, spindle_stopped_at_pauses
from source_trees import tree_of
from stockwright.motion import NODES, Feed, Program, Rapid, SpindleOn
from stockwright.posting import Traits, WordAddress, faults, found, load_post
from stockwright.proving.readers import READERS
from word_address_reader import read

if TYPE_CHECKING:
    from stockwright.posting import Units

WORDY = [name for name in found() if load_post(name).reader == "rs274-ngc"]  # the kit looks at all posts
ALL = st.sampled_from(WORDY)
UNITS = st.sampled_from(["mm", "inch"])


@pytest.mark.parametrize("name", found())
def test_every_node_is_written_or_refused(name: str) -> None:
    """The two sets together are all kinds of nodes, and no kind stands in both."""
    post = load_post(name)
    assert faults(post) == ()
    assert post.written() | set(post.refused()) == set(NODES)
    assert not post.written() & set(post.refused())


@pytest.mark.parametrize("name", found())
def test_every_post_says_in_words_what_it_does(name: str) -> None:
    """Name, reader, units, ends and file ending stand in its description, a line each."""
    post = load_post(name)
    said = post.describe()
    assert said.startswith(f"{name}: {post.about}\n")
    ends = post.traits.end_words if isinstance(post.traits, Traits) else ("end: ",)
    for words in (f"read back by {post.reader}", f".{post.extension}", *ends):
        assert words in said
    assert max(map(len, said.splitlines())) <= 140  # folded where it is shown


@given(random_programs(), ALL, UNITS)
def test_one_motion_through_all_posts_is_one_motion(random: Program, name: str, units: Units) -> None:
    """Random motion, written and read back by an independent reader: the same moves to half a step."""
    random, post = spindle_stopped_at_pauses(random), load_post(name)
    step = post.resolution(units)
    got = [
        (kind, *(None if v is None else round(v / step) for v in place))
        for kind, *place, _ in read(post.write(random, units)).moves
    ]
    assert got == expected_moves(random, post, units)


@given(random_programs(), ALL, UNITS)
def test_the_reader_a_post_names_reads_it(random: Program, name: str, units: Units) -> None:
    """The proof's own reader knows every line, and finds the same moves and spindle speeds."""
    random, post = spindle_stopped_at_pauses(random), load_post(name)
    assert post.reader is not None
    reading = READERS[post.reader](post.write(random, units))
    assert reading.unread == ()
    step = post.resolution(units)
    got = [
        ("rapid" if rapid else "feed", *(None if np.isnan(v) else round(v / step) for v in end))
        for rapid, end in zip(reading.moves.rapid, reading.moves.end, strict=True)
    ]
    assert got == expected_moves(random, post, units)
    # A new speed on a turning spindle is an event of its own, before the start word repeats it.
    turned = [event.value for event in reading.events if event.kind == "spindle"]
    asked = [round(node.rpm) for node in random.nodes if isinstance(node, SpindleOn)]
    assert [speed for speed, _ in groupby(v for v in turned if v)] == [speed for speed, _ in groupby(asked)]


@given(st.floats(-2000, 2000), ALL, UNITS)
def test_a_snapped_position_is_what_the_text_says(mm: float, name: str, units: Units) -> None:
    """Plan on the post's grid, and the words say the plan exactly: to a millionth of a millimetre."""
    post = load_post(name)
    to = post.snap(mm, units)
    assert abs(to - mm) <= post.resolution(units) * 0.50001
    [move] = read(post.write(program(Rapid(z=to)), units)).moves
    assert move[3] == pytest.approx(to, abs=1e-6)


@pytest.mark.parametrize("name", WORDY)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_feeds_stay_within_one_part_in_a_hundred(name: str, units: Units) -> None:
    """From 100 mm/min on, what is said is within 1.3 % of what was asked, whatever decimals F has."""
    post = load_post(name)
    for feed in np.linspace(100.0, 6000.0, 60):
        cut = Feed(np.array([[1.0, 0.0, 0.0]]), float(feed))
        moves = read(post.write(program(Rapid(z=0.0), cut), units)).moves
        assert moves[-1][4] == pytest.approx(feed, rel=0.013)


@pytest.mark.parametrize("name", WORDY)
def test_the_size_of_a_program_follows_its_moves(name: str) -> None:
    """A thousand moves make a thousand lines and little more, each under 30 bytes."""
    x = np.arange(1.0, 1001.0)
    points = np.stack([x, x / 7, -x / 1000], axis=1)
    text = load_post(name).write(program(SpindleOn(9000.0), Rapid(z=0.0), Feed(points, 900.0)), "mm")
    assert 1000 < text.count("\n") < 1030
    assert len(text) < 1030 * 32


def test_the_shipped_posts_are_tables() -> None:
    """Each is a class of traits and a few lines; nothing of motion is in them."""
    folder = Path(inspect.getfile(stockwright_posts)).parent
    modules = sorted(file for file in folder.glob("*.py") if file.name != "__init__.py")
    own = ["cldata", "motion_table"]  # words that no table can say
    modules = [file for file in modules if file.stem not in own]
    assert [file.stem for file in modules] == ["iso_6983", "lean_serial", "rs274_ngc", "spelled_out"]
    for file in modules:
        tree = tree_of(file)
        imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
        assert imported == {"stockwright.posting"}


def test_the_lean_post_stays_lean() -> None:
    """Short lines, no %, no words for what small firmwares do not know, one tool a file."""
    post = load_post("lean-serial")
    text = post.write(program(title="a title that is far too long for one line of so small a reader"), "mm")
    assert max(map(len, text.splitlines())) <= 60
    assert "%" not in text
    assert not re.search(r"\b(G40|G49|G80|M6|T[0-9])\b", text)


def test_both_posts_differ_from_the_defaults_only_in_what_they_state() -> None:
    """A trait left out is the default's: the habit most controllers live with."""
    for name in ("lean-serial", "rs274-ngc"):
        post = load_post(name)
        assert isinstance(post, WordAddress)
        assert post.traits.point_always == Traits().point_always
        assert post.traits.work_frame == "G54"
