"""Every post that is installed passes the kit that a stranger's must."""

from __future__ import annotations

from dataclasses import fields

import pytest

from stockwright.conformance import Case, cases, check
from stockwright.conformance.word_traits import CLAIMS
from stockwright.posting import Traits, found, load_post

ALL = [(name, case) for name in found() for case in cases(load_post(name))]


@pytest.mark.parametrize(("name", "case"), ALL, ids=str)
def test_it_conforms(name: str, case: Case) -> None:
    """Each case of the kit holds for the post."""
    check(case)


def test_every_trait_has_its_check() -> None:
    """A trait that the kit does not look at would be a claim that nobody tests."""
    assert set(CLAIMS) == {field.name for field in fields(Traits)}
