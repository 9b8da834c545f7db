"""Each trait's bounds, to the last step on both sides."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stockwright.posting import TraitError, Traits
from stockwright.posting.allowed_words import ALLOWED, in_order, may

DUST = {"dust_on": "M8", "dust_off": "M9"}
# trait, least, most; a whole number's next is one further, a measure's the next float.
BOUNDS: tuple[tuple[str, float, float], ...] = (
    ("decimals_mm", 2, 5),
    ("decimals_inch", 3, 6),
    ("feed_decimals_mm", 0, 3),
    ("feed_decimals_inch", 0, 4),
    ("speed_decimals", 0, 2),
    ("code_digits", 1, 2),
    ("line_number_step", 0, 1000),
    ("line_number_limit", 999, 99999),
    ("comment_length", 10, 250),
    ("line_length", 60, 253),
    ("spin_up", 0.0, 60.0),
    ("name_length", 4, 60),
    ("least_digits", 1, 5),
    ("sagitta", 0.001, 0.02),
    ("rapid_feed", 100.0, 60000.0),
    ("file_bytes", 2000, 1_000_000_000),
    ("file_lines", 80, 100_000_000),
    ("retract_z", -20000.0, 20000.0),
    ("dust_on_delay", 0.0, 60.0),
    ("dust_off_delay", 0.0, 60.0),
)


def wrong(**traits: object) -> list[str]:
    """Give the names of the traits that are wrong."""
    try:
        replace(Traits(), **traits)  # type: ignore[arg-type]
    except TraitError as error:
        return [name for name, _ in error.wrong]
    return []


@pytest.mark.parametrize(("trait", "least", "most"), BOUNDS)
def test_a_bound_is_allowed_and_the_next_value_is_not(trait: str, least: float, most: float) -> None:
    """The least and the most are traits; one step further is named as wrong, and nothing else is."""
    beside = DUST if trait.startswith("dust") else {}
    below = least - 1 if isinstance(least, int) else math.nextafter(least, -math.inf)
    above = most + 1 if isinstance(most, int) else math.nextafter(most, math.inf)
    assert wrong(**beside, **{trait: least}) == wrong(**beside, **{trait: most}) == []
    assert wrong(**beside, **{trait: below}) == wrong(**beside, **{trait: above}) == [trait]


@pytest.mark.parametrize("trait", ["rapid_feed", "file_bytes", "file_lines"])
def test_nothing_means_no_limit(trait: str) -> None:
    """A feed or a limit of 0 is none, a small one is a slip, and so is one below 0."""
    assert wrong(**{trait: 0}) == []
    assert wrong(**{trait: 1}) == [trait]
    assert wrong(**{trait: -1}) == [trait]


@pytest.mark.parametrize("axis", range(3))
def test_a_machine_zero_lies_within_twenty_metres(axis: int) -> None:
    """Each of the three, on both sides."""
    for far in (20000.0, -20000.0):
        place = [0.0, 0.0, 0.0]
        place[axis] = far
        assert wrong(machine_zero=tuple(place)) == []
        place[axis] = math.nextafter(far, 2 * far)
        assert wrong(machine_zero=tuple(place)) == ["machine_zero"]


def test_one_unit_needs_no_word_and_two_need_two() -> None:
    """A word may be none, or the same as the other, only where there is nothing to be told apart."""
    assert wrong(units=("mm",), mm_word=None) == []
    assert wrong(units=("mm",), inch_word="G21") == []
    assert wrong(mm_word=None) == ["mm_word"]
    assert wrong(mm_word=None, inch_word=None) == ["mm_word", "inch_word"]
    assert wrong(inch_word="G21") == ["inch_word"]
    assert wrong(units=("mm", "furlong")) == ["units"]


def test_a_number_step_may_be_as_great_as_the_limit() -> None:
    """Then there is one number, which is said again and again."""
    assert wrong(line_number_step=999, line_number_limit=999) == []


def test_a_program_ends_once() -> None:
    """M2 or M30 stands last, once, whatever stands before it."""
    assert wrong(end_words=("M30",)) == []
    assert wrong(end_words=("G80", "M2")) == []
    assert wrong(end_words=("M2", "M2")) == ["end_words"]
    assert wrong(end_words=("G80",)) == ["end_words"]


@pytest.mark.parametrize("name", ["dust_on_delay", "dust_off_delay"])
def test_a_wait_for_the_collector_needs_its_words_and_a_dwell(name: str) -> None:
    """Of no seconds nothing is asked."""
    assert wrong(**{name: 0.0}) == []
    assert wrong(**{name: 1.0}) == [name]
    assert wrong(**{name: 1.0, "dwell_unit": "none"}, **DUST) == [name]
    assert wrong(**{name: 0.0, "dwell_unit": "none"}, **DUST) == []


def test_relays_are_the_free_words_and_never_one_that_clamps() -> None:
    """Of M0 to M99 those that no list gives a meaning that moves, starts, changes or lets go."""
    free = {7, 8, 9, *range(20, 30), *range(50, 60), *range(61, 68), *range(70, 90)}
    assert {n for n in range(1000) if may(f"M{n}", "relay")} == free
    assert not {n for n in (10, 11, 60, 68, 69) if any(may(f"M{n}", place) for place in ALLOWED)}


def test_work_frames_are_six() -> None:
    """G54 to G59, however they are spelt; G53 is the machine's own."""
    assert {n for n in range(1000) if may(f"G{n}", "frame")} == set(range(54, 60))
    assert may("G054", "frame")
    assert may("G54.0", "frame")
    assert not may("G54.1", "frame")


def test_words_are_listed_by_letter_and_number() -> None:
    """G1 before G2.1 before G10 before M1."""
    assert sorted(["M1", "G10", "G2.1", "G1"], key=in_order) == ["G1", "G2.1", "G10", "M1"]
