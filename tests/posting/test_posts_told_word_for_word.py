"""What `posts show` says of a dialect, line for line: each trait at its default, and at another value."""

from __future__ import annotations

from dataclasses import replace

from stockwright.motion import Dust, Dwell
from stockwright.posting import Basics, Dialect, Refusal, Traits, WordAddress

ZERO = (1.5, -2.0, 160.0)
OTHERS = Traits(
    units=("inch",),
    mm_word=None,
    inch_word=None,
    feed_decimals_inch=1,
    speed_decimals=2,
    point_always=False,
    plus_sign=True,
    least_digits=2,
    spaced=False,
    code_digits=2,
    modal_motion=True,
    modal_axes=False,
    modal_feed=False,
    restate_modes=True,
    arcs="radius",
    sagitta=0.01,
    rapid_feed=3000.0,
    line_number_step=10,
    line_number_limit=9990,
    comment_length=40,
    characters="capitals",
    line_length=80,
    line_ending="cr-lf",
    file_bytes=65536,
    file_lines=9999,
    percent=True,
    start_words=("G17", "G90"),
    work_frame=None,
    end_words=("G40", "M30"),
    retract="machine",
    retract_z=-2.5,
    machine_zero=ZERO,
    tool_change="pause",
    probe_word="G38.2",
    speed_with_start=True,
    spin_up=4.5,
    dwell_unit="milliseconds",
    dwell_letter="X",
    dust_on="M8",
    dust_off="M9",
    dust_on_delay=2.0,
    dust_off_delay=7.5,
    extension="tap",
    name_length=8,
    name_case="upper",
    name_hyphens=False,
)
NEVER = ("never: block delete, checksums, offsets, incremental positions, several machine actions on a line",)
NO_TOUCH = (
    "refuses Probe: it has no word that stops at a touch; "
    "read by hand, or state probe-word in a profile where it has one"
)


class Read(WordAddress):
    """A dialect that a reader reads."""

    name, reader, about = "own", "rs274-ngc", "all else"


def told(**traits: object) -> list[str]:
    """Give what is said of a dialect with these traits."""
    return Read(traits=replace(Traits(), **traits)).describe().splitlines()  # type: ignore[arg-type]


def test_the_defaults_are_told_line_for_line() -> None:
    """The habits that most controllers live with, each in its words."""
    assert WordAddress(name="trial", about="A trial.").describe().splitlines() == [
        "trial: A trial.",
        "proof: no reader; its packets are unproven",
        "mm: 3 decimals, feed 1, step 0.001 mm, stated by G21",
        "inch: 4 decimals, feed 2, step 0.00254 mm, stated by G20",
        (
            "numbers: no zeros at the end, always with a point, a sign where below zero; "
            "speed with 0 decimals; words spaced"
        ),
        "codes: as short as may be, G1",
        "motion: absolute; motion word on every line, only axes that move, F where it changes",
        "arcs: none, chords within 0.005 mm",
        "moves in the air: rapid moves",
        "line numbers: none",
        "comments: in ( ), at most 70 characters, letters, digits and . + - = / : ' _",
        "lines: at most 252 characters of ASCII, ending in LF",
        "size of a file: any",
        "start: G17, G40, G49, G80, G90, G94, G54",
        "modes: stated first",
        "end: M5, M2",
        "retract: to a height above the work zero; no machine-frame word",
        "tool change: none, one file a tool",
        "spindle: speed and start on lines of their own, no wait",
        "dwell: G4 P in seconds",
        "pause: M0",
        "probing move: none",
        "dust collector: by hand",
        *NEVER,
        "files: .nc, 60 characters before it, lower case",
        NO_TOUCH,
    ]


def test_every_other_value_is_told_line_for_line() -> None:
    """A dialect in which no trait that can be another is as by default."""
    assert Read(traits=OTHERS).describe().splitlines() == [
        "own: all else",
        "proof: read back by rs274-ngc",
        "inch: 4 decimals, feed 1, step 0.00254 mm, not stated by a word",
        (
            "numbers: no zeros at the end, no point where whole, a sign always, 2 digits before the point; "
            "speed with 2 decimals; no spaces"
        ),
        "codes: two digits, G01",
        "motion: absolute; motion word where it changes, every known axis on every line, F on every line",
        "arcs: by radius, R, chords within 0.01 mm",
        "moves in the air: cutting moves at 3000 mm/min",
        "line numbers: by 10 up to 9990",
        "comments: in ( ), at most 40 characters, capitals, digits and . + - /",
        "lines: at most 80 characters of ASCII, ending in CR LF",
        (
            "size of a file: at most 65536 bytes and 9999 lines; "
            "longer programs are split where they go about, each part whole"
        ),
        "start: %, G17, G90",
        "modes: stated first, and again after each retract",
        "end: M5, G40, M30, %",
        (
            "retract: to a height above the work zero, and first and last G53 Z alone to -2.5 mm; "
            "machine zero at 1.5, -2, 160 mm of the bed"
        ),
        "tool change: stops for the person",
        "spindle: speed and start on one line, then a wait of 4.5 s",
        "dwell: G4 X in milliseconds",
        "pause: M0",
        "probing move: G38.2",
        "dust collector: M8, then 2 s; M9 after 7.5 s more",
        *NEVER,
        "files: .tap, 8 characters before it, upper case, letters and digits only",
    ]


