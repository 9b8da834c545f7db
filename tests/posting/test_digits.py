"""Numbers as controllers read them."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockwright.posting.digits import count, counts, digits, snap

if TYPE_CHECKING:
    from stockwright.posting import Units
    from stockwright.posting.digits import Way

EITHER: tuple[Units, ...] = ("mm", "inch")
WAYS: tuple[tuple[Way, float, float], ...] = (
    ("down", -1.0, 1e-5),
    ("up", -1e-5, 1.0),
    ("nearest", -0.50001, 0.50001),
)


@pytest.mark.parametrize(
    ("whole", "decimals", "expected"),
    [
        (-15000, 3, "-15.0"),
        (0, 3, "0.0"),
        (-1, 3, "-0.001"),
        (100, 0, "100.0"),
        (1234567891, 3, "1234567.891"),
        (500, 3, "0.5"),
    ],
)
def test_a_count_is_written_with_a_digit_on_both_sides(whole: int, decimals: int, expected: str) -> None:
    """Trailing zeros go, the one after the point stays."""
    assert digits(whole, decimals) == expected


def test_without_the_point_whole_numbers_are_whole() -> None:
    """12000 rpm is 12000, and 100 keeps its zeros."""
    assert [digits(n, 0, point=False) for n in (12000, 100, -0)] == ["12000", "100", "0"]


@given(st.integers(-(10**10), 10**10), st.integers(0, 6))
def test_digits_say_the_count_exactly(whole: int, decimals: int) -> None:
    """Read as a decimal number they are the count again, in plain form, and zero has no sign."""
    said = digits(whole, decimals)
    assert re.fullmatch(r"-?[0-9]+\.[0-9]+", said)
    assert Decimal(said).scaleb(decimals) == whole
    assert not (whole == 0 and said.startswith("-"))


@given(st.floats(-5000, 5000), st.sampled_from(EITHER), st.integers(2, 5))
def test_snapping_goes_the_asked_way_and_stays(mm: float, units: Units, decimals: int) -> None:
    """Down is not above, up is not below, nearest is within half a step; a second time changes nothing."""
    step = 10.0**-decimals * (25.4 if units == "inch" else 1.0)
    for way, low, high in WAYS:
        got = snap(mm, units, decimals, way)
        assert low <= (got - mm) / step <= high
        assert all(snap(got, units, decimals, again) == got for again, _, _ in WAYS)


def test_columns_round_as_single_numbers_do() -> None:
    """Positions in bulk and one by one give the same counts, ties too."""
    values = np.array([[0.0005, 0.0015, -0.0005], [25.4, -0.0, 12.34567]])
    for units in EITHER:
        one_by_one = [[count(float(v), units, 3) for v in row] for row in values]
        assert counts(values, units, 3) == one_by_one


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), 1e7])
def test_what_is_no_position_is_refused(bad: float) -> None:
    """NaN, infinity and ten kilometres are slips, not places."""
    with pytest.raises(ValueError, match="no position"):
        count(bad, "mm", 3)
    with pytest.raises(ValueError, match="no position"):
        counts(np.array([[bad, 0.0, 0.0]]), "mm", 3)
