"""Each trait of files, frames, waits and spelling: what it does to the text, and that it is told in words."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from programs import program
from stockwright.findings import Refused
from stockwright.motion import Dust, Feed, Pause, Rapid, SpindleOff, SpindleOn
from stockwright.posting import TraitError, Traits, WordAddress

MOVE = (Rapid(z=5.0), Rapid(x=1.0, y=0.0), Feed(np.array([[1.0, 2.0, 5.0], [3.0, 2.0, 5.0]]), 600.0))
ZERO = (0.0, 0.0, 160.0)

# A value for every trait that is not its default, with what it needs beside it.
OTHER: dict[str, dict[str, object]] = {
    "units": {"units": ("mm",)},
    "mm_word": {"mm_word": "G71"},
    "inch_word": {"inch_word": "G70"},
    "decimals_mm": {"decimals_mm": 2},
    "decimals_inch": {"decimals_inch": 3},
    "feed_decimals_mm": {"feed_decimals_mm": 0},
    "feed_decimals_inch": {"feed_decimals_inch": 1},
    "speed_decimals": {"speed_decimals": 1},
    "point_always": {"point_always": False},
    "trailing_zeros": {"trailing_zeros": True},
    "plus_sign": {"plus_sign": True},
    "least_digits": {"least_digits": 4},
    "spaced": {"spaced": False},
    "code_digits": {"code_digits": 2},
    "modal_motion": {"modal_motion": True},
    "modal_axes": {"modal_axes": False},
    "modal_feed": {"modal_feed": False},
    "restate_modes": {"restate_modes": True},
    "arcs": {"arcs": "centre"},
    "sagitta": {"sagitta": 0.01},
    "rapid_feed": {"rapid_feed": 3000.0},
    "line_number_step": {"line_number_step": 10},
    "line_number_limit": {"line_number_step": 10, "line_number_limit": 9999},
    "comments": {"comments": "none"},
    "comment_length": {"comment_length": 40},
    "characters": {"characters": "bare"},
    "line_length": {"line_length": 80},
    "line_ending": {"line_ending": "cr-lf"},
    "file_bytes": {"file_bytes": 65536},
    "file_lines": {"file_lines": 9999},
    "percent": {"percent": True},
    "start_words": {"start_words": ("G17", "G90", "G94")},
    "work_frame": {"work_frame": "G55"},
    "end_words": {"end_words": ("M30",)},
    "retract": {"retract": "machine", "machine_zero": ZERO},
    "retract_z": {"retract": "machine", "machine_zero": ZERO, "retract_z": -5.0},
    "machine_zero": {"machine_zero": ZERO},
    "tool_change": {"tool_change": "word"},
    "pause_word": {"pause_word": None},
    "stops_trusted": {"stops_trusted": False},
    "probe_word": {"probe_word": "G38.2"},
    "speed_with_start": {"speed_with_start": True},
    "spin_up": {"spin_up": 4.0},
    "spin_up_by": {"spin_up": 4.0, "spin_up_by": "control"},
    "dwell_unit": {"dwell_unit": "milliseconds"},
    "dwell_letter": {"dwell_letter": "X"},
    "dust_on": {"dust_on": "M8", "dust_off": "M9"},
    "dust_off": {"dust_on": "M8", "dust_off": "M9"},
    "dust_on_delay": {"dust_on": "M8", "dust_off": "M9", "dust_on_delay": 2.0},
    "dust_off_delay": {"dust_on": "M8", "dust_off": "M9", "dust_off_delay": 7.0},
    "extension": {"extension": "tap"},
    "name_length": {"name_length": 8},
    "name_case": {"name_case": "upper"},
    "name_hyphens": {"name_hyphens": False},
}


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits, the rest as by default."""
    return WordAddress(name="trial", traits=replace(Traits(), **traits))  # type: ignore[arg-type]


def text_of(*nodes: object, **traits: object) -> list[str]:
    """Give the lines of a program of these nodes, in a dialect with these traits."""
    return post(**traits).write(program(*nodes), "mm").splitlines()  # type: ignore[arg-type]


