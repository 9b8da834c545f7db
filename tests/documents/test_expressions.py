"""Sums in documents are worked out safely, and know a length from a number."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockwright.documents.expressions import Expression, ExpressionError, Quantity

VALUES = {
    "thickness": Quantity(27.0, 1),
    "width": Quantity(200.0, 1),
    "fence-take": Quantity(0.3, 1),
    "count": Quantity(4.0),
}


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("=thickness", 27.0),
        ("=thickness + 2 mm", 29.0),
        ("=thickness-2 mm", 25.0),
        ("=fence-take", 0.3),
        ("=min(width, 80 mm)/2", 40.0),
        ("=max(width, 80 mm, 1 in)", 200.0),
        ("=thickness * 2", 54.0),
        ("=2 * (thickness - 3 mm)", 48.0),
        ("=1/4 in", 6.35),
        ("=1-1/2 in + 0 mm", 38.1),
        ("=-(thickness - width)", 173.0),
        ("=abs(thickness - width)", 173.0),
        ("=width / count - 1 mm", 49.0),
        ("=width * thickness / width", 27.0),
        ("=0.1 mm + 0.2 mm", 0.3),
        ("=8 mm - 4 mm - 2 mm", 2.0),
        ("=80 mm / 4 / 2", 10.0),
        ("=round(width / 3, 1 mm)", 67.0),
        ("=round(2.5) * 1 mm", 3.0),
        ("=round(-2.5) * 1 mm", -3.0),
        ("=if(width > 150 mm, 2 mm, 1 mm)", 2.0),
        ("=if(count = 4, width / 4, width / 0.001)", 50.0),
        ("=if(thickness <= 27 mm, if(count >= 5, 1 mm, 3 mm), 4 mm)", 3.0),
    ],
)
def test_a_sum_comes_to_its_length(text: str, mm: float) -> None:
    """Precedence, brackets, fractions, hyphened names and the three calls work as on paper."""
    assert Expression(text).evaluate(VALUES) == Quantity(mm, 1)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("=thickness + 2", "unit-missing"),
        ("=min(thickness, 2)", "unit-missing"),
        ("=2", "unit-missing"),
        ("=width / thickness", "unit-missing"),
        ("=width * thickness", "bad-expression"),
        ("=thickness / 0", "division-by-zero"),
        ("=thickness / (count - 4)", "division-by-zero"),
        ("=0 mm / 0 mm * 1 mm", "division-by-zero"),
        ("=thicknes", "unknown-name"),
        ("=width-thickness", "unknown-name"),
        ("=2 mmm", "unknown-unit"),
        ("=1e308 mm", "unknown-unit"),
        ("=1_000 mm", "bad-expression"),
        ("=0x1F mm", "unknown-unit"),
        ("=", "bad-expression"),
        ("=(", "bad-expression"),
        ("=min()", "bad-expression"),
        ("=sqrt(4)", "bad-expression"),
        ("=round(width)", "bad-expression"),
        ("=round(width, 2)", "unit-missing"),
        ("=round(width, 0 mm)", "division-by-zero"),
        ("=if(width, 1 mm, 2 mm)", "bad-expression"),
        ("=if(width < 2, 1 mm, 2 mm)", "unit-missing"),
        ("=if(width < 2 mm, 1 mm, 2)", "unit-missing"),
        ("=if(width < 2 mm, 1 mm)", "bad-expression"),
        ("=width < 2 mm", "bad-expression"),
        ("=width ** 2", "bad-expression"),
        ("=width.real", "bad-expression"),
        ("=width[0]", "bad-expression"),
        ("='a'", "bad-expression"),
        ("=width if width else width", "bad-expression"),
        ("=__import__('os')", "bad-expression"),
        ("=" + "(" * 100 + "1 mm" + ")" * 100, "bad-expression"),
        ("=" + "-" * 3000 + "1 mm", "bad-expression"),
        ("=" + "+".join(["1 mm"] * 40), "bad-expression"),
        ("=" + "9" * 150 + " mm", "wrong-type"),
    ],
)
def test_what_is_no_length_has_its_word(text: str, code: str) -> None:
    """Each way of going wrong has its code; nothing of Python's beyond sums gets in."""
    with pytest.raises(ExpressionError) as caught:
        Expression(text).evaluate(VALUES)
    assert caught.value.code == code


def test_an_infinite_sum_is_refused() -> None:
    """Values whose product no float can hold are a mistake, not infinity."""
    huge = {"a": Quantity(1e300), "b": Quantity(1e300, 1)}
    with pytest.raises(ExpressionError, match="no finite number"):
        Expression("=a * b").evaluate(huge)


def test_hints_name_the_nearest_right_writing() -> None:
    """A misspelt name gets its nearest, and a difference without spaces is told from a name."""
    with pytest.raises(ExpressionError) as caught:
        Expression("=thicknes").evaluate(VALUES)
    assert caught.value.hint == "did you mean 'thickness'?"
    with pytest.raises(ExpressionError) as caught:
        Expression("=width-thickness").evaluate(VALUES)
    assert "'width - thickness'" in caught.value.hint


def test_bounds_are_those_of_the_field() -> None:
    """A result below what the field allows is out of range."""
    assert Expression("=thickness - 27 mm", least=0.0).evaluate(VALUES).value == 0.0
    with pytest.raises(ExpressionError) as caught:
        Expression("=thickness - 27 mm", above=0.0).evaluate(VALUES)
    assert caught.value.code == "out-of-range"


def test_names_come_once_in_order() -> None:
    """The names of a sum are known before any value is."""
    assert Expression("=min(width, thickness) + width").names == ("width", "thickness")


_SUM = st.recursive(
    st.sampled_from(["width", "thickness", "count", "2 mm", "1/2 in", "3", "0.5", "fence-take"]),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from([" + ", " - ", "*", "/"]), inner).map("".join),
        inner.map(lambda each: f"({each})"),
        inner.map(lambda each: f"-{each}"),
        st.tuples(inner, inner).map(lambda two: f"max({two[0]}, {two[1]})"),
    ),
    max_leaves=8,
)


@given(_SUM)
def test_any_sum_is_finite_or_a_mistake(text: str) -> None:
    """A well-formed sum comes to a finite length or to an `ExpressionError`."""
    try:
        value = Expression("=" + text).evaluate(VALUES)
    except ExpressionError:
        return
    assert math.isfinite(value.value)
    assert value.power == 1


@given(st.text(alphabet="widthckness -+*/().,=0123456789mina\"'_[]{}", max_size=220))
def test_any_text_is_a_sum_or_a_mistake(text: str) -> None:
    """No text after `=` raises anything but an `ExpressionError`."""
    try:
        value = Expression("=" + text).evaluate(VALUES)
    except ExpressionError:
        return
    assert math.isfinite(value.value)
