"""Exact lines of word-address programs: which words stand on a line, and which are left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from programs import program
from stockwright.findings import Refused
from stockwright.motion import (
    Arc,
    Dust,
    Dwell,
    Feed,
    Pause,
    Probe,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.posting import Traits, WordAddress

ZERO = (0.0, 0.0, 160.0)
START = (Rapid(z=5.0), Rapid(x=1.0, y=2.0))


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits, without comments unless they are asked for."""
    return WordAddress(name="trial", traits=replace(Traits(comments="none"), **traits))  # type: ignore[arg-type]


def said(*nodes: object, units: str = "mm", **traits: object) -> list[str]:
    """Give the lines after the first modes and M5, up to the last M5."""
    lines = post(**traits).write(program(*nodes), units).splitlines()  # type: ignore[arg-type]
    return lines[lines.index("M5") + 1 if "M5" in lines[:-2] else 8 : -2]


def cut(*points: tuple[float, float, float], feed: float = 600.0) -> Feed:
    """Give a cutting move through points."""
    return Feed(np.array(points), feed)


ZIGZAG = cut((1.0, 2.0, 4.0), (3.0, 2.0, 4.0), (3.0, 2.0, 4.0), (3.0, 9.0, 4.0), (4.0, 8.0, 4.0))
SHORT = ["G1 Z4.0 F600.0", "G1 X3.0", "G1 Y9.0", "G1 X4.0 Y8.0"]


@pytest.mark.parametrize(
    ("traits", "lines"),
    [
        ({}, ["G0 Z5.0", "G0 X1.0 Y2.0", *SHORT, "G1 X5.0", "G1 X6.0 F601.0", "G0 Z5.0", "G0 X9.0"]),
        (
            {"modal_motion": True},
            [
                *("G0 Z5.0", "X1.0 Y2.0", "G1 Z4.0 F600.0", "X3.0", "Y9.0", "X4.0 Y8.0", "X5.0"),
                *("X6.0 F601.0", "G0 Z5.0", "X9.0"),
            ],
        ),
        (
            {"modal_motion": True, "spaced": False},
            [
                *("G0Z5.0", "X1.0Y2.0", "G1Z4.0F600.0", "X3.0", "Y9.0", "X4.0Y8.0", "X5.0"),
                *("X6.0F601.0", "G0Z5.0", "X9.0"),
            ],
        ),
        (
            {"modal_feed": False, "spaced": False},
            [
                *("G0Z5.0", "G0X1.0Y2.0", "G1Z4.0F600.0", "G1X3.0F600.0", "G1Y9.0F600.0"),
                *("G1X4.0Y8.0F600.0", "G1X5.0F600.0", "G1X6.0F601.0", "G0Z5.0", "G0X9.0"),
            ],
        ),
        (
            {"modal_axes": False, "code_digits": 2},
            [
                *("G00 Z5.0", "G00 X1.0 Y2.0 Z5.0", "G01 X1.0 Y2.0 Z4.0 F600.0", "G01 X3.0 Y2.0 Z4.0"),
                *("G01 X3.0 Y9.0 Z4.0", "G01 X4.0 Y8.0 Z4.0", "G01 X5.0 Y8.0 Z4.0"),
                *("G01 X6.0 Y8.0 Z4.0 F601.0", "G00 X6.0 Y8.0 Z5.0", "G00 X9.0 Y8.0 Z5.0"),
            ],
        ),
        (
            {"rapid_feed": 900.0, "modal_motion": True},
            [
                *("G1 Z5.0 F900.0", "X1.0 Y2.0 F900.0", "Z4.0 F600.0", "X3.0", "Y9.0", "X4.0 Y8.0"),
                *("X5.0", "X6.0 F601.0", "Z5.0 F900.0", "X9.0 F900.0"),
            ],
        ),
        (
            {"feed_decimals_mm": 0, "decimals_mm": 2, "trailing_zeros": True},
            [
                *("G0 Z5.00", "G0 X1.00 Y2.00", "G1 Z4.00 F600", "G1 X3.00", "G1 Y9.00", "G1 X4.00 Y8.00"),
                *("G1 X5.00", "G1 X6.00 F601", "G0 Z5.00", "G0 X9.00"),
            ],
        ),
    ],
)
def test_a_line_has_the_words_it_needs(traits: dict[str, object], lines: list[str]) -> None:
    """Motion word, axes and feed are left out where they hold and the traits allow it, and nowhere else."""
    more = (cut((5.0, 8.0, 4.0)), cut((6.0, 8.0, 4.0), feed=601.0), cut((6.0, 8.0, 4.0), feed=9.0))
    words = post(**traits).write(
        program(SpindleOn(9.0), *START, ZIGZAG, *more, Rapid(z=5.0), Rapid(x=9.0)), "mm"
    )
    first = next(k for k, line in enumerate(words.splitlines()) if "Z5.0" in line)
    assert words.splitlines()[first:-2] == lines


