"""Digits, places, words of a table and people's text, each border on both sides."""

from __future__ import annotations

import inspect
import math
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import stockwright.posting
from stockwright.posting import Traits, WordAddress
from stockwright.posting.allowed_words import ALLOWED, code_of, in_order, may
from stockwright.posting.digits import Numbers, _ends, count, digits, grid, snap
from stockwright.posting.plain_text import bare, folded, plain, spelled, wrapped

WHOLE = (0, 5, -5, 1000, -1000, 999, -12345, 100000, 123456789)


@pytest.mark.parametrize(
    ("ways", "said"),
    [
        ({}, "0.0 0.005 -0.005 1.0 -1.0 0.999 -12.345 100.0 123456.789"),
        ({"point": False}, "0 0.005 -0.005 1 -1 0.999 -12.345 100 123456.789"),
        ({"full": True}, "0.000 0.005 -0.005 1.000 -1.000 0.999 -12.345 100.000 123456.789"),
        ({"plus": True}, "+0.0 +0.005 -0.005 +1.0 -1.0 +0.999 -12.345 +100.0 +123456.789"),
        ({"least": 2}, "00.0 00.005 -00.005 01.0 -01.0 00.999 -12.345 100.0 123456.789"),
        (
            {"least": 4, "plus": True, "point": False},
            "+0000 +0000.005 -0000.005 +0001 -0001 +0000.999 -0012.345 +0100 +123456.789",
        ),
        ({"decimals": 0}, "0.0 5.0 -5.0 1000.0 -1000.0 999.0 -12345.0 100000.0 123456789.0"),
        ({"decimals": 0, "point": False}, "0 5 -5 1000 -1000 999 -12345 100000 123456789"),
        ({"decimals": 0, "full": True}, "0.0 5.0 -5.0 1000.0 -1000.0 999.0 -12345.0 100000.0 123456789.0"),
        ({"decimals": 4}, "0.0 0.0005 -0.0005 0.1 -0.1 0.0999 -1.2345 10.0 12345.6789"),
        (
            {"decimals": 5, "plus": True},
            "+0.0 +0.00005 -0.00005 +0.01 -0.01 +0.00999 -0.12345 +1.0 +1234.56789",
        ),
        (
            {"decimals": 6, "full": True},
            "0.000000 0.000005 -0.000005 0.001000 -0.001000 0.000999 -0.012345 0.100000 123.456789",
        ),
    ],
)
def test_a_count_has_its_digits_alone_and_in_columns(ways: dict[str, Any], said: str) -> None:
    """One at a time, as a column with and without numbers below zero, and each after its letter."""
    numbers = Numbers(**{"decimals": 3, **ways})
    assert [digits(each, **{"decimals": 3, **ways}) for each in WHOLE] == said.split()
    assert [numbers.one(each) for each in WHOLE] == said.split()
    assert numbers.many(np.array(WHOLE)) == said.split()
    assert numbers.many(np.array(WHOLE), " X") == [f" X{each}" for each in said.split()]
    above = [(n, text) for n, text in zip(WHOLE, said.split(), strict=True) if n >= 0]
    assert numbers.many(np.array([n for n, _ in above]), "Y") == [f"Y{text}" for _, text in above]
    below = [(n, text) for n, text in zip(WHOLE, said.split(), strict=True) if n < 0]
    assert numbers.many(np.array([n for n, _ in below])) == [text for _, text in below]
    assert numbers.many(np.array([-1])) == [digits(-1, **{"decimals": 3, **ways})]
    assert numbers.many(np.array([], dtype=np.int64)) == []


def test_columns_look_their_ends_up() -> None:
    """Up to four decimals, made once for all dialects alike; with more they would be too many to keep."""
    assert _ends(3, point=True, full=False) is _ends(3, point=True, full=False)
    assert [len(_ends(n, point=True, full=False)) for n in (0, 1, 3)] == [1, 10, 1000]
    assert [Numbers(n)._ends is None for n in (3, 4, 5, 6)] == [False, False, True, True]


