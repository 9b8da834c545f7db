"""What a control takes, as the packet says: a line, a word or a sign beyond it is refused where it stands.

The program is face A of the small packet, 32 lines in RS274/NGC; it is proven as it stands for every control
here that is not changed.
"""

from __future__ import annotations

import pytest

from proving.outcomes import GONE, A, Changes, outcome_of
from stockwright.packet.model import Control

MODES = ["G17", "G40", "G49", "G54", "G80", "G90", "G94"]
PASS = "G1 Y53.000 F3000"  # line 26, beside the board
SMALL: dict[str, object] = {
    "line_length": 60,
    "points": True,
    "modes": MODES,
    "words": [*MODES, "G4", "G21", "M0"],
}
OLD: dict[str, object] = {"characters": "capitals", "modes": MODES, "words": [*MODES, "G21"]}
WAITS: dict[str, object] = {"spin_up": 3.0}

# what is done -> what the control takes, what is changed, the first reason with its line, the two numbers
Numbers = tuple[float, float] | None
TRIED: dict[str, tuple[dict[str, object], Changes, str, Numbers]] = {
    "nothing": (SMALL, {}, "proven", None),
    "a line as long as may be": (SMALL, {"A 9": f"({'x' * 58})"}, "proven", None),
    "a line longer": (SMALL, {"A 9": f"({'x' * 59})"}, "more-than-the-control-takes@9", (61, 60)),
    "blanks make it longer": (
        SMALL,
        {"A 26": PASS.replace(" F", f"{' ' * 50}F")},
        "more-than-the-control-takes@26",
        (65, 60),
    ),
    "its carriage return is no part of it": (SMALL, {"A 9": f"({'x' * 58})\r"}, "proven", None),
    "a number of a line": ({"line_number": 99}, {"A 9": "N99 (x)"}, "proven", None),
    "too high a number": (
        {"line_number": 99},
        {"A 26": f"N1 00 {PASS}"},
        "more-than-the-control-takes@26",
        (100, 99),
    ),
    "a file as long as may be": ({"file_lines": 32}, {}, "proven", None),
    "a longer file": ({"file_lines": 31}, {}, "more-than-the-control-takes@32", (32, 31)),
    "a larger file": ({"file_bytes": 100}, {}, "more-than-the-control-takes@32", (359, 100)),
    "no comments": ({"comments": False}, {}, "signs-unknown-to-the-control@9", (6, 0)),
    "no comments, and none there": ({"comments": False}, {"A 9": GONE}, "proven", None),
    "a place without a point": (
        SMALL,
        {"A 26": "G1 Y 53 F3000"},
        "signs-unknown-to-the-control@26",
        None,
    ),
    "a place in a comment": (SMALL, {"A 9": "(X15)"}, "proven", None),
    "small letters in a comment": (OLD, {}, "signs-unknown-to-the-control@9", None),
    "small letters in words": (
        OLD,
        {"A 9": "(FACE)", "A 26": PASS.lower()},
        "signs-unknown-to-the-control@26",
        None,
    ),
    "a tab": (OLD, {"A 9": "(FACE)", "A 26": "G1\tY53. F3000"}, "signs-unknown-to-the-control@26", None),
    "a percent that ends a tape": (OLD, {"A 9": "(5 %)"}, "signs-unknown-to-the-control@9", None),
    "percent alone": (OLD, {"A 1": "%\nG17", "A 9": "(FACE)", "A 32": "M30\n%"}, "proven", None),
    "capitals and signs": (OLD, {"A 9": "(A-1 + B/2. 3)"}, "proven", None),
    "signs where there are none": (
        {"characters": "bare"},
        {"A 9": "(A-1)"},
        "signs-unknown-to-the-control@9",
        None,
    ),
    "none in what is for people": ({"characters": "bare"}, {"A 9": "(A 1)"}, "proven", None),
    "a word it has not": (SMALL, {"A 9": "G61"}, "words-unknown-to-the-control@9", None),
    "a relay": (SMALL, {"A 12": "M7\nG0 Z60."}, "words-unknown-to-the-control@12", None),
    "another relay": (SMALL, {"A 31": "M9\nM5"}, "words-unknown-to-the-control@31", None),
    "a tool change": (SMALL, {"A 10": "T1 M6\nS14000"}, "words-unknown-to-the-control@10", None),
    "steps": (SMALL, {"A 26": "G91\nG1 Y35. F3000\nG90"}, "words-unknown-to-the-control@26", None),
    "a wait": (SMALL, {"A 12": "G04 P1\nG0 Z60."}, "proven", None),
    "an end of the other kind": (SMALL, {"A 32": "M2"}, "proven", None),
    "an arc": (SMALL, {"A 26": "G3 Y53. R18. F3000"}, "proven", None),
    **{
        f"{word} not said": (SMALL, {f"A {line}": "(none)"}, "relies-on-what-was-left@12", None)
        for word, line in (("G17", 1), ("G40", 3), ("G49", 4), ("G54", 5), ("G80", 6))
    },
    "a mode said too late": (
        SMALL,
        {"A 6": "(none)", "A 13": "G80\nG0 X-32.000 Y18.000"},
        "relies-on-what-was-left@12",
        None,
    ),
    "a stop at each corner": ({"modes": ["G61"]}, {"A 9": "G61.1"}, "proven", None),
    "neither path mode": ({"modes": ["G61"]}, {}, "relies-on-what-was-left@12", None),
    "all modes on one line": (
        SMALL,
        {"A 1": "G17 G40 G49 G54 G80 G90 G94", **{f"A {k}": "(none)" for k in (3, 4, 5, 6, 7, 8)}},
        "proven",
        None,
    ),
    "no wait": (WAITS, {}, "cuts-before-speed@15", (0, 3)),
    "too short a wait": (WAITS, {"A 12": "G4 P2.9\nG0 Z60."}, "cuts-before-speed@16", (2.9, 3)),
    "waited before the start": (WAITS, {"A 10": "S14000\nG4 P3"}, "cuts-before-speed@16", (0, 3)),
    "waited in two parts": (WAITS, {"A 12": "G4 P1.\nG0 Z60.\nG4 P2."}, "proven", None),
    "another speed": (WAITS, {"A 12": "G4 P3\nS13000\nG0 Z60."}, "proven", None),
    "off and on again": (
        WAITS,
        {"A 12": "G4 P3\nG0 Z60.", "A 22": "M5\nM3\nG0 X-32. Y18."},
        "cuts-before-speed@27",
        (0, 3),
    ),
    "a cutter not asked for": ({"names_tool": True}, {}, "tool-not-asked-for@15", None),
    "one called for and not changed": (
        {"names_tool": True},
        {"A 10": "T1\nS14000"},
        "tool-not-asked-for@16",
        None,
    ),
    "one asked for": ({"names_tool": True}, {"A 10": "T1 M6\nS14000"}, "proven", None),
}