def test_long_cuts_are_written_in_blocks_that_nobody_sees() -> None:
    """Nine thousand points, with a stop at both joints: the lines are those of point after point."""
    x = np.arange(1.0, 9001.0)
    y = np.where(x < 4096, 2.0, np.where(x == 4096, 3.0, 3.0))
    z = np.where(x <= 8192, 4.0, 3.0)
    points = np.column_stack([x, y, z])
    points[4096] = points[4095]
    whole = said(*START, Feed(points, 600.0))
    parted = said(*START, *(Feed(points[k : k + 500], 600.0) for k in range(0, 9000, 500)))
    assert whole == parted
    assert len(whole) == 2 + 8999
    assert whole[2:4] == ["G1 Z4.0 F600.0", "G1 X2.0"]
    assert [line for line in whole if len(line.split()) > 2][2:] == ["G1 X4096.0 Y3.0", "G1 X8193.0 Z3.0"]
    words = said(*START, Feed(points, 600.0), modal_motion=True)
    assert [line.removeprefix("G1 ") for line in whole[3:]] == words[3:]
    text = post(line_number_step=1, line_number_limit=9999).write(program(*START, Feed(points, 600.0)), "mm")
    numbers = [line.split()[0] for line in text.splitlines()]
    assert numbers == [f"N{k + 1}" for k in range(len(numbers))]


def test_a_first_cut_states_every_axis() -> None:
    """From a place that is not known all three are said, even where they are 0 or -1 of a step."""
    for at in ((0.0, 0.0, 0.0), (-0.001, -0.001, -0.001), (-0.0005, 0.0004, 2.0)):
        [line] = said(cut(at))
        assert line.startswith("G1 X")
        assert [word[0] for word in line.split()] == ["G", "X", "Y", "Z", "F"]
    after = said(Rapid(z=5.0), cut((0.0, 0.0, 5.0), (0.0, 1.0, 5.0)))
    assert after == ["G0 Z5.0", "G1 X0.0 Y0.0 F600.0", "G1 Y1.0"]
    assert said(*START, cut((1.0, 2.0, 5.0)), cut((1.0, 2.0004, 5.0))) == ["G0 Z5.0", "G0 X1.0 Y2.0"]
    assert said(*START, Feed(np.zeros((0, 3)), 9.0)) == ["G0 Z5.0", "G0 X1.0 Y2.0"]


def test_a_rapid_goes_along_one_axis_or_two_but_never_up_and_along() -> None:
    """What does not move is no move; each pair of axes with z is refused."""
    assert said(*START, Rapid(x=1.0, y=2.0, z=5.0), Rapid(), Rapid(x=1.0, y=3.0, z=5.0), Rapid(x=0.0)) == [
        *("G0 Z5.0", "G0 X1.0 Y2.0", "G0 Y3.0", "G0 X0.0")
    ]
    for slanting in (Rapid(x=2.0, z=6.0), Rapid(y=3.0, z=4.0), Rapid(x=0.0, y=0.0, z=0.0)):
        with pytest.raises(Refused) as raised:
            said(*START, slanting)
        [finding] = raised.value.findings
        assert finding.message == "a rapid goes vertically and level at once"
        assert finding.remedy == "move up, then along, then down"


