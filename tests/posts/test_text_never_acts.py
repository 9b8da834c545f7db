"""Names, titles and notes never become words in any word-address post; random motion comes back.

Some six hundred random cases, more than five thousand in CI, each read back by the reader that proves it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawn import drawn
from programs import FITTED, expected_moves, program, random_programs, spindle_stopped_at_pauses, texts
from stockwright.motion import Feed, Program, Rapid, Remark, SpindleOff, SpindleOn, UseTool
from stockwright.posting import Units, WordAddress, found, load_post
from stockwright.proving.readers import READERS

if TYPE_CHECKING:
    from stockwright.proving.program import Reading

POSTS = {name: post for name in found() if isinstance(post := load_post(name), WordAddress)}
# What each post writes with comments too, where it has them by trait alone.
SPEAKING = [
    post.like(name=name, about="", traits=replace(post.traits, comments="parentheses", characters=characters))
    for name, post in POSTS.items()
    # Small letters are not of the older family's code table.
    for characters in (("capitals", "bare") if name == "iso-6983" else ("plain", "capitals", "bare"))
]
HARM = [
    *(
        "M3 (",
        ") M3",
        "%",
        "%\n",
        ";M3",
        "\nM3\n",
        "\r\nM03\r\n",
        "\x00",
        "\x1a",
        "N10 M3",
        "(MSG, GO)",
        ")(",
        "))",
    ),
    *(
        "/M3",
        "#1=5",
        "[1]",
        "$H",
        "!",
        "~",
        "?",
        "\x18",
        "\u2028M3",
        "\u0085M3",
        "S9000M3",
        "é",
        "漢",
        "\ud800",
    ),
    *(
        "G1 X9 F9",
        ":10",
        "*71",
        "O100",
        "@",
        "{",
        "<M3>",
        "\t",
        "\x7f",
        "M３",
        "(",
        ")",
        "=" * 400,
        " " * 400,
    ),
]
WORDS = st.one_of(
    texts(),
    st.sampled_from(HARM),
    st.lists(st.sampled_from(HARM), min_size=2, max_size=4).map("".join),
    st.text(alphabet="()%;\n\r\x00 MGSXF03/:", max_size=60),
)
CASES = 1300  # for each of the four posts, where there is time for all of them: 5200


def speaking(title: str, note: str, zero: str, name: str) -> Program:
    """Give a program that says these texts everywhere that it can, around the same motion."""
    nodes = (
        Remark(note),
        UseTool(FITTED.number, name),
        Rapid(z=9.0),
        SpindleOn(9000.0),
        Rapid(x=1.0, y=2.0),
        Remark(title),
        Feed(np.array([[1.0, 2.0, 3.0], [4.0, 2.0, 3.0]]), 600.0),
        Rapid(z=9.0),
        SpindleOff(),
    )
    made = program(*nodes, title=title, touch_off=zero)
    return replace(made, tool=replace(made.tool, name=name))


def acts(reading: Reading) -> object:
    """Give all that a text does, without the lines it stands on."""
    moves = reading.moves
    assert reading.unread == ()
    columns = [moves.end, moves.feed, moves.rpm, moves.rapid]
    return (
        [np.asarray(column, dtype=float).tobytes() for column in columns],
        [(event.kind, event.value, event.after, event.note) for event in reading.events],
        reading.stated,
    )


SILENT = {
    name: acts(READERS[str(post.reader)](post.write(speaking("", "", "", "plain"), "mm")))
    for name, post in POSTS.items()
}


@drawn(150, CASES)
@given(WORDS, WORDS, st.integers(0, 2))
@pytest.mark.parametrize("name", sorted(POSTS))
def test_no_name_changes_what_is_read(name: str, one: str, other: str, way: int) -> None:
    """Whatever is written in the documents, the machine does what it does without it."""
    ways = [post for post in SPEAKING if post.name == name]
    post = ways[way % len(ways)]
    text = post.write(speaking(one, other, other, one), "mm")
    assert acts(READERS[str(post.reader)](text)) == SILENT[name]


@drawn(30, 60)
@given(random_programs(), st.sampled_from(["mm", "inch"]))
@pytest.mark.parametrize("name", sorted(POSTS))
def test_random_motion_comes_back(name: str, random: Program, units: Units) -> None:
    """The reader that proves it finds every move, to half a step, and no other."""
    post = POSTS[name]
    random = spindle_stopped_at_pauses(random)
    random = replace(random, nodes=tuple(n for n in random.nodes if type(n) not in post.refused()))
    reading = READERS[str(post.reader)](post.write(random, units))
    assert reading.unread == ()
    step = post.resolution(units)
    got = [
        ("rapid" if rapid else "feed", *(None if np.isnan(v) else round(v / step) for v in end))
        for rapid, end in zip(reading.moves.rapid, reading.moves.end, strict=True)
    ]
    assert got == expected_moves(random, post, units)


@pytest.mark.parametrize("text", HARM)
@pytest.mark.parametrize("name", sorted(POSTS))
def test_a_board_named_to_do_harm_does_none(name: str, text: str) -> None:
    """Each such name, in every place at once, in each set of characters."""
    for post in SPEAKING:
        if post.name == name:
            said = post.write(speaking(text, text, text, text), "mm")
            assert acts(READERS[str(post.reader)](said)) == SILENT[name]
            assert said.isascii()
