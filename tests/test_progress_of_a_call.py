"""How far a call is shows on a terminal and nowhere else."""

from __future__ import annotations

import time
from io import StringIO

from stockwright.progress import doing, watched


class _Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def test_a_terminal_shows_one_line_that_goes() -> None:
    """What takes long is named with its seconds, how far all is before it; nothing of it is left."""
    stream = _Terminal()
    with watched(stream, after=0.05):
        doing("2 of 3 boards done", of_all=True)
        doing("planning \x1b[2J")
        until = time.monotonic() + 5
        while "planning" not in stream.getvalue() and time.monotonic() < until:
            time.sleep(0.01)
    said = stream.getvalue()
    assert "2 of 3 boards done; planning \\x1b[2J (" in said
    assert "\x1b" not in said
    assert "\n" not in said
    assert said.rsplit("\r", 2)[1].strip() == ""
    assert said.endswith("\r")


def test_what_is_quick_shows_nothing() -> None:
    """A stage that is over before its time writes not a character, and none begins while a person answers."""
    stream = _Terminal()
    with watched(stream, after=30):
        doing("planning")
    with watched(stream, after=0.01):
        time.sleep(0.05)
    assert stream.getvalue() == ""


def test_a_pipe_and_a_program_hear_nothing() -> None:
    """No terminal, or a program that listens: not a character."""
    for stream, silent in ((StringIO(), False), (_Terminal(), True)):
        with watched(stream, silent=silent, after=0.01):
            doing("planning")
            time.sleep(0.05)
        assert stream.getvalue() == ""
    doing("nobody listens")