def test_modes_are_said_again_only_after_a_way_up_to_the_top() -> None:
    """Not after the first height, a lower one, a way down to it, or a way along."""
    modes = ["G21", "G17", "G40", "G49", "G80", "G90", "G94", "G54"]
    nodes = (*START, cut((1.0, 2.0, 1.0)), Rapid(z=3.0), Rapid(x=2.0), cut((2.0, 2.0, 1.0)), Rapid(z=5.0))
    down = (Rapid(z=5.0), Rapid(x=1.0, y=1.0))
    assert said(*nodes, *down, restate_modes=True, modal_motion=True) == [
        *("G0 Z5.0", "X1.0 Y2.0", "G1 Z1.0 F600.0", "G0 Z3.0", "X2.0", "G1 Z1.0 F600.0", "G0 Z5.0"),
        *(*modes, "G0 X1.0 Y1.0"),
    ]
    bare = {"units": ("mm",), "mm_word": None, "work_frame": None, "start_words": ("G90", "G94")}
    lines = post(restate_modes=True, **bare).write(program(*nodes), "mm").splitlines()
    assert lines[:3] == ["G90", "G94", "M5"]
    assert lines[-4:] == ["G90", "G94", "M5", "M2"]
    lower = (Rapid(z=1.0), Rapid(x=0.0, y=0.0), Rapid(z=9.0), Rapid(z=5.0), Rapid(z=8.0), Rapid(z=9.0))
    assert said(*lower, restate_modes=True).count("G90") == 2


def test_the_machine_frame_leaves_nothing_known_of_z() -> None:
    """G53 stands alone first and last; after it z, word and feed are said again; without a height, never."""
    machine: dict[str, object] = {"retract": "machine", "machine_zero": ZERO, "retract_z": -2.5}
    nodes = (SpindleOn(9000.0), *START, cut((1.0, 2.0, 4.0)), Rapid(z=5.0), SpindleOff())
    assert post(**machine).write(program(*nodes), "mm").splitlines()[8:] == [
        *("G53 G0 Z-2.5", "S9000", "M3", "G0 Z5.0", "G0 X1.0 Y2.0", "G1 Z4.0 F600.0", "G0 Z5.0", "M5"),
        *("G53 G0 Z-2.5", "M5", "M2"),
    ]
    tight = post(**machine, spaced=False, code_digits=2, rapid_feed=900.0).write(program(*nodes), "inch")
    assert tight.splitlines()[8] == "G53G01Z-0.0984F35.43"
    flat = post(**machine).write(program(cut((1.0, 2.0, 4.0))), "mm").splitlines()
    assert not [line for line in flat if "G53" in line]
    work = post(retract_z=-2.5, machine_zero=ZERO).write(program(*nodes), "mm")
    assert "G53" not in work


@pytest.mark.parametrize(
    ("units", "floor", "step"),
    [("mm", 4.746, 0.001), ("inch", 4.746, 0.00254), ("mm", -0.254, 0.001), ("inch", -0.254, 0.00254)],
)
def test_a_touch_begins_a_hundredth_of_an_inch_above_or_more(units: str, floor: float, step: float) -> None:
    """0.254 mm above the floor is far enough to the count, one count less is refused with both numbers."""
    traits: dict[str, object] = {"probe_word": "G38.2", "modal_motion": True}
    at = (Rapid(z=floor + 0.254), Rapid(x=1.0, y=2.0))
    lines = said(*at, Probe(floor, 90.0), units=units, **traits)
    assert lines[-1].split()[0] == "G38.2"
    with pytest.raises(Refused) as raised:
        said(*at, Probe(floor + step, 90.0), units=units, **traits)
    [finding] = raised.value.findings
    assert (finding.measured, finding.limit) == (0.0, 0.254)
    assert "0.254 mm or more straight above" in finding.message
    for unknown in (at[:1], at[1:], ()):
        with pytest.raises(Refused, match="straight above"):
            said(*unknown, Probe(-50.0, 90.0), units=units, **traits)


