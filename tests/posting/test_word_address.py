"""The writer that word-address dialects share: what goes out, what is refused, what never acts."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from programs import expected_moves, program, random_programs, spindle_stopped_at_pauses, texts
from stockwright.findings import Refused
from stockwright.motion import (
    NODES,
    Dust,
    Dwell,
    Feed,
    Node,
    Pause,
    Probe,
    Program,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.posting import Traits, Units, WordAddress, faults
from word_address_reader import read

NEVER = re.compile(r"\b(G53|G28|G30|G92|G10|G91|G43|M7|M8|M9|M6)\b")


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits, the rest as by default."""
    return WordAddress(name="trial", traits=replace(Traits(), **traits))  # type: ignore[arg-type]


@st.composite
def dialects(draw: st.DrawFn) -> WordAddress:
    """Give dialects of every make that the reader of these tests can read."""
    return post(
        decimals_mm=draw(st.integers(2, 5)),
        decimals_inch=draw(st.integers(3, 6)),
        point_always=draw(st.booleans()),
        spaced=draw(st.booleans()),
        code_digits=draw(st.integers(1, 2)),
        modal_motion=draw(st.booleans()),
        modal_axes=draw(st.booleans()),
        line_number_step=draw(st.sampled_from([0, 1, 10, 999])),
        line_number_limit=draw(st.sampled_from([999, 9999, 99999])),
        comments=draw(st.sampled_from(["parentheses", "none"])),
        comment_length=draw(st.integers(10, 120)),
        line_ending=draw(st.sampled_from(["lf", "cr-lf"])),
        percent=draw(st.booleans()),
        end_words=draw(st.sampled_from([("M2",), ("M30",), ("G40", "M30")])),
        spin_up=draw(st.sampled_from([0.0, 2.5])),
    )


UNITS = st.sampled_from(["mm", "inch"])


def test_the_plain_face_reads_as_a_person_would_write_it() -> None:
    """Every line of a small program, so that a change of habit is seen here first."""
    assert post(spin_up=3.0).write(program(), "mm").splitlines() == [
        "(shelf 3 - face A)",
        "(program: 02-face-a)",
        "(setup: 1)",
        "(tool: 7 sample-cutter)",
        "(zero: z 0 on the bed)",
        *("G21", "G17", "G40", "G49", "G80", "G90", "G94", "G54"),
        "(dust collector on: by hand)",
        "G0 Z60.0",
        "G0 X-30.0 Y20.0",
        *("S12000", "M3", "G4 P3.0"),
        "G0 Z28.0",
        "G1 Z26.4 F400.0",
        "G1 X640.0 F2400.0",
        "G1 Y45.0",
        "G1 X-30.0",
        "G0 Z60.0",
        "M5",
        "(dust collector off: by hand)",
        "M2",
    ]


@given(random_programs(), dialects(), UNITS)
def test_any_dialect_read_back_moves_as_asked(random: Program, dialect: WordAddress, units: Units) -> None:
    """Random motion through random traits: an independent reader finds the same moves, to half a step."""
    random = spindle_stopped_at_pauses(random)
    done = read(dialect.write(random, units))
    step = dialect.resolution(units)
    got = [
        (kind, *(None if v is None else round(v / step) for v in (x, y, z)))
        for kind, x, y, z, _ in done.moves
    ]
    assert got == expected_moves(random, dialect, units)
    assert [event for event in done.events if event[0] == "spindle"] == [
        ("spindle", round(node.rpm)) for node in random.nodes if isinstance(node, SpindleOn)
    ]


@given(random_programs(), dialects(), UNITS)
def test_every_text_is_whole_short_and_without_harm(
    random: Program, dialect: WordAddress, units: Units
) -> None:
    """Printable ASCII, lines bounded and ended, no forbidden word, the spindle stopped before the end."""
    random = spindle_stopped_at_pauses(random)
    text = dialect.write(random, units)
    newline = dialect.traits.newline
    assert text.endswith(newline)
    assert "".join(dialect.lines(random, units)) == text
    lines = text.split(newline)[:-1]
    assert all(re.fullmatch(r"[\x20-\x7e]+", line) for line in lines)
    assert max(map(len, lines)) <= dialect.traits.line_length
    assert not [line for line in lines if "(" not in line and NEVER.search(line)]
    assert not re.search(r"-0(\.0+)?(?![.0-9])|[0-9]e|nan|inf", re.sub(r"\(.*?\)", "", text))
    last = [event[0] for event in read(text).events][-2:]
    assert last in (["M5", "M2"], ["M5", "M30"])