@pytest.mark.parametrize("name", [field.name for field in fields(Traits)])
def test_every_trait_is_told_in_words(name: str) -> None:
    """`posts show` says something else where a trait is something else than its default."""
    stated = OTHER[name]
    beside = {key: value for key, value in stated.items() if key != name}
    needs = beside if name not in {"retract", "dust_on", "dust_off"} else {}
    assert post(**stated).describe() != post(**needs).describe()


def test_positions_may_keep_their_zeros_have_signs_and_lead_with_zeros() -> None:
    """15.000, +15.0, 0015.0; and all of them together, in inches."""
    assert "G0 Z15.000" in text_of(Rapid(z=15.0), trailing_zeros=True)
    assert "G0 Z+15.0" in text_of(Rapid(z=15.0), plus_sign=True)
    assert "G0 Z-0015.0" in text_of(Rapid(z=-15.0), least_digits=4)
    inch = post(trailing_zeros=True, plus_sign=True, least_digits=3).write(program(Rapid(z=25.4)), "inch")
    assert "G0 Z+001.0000" in inch


def test_a_fully_spelled_line_has_word_axes_and_feed() -> None:
    """Nothing is left out, on any cutting line."""
    lines = text_of(*MOVE, modal_motion=False, modal_axes=False, modal_feed=False)
    assert lines[-4:-2] == ["G1 X1.0 Y2.0 Z5.0 F600.0", "G1 X3.0 Y2.0 Z5.0 F600.0"]


def test_modes_are_said_again_after_each_way_up() -> None:
    """Not after the first move, from a place not known; and the motion word is said again too."""
    up = (*MOVE, Feed(np.array([[3.0, 2.0, 1.0]]), 90.0), Rapid(z=5.0), Rapid(x=9.0))
    lines = text_of(*up, restate_modes=True, modal_motion=True)
    assert lines.count("G90") == 2
    assert lines[-11:-2] == ["G0 Z5.0", "G21", *Traits().start_words, "G54", "G0 X9.0"][-9:]


def test_moves_in_the_air_as_feeds() -> None:
    """G1 at the stated feed, and the cutting feed is said again after it."""
    lines = text_of(*MOVE, rapid_feed=3000.0)
    assert lines[-6:-2] == ["G1 Z5.0 F3000.0", "G1 X1.0 Y0.0 F3000.0", "G1 Y2.0 F600.0", "G1 X3.0"]


def test_the_machine_frame_is_used_first_and_last_and_for_z_alone() -> None:
    """Up before anything is known, up again at the end, then the spindle is stopped."""
    lines = text_of(*MOVE, retract="machine", machine_zero=ZERO, retract_z=-2.0)
    assert [k for k, line in enumerate(lines) if line.startswith("G53")] == [
        lines.index("G0 Z5.0") - 1,
        len(lines) - 3,
    ]
    assert {line for line in lines if "G53" in line} == {"G53 G0 Z-2.0"}
    assert "G53 G1 Z-2.0 F900.0" in text_of(
        *MOVE, retract="machine", machine_zero=ZERO, retract_z=-2.0, rapid_feed=900.0
    )


def test_spindle_words_and_who_waits() -> None:
    """One line or two; a wait written, or left to the start word."""
    assert "S9000 M3" in text_of(SpindleOn(9000.0), speed_with_start=True)
    assert "G4 P4.0" in text_of(SpindleOn(9000.0), spin_up=4.0)
    assert not [
        line for line in text_of(SpindleOn(9000.0), spin_up=4.0, spin_up_by="control") if "G4 " in line
    ]


@pytest.mark.parametrize(
    ("letter", "unit", "word"), [("F", "seconds", "G4 F4.0"), ("X", "milliseconds", "G4 X4000")]
)
def test_a_wait_by_another_word(letter: str, unit: str, word: str) -> None:
    """Some controls count it in F or X."""
    assert word in text_of(SpindleOn(9000.0), spin_up=4.0, dwell_letter=letter, dwell_unit=unit)


