"""What a program does not say itself, where it ends, and what means nothing: found, or never refused."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from small_packet import PREAMBLE, small_lines, small_packet, small_texts
from stockwright.proving import prove
from stockwright.proving.iso6983 import read as read_block
from stockwright.proving.rs274 import read

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.packet.model import Reason

A, B, EDGE = "1-face-a.nc", "2-face-b.nc", "3-edge-1.nc"


def reasons(lines: dict[str, list[str]]) -> list[Reason]:
    """Prove the small packet with other lines."""
    return list(prove(small_packet(), small_texts(lines)).proof.reasons)


def with_lines(file: str, at: int, *new: str, instead: int = 0) -> dict[str, list[str]]:
    """Put lines into a file before line `at` (from 1), or instead of as many as `instead`."""
    lines = small_lines()
    lines[file][at - 1 : at - 1 + instead] = new
    return lines


@pytest.mark.parametrize(
    ("word", "rule"), [("G21", "relies-on-what-was-left"), ("G90", "relies-on-what-was-left")]
)
def test_a_mode_left_out_is_missed_in_every_program(word: str, rule: str) -> None:
    """Units and distances that a program does not set itself are refused in whichever it is."""
    for file in (A, B, EDGE):
        lines = small_lines()
        lines[file].remove(word)
        found = [r for r in reasons(lines) if r.rule == rule]
        assert [r.program for r in found] == [file]


def test_an_arc_in_a_plane_that_nobody_named_is_refused() -> None:
    """Without G17 an arc goes round in whichever plane was left; with it, even late, it is read."""
    arc = "G2 X10 Y10 I10 J0 F900"
    start = "G21 G90 G94\nG0 Z5\nG0 X0 Y10\n"
    assert [u.line for u in read(f"{start}{arc}\nM2\n").unread] == [4]
    assert read(f"{start}G17\n{arc.replace('X10', 'X20')}\nM2\n").unread == ()


def test_wrong_units_are_refused_by_what_they_do() -> None:
    """The same numbers read as inches leave the machine's travel; read as mm again they are proven."""
    lines = small_lines()
    lines[A][1] = "G20"
    assert "leaves-the-travel" in {r.rule for r in reasons(lines)}


def test_units_switched_in_the_middle_are_refused() -> None:
    """G20 half way through a face sends the next pass away."""
    assert reasons(with_lines(A, 17, "G20"))


@pytest.mark.parametrize(("line", "text"), [(18, "G1 X338.000 F0"), (18, "G1 X338.000 F-3000")])
def test_a_feed_of_zero_or_less_is_no_line(line: int, text: str) -> None:
    """A cut at no feed never ends, and one below zero is none: the line is refused."""
    found = reasons(with_lines(A, line, text, instead=1))
    assert [(r.rule, r.line) for r in found] == [("text-not-understood", line)]


def test_a_cut_without_any_feed_is_no_line() -> None:
    """A first G1 with no F anywhere before it: which feed is meant is not known."""
    lines = small_lines()
    lines[A] = [line.split(" F")[0] for line in lines[A]]
    assert reasons(lines)[0].rule == "text-not-understood"


def test_an_arc_whose_end_is_its_start_is_a_full_circle() -> None:
    """A lost digit that makes the end the start turns an arc into a full circle, and it is followed so."""
    begin = "G17 G21 G90 G94\nG0 Z5\nG0 X10 Y0\nG1 Z1 F500\n"
    circle = read(f"{begin}G3 X10.0 Y0.0 I-10 J0\nM2\n").moves
    assert circle.end[3:, 0].min() == pytest.approx(-10, abs=0.01)
    assert circle.end[4:, 1].min() == pytest.approx(-10, abs=0.01)
    almost = read(f"{begin}G3 X10.0 Y0.001 I-10 J0\nM2\n").moves
    assert almost.end[3:, 0].min() == pytest.approx(10, abs=0.01)


def test_a_full_circle_beside_the_edge_is_refused_for_what_it_cuts() -> None:
    """Where a short arc was meant, a full circle swings through the board: the wall is cut into."""
    lines = with_lines(
        EDGE, 36, "G1 X150.000 F2400", "G3 X150.000 Y107.000 I0 J-20", "G1 X-12.000", instead=1
    )
    assert "wall-cut-into" in {r.rule for r in reasons(lines)}


@pytest.mark.parametrize("words", [["G1 Z-90 F10"], ["not a line at all", "%"], ["M3", "G0 X9999"]])
def test_words_after_the_end_are_refused(words: list[str]) -> None:
    """A control stops at M30, but a sender of lines goes on and would run them: the first is named."""
    lines = small_lines()
    end = len(lines[A])
    lines[A] += ["", "(the end)", "%", *words]
    assert [(reason.rule, reason.line) for reason in reasons(lines)] == [("text-not-understood", end + 4)]