@given(texts(), texts(), texts(), UNITS)
def test_comments_never_act(title: str, note: str, zero: str, units: Units) -> None:
    """Whatever the title, a remark or the zero says, the machine does what it does without them."""
    nodes = (*program().nodes[:5], Remark(note), *program().nodes[5:])
    spoken = replace(program(*nodes, touch_off=zero), title=title)
    silent = post(comments="none")
    assert read(post().write(spoken, units)).events == read(silent.write(program(), units)).events


def test_a_board_named_like_a_word_starts_nothing() -> None:
    """A board called `M3 (` stays a name."""
    text = post().write(program(Rapid(z=5.0), title="M3 ("), "mm")
    assert text.splitlines()[0] == "(M3)"
    assert [event[0] for event in read(text).events] == ["M5", "rapid", "M5", "M2"]


def test_the_same_program_gives_the_same_bytes() -> None:
    """Twice, and through a second post made alike."""
    assert post().write(program(), "inch") == post().write(program(), "inch")


def test_inches_are_rounded_once_and_cut_at_the_same_place() -> None:
    """25.4 mm is 1.0; a feed of 2540 mm/min is 100.0."""
    text = post().write(program(Rapid(z=25.4), Feed(np.array([[12.7, 0.0, 1.27]]), 2540.0)), "inch")
    assert "G20\n" in text
    assert text.splitlines()[-4:] == ["G0 Z1.0", "G1 X0.5 Y0.0 Z0.05 F100.0", "M5", "M2"]


def test_a_third_of_a_millimetre_three_thousand_times_does_not_drift() -> None:
    """Positions are rounded, never steps: 3000 thirds end at 1000.0."""
    points = np.stack([np.arange(1, 3001) / 3, np.zeros(3000), np.zeros(3000)], axis=1)
    text = post().write(program(Rapid(z=0.0), Rapid(x=0.0, y=0.0), Feed(points, 1000.0)), "mm")
    assert text.splitlines()[-3] == "G1 X1000.0"


def test_the_feed_is_said_again_after_a_rapid() -> None:
    """Someone may start there; a feed left over from elsewhere must not hold."""
    cut = Feed(np.array([[1.0, 0.0, 0.0]]), 500.0)
    back = Feed(np.array([[0.0, 0.0, 0.0]]), 500.0)
    text = post().write(program(Rapid(z=0.0), Rapid(x=0.0, y=0.0), cut, Rapid(z=9.0), back), "mm")
    assert text.count("F500.0") == 2


def test_after_a_pause_every_axis_is_said_again() -> None:
    """The person may have moved the machine: nothing is left out because it was said before."""
    nodes = (Rapid(z=9.0), Rapid(x=1.0, y=2.0), Pause("look"), Rapid(z=9.0), Rapid(x=1.0, y=2.0))
    assert post().write(program(*nodes), "mm").splitlines()[-7:-2] == [
        "G0 X1.0 Y2.0",
        "(look)",
        "M0",
        "G0 Z9.0",
        "G0 X1.0 Y2.0",
    ]


