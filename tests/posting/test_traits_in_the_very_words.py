"""What is said of a trait that will not do, in the very words and numbers; and what each is by default."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from stockwright.posting import Basics, Refusal, TraitError, Traits

START = ("G17", "G40", "G49", "G80", "G90", "G94")
MODES = "G15, G17, G40, G49, G61, G61.1, G69, G80, G90, G94, G97"
FRAMES = "G54, G55, G56, G57, G58, G59"
AT_LEAST = "expected 0 for none, or"


@pytest.mark.parametrize(
    ("traits", "wrong"),
    [
        ({"spin_up": 61.5}, [("spin_up", "got 61.5, expected 0 to 60")]),
        ({"decimals_mm": 6}, [("decimals_mm", "got 6, expected 2 to 5")]),
        ({"sagitta": 0.03}, [("sagitta", "got 0.03, expected 0.001 to 0.02")]),
        ({"comments": "x"}, [("comments", "got 'x', expected one of parentheses, none")]),
        ({"line_ending": "x"}, [("line_ending", "got 'x', expected one of lf, cr-lf")]),
        ({"tool_change": "x"}, [("tool_change", "got 'x', expected one of none, word, pause")]),
        ({"dwell_unit": "x"}, [("dwell_unit", "got 'x', expected one of seconds, milliseconds, none")]),
        ({"name_case": "x"}, [("name_case", "got 'x', expected one of lower, upper")]),
        ({"retract": "x"}, [("retract", "got 'x', expected one of work, machine")]),
        ({"characters": "x"}, [("characters", "got 'x', expected one of plain, capitals, bare")]),
        ({"dwell_letter": "x"}, [("dwell_letter", "got 'x', expected one of P, F, X")]),
        ({"spin_up_by": "x"}, [("spin_up_by", "got 'x', expected one of dwell, control")]),
        ({"arcs": "x"}, [("arcs", "got 'x', expected one of none, centre, radius")]),
        ({"units": ()}, [("units", "got [], expected mm, inch or both")]),
        ({"units": ("mm", "mm")}, None),
        ({"units": (), "mm_word": None, "inch_word": None}, [("units", "got [], expected mm, inch or both")]),
        ({"units": (), "inch_word": "G21"}, [("units", "got [], expected mm, inch or both")]),
        ({"units": ("mm", "yard", "inch")}, [("units", "got [mm, yard, inch], expected mm, inch or both")]),
        (
            {"mm_word": None, "inch_word": None},
            [
                (n, "may be none only where one unit is written, for it tells the two apart")
                for n in ("mm_word", "inch_word")
            ],
        ),
        ({"inch_word": "G21"}, [("inch_word", "got 'G21', which mm_word is too")]),
        ({"mm_word": "G22"}, [("mm_word", "got 'G22', expected one of G20, G21, G70, G71")]),
        ({"work_frame": "G53"}, [("work_frame", f"got 'G53', expected one of {FRAMES}")]),
        ({"pause_word": "M1"}, [("pause_word", "got 'M1', expected one of M0")]),
        ({"probe_word": "G31"}, [("probe_word", "got 'G31', expected one of G38.2")]),
        ({"start_words": (*START, "G64")}, [("start_words", f"got 'G64', expected one of {MODES}")]),
        ({"start_words": (*START, "G92")}, [("start_words", f"got 'G92', expected one of {MODES}")]),
        ({"end_words": ("G28", "M2")}, [("end_words", f"got 'G28', expected one of {MODES}, M2, M30")]),
        ({"end_words": ("G80",)}, [("end_words", "got [G80], expected M2 or M30 once, as the last")]),
        (
            {"end_words": ("M2", "G80")},
            [("end_words", "got [M2, G80], expected M2 or M30 once, as the last")],
        ),
        (
            {"start_words": ("G17",)},
            [("start_words", "lacks G90, without which positions may be taken as steps")],
        ),
        ({"dust_on": "M7"}, [("dust_on", "goes together with dust_off: state both or neither")]),
        ({"dust_off": "M7"}, [("dust_on", "goes together with dust_off: state both or neither")]),
        ({"extension": "a.b"}, [("extension", "got 'a.b', expected 1 to 8 letters or digits")]),
        ({"extension": "abcdefghi"}, [("extension", "got 'abcdefghi', expected 1 to 8 letters or digits")]),
        ({"extension": ""}, [("extension", "got '', expected 1 to 8 letters or digits")]),
        (
            {"spin_up": 1.0, "dwell_unit": "none"},
            [("spin_up", "needs a dwell_unit, seconds or milliseconds, or spin_up_by: control")],
        ),
        ({"spin_up": -1.0, "dwell_unit": "none"}, [("spin_up", "got -1, expected 0 to 60")]),
        ({"dust_on_delay": -1.0}, [("dust_on_delay", "got -1, expected 0 to 60")]),
        ({"dust_on_delay": 1.0}, [("dust_on_delay", "needs dust_on and dust_off, the words it waits at")]),
        ({"dust_off_delay": 1.0}, [("dust_off_delay", "needs dust_on and dust_off, the words it waits at")]),
        (
            {"tool_change": "pause", "pause_word": None},
            [("tool_change", "got 'pause', which needs a pause_word that is trusted")],
        ),
        (
            {"arcs": "radius", "start_words": ("G90",)},
            [("arcs", "got 'radius', which needs G17, their plane, among start_words")],
        ),
        (
            {"retract": "machine"},
            [("retract", "got 'machine', which needs machine_zero, or nothing can be proven of it")],
        ),
        (
            {"line_number_step": 1000, "line_number_limit": 999},
            [("line_number_step", "is greater than line_number_limit, so that no number can be said")],
        ),
        (
            {"machine_zero": (1.0, 2.0)},
            [("machine_zero", "got (1.0, 2.0), expected x, y and z within 20000 mm")],
        ),
        ({"machine_zero": (1.0, 2.0, 3.0, 4.0)}, None),
        ({"machine_zero": [1.0, 2.0, 3.0]}, None),
        ({"rapid_feed": 99.5}, [("rapid_feed", f"got 99.5, {AT_LEAST} 100 at least")]),
        ({"rapid_feed": 0.5}, [("rapid_feed", f"got 0.5, {AT_LEAST} 100 at least")]),
        ({"file_bytes": 1999}, [("file_bytes", f"got 1999, {AT_LEAST} 2000 at least")]),
        ({"file_lines": 79}, [("file_lines", f"got 79, {AT_LEAST} 80 at least")]),
        ({"units": ("mm",), "mm_word": "G21", "inch_word": "G21"}, []),
        ({"units": ("inch",), "inch_word": None}, []),
        ({"start_words": ("G090", "G17.0")}, []),
        ({"end_words": ("G80", "M02")}, []),
        ({"extension": "abcdefgh"}, []),
        ({"arcs": "centre", "start_words": ("G017", "G90")}, []),
        ({"dwell_unit": "none"}, []),
        ({"dwell_unit": "none", "spin_up": 1.0, "spin_up_by": "control"}, []),
    ],
)
def test_a_trait_that_will_not_do_is_told_so(
    traits: dict[str, Any], wrong: list[tuple[str, str]] | None
) -> None:
    """What was got and what was expected; None: of that trait one finding, whatever its words."""
    if wrong == []:
        assert vars(replace(Traits(), **traits)).items() >= traits.items()
        return
    with pytest.raises(TraitError) as raised:
        replace(Traits(), **traits)
    found = list(raised.value.wrong)
    assert str(raised.value) == "; ".join(f"{name}: {message}" for name, message in found)
    if wrong is None:
        assert [name for name, _ in found] == list(traits)
    else:
        assert found == wrong


def test_the_defaults_are_what_most_controllers_live_with() -> None:
    """Each by itself, so that one that moves is seen; and a table once made is not changed."""
    said = Traits()
    whole = {name: value for name, value in vars(said).items() if isinstance(value, bool)}
    assert whole == dict.fromkeys(
        ("trailing_zeros", "plus_sign", "modal_motion", "restate_modes", "percent", "speed_with_start"), False
    ) | dict.fromkeys(
        ("point_always", "spaced", "modal_axes", "modal_feed", "stops_trusted", "name_hyphens"), True
    )
    numbers = {
        n: v for n, v in vars(said).items() if isinstance(v, int | float) and not isinstance(v, bool) and v
    }
    assert numbers == {
        "decimals_mm": 3,
        "decimals_inch": 4,
        "feed_decimals_mm": 1,
        "feed_decimals_inch": 2,
        "least_digits": 1,
        "code_digits": 1,
        "sagitta": 0.005,
        "line_number_limit": 99999,
        "comment_length": 70,
        "line_length": 252,
        "name_length": 60,
    }
    basics = Basics()
    assert (basics.units, basics.decimals_mm, basics.decimals_inch, basics.speed_decimals) == (
        ("mm", "inch"),
        3,
        4,
        0,
    )
    assert (basics.feed_decimals("mm"), basics.feed_decimals("inch"), basics.spin_up) == (1, 2, 0.0)
    assert (basics.decimals("mm"), basics.decimals("inch"), basics.line_length) == (3, 4, 250)
    assert (basics.name_length, basics.name_hyphens) == (60, True)
    for fixed, name in ((said, "percent"), (basics, "spin_up"), (Refusal("a", "b"), "why")):
        with pytest.raises(AttributeError):
            setattr(fixed, name, 1)
