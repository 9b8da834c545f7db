"""Each rule at its border: exactly enough is enough, and a hair beyond is found, with both numbers told."""

from __future__ import annotations

from pathlib import Path

import pytest

from as_read import pages_in
from checking.borders import BORDERS, Border
from checking.said_of_odd_work import said_at_borders
from situations import found

READ = pages_in(Path(__file__).parent / "said_at_borders.txt")


@pytest.mark.parametrize("border", BORDERS, ids=lambda b: f"{b.rule.__name__} at {b.enough:g}")
def test_exactly_enough_is_enough_and_a_hair_beyond_is_found(border: Border) -> None:
    """At the border nothing is said; beyond it one thing is, with what was measured, its limit and level."""
    assert found(border.rule, border.make(border.enough)) == ()
    [finding] = found(border.rule, border.make(border.beyond))
    assert finding.level == border.level
    assert finding.measured == pytest.approx(border.measured, abs=1e-9)
    assert finding.limit == pytest.approx(border.limit, abs=1e-9)


def test_what_is_said_beyond_each_border_was_read() -> None:
    """The words, the place, the setup and the program of each finding are those on the page."""
    assert said_at_borders() == READ