def test_what_a_dialect_lacks_is_told_with_what_to_do() -> None:
    """Refusals in order of their kinds, and third values of the traits that have three."""
    lines = told(
        trailing_zeros=True,
        comments="none",
        file_lines=80,
        spin_up=3.0,
        spin_up_by="control",
        dwell_unit="none",
        stops_trusted=False,
        arcs="centre",
        tool_change="word",
    )
    assert lines[4].startswith("numbers: all decimals, a sign where below zero; speed")
    assert [lines[k] for k in (7, 10, 12, 17, 18, 19, 20)] == [
        "arcs: by centre, I and J from the start, chords within 0.005 mm",
        "comments: none",
        "size of a file: at most 80 lines; longer programs are split where they go about, each part whole",
        "tool change: T and M6",
        "spindle: speed and start on lines of their own, whose word itself waits, about 3 s",
        "dwell: none",
        "pause: M0, not trusted",
    ]
    assert lines[-3:] == [
        (
            "refuses Dwell: it has no dwell word whose unit is sure; "
            "approach from higher up, or state dwell-unit in a profile"
        ),
        "refuses Pause: its stop word may be passed over; end the program there and begin another one",
        NO_TOUCH,
    ]
    lines = told(
        pause_word=None, spin_up=3.0, characters="bare", file_bytes=2000, retract="machine", machine_zero=ZERO
    )
    assert [lines[k] for k in (10, 12, 16, 18, 20)] == [
        "comments: in ( ), at most 70 characters, capitals and digits",
        "size of a file: at most 2000 bytes; longer programs are split where they go about, each part whole",
        (
            "retract: to a height above the work zero, and first and last G53 Z alone to 0 mm; "
            "machine zero at 1.5, -2, 160 mm of the bed"
        ),
        "spindle: speed and start on lines of their own, then a wait of 3 s",
        "pause: none",
    ]
    assert lines[-2:] == [
        "refuses Pause: it has no word that waits; end the program there and begin another one",
        NO_TOUCH,
    ]


class Own(Dialect):
    """A dialect that is no word-address one."""

    name, reader, about = "own", "own-reader", "lines of its own"
    refuses = {Dwell: Refusal("no clock", "wait by hand"), Dust: Refusal("no relay", "by hand")}  # noqa: RUF012

    def words(self) -> tuple[str, ...]:
        """Say one sentence of its own."""
        return ("statements: none",)


def test_a_dialect_of_another_kind_is_told_line_for_line() -> None:
    """Its defaults, all of them otherwise, and what it refuses in order of their kinds."""
    plain = Dialect()
    plain.name, plain.about = "bare", "nothing"
    assert plain.describe().splitlines() == [
        "bare: nothing",
        "proof: no reader; its packets are unproven",
        "mm: 3 decimals, feed 1, step 0.001 mm",
        "inch: 4 decimals, feed 2, step 0.00254 mm",
        "lines: at most 250 characters, ending in LF",
        "spindle: started, no wait",
        "tool change: none, one file a tool",
        "files: .txt, 60 characters before it, lower case",
    ]
    own = Own()
    own.traits = Basics(
        units=("inch",),
        decimals_inch=3,
        feed_decimals_inch=1,
        line_length=72,
        line_ending="cr-lf",
        spin_up=2.5,
        extension="cld",
        name_length=8,
        name_case="upper",
        name_hyphens=False,
    )
    assert own.describe().splitlines() == [
        "own: lines of its own",
        "proof: read back by own-reader",
        "inch: 3 decimals, feed 1, step 0.0254 mm",
        "statements: none",
        "lines: at most 72 characters, ending in CR LF",
        "spindle: started, then a wait of 2.5 s",
        "tool change: none, one file a tool",
        "files: .cld, 8 characters before it, upper case, letters and digits only",
        "refuses Dust: no relay; by hand",
        "refuses Dwell: no clock; wait by hand",
    ]
    assert own.written() == plain.written() - {Dwell, Dust}
    assert [own.resolution("inch"), own.resolution("mm"), plain.resolution("inch")] == [
        0.0254,
        0.001,
        0.00254,
    ]
