"""Sizes, edges, pictures and wrong zeros worked out by the proof: every number as it was read."""

from __future__ import annotations

from pathlib import Path

import pytest

from as_read import pages_in
from proving.told_numbers import TOLD

READ = pages_in(Path(__file__).parent / "read_of_numbers.txt")


def test_all_that_is_asked_has_been_read() -> None:
    """The page holds what is asked here and nothing else."""
    assert READ.keys() == TOLD.keys()


@pytest.mark.parametrize("name", TOLD)
def test_numbers_are_as_was_read(name: str) -> None:
    """Bounds of sizes, fields of an edge, blocks of a picture, what a wrong zero meets: to six digits."""
    assert list(TOLD[name]()) == READ[name]