def test_what_is_beyond_a_control_is_refused_where_it_stands() -> None:
    """Every case of the table gives its first reason with its line and its numbers, or none."""
    said = {}
    for name, (takes, changes, _, _) in TRIED.items():
        control = Control.model_validate(takes).model_dump()
        case = {"setups": 1, "wanted": {}, "machine.controls": {"rs274-ngc": control}} | changes
        first = next(iter(outcome_of(case).proof.reasons), None)
        told = "proven" if first is None else f"{first.rule}@{first.line}"
        numbers = None if first is None or first.limit is None else (first.measured, first.limit)
        said[name] = (told, numbers)
    assert said == {name: (told, numbers) for name, (_, _, told, numbers) in TRIED.items()}


@pytest.mark.parametrize(("post", "rules"), [("rs274-ngc", set()), ("another", {"facts-disagree"})])
def test_what_is_said_of_another_post_only_is_an_edit(post: str, rules: set[str]) -> None:
    """A packet that says what controls take says it of the post of each of its programs."""
    case: Changes = {"setups": 1, "wanted": {}, "machine.controls": {post: {}}}
    assert {reason.rule for reason in outcome_of(case).proof.reasons} == rules


def test_a_packet_that_says_nothing_of_controls_is_read_as_before() -> None:
    """Packets made before these facts were stated: nothing is asked beyond what the reader knows."""
    assert outcome_of({"setups": 1, "wanted": {}}).proof.verdict == "proven"
    assert A in outcome_of({"setups": 1, "wanted": {}, "A 9": f"({'x' * 200})"}).program_verdicts
