"""Small jobs in pairs: a bad one is found by exactly one rule, and the same job after its remedy is clean.

Every pair goes the way a user's documents go: read, bound, planned, cut, checked. The remedy is followed as
it is written: its own numbers are put into the documents, and nothing else is changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

from situations import numbers
from small_jobs import said_of, written

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from stockwright.findings import Finding

Values = dict[str, str]
Said = list[list[float]]


@dataclass(frozen=True)
class Pair:
    """What is changed for the worse, the one rule that must say so, and what its remedies' numbers change."""

    what: str
    rule: str
    level: str
    bad: Values
    cure: Callable[[Said], Values]


def most(at: int, key: str, unit: str) -> Callable[[Said], Values]:
    """Follow the remedy that asks for most: its number `at` is the new value of `key`."""
    return lambda said: {key: f"{max(each[at] for each in said):g} {unit}"}


def least(at: int, key: str, unit: str) -> Callable[[Said], Values]:
    """Follow the remedy that allows least."""
    return lambda said: {key: f"{min(each[at] for each in said):g} {unit}"}


FAST = {"edge_feed": "4.8 m/min", "edge_speed": "8000 rpm"}
PAIRS = (
    Pair("weak clamps", "holding-too-weak", "refuse", {"press": "300 N"}, most(0, "press", "N")),
    Pair("slippery wood", "holding-too-weak", "refuse", {"friction": "0.06"}, most(0, "press", "N")),
    Pair("tough wood", "holding-too-weak", "refuse", {"pressure": "60 N/mm2"}, most(0, "press", "N")),
    Pair(
        "tough wood, cut slower",
        "holding-too-weak",
        "refuse",
        {"pressure": "60 N/mm2"},
        least(1, "edge_feed", "mm/min"),
    ),
    Pair("a fast cut", "holding-too-weak", "refuse", FAST, most(0, "press", "N")),
    Pair("a fast cut, cut slower", "holding-too-weak", "refuse", FAST, least(1, "edge_feed", "mm/min")),
    Pair(
        "a spindle hardly strong enough at that speed",
        "torque-exceeded",
        "warn",
        {"spindle": "torque: 0.2 N m"},
        least(0, "face_stepdown", "mm"),
    ),
    Pair(
        "a spindle too weak at that speed",
        "torque-exceeded",
        "refuse",
        {"spindle": "power-at: {8000 rpm: 60 W, 24000 rpm: 300 W}", "face_stepdown": "4 mm"},
        least(0, "face_stepdown", "mm"),
    ),
    Pair(
        "a heavy last pass",
        "climbs-too-heavily",
        "refuse",
        {"light": "1 mm"},
        lambda said: {"light": f"{said[0][1]:g} mm"},
    ),
    Pair("a hair for the last pass", "last-pass-rubs", "warn", {"light": "0.1 mm"}, most(1, "light", "mm")),
    Pair(
        "a hair for the last pass, cut faster",
        "last-pass-rubs",
        "warn",
        {"light": "0.1 mm"},
        most(0, "edge_feed", "mm/min"),
    ),
    Pair(
        "no scrap to back a corner",
        "breakout-unbacked",
        "warn",
        {"backing": ""},
        lambda _: {"backing": "scrap: {kind: backing, count: 2, length: 60 mm, depth: 40 mm}"},
    ),
    Pair(
        "an end after its edge",
        "breakout-unbacked",
        "warn",
        {"order": "edge-2 end-1 end-2"},
        lambda _: {"order": "end-1 edge-2 end-2"},
    ),
    Pair(
        "a chip that the axes cannot feed",
        "no-feed-will-do",
        "warn",
        {
            "max_feed": "2.5 m/min",
            "face_speed": "8000 rpm",
            "face_feed": "2.5 m/min",
            "edge_feed": "2.5 m/min",
        },
        least(0, "edge_speed", "rpm"),
    ),
    Pair("dust for chips", "chip-too-thin", "warn", {"face_feed": "3 m/min"}, most(0, "face_feed", "mm/min")),
    Pair(
        "chips too thick",
        "chip-too-thick",
        "warn",
        {"edge_feed": "5.9 m/min", "edge_speed": "8000 rpm", "max_feed": "8 m/min", "press": "9000 N"},
        most(0, "edge_feed", "mm/min"),
    ),
    Pair(
        "faster than the cutter's mark",
        "speed-above-mark",
        "refuse",
        {"face_mark": "11800 rpm"},
        most(0, "face_speed", "rpm"),
    ),
    Pair(
        "no mark on the cutter",
        "speed-not-marked",
        "refuse",
        {"edge_mark": ""},
        lambda said: {"edge_mark": f"marked-max: {said[0][0]:g} rpm"},
    ),
    Pair(
        "faster than the axes",
        "feed-above-machine",
        "refuse",
        {"max_feed": "3.9 m/min"},
        most(0, "face_feed", "mm/min"),
    ),
    Pair(
        "slower than the spindle turns",
        "spindle-cannot-turn-so",
        "refuse",
        {"edge_speed": "7000 rpm", "edge_feed": "1.8 m/min"},
        most(0, "edge_speed", "rpm"),
    ),
    Pair(
        "half a cutter at a time",
        "trim-too-wide",
        "refuse",
        {"edge_stepover": "50 %"},
        lambda _: {"edge_stepover": "45 %"},
    ),
)


def rules(found: tuple[Finding, ...]) -> set[tuple[str, str]]:
    """Return the rules that refuse or warn, each with its worst level."""
    return {(f.rule, f.level) for f in found}


def test_the_plain_job_is_clean(tmp_path: Path) -> None:
    """What every pair begins with is neither refused nor warned of."""
    assert said_of(written(tmp_path)) == ()


@pytest.mark.parametrize("pair", [pytest.param(each, id=f"{each.rule}: {each.what}") for each in PAIRS])
def test_the_bad_job_is_found_by_its_rule_alone_and_its_remedy_cures(pair: Pair, tmp_path: Path) -> None:
    """One rule speaks, at its level; with its own numbers in the documents nobody does."""
    found = said_of(written(tmp_path, **pair.bad))
    assert {rule for rule, _ in rules(found)} == {pair.rule}
    assert (pair.rule, pair.level) in rules(found)
    cured = pair.bad | pair.cure([numbers(f.remedy) for f in found])
    assert said_of(written(tmp_path, **cured)) == ()
