"""Odd packets and programs: all that the proof says of each, and all that it measures, was read and holds."""

from __future__ import annotations

from pathlib import Path

import pytest

from as_read import pages_in
from proving.odd_cases import CASES
from proving.odd_touches import TOUCHES
from proving.outcomes import outcome_as, outcome_of

READ = pages_in(Path(__file__).parent / "said_of_odd_cases.txt")
ALL = CASES | TOUCHES


def test_every_case_has_been_read() -> None:
    """The page holds the cases that are asked here and no other."""
    assert READ.keys() == ALL.keys()


@pytest.mark.parametrize("name", ALL)
def test_the_whole_outcome_is_as_was_read(name: str) -> None:
    """Each reason with its line, place, two numbers and words, each size, each verdict; nothing more."""
    assert outcome_as(outcome_of(ALL[name])) == READ[name]
