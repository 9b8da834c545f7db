"""People's text made harmless."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from programs import texts
from stockwright.posting.plain_text import plain, wrapped


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("M3 (", "M3"),
        ("MSG, now", "MSG - now"),
        ("3,5 mm", "3.5 mm"),
        ("1½ in", "1 1/2 in"),
        ('3/4" oak', "3/4 in oak"),
        ("Küche – Straße", "Kuche - Strasse"),
        ("80 × 20, 12 %", "80 x 20 - 12 percent"),
        ("a\n\tb\x00c", "a b c"),
        ("木", ""),
        ("(z on the bed (face A up), never; not -5)", "z on the bed - face A up - never - not -5"),
        ("- , ()", ""),
    ],
)
def test_text_keeps_its_sense_in_plain_letters(text: str, expected: str) -> None:
    """Brackets and commas become dashes; fractions and accents become what a controller takes."""
    assert plain(text) == expected


@given(texts(), st.integers(8, 80))
def test_lines_are_short_and_hold_only_plain_signs(text: str, width: int) -> None:
    """Whatever came in: no bracket, comma, percent sign, semicolon or control sign comes out."""
    lines = wrapped(text, width)
    assert all(0 < len(line) <= width for line in lines)
    assert all(re.fullmatch(r"[A-Za-z0-9 .+\-=/:'_]+", line, re.ASCII) for line in lines)


@given(texts(), st.integers(8, 80))
def test_nothing_is_lost_in_wrapping(text: str, width: int) -> None:
    """The lines together are the plain text, blanks aside."""
    assert "".join(wrapped(text, width)).replace(" ", "") == plain(text).replace(" ", "")