@pytest.mark.parametrize(
    ("nodes", "traits", "units", "words"),
    [
        ((SpindleOn(9000.0), Pause("now")), {}, "mm", "spindle running"),
        ((UseTool(9, "other"),), {}, "mm", "changes no tool"),
        ((SpindleOn(0.2),), {}, "mm", "cannot say 0.2 rpm"),
        ((Feed(np.array([[0.0, 0.0, 0.0]]), 0.01),), {}, "mm", "cannot say a feed of 0.01"),
        ((Dwell(1.0),), {"dwell_unit": "none"}, "mm", "no dwell word"),
        ((Pause("now"),), {"pause_word": None}, "mm", "no word that waits"),
        ((Probe(1.0, 90.0),), {}, "mm", "no word that stops at a touch"),
        ((Probe(1.0, 0.01),), {"probe_word": "G38.2"}, "mm", "cannot say a feed of 0.01"),
        ((SpindleOn(9000.0), Probe(1.0, 90.0)), {"probe_word": "G38.2"}, "mm", "with the spindle running"),
        ((Rapid(z=1.0),), {"units": ("mm",)}, "inch", "not written in inch"),
    ],
)
def test_what_cannot_be_said_is_refused_with_a_remedy(
    nodes: tuple[Node, ...], traits: dict[str, object], units: Units, words: str
) -> None:
    """One finding that says why, before any line; nothing goes out under another word."""
    dialect = post(**traits)
    [finding] = dialect.refusals(program(*nodes), units)
    assert words in finding.message
    assert finding.remedy
    assert (finding.level, finding.rule, finding.program) == ("refuse", "post-cannot-say", "02-face-a.nc")
    with pytest.raises(Refused):
        next(dialect.lines(program(*nodes), units))


def test_all_refusals_come_at_once() -> None:
    """A foreign tool and a pause with the spindle on: two findings, each once though it occurs twice."""
    nodes = (UseTool(9, "other"), UseTool(9, "other"), SpindleOn(9000.0), Pause("a"), Pause("b"))
    assert len(post().refusals(program(*nodes), "mm")) == 2


def test_a_slanting_rapid_is_refused() -> None:
    """Machines differ in the path of a rapid: level or vertical only."""
    with pytest.raises(Refused, match="vertically and level"):
        post().write(program(Rapid(x=1.0, y=1.0, z=1.0)), "mm")


def test_a_line_that_would_be_too_long_is_refused_with_both_numbers() -> None:
    """Sixty characters are not enough for five decimals far out; the finding says how many it was."""
    far = np.array([[-123456.12345, -123456.12345, -123456.12345]])
    long = program(Rapid(z=0.0), Feed(far, 123456.7))
    with pytest.raises(Refused) as raised:
        post(line_length=60, decimals_mm=5, line_number_step=10).write(long, "mm")
    [finding] = raised.value.findings
    assert finding.limit == 60
    assert finding.measured is not None
    assert finding.measured > 60


def test_line_numbers_start_again_after_their_limit() -> None:
    """Step 500 up to 999 is 500, 500: a label may repeat, a sixth digit may not."""
    text = post(line_number_step=500, line_number_limit=999, comments="none").write(program(), "mm")
    assert {line.split()[0] for line in text.splitlines()} == {"N500"}


def test_waits_keep_their_unit_and_the_longer_of_two_holds() -> None:
    """A spin-up of 3 s and a dwell of 1 s after it is one wait of 3 s, in seconds or thousandths of one."""
    nodes = (SpindleOn(9000.0), Dwell(1.0), Dwell(0.25), SpindleOff())
    for unit, waits in (("seconds", ["G4 P3.0", "G4 P0.25"]), ("milliseconds", ["G4 P3000", "G4 P250"])):
        text = post(dwell_unit=unit, spin_up=3.0).write(program(*nodes), "mm")
        assert re.findall("G4 P.*", text) == waits


def test_a_touch_has_its_feed_on_its_line_and_z_is_said_again_after_it() -> None:
    """Down with word, height and feed; up is stated anew, for where the touch ended is not known."""
    touch = (Rapid(z=9.0), Rapid(x=1.0, y=2.0), Probe(4.0, 90.0), Rapid(z=9.0), Rapid(x=3.0))
    for traits in ({}, {"modal_motion": True}):
        text = post(probe_word="G38.2", **traits).write(program(*touch), "mm").splitlines()
        after = "X3.0" if traits else "G0 X3.0"
        assert text[-5:] == ["G38.2 Z4.0 F90.0", "G0 Z9.0", after, "M5", "M2"]
    spelled = post(probe_word="G38.2", modal_axes=False).write(program(*touch), "mm").splitlines()
    assert spelled[-5:-2] == ["G38.2 X1.0 Y2.0 Z4.0 F90.0", "G0 X1.0 Y2.0 Z9.0", "G0 X3.0 Y2.0 Z9.0"]


