"""Measures are read as people write them, and given back as people read them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockwright.units import (
    ACCELERATION,
    ANGLE,
    COUNT,
    FEED,
    LENGTH,
    NUMBER,
    PERCENT,
    POWER,
    SPEED,
    TIME,
    Measure,
    MeasureError,
    format_feed,
    format_length,
    parse,
    parse_length,
    parse_range,
)

ALL = (LENGTH, FEED, SPEED, ANGLE, PERCENT, POWER, TIME, ACCELERATION, NUMBER, COUNT)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("12 mm", 12.0),
        ("12mm", 12.0),
        (" 1.2 cm ", 12.0),
        ("0.012 m", 12.0),
        ('3/4"', 19.05),
        ("3/4 in", 19.05),
        ("1-1/2 in", 38.1),
        ('1 1/2"', 38.1),
        ("0.5 in", 12.7),
        (".5 inch", 12.7),
        ("2 ft", 609.6),
        ("2'", 609.6),
        ("5' 6\"", 1676.4),
        ("5 ft 6 1/2 in", 1689.1),
        ("-3 mm", -3.0),
        ("010 mm", 10.0),
    ],
)
def test_a_length_is_read_as_written(text: str, mm: float) -> None:
    """Every writing of a length comes to the millimetres that anyone would work out."""
    assert parse_length(text) == mm


@pytest.mark.parametrize(
    ("text", "measure", "value"),
    [
        ("3 m/min", FEED, 3000.0),
        ("60 in/min", FEED, 1524.0),
        ("10 ft/min", FEED, 3048.0),
        ("50 mm/s", FEED, 3000.0),
        ("2400 mm/min", FEED, 2400.0),
        ("16000 rpm", SPEED, 16000.0),
        ("0.01 deg", ANGLE, 0.01),
        ("70 %", PERCENT, 0.7),
        ("1.5 kW", POWER, 1500.0),
        ("2 hp", POWER, 1491.399743165),
        ("2 min", TIME, 120.0),
        ("400", ACCELERATION, 400.0),
        ("400 mm/s2", ACCELERATION, 400.0),
        ("3", COUNT, 3.0),
        ("0.25", NUMBER, 0.25),
    ],
)
def test_every_kind_of_measure_comes_to_its_inside_unit(text: str, measure: object, value: float) -> None:
    """Feeds come to mm/min, powers to watts, shares to parts of one, and so on."""
    assert parse(text, measure) == value  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "code", "hint"),
    [
        ("12", "unit-missing", "write '12 mm' if that is meant"),
        ("12 mmm", "unknown-unit", "did you mean 'mm'?"),
        ("12 MM", "unknown-unit", "did you mean 'mm'?"),
        ("12 inches", "unknown-unit", "did you mean 'in'?"),
        ("12 furlongs", "unknown-unit", ""),
        ("1,5 mm", "wrong-type", "write the decimal point as '.'"),
        ("", "wrong-type", ""),
        ("mm", "wrong-type", ""),
        ("nan mm", "wrong-type", ""),
        ("inf mm", "wrong-type", ""),
        ("1.2.3 mm", "wrong-type", ""),
        ("3/0 in", "wrong-type", ""),
        ("1_000 mm", "unknown-unit", "write '1000 mm'"),
        ("-", "wrong-type", ""),
        ("9" * 400 + " mm", "wrong-type", ""),
    ],
)
def test_what_is_no_length_says_what_would_be(text: str, code: str, hint: str) -> None:
    """A number without a unit, a unit that is none and plain nonsense each have their word and their hint."""
    with pytest.raises(MeasureError) as caught:
        parse_length(text)
    assert (caught.value.code, caught.value.hint) == (code, hint)


def test_a_misspelt_feed_unit_names_the_nearest() -> None:
    """The nearest unit is looked for among the units of that kind only."""
    with pytest.raises(MeasureError, match="no unit of feed") as caught:
        parse("6 m/mni", FEED)
    assert caught.value.hint == "did you mean 'm/min'?"


def test_a_range_has_two_ends_in_order() -> None:
    """A range gives its ends, one value stands for both, and a falling range is refused."""
    assert parse_range("20 mm to 3 in", LENGTH) == (20.0, 76.2)
    assert parse_range("18000 rpm", SPEED) == (18000.0, 18000.0)
    with pytest.raises(MeasureError) as caught:
        parse_range("80 mm to 20 mm", LENGTH)
    assert (caught.value.code, caught.value.hint) == ("out-of-range", "write '20 mm to 80 mm'")


def test_a_number_without_its_unit_is_told_which_one_was_meant() -> None:
    """A fraction alone was meant in inches, another number in the first unit of its kind."""
    for text, hint in (
        ("2-3/4", "write '2-3/4 in' if that is meant"),
        ("12", "write '12 mm' if that is meant"),
    ):
        with pytest.raises(MeasureError) as caught:
            parse_length(text)
        assert (caught.value.code, caught.value.hint) == ("unit-missing", hint)
    with pytest.raises(MeasureError, match="an acceleration such as"):
        parse("fast", ACCELERATION)


@pytest.mark.parametrize(
    ("text", "measure", "hint"),
    [
        ("9e3 rpm", SPEED, "write '9000 rpm'"),
        ("9'000 rpm", SPEED, "write '9000 rpm'"),
        ("9 000 rpm", SPEED, "write '9000 rpm'"),
        ("9,000 rpm", SPEED, "write '9000 rpm', or '9.000 rpm' if the comma is a decimal point"),
        ("1,200.5 mm", LENGTH, "write '1200.5 mm'"),
        ("0,003 in", LENGTH, "write the decimal point as '.'"),
        ("½ in", LENGTH, "write '1/2 in'"),
        ("1½ in", LENGTH, "write '1-1/2 in'"),
        ("1⁄2 in", LENGTH, "write '1/2 in'"),
        ("−0.1 in", LENGTH, "write '-0.1 in'"),
        ("1–1/2 in", LENGTH, "write '1-1/2 in'"),
        ("1/2″", LENGTH, "write '1/2\"'"),
        ("1e99 mm", LENGTH, "did you mean 'mm'?"),
    ],
)
def test_what_was_meant_is_proposed_and_never_taken(text: str, measure: Measure, hint: str) -> None:
    """Thousands, powers, typeset fractions and dashes are refused, plain signs proposed."""
    with pytest.raises(MeasureError) as error:
        parse(text, measure)
    assert error.value.hint == hint


@pytest.mark.parametrize("text", ["0 to 18 in", "0 in - 18 in", "0–18 in", "0 in..18 in", "0-18 in"])
def test_a_range_is_proposed_in_words(text: str) -> None:
    """A range joined by anything but the word, or with one unit for both ends, is proposed."""
    with pytest.raises(MeasureError) as error:
        parse_range(text, LENGTH)
    assert error.value.hint == "write '0 in to 18 in'"


def test_a_small_bare_acceleration_needs_its_unit() -> None:
    """A bare 400 can only be mm/s2; a bare 16 may be in/s2, so it is not guessed."""
    assert parse("16 in/s2", ACCELERATION) == pytest.approx(406.4)
    assert parse("16 mm/s2", ACCELERATION) == 16.0
    with pytest.raises(MeasureError) as error:
        parse("16", ACCELERATION)
    hint = "write '16 mm/s2' or '16 in/s2', whichever is meant"
    assert (error.value.code, error.value.hint) == ("unit-missing", hint)


def test_lengths_and_feeds_are_written_in_the_readers_units() -> None:
    """No needless zeros, no minus before zero, and inches with three places."""
    assert format_length(12.0) == "12 mm"
    assert format_length(12.346) == "12.35 mm"
    assert format_length(-0.0001) == "0 mm"
    assert format_length(19.05, "inch") == "0.75 in"
    assert format_length(100.0, decimals=0) == "100 mm"
    # A place to the millimetre, a reading to the hundredth of one: as close in inches, and never 0 in.
    assert format_length(195.0, "inch", 0) == "7.68 in"
    assert format_length(0.05, "inch", 2) == "0.002 in"
    assert format_length(0.05, "inch", 3) == "0.002 in"
    assert format_feed(2400.0) == "2400 mm/min"
    assert format_feed(1524.0, "inch") == "60 in/min"


@given(st.floats(min_value=-99_999, max_value=99_999), st.sampled_from(["mm", "inch"]))
def test_what_is_written_reads_back_within_its_last_place(value: float, units: str) -> None:
    """A length written for people and read again is off by no more than half its last place."""
    half = 0.005 if units == "mm" else 0.0005 * 25.4
    assert abs(parse_length(format_length(value, units)) - value) <= half * 1.001 + 1e-9  # type: ignore[arg-type]


@given(st.integers(0, 500), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_mixed_fractions_are_sums(whole: int, over: int, under: int) -> None:
    """A whole and a fraction come to their sum, joined by a hyphen or by a space."""
    expected = pytest.approx((whole + over / under) * 25.4, abs=1e-8)
    assert parse_length(f"{whole}-{over}/{under} in") == expected
    assert parse_length(f'{whole} {over}/{under}"') == expected


@given(st.text(max_size=70), st.sampled_from(ALL))
def test_any_text_is_a_finite_measure_or_a_mistake(text: str, measure: object) -> None:
    """No text makes anything but a finite number or a `MeasureError`."""
    try:
        value = parse(text, measure)  # type: ignore[arg-type]
    except MeasureError:
        return
    assert math.isfinite(value)


@given(st.from_regex(r"[-+]?[0-9./ -]{1,12} ?[a-z%\"'/0-9]{0,6}", fullmatch=True), st.sampled_from(ALL))
def test_near_measures_are_measures_or_mistakes(text: str, measure: object) -> None:
    """Text that nearly is a measure makes a finite number or a `MeasureError`, as a range too."""
    for made in (text, f"{text} to {text}"):
        try:
            low, high = parse_range(made, measure)  # type: ignore[arg-type]
        except MeasureError:
            continue
        assert math.isfinite(low)
        assert low <= high
