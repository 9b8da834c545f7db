"""Columns of whole numbers as text and back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.playback.packing import LARGEST, STEP, packed, packed_path, quantised, unpacked


@settings(deadline=None)
@given(st.lists(st.integers(-LARGEST, LARGEST), max_size=60))
def test_what_comes_back_is_what_went_in(numbers: list[int]) -> None:
    """Any integers within the bound, of either sign, come back unchanged."""
    assert unpacked(packed(np.array(numbers, dtype=np.int64))).tolist() == numbers


def test_small_numbers_take_one_byte() -> None:
    """-64 to 63 take one byte each before base64, and 64 takes two."""
    assert len(packed(np.arange(-64, 64))) == 172  # 128 bytes, four signs for every three begun
    assert len(packed(np.array([64, 0]))) == len(packed(np.array([1, 2, 3])))


def test_a_number_beyond_the_bound_is_not_carried() -> None:
    """One more than the largest is an error, not another number."""
    with pytest.raises(ValueError, match="not carried"):
        packed(np.array([LARGEST + 1]))


def test_a_path_does_not_drift() -> None:
    """A million steps of a third of a hundredth end within half a step of where they should."""
    path = np.arange(1_000_000) / 300.0
    back = np.cumsum(unpacked(packed_path(quantised(path)))) * STEP
    assert float(np.abs(back - path).max()) <= STEP / 2 + 1e-9