@pytest.mark.parametrize("start", [(), (Rapid(z=9.0),), (Rapid(z=4.2), Rapid(x=0.0, y=0.0))])
def test_a_touch_from_nowhere_or_from_too_near_is_refused(start: tuple[Node, ...]) -> None:
    """NISTIR 6556, 3.5.9 makes a start nearer than 0.254 mm an error; an unknown one cannot be proven."""
    with pytest.raises(Refused, match="straight above"):
        post(probe_word="G38.2").write(program(*start, Probe(4.0, 90.0)), "mm")


def test_declared_tool_changes_and_relays_stand_alone() -> None:
    """T, M6 and the dust relay have lines of their own, with the spindle stopped first."""
    nodes = (UseTool(9, "other"), Dust(on=True), Rapid(z=5.0), Dust(on=False))
    dialect = post(tool_change="word", dust_on="M24", dust_off="M25")
    assert dialect.write(program(*nodes), "mm").splitlines()[-9:] == [
        *("M5", "(tool: 9 other)", "T9", "M6", "M24", "G0 Z5.0", "M25", "M5", "M2")
    ]
    paused = post(tool_change="pause").write(program(*nodes[:1]), "mm").splitlines()
    assert paused[-5:] == ["M5", "(tool: 9 other)", "M0", "M5", "M2"]


def test_points_closer_than_a_step_make_no_line() -> None:
    """Two points that round alike are one move."""
    near = np.array([[1.0, 1.0, 1.0], [1.0001, 1.0, 1.0], [1.0, 1.0001, 1.0]])
    assert post().write(program(Rapid(z=1.0), Feed(near, 100.0)), "mm").count("G1 ") == 1


@pytest.mark.parametrize(
    ("stem", "traits", "expected"),
    [
        ("02-face-a", {}, "02-face-a.nc"),
        ("02-face-a", {"name_hyphens": False, "name_case": "upper"}, "02FACEA.NC"),
        ("02-face-a-region-2", {"name_length": 8, "extension": "TAP"}, "02-fbaf5.tap"),
    ],
)
def test_file_names_keep_to_the_dialect(stem: str, traits: dict[str, object], expected: str) -> None:
    """Length, case and hyphens as declared; a shortened name keeps its start and ends in a digest."""
    assert post(**traits).file_name(stem) == expected


def test_shortened_names_stay_apart() -> None:
    """A hundred programs of one long purpose have a hundred names of eight letters."""
    dialect = post(name_length=8)
    names = {dialect.file_name(f"face-a-region-{n}") for n in range(100)}
    assert len(names) == 100
    assert all(len(name) <= len("12345678.nc") for name in names)


@pytest.mark.parametrize("stem", ["../up", "a/b", "", "A", "a--b", "a b", "a.nc"])
def test_a_stem_that_is_no_name_makes_no_file(stem: str) -> None:
    """No path leaves its folder by way of a stem."""
    with pytest.raises(ValueError, match="no stem"):
        post().file_name(stem)


def test_every_node_is_written_or_refused_and_silence_is_a_fault() -> None:
    """The base writes all kinds but a touch, which a trait gives; one lost or twice is named as faulty."""
    assert post().written() == set(NODES) - {Probe}
    assert post(probe_word="G38.2").written() == set(NODES)
    assert faults(post()) == ()

    class Silent(WordAddress):
        name = "silent"

        def written(self) -> frozenset[type]:
            return super().written() - {Dust}

    class Torn(WordAddress):
        name = "torn"

        def written(self) -> frozenset[type]:
            return super().written() | {Dwell}

    assert faults(Silent()) == ("it neither writes nor refuses Dust",)
    assert faults(Torn(traits=replace(Traits(), dwell_unit="none"))) == ("it both writes and refuses Dwell",)


@pytest.mark.parametrize(
    ("also", "fine"), [((), True), (("M48", "G61.1"), True), ("M48", False), (("G-x",), False)]
)
def test_words_that_a_post_also_takes_are_words(also: object, fine: bool) -> None:
    """A comma forgotten would else let every letter and figure of the word pass the proof."""
    post = type("Also", (WordAddress,), {"also_takes": also, "name": "also"})(traits=Traits())
    told = [fault for fault in faults(post) if "also_takes" in fault]
    assert told == ([] if fine else [f"its also_takes is {also!r}, no tuple of words such as ('M48',)"])
