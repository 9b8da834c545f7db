"""The kit, run on this package's post, and a test of what is its own."""

from __future__ import annotations

import pytest
from harbour_posts import HarbourBench

from stockwright.conformance import Case, cases, check, samples
from stockwright.motion import Pause, Rapid


@pytest.mark.parametrize("case", cases(HarbourBench()), ids=str)
def test_it_conforms(case: Case) -> None:
    """All of the kit holds."""
    check(case)


def test_it_stops_twice() -> None:
    """The first stop is taken for an acknowledgement."""
    text = HarbourBench().write(samples.program([*samples.START, Pause("look"), Rapid(z=samples.TOP)]), "mm")
    assert text.count("M0\n") == 2