def test_the_dust_collector_is_waited_for() -> None:
    """After it is switched on, and before it is switched off."""
    traits: dict[str, object] = {
        "dust_on": "M8",
        "dust_off": "M9",
        "dust_on_delay": 2.0,
        "dust_off_delay": 7.0,
    }
    lines = text_of(Dust(on=True), SpindleOn(9000.0), SpindleOff(), Dust(on=False), **traits)
    assert lines[-10:-1] == ["G54", "M8", "G4 P2.0", "S9000", "M3", "M5", "G4 P7.0", "M9", "M5"]


def test_comments_in_the_characters_that_are_declared() -> None:
    """Capitals, or nothing but capitals and digits."""
    assert text_of(MOVE[0], characters="capitals")[0] == "(SHELF 3 - FACE A)"
    assert text_of(MOVE[0], characters="capitals")[1] == "(PROGRAM 02-FACE-A)"
    assert text_of(MOVE[0], characters="bare")[0] == "(SHELF 3 FACE A)"
    assert text_of(MOVE[0], characters="bare")[1] == "(PROGRAM 02 FACE A)"


@pytest.mark.parametrize(
    ("trait", "limit", "word"), [("file_lines", 80, "lines"), ("file_bytes", 2000, "bytes")]
)
def test_a_file_that_is_too_long_is_refused_while_it_is_written(trait: str, limit: int, word: str) -> None:
    """The writer itself counts too, ends and % included, whoever forgot to split."""
    x = np.arange(1.0, 300.0)
    long = Feed(np.stack([x, x, x], axis=1), 600.0)
    with pytest.raises(Refused, match=word) as raised:
        post(percent=True, **{trait: limit}).write(program(*MOVE, long), "mm")
    [finding] = raised.value.findings
    assert finding.limit == limit
    assert finding.measured is not None
    assert finding.measured > limit


def test_a_stop_that_is_not_trusted_is_not_leant_on() -> None:
    """A pause is refused as if there were no word for it."""
    [finding] = post(stops_trusted=False).refusals(program(Pause("look")), "mm")
    assert "passed over" in finding.message


@pytest.mark.parametrize(
    ("trait", "traits"),
    [
        ("retract", {"retract": "machine"}),
        ("machine_zero", {"machine_zero": (0.0, 0.0)}),
        ("machine_zero", {"machine_zero": (0.0, 0.0, float("nan"))}),
        ("arcs", {"arcs": "centre", "start_words": ("G90",)}),
        ("arcs", {"arcs": "spiral"}),
        ("sagitta", {"sagitta": 0.1}),
        ("rapid_feed", {"rapid_feed": 5.0}),
        ("file_bytes", {"file_bytes": 100}),
        ("file_lines", {"file_lines": 79}),
        ("line_number_step", {"line_number_step": 1000, "line_number_limit": 999}),
        ("tool_change", {"tool_change": "pause", "stops_trusted": False}),
        ("dust_on_delay", {"dust_on_delay": 2.0}),
        ("dust_off_delay", {"dust_on": "M8", "dust_off": "M9", "dust_off_delay": 2.0, "dwell_unit": "none"}),
        ("characters", {"characters": "all"}),
        ("dwell_letter", {"dwell_letter": "Q"}),
        ("spin_up_by", {"spin_up_by": "hand"}),
        ("least_digits", {"least_digits": 0}),
        ("retract_z", {"retract_z": float("inf")}),
    ],
)
def test_a_trait_at_odds_is_named(trait: str, traits: dict[str, object]) -> None:
    """One finding, about that trait."""
    with pytest.raises(TraitError) as raised:
        replace(Traits(), **traits)  # type: ignore[arg-type]
    assert [name for name, _ in raised.value.wrong] == [trait]


def test_a_wait_that_the_control_makes_needs_no_word() -> None:
    """Without a dwell word a spin-up may still be stated, if the start word itself waits."""
    assert Traits(dwell_unit="none", spin_up=5.0, spin_up_by="control").spin_up == 5.0
