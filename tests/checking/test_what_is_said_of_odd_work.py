"""What the rules say of odd work, and the numbers they say it from, against what a person has read."""

from __future__ import annotations

from pathlib import Path

from as_read import pages_in
from checking.said_of_odd_work import said_of_odd_work

READ = pages_in(Path(__file__).parent / "said_of_odd_work.txt")


def test_all_that_is_said_of_odd_work_was_read() -> None:
    """No finding, place, bite, load, margin or bound of any situation is another than the page has."""
    told = said_of_odd_work()
    assert list(told) == list(READ)
    for name, lines in READ.items():
        assert told[name] == lines, name