def test_arcs_leave_out_what_holds() -> None:
    """The word of a second arc the same way, its feed, and a z that stays; each said where it changes."""
    one = Arc((1.0, 12.0), (11.0, 12.0, 5.0), clockwise=False, feed=600.0)
    two = Arc((1.0, 12.0), (1.0, 22.0, 4.0), clockwise=False, feed=600.0)
    back = Arc((1.0, 12.0), (11.0, 12.0, 4.0), clockwise=True, feed=700.0)
    chain = (*START, one, two, back, cut((11.0, 12.0, 3.0), feed=700.0), Rapid(z=5.0))
    first = ["G0 Z5.0", "G0 X1.0 Y2.0"]
    assert said(*chain, arcs="centre") == [
        *(*first, "G3 X11.0 Y12.0 I0.0 J10.0 F600.0", "G3 X1.0 Y22.0 Z4.0 I-10.0 J0.0"),
        *("G2 X11.0 Y12.0 I0.0 J-10.0 F700.0", "G1 Z3.0", "G0 Z5.0"),
    ]
    assert said(*chain, arcs="radius", modal_motion=True)[2:] == [
        *("G3 X11.0 Y12.0 R10.0 F600.0", "X1.0 Y22.0 Z4.0 R10.0", "G2 X11.0 Y12.0 R10.0 F700.0"),
        *("G1 Z3.0", "G0 Z5.0"),
    ]
    assert said(*chain, arcs="centre", modal_axes=False, modal_feed=False, spaced=False, code_digits=2)[
        -5:-2
    ] == [
        "G03X11.0Y12.0Z5.0I0.0J10.0F600.0",
        "G03X1.0Y22.0Z4.0I-10.0J0.0F600.0",
        "G02X11.0Y12.0Z4.0I0.0J-10.0F700.0",
    ]
    inch = Arc((0.0, 25.4), (25.4, 25.4, 0.0), clockwise=False, feed=254.0)
    assert said(Rapid(z=0.0), Rapid(x=0.0, y=0.0), inch, arcs="centre", units="inch")[-1] == (
        "G3 X1.0 Y1.0 I0.0 J1.0 F10.0"
    )


def test_an_arc_no_longer_than_two_steps_is_a_line() -> None:
    """Two steps are a line, three an arc; across as well as along."""
    for far, word in ((0.002, "G1"), (0.003, "G3")):
        at = (Rapid(z=5.0), Rapid(x=0.0, y=0.0))
        tiny = Arc((0.0, 10.0), (far, 0.0, 5.0), clockwise=False, feed=600.0)
        assert said(*at, tiny, arcs="centre")[-1].split()[0] == word
        side = Arc((-10.0, 0.0), (0.0, far, 5.0), clockwise=False, feed=600.0)
        assert said(*at, side, arcs="centre")[-1].split()[0] == word


def test_an_arc_whose_radii_rounding_sets_apart_is_chorded() -> None:
    """With few decimals no centre near by has radii alike enough; with one more there is one."""
    for units, scale, coarse, x, y in (
        ("mm", 1.0, 2, 9.74393, 1.57247),
        ("inch", 25.4, 3, 9.77343, 1.37729),
    ):
        at = (Rapid(z=5.0), Rapid(x=9.87 * scale, y=0.0))
        arc = Arc((0.0, 0.0), (x * scale, y * scale, 5.0), clockwise=False, feed=600.0)
        for decimals, word in ((coarse, "G1"), (coarse + 1, "G3")):
            traits = {f"decimals_{units}": decimals, "arcs": "centre"}
            assert said(*at, arc, units=units, **traits)[2].split()[0] == word


def test_what_is_no_arc_says_why_and_what_to_do() -> None:
    """The finding has the reason of the measuring, and its remedy."""
    half = Arc((1.0, 12.0), (1.0, 22.0, 5.0), clockwise=False, feed=600.0)
    with pytest.raises(Refused) as raised:
        said(*START, half, arcs="centre")
    [finding] = raised.value.findings
    assert finding.message == "an arc turns by 180.000 degrees; a quarter turn is the most"
    assert finding.remedy == "begin at a known place, and keep to a quarter turn about one centre"
    assert (finding.measured, finding.limit, finding.setup) == (None, None, program().setup)


@pytest.mark.parametrize(
    ("traits", "lines"),
    [
        ({}, []),
        ({"tool_change": "word"}, ["M5", "T9", "M6"]),
        ({"tool_change": "word", "code_digits": 2}, ["M05", "T9", "M06"]),
        ({"tool_change": "pause"}, ["M5", "M0"]),
    ],
)
def test_a_tool_is_changed_the_declared_way_and_nothing_is_known_after(
    traits: dict[str, object], lines: list[str]
) -> None:
    """Position, motion word and feed are said again; where no tool changes, nothing is."""
    number = 9 if traits else program().tool.number
    nodes = (SpindleOn(9000.0), *START, UseTool(number, "other"), Rapid(z=5.0), Rapid(x=1.0, y=2.0))
    text = post(**traits).write(program(*nodes), "mm").replace("G00", "G0").splitlines()
    again = ["G0 Z5.0", "G0 X1.0 Y2.0"] if traits else []
    assert text[text.index("G0 X1.0 Y2.0") + 1 : -2] == [*lines, *again]