def test_a_place_is_rounded_the_way_that_was_asked() -> None:
    """A millionth of a count off the grid is on it; two are not; a kilometre is the farthest place."""
    for mm, down, near, up in (
        (1.0, 1000, 1000, 1000),
        (1.0 - 0.9e-9, 1000, 1000, 1000),
        (1.0 - 1.1e-9, 999, 1000, 1000),
        (1.0 + 0.9e-9, 1000, 1000, 1000),
        (1.0 + 1.1e-9, 1000, 1000, 1001),
        (-1.0 - 1.1e-9, -1001, -1000, -1000),
        (-0.0004, -1, 0, 0),
        (0.0005, 0, 0, 1),
        (0.0015, 1, 2, 2),
    ):
        assert [count(mm, "mm", 3, way) for way in ("down", "nearest", "up")] == [down, near, up]
        assert count(mm, "mm", 3) == near
    assert [count(25.4, "inch", n) for n in (0, 3, 4)] == [1, 1000, 10000]
    assert [snap(25.41, "inch", 4, way) for way in ("down", "up")] == pytest.approx(
        [25.4 * 1.0003, 25.4 * 1.0004]
    )
    assert (snap(1.23456, "mm", 3), snap(1.23456, "mm", 0)) == (1.235, 1.0)
    assert grid(np.array([[1e6, -1e6, 0.0015]]), "mm", 3).tolist() == [[10**9, -(10**9), 2]]
    assert grid(np.array([[25.4, -25.4, 0.0]]), "inch", 4).tolist() == [[10000, -10000, 0]]
    assert grid(np.zeros((0, 3)), "mm", 3).shape == (0, 3)
    for bad in (math.nextafter(1e6, 2e6), -math.nextafter(1e6, 2e6), math.nan, math.inf, -math.inf):
        for place in ([[bad, 0.0, 0.0]], [[0.0, 0.0, bad]]):
            with pytest.raises(ValueError, match="a point is no position"):
                grid(np.array(place), "mm", 3)
        with pytest.raises(ValueError, match=f"^{bad} mm is no position"):
            count(bad, "mm", 3)


def test_a_word_of_a_table_is_known_however_it_is_spelt() -> None:
    """Leading zeros and a zero after the point say nothing; what is no word stands nowhere."""
    spelt = {
        "G01": "G1",
        "G00": "G0",
        "G1.0": "G1",
        "G061.1": "G61.1",
        "M002": "M2",
        "G38.2": "G38.2",
        "G0.5": "G0.5",
    }
    assert {word: code_of(word) for word in spelt} == spelt
    strange: tuple[Any, ...] = (
        "g54",
        "G54 ",
        "G0054",
        "G54.00",
        "G",
        "54",
        "",
        "G5 4",
        None,
        54,
        "T1",
        "G54.",
    )
    assert not [word for word in strange if any(may(word, place) for place in ALLOWED)]
    modes = {15, 17, 40, 49, 61, 69, 80, 90, 94, 97}
    numbers = range(1000)
    assert (
        {n for n in numbers if may(f"G{n}", "start")} == {n for n in numbers if may(f"G{n}", "end")} == modes
    )
    assert {n for n in numbers if may(f"G{n}", "units")} == {20, 21, 70, 71}
    assert {n for n in numbers if may(f"M{n}", "end")} == {2, 30}
    assert {n for n in numbers if may(f"M{n}", "pause")} == {0}
    for place in ("start", "end", "units", "frame", "probe"):
        codes = [f"G{n}.{k}" for n in numbers for k in range(1, 10)]
        assert [c for c in codes if may(c, place)] == {"probe": ["G38.2"]}.get(
            place, ["G61.1"] if place in {"start", "end"} else []
        )
    assert in_order("G61.1") == ("G", 61.1)


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("ab cd", 5, ["ab cd"]),
        ("ab cd", 4, ["ab", "cd"]),
        ("ab cde f", 5, ["ab", "cde f"]),
        ("abcde", 5, ["abcde"]),
        ("abcdef", 5, ["abcde", "f"]),
        ("abcdefghijk", 5, ["abcde", "fghij", "k"]),
        ("abcdefghij", 5, ["abcde", "fghij"]),
        ("x abcdef y", 5, ["x", "abcde", "f y"]),
        ("  a   b  ", 3, ["a b"]),
        ("", 5, []),
        ("   ", 5, []),
    ],
)
def test_text_is_folded_at_the_last_blank_that_fits(text: str, width: int, lines: list[str]) -> None:
    """A line may be as wide as it may be; a word that is wider is broken."""
    assert folded(text, width) == lines
    assert wrapped(text, width) == lines