def test_an_end_in_the_middle_is_refused_for_what_follows_or_for_what_is_left() -> None:
    """An end in the middle leaves the rest uncut: the rest is named, or without it the wood left."""
    lines = with_lines(A, 22, "G0 Z60.000", "M5", "M30")
    assert [(r.rule, r.line) for r in reasons(lines)] == [("text-not-understood", 25)]
    lines[A] = lines[A][: lines[A].index("M30") + 1]
    assert "spots-left" in {r.rule for r in reasons(lines)}


DRESSED: dict[str, Callable[[str], str]] = {
    "spaces": lambda line: re.sub(r"(?<=[A-Z])(?=[-\d])", " ", line) if "(" not in line else line,
    "comments": lambda line: f"{line} (as planned)",
    "lower case": str.lower,
    "plus signs": lambda line: re.sub(r"([XYZ])(\d)", r"\1+\2", line),
    "trailing zeros": lambda line: re.sub(r"(\.\d+)", r"\g<1>00", line),
    "no trailing zeros": lambda line: re.sub(r"\.000\b", ".", line),
    "leading zeros": lambda line: re.sub(r"([GM])(\d)\b", r"\g<1>0\2", line),
}


@pytest.mark.parametrize("how", sorted(DRESSED))
def test_what_means_nothing_is_never_refused(how: str) -> None:
    """Every line of every program dressed in a way that means nothing: proven as before."""
    lines = {file: [DRESSED[how](line) for line in text] for file, text in small_lines().items()}
    assert lines != small_lines()
    assert reasons(lines) == []


@pytest.mark.parametrize("ending", ["\r\n", "\n\n", " \n", "\t\n"])
def test_line_ends_and_blank_lines_mean_nothing(ending: str) -> None:
    """Other line ends, blank lines and blanks at the end of lines are proven as before."""
    texts = {file: text.replace("\n", ending) for file, text in small_texts().items()}
    assert prove(small_packet(), texts).proof.reasons == []


def test_modes_said_twice_or_in_another_order_mean_nothing() -> None:
    """The preamble backwards, and once more before the first cut, is the same program."""
    lines = small_lines()
    for file, text in lines.items():
        lines[file] = [*reversed(PREAMBLE), *PREAMBLE, *text[len(PREAMBLE) :]]
    assert reasons(lines) == []


KNOWN = "G17 G21 G90 G94\nG0 Z5\nG0 X1 Y2\n"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("F900\nG20\nG1 X1", 6),  # 900 mm a minute on one control, 22,860 on another
        ("G93\nG1 X2 F3\nG94\nG1 X1", 7),
        ("G0 X1(about)0.5", 4),
        ("G0 X(about)10", 4),
        ("G0 X10 (about) .5", 4),
    ],
)
def test_what_controls_take_differently_is_refused(text: str, line: int) -> None:
    """A feed that outlives its unit or its mode, and a comment within a word, mean no one thing."""
    assert [unread.line for unread in read(f"{KNOWN}{text}\nM2\n").unread] == [line]


def test_a_feed_said_anew_and_a_comment_between_words_are_read() -> None:
    """What the lines above lack, said: they are read."""
    for text in ("F900\nG20\nG1 X1 F40", "F900\nG21\nG1 X1", "(so) G0 (and) X10 (so) Y1 (on)"):
        assert read(f"{KNOWN}{text}\nM2\n").unread == ()


def test_a_comment_within_a_block_s_word_is_refused() -> None:
    """The same in the ISO 6983 family: between words a comment may stand, within one it may not."""
    begin = "%\nG17\nG71\nG90\nG94\nG00Z5.0\n"
    assert [u.line for u in read_block(f"{begin}G00X1(SO)0.5\nM30\n").unread] == [7]
    assert read_block(f"{begin}(SO 1.5)G00(AND)X1.5(SO)\nM30\n").unread == ()


def test_a_line_not_understood_is_no_fault_of_the_percent_that_closes() -> None:
    """After such a line, the end's own too, the last % is not listed; one in the middle still is."""
    begin = "%\nG71\nG17\nG90\n"
    for text, lines in (
        ("G04P8.0\nM30\n%\n", [5]),
        ("G04P8.0\nM30\n%\r\n\n \r\n", [5]),
        ("M30M30\n%", [5]),
        ("G04P8.0\n%\nM30\n%\n", [5, 6]),
        ("G04P8.0\nM30\n%L\n", [5, 7]),
        ("G04F8.0\n%\n", [6]),
    ):
        assert [u.line for u in read_block(begin + text).unread] == lines