@pytest.mark.parametrize(
    ("nodes", "traits", "lines"),
    [
        ((SpindleOn(9000.4),), {}, ["S9000", "M3"]),
        ((SpindleOn(9000.46),), {"speed_decimals": 1, "code_digits": 2}, ["S9000.5", "M03"]),
        ((SpindleOn(9000.0),), {"speed_decimals": 2}, ["S9000.0", "M3"]),
        ((SpindleOn(9000.0),), {"speed_with_start": True, "spaced": False}, ["S9000M3"]),
        ((SpindleOn(9000.0),), {"spin_up": 0.001}, ["S9000", "M3", "G4 P0.001"]),
        ((SpindleOn(9000.0), Dwell(2.0)), {"spin_up": 3.0}, ["S9000", "M3", "G4 P3.0"]),
        ((SpindleOn(9000.0), Dwell(4.0)), {"spin_up": 3.0}, ["S9000", "M3", "G4 P4.0"]),
        (
            (SpindleOn(9000.0), Dwell(2.0)),
            {"spin_up": 3.0, "spin_up_by": "control"},
            ["S9000", "M3", "G4 P2.0"],
        ),
        ((SpindleOn(9000.0),), {"spin_up": 3.0, "spin_up_by": "control"}, ["S9000", "M3"]),
        (
            (SpindleOn(9000.0), Remark("x"), Dwell(2.0)),
            {"spin_up": 3.0},
            ["S9000", "M3", "G4 P3.0", "G4 P2.0"],
        ),
        ((Dwell(0.0), Dwell(0.0001), Dwell(0.0016)), {}, ["G4 P0.001", "G4 P0.002"]),
        ((Dwell(1.5),), {"dwell_unit": "milliseconds", "spaced": False}, ["G4P1500"]),
        ((Dwell(2.0),), {"point_always": False, "code_digits": 2, "dwell_letter": "X"}, ["G04 X2"]),
        ((Dust(on=True), Dust(on=False)), {"dust_on": "M7", "dust_off": "M9"}, ["M7", "M9"]),
        (
            (Dust(on=True), Dust(on=False)),
            {"dust_on": "M7", "dust_off": "M9", "dust_on_delay": 0.5, "dust_off_delay": 1.5},
            ["M7", "G4 P0.5", "G4 P1.5", "M9"],
        ),
        ((Dust(on=True), Dust(on=False)), {}, []),
    ],
)
def test_actions_and_waits_to_the_word(
    nodes: tuple[object, ...], traits: dict[str, object], lines: list[str]
) -> None:
    """Speed, start, waits and relays, each with the digits, unit and letter of the dialect."""
    starts = any(isinstance(node, SpindleOn) for node in nodes)
    text = post(**traits).write(program(*nodes), "mm").splitlines()  # type: ignore[arg-type]
    assert text[8 if starts else 9 : -2] == lines


def test_the_spindle_is_stopped_once_at_the_end() -> None:
    """Not twice where it was the last thing said; again where anything came after it, comments aside."""
    for nodes, ends in (
        ((SpindleOn(9000.0), SpindleOff()), ["M3", "M5", "M2"]),
        ((SpindleOn(9000.0), SpindleOff(), Remark("done")), ["M5", "(done)", "M2"]),
        ((SpindleOn(9000.0), *START, SpindleOff(), cut((3.0, 2.0, 5.0))), ["G1 X3.0 F600.0", "M5", "M2"]),
        ((SpindleOn(9000.0), SpindleOff(), Rapid(z=5.0)), ["G0 Z5.0", "M5", "M2"]),
        ((SpindleOn(9000.0),), ["M3", "M5", "M2"]),
    ):
        text = post(comments="parentheses").write(program(*nodes), "mm")
        assert text.splitlines()[-3:] == ends
    lines = post().write(program(*START), "mm").splitlines()
    assert lines[7:10] == ["G54", "M5", "G0 Z5.0"]
    assert post().write(program(SpindleOn(9000.0), *START), "mm").splitlines()[8] == "S9000"


def test_after_a_pause_nothing_is_left_out() -> None:
    """Position, motion word and feed are said again, whatever the traits leave out."""
    nodes = (*START, cut((3.0, 2.0, 5.0)), Pause("look"), cut((3.0, 2.0, 5.0), (4.0, 2.0, 5.0)))
    assert said(*nodes, modal_motion=True)[-4:] == [
        "G1 X3.0 F600.0",
        "M0",
        "G1 X3.0 Y2.0 Z5.0 F600.0",
        "X4.0",
    ]