def test_each_sign_has_its_plain_spelling() -> None:
    """One by one, and what has none is left out."""
    signs = {
        "1\u20442": "1/2",
        "a\u2010b\u2011c\u2012d\u2013e\u2014f\u2212g": "a-b-c-d-e-f-g",
        "\u2018a\u2019": "'a'",
        "2\u00d73": "2x3",
        "\u00b11": "+/-1",
        "90\u00b0": "90 deg",
        "\u00b5m \u03bcm": "um um",
        "Stra\u00dfe \u00f8re \u00d8re \u00e6re \u00c6re": "Strasse ore Ore aere AEre",
        "5%": "5 percent",
        "a&b": "a and b",
        "2\u00bd": "2 1/2",
        "\u00bd": "1/2",
        "\u00e9\u00fc": "eu",
        '3" 4\u2033 5\u2032\u2032': "3 in 4 in 5 in",
        'a" b\u2033': "a b",
        "3,5 a,b 3,b": "3.5 a - b 3 - b",
        "a;b(c)d": "a - b - c - d",
        "-a - b -": "-a - b",
        "- a": "a",
        "a=b a:b a_b a+b a/b a'b a.b": "a=b a:b a_b a+b a/b a'b a.b",
        "a!b?c~d#e$f@g*h": "a b c d e f g h",
    }
    assert {text: plain(text) for text in signs} == signs
    assert spelled("\u6728 \u00e9%") == "\u6728 e percent"
    assert bare("a-b, c=d 1.5/2+3", signs=True) == "A-B - C D 1.5/2+3"
    assert bare("a-b, c=d 1.5/2+3", signs=False) == "A B C D 1 5 2 3"
    assert bare("=a=", signs=True) == "A"


def test_what_is_yes_or_no_is_given_by_name() -> None:
    """Of every function of the room, but for those whose one argument it is: `f(x, True)` says nothing."""
    folder = Path(stockwright.posting.__file__).parent
    found = 0
    for name in sorted(file.stem for file in folder.glob("*.py")):
        module = import_module(f"stockwright.posting.{name}")
        owners = [
            module,
            *(c for c in vars(module).values() if inspect.isclass(c) and c.__module__ == module.__name__),
        ]
        for owner in owners:
            for function in vars(owner).values():
                wrapped_one = callable(function) and hasattr(function, "__wrapped__")
                if not wrapped_one and not inspect.isfunction(function):
                    continue
                for each in inspect.signature(function).parameters.values():
                    if each.annotation == "bool" and function.__name__ not in {"__init__", "dust", "_every"}:
                        assert each.kind is each.KEYWORD_ONLY, f"{name}: {function}"
                        found += 1
    assert found > 10
    positional: tuple[Any, ...] = (
        lambda: Numbers(3, False),  # type: ignore[call-arg]
        lambda: WordAddress("own"),  # type: ignore[call-arg]
        lambda: WordAddress().like("own", "", Traits()),  # type: ignore[call-arg]
    )
    for call in positional:
        with pytest.raises(TypeError, match="positional argument"):
            call()
