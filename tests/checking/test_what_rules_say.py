"""What the rules say of every bad situation, against what a person has read."""

from __future__ import annotations

from pathlib import Path

import pytest

from as_read import pages_in
from checking.said_of_bad_cases import said

READ = pages_in(Path(__file__).parent / "said_of_bad_cases.txt")


def test_every_bad_situation_was_read() -> None:
    """No case is on the page that is no longer tried, and none is missing."""
    assert list(said()) == list(READ)


@pytest.mark.parametrize("case", READ)
def test_all_rules_say_of_it_what_was_read(case: str) -> None:
    """Every rule that finds something, its two numbers, place, words and remedy; no other rule."""
    assert said()[case] == READ[case]
