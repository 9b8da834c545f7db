"""Answers one a line: typed or piped, the same lines give the same answers."""

from __future__ import annotations

import io

import pytest

from stockwright.calls.asking import MOST_LEFT, Answers
from stockwright.documents.fields import PositiveLength
from stockwright.mistakes import InputError
from stockwright.starting.writing import reads

LENGTH = reads(PositiveLength)


def test_an_empty_answer_is_the_one_in_brackets() -> None:
    """An empty line, and the end of the lines, both leave what stands in brackets, or nothing."""
    a = Answers(io.StringIO("\n"))
    assert [a.ask("how long", LENGTH, "3 mm"), a.ask("how wide", LENGTH, "2 mm"), a.ask("force", LENGTH)] == [
        "3 mm",
        "2 mm",
        None,
    ]
    a.finish()


def test_piped_mistakes_come_at_once_with_their_numbers() -> None:
    """A wrong unit, a word that is none and an answer that has to be there are told together."""
    a = Answers(io.StringIO("3 furlongs\nbth\n"))
    a.ask("how long", LENGTH)
    a.choose("which faces", ("none", "both"), "both")
    a.ask("how wide", LENGTH, needed=True)
    with pytest.raises(InputError) as error:
        a.finish()
    assert [(m.file, m.code) for m in error.value.mistakes] == [
        ("answer 1", "unknown-unit"),
        ("answer 2", "unknown-word"),
        ("answer 3", "missing-answer"),
    ]
    assert error.value.mistakes[1].hint == "did you mean 'both'?"


def test_a_person_is_asked_again() -> None:
    """At a terminal what is wrong is said at once, and the next line counts."""
    shown = io.StringIO()
    a = Answers(io.StringIO("3 furlongs\n\n3 mm\n"), person=True, shown=shown)
    assert a.ask("how long", LENGTH, needed=True) == "3 mm"
    a.finish()
    assert "furlongs" in shown.getvalue()
    assert "this has to be known" in shown.getvalue()


def test_a_person_who_leaves_is_not_asked_for_ever() -> None:
    """Where nothing more comes, a question that has to be answered is a mistake."""
    a = Answers(io.StringIO(""), person=True, shown=io.StringIO())
    assert a.ask("how long", LENGTH, needed=True) is None
    with pytest.raises(InputError):
        a.finish()


def test_answers_that_answer_nothing_are_told() -> None:
    """One line too many shifts all behind it: what is left after the last question is a mistake."""
    a = Answers(io.StringIO("3 mm\n\n2 mm\n"))
    a.ask("how long", LENGTH)
    with pytest.raises(InputError) as error:
        a.finish()
    assert [(m.file, m.code) for m in error.value.mistakes] == [("answer 3", "wrong-count")]
    typed = Answers(io.StringIO("3 mm\n2 mm\n"), person=True, shown=io.StringIO())
    typed.ask("how long", LENGTH)
    typed.finish()


def test_a_pipe_that_never_ends_is_not_read_for_ever() -> None:
    """Behind the last answer so many empty lines are looked through, and no more."""
    lines = io.StringIO("3 mm\n" + "\n" * (MOST_LEFT + 5))
    a = Answers(lines)
    a.ask("how long", LENGTH)
    a.finish()
    assert len(list(lines)) == 5
