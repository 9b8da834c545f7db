"""A dialect that is no word-address one, and what is said otherwise before writing: line by line."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from programs import program
from stockwright.findings import Finding, Refused
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
from stockwright.posting import Basics, Dialect, Traits, WordAddress
from stockwright.posting.shaping import air_speed, said_otherwise, shaped, with_dust, without_pauses

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.motion import Node
    from stockwright.posting import Axes, Told


class Own(Dialect):
    """A dialect that says each thing in a word."""

    name = "own"

    def header(self, told: Told) -> Iterable[str]:
        """Say the units and what is known."""
        return (f"begin {told.units} {told.at} {sorted(told.unsure)} {told.feed}",)

    def end(self, told: Told) -> Iterable[str]:
        """Say whether the spindle still turns."""
        return (f"end {told.turning}",)

    def rapid_to(self, to: Axes, told: Told) -> Iterable[str]:
        """Say where from and where to."""
        return (f"rapid {told.at} {to}",)

    def cut_to(self, to: Axes, feed: int, told: Told) -> Iterable[str]:
        """Say where to, how fast, and the feed before."""
        return (f"cut {to} {feed} {told.feed}",)

    def remark(self, text: str) -> Iterable[str]:
        """Say it."""
        return (f"note {text}",)

    def wait(self, seconds: float) -> Iterable[str]:
        """Say how long."""
        return (f"wait {seconds:g}",)

    def spindle_on(self, rpm: int, told: Told) -> Iterable[str]:
        """Say how fast."""
        return (f"on {rpm} {told.turning}",)

    def spindle_off(self, told: Told) -> Iterable[str]:
        """Say off."""
        return (f"off {told.turning}",)

    def pause(self, text: str, told: Told) -> Iterable[str]:
        """Say what for."""
        return (f"pause {text}",)

    def dust(self, on: bool, told: Told) -> Iterable[str]:
        """Say which way."""
        return (f"dust {on}",)

    def touch(self, to: Axes, feed: int, told: Told) -> Iterable[str]:
        """Say how far at most."""
        return (f"touch {to} {feed}",)

    def may_not(self, program: Any, units: Any) -> Iterable[Finding]:
        """Refuse a title."""
        return (Finding("own", "refuse", "no", "yes"),) if program.title == "no" else ()


def own(**basics: object) -> Own:
    """Give the dialect with these basics."""
    made = Own()
    made.traits = replace(Basics(), **basics)  # type: ignore[arg-type]
    return made


def said(*nodes: Node, units: Any = "mm", **basics: object) -> list[str]:
    """Give the lines between begin and end."""
    return own(**basics).write(program(*nodes), units).splitlines()[1:-1]


def cut(*points: tuple[float, float, float], feed: float = 600.0) -> Feed:
    """Give a cutting move through points."""
    return Feed(np.array(points), feed)


START = (Rapid(z=5.0), Rapid(x=1.0, y=2.0))


def test_every_node_comes_to_its_method_with_what_is_known() -> None:
    """In order, in counts, with where it stood and the feed before."""
    nodes = (
        *(UseTool(program().tool.number, "x"), Remark("hello"), Dust(on=True), SpindleOn(9000.6), *START),
        *(cut((1.0, 2.0, 4.0)), cut((1.0, 3.0, 4.0), (2.0, 3.0, 4.0), feed=60.04), Rapid(z=5.0)),
        *(SpindleOff(), Probe(1.0, 90.0), Dust(on=False)),
    )
    assert own().write(program(*nodes), "mm").splitlines() == [
        *("begin mm [None, None, None] [0, 1, 2] None", "note hello", "dust True", "on 9001 False"),
        *("rapid [None, None, None] (None, None, 5000)", "rapid [None, None, 5000] (1000, 2000, 5000)"),
        *("cut (1000, 2000, 4000) 6000 None", "cut (1000, 3000, 4000) 600 6000"),
        *("cut (2000, 3000, 4000) 600 600", "rapid [2000, 3000, 4000] (2000, 3000, 5000)"),
        *("off False", "touch (2000, 3000, 1000) 900", "dust False", "end False"),
    ]
    assert (
        said(*START, cut((25.4, 50.8, 0.0), feed=254.0), units="inch")[-1]
        == "cut (10000, 20000, 0) 1000 None"
    )
    assert own().write(program(SpindleOn(9.0)), "mm").splitlines()[-2:] == ["on 9 False", "end True"]


def test_what_is_not_sure_is_said_again() -> None:
    """After a touch z and the feed, after a pause all; each only until it has been said."""
    assert said(*START, cut((1.0, 2.0, 4.0)), Probe(1.0, 90.0), cut((1.0, 2.0, 4.0)))[-2:] == [
        "touch (1000, 2000, 1000) 900",
        "cut (1000, 2000, 4000) 6000 None",
    ]
    again = (Rapid(x=1.0), Rapid(x=1.0), Rapid(y=2.0), Rapid(z=5.0), Rapid(z=5.0), cut((1.0, 2.0, 5.0)))
    assert said(*START, Pause("a"), *again)[3:] == ["rapid [1000, 2000, 5000] (1000, 2000, 5000)"] * 3
    partly = said(*START, Pause("a"), Rapid(x=1.0), cut((1.0, 2.0, 5.0), (1.0, 2.0, 5.0)))
    assert partly[4:] == ["cut (1000, 2000, 5000) 6000 None"]
    assert said(*START, cut((1.0, 2.0, 5.0)), cut((1.0, 2.0004, 5.0)), Rapid()) == said(*START)
    assert said(cut((0.0, 0.0, 0.0)))[0] == "cut (0, 0, 0) 6000 None"


def test_waits_of_a_dialect_to_the_second() -> None:
    """The longer of two after a start; none of nothing; a note in between parts them."""
    for nodes, spin_up, waits in (
        ((SpindleOn(9.0), Dwell(2.0)), 3.0, ["wait 3"]),
        ((SpindleOn(9.0), Dwell(4.0)), 3.0, ["wait 4"]),
        ((SpindleOn(9.0), Remark("x"), Dwell(2.0)), 3.0, ["wait 3", "note x", "wait 2"]),
        ((SpindleOn(9.0),), 0.5, ["wait 0.5"]),
        ((SpindleOn(9.0),), 0.0, []),
        ((Dwell(0.0), Dwell(0.5)), 3.0, ["wait 0.5"]),
    ):
        assert [line for line in said(*nodes, spin_up=spin_up) if not line.startswith("on")] == waits


def test_an_arc_is_laid_out_in_chords_that_stand_five_thousandths_off() -> None:
    """As many as that takes, in mm and inch; what is no arc is refused with its reason."""
    quarter = Arc((1.0, 12.0), (11.0, 12.0, 5.0), clockwise=False, feed=600.0)
    many = math.ceil((math.pi / 2) / (2 * math.acos(1 - 0.005 / 10)))
    for units, last in (("mm", "(11000, 12000, 5000)"), ("inch", "(4331, 4724, 1969)")):
        lines = said(*START, quarter, units=units)[2:]
        assert len(lines) == many
        assert lines[-1].startswith(f"cut {last}")
    for start, message in (
        (START[:1], "an arc from a place that is not known"),
        (START, "an arc turns by 180.000"),
    ):
        with pytest.raises(Refused) as raised:
            said(*start, replace(quarter, end=(1.0, 22.0, 5.0)))
        [finding] = raised.value.findings
        assert finding.message.startswith(message)
        assert finding.remedy == "move to a known place on the arc first, a quarter turn at a time"


def test_a_dialect_refuses_before_its_first_line() -> None:
    """Slanting rapids, its own reasons, lines that are too long: as long as may be is written."""
    for slanting in (Rapid(x=2.0, z=9.0), Rapid(y=3.0, z=9.0)):
        with pytest.raises(Refused, match="vertically and level at once"):
            said(*START, slanting)
    assert said(*START, Rapid(x=2.0, y=3.0, z=5.0), Rapid(x=2.0, z=6.0))[2:] == [
        "rapid [1000, 2000, 5000] (2000, 3000, 5000)",
        "rapid [2000, 3000, 5000] (2000, 3000, 6000)",
    ]
    assert own().refusals(program(title="no"), "mm") == (Finding("own", "refuse", "no", "yes"),)
    with pytest.raises(Refused, match="no"):
        next(own().lines(program(title="no"), "mm"))
    text = own(line_ending="cr-lf", line_length=100).write(program(Remark("x" * 95)), "mm")
    assert text.split("\r\n")[1:] == ["note " + "x" * 95, "end False", ""]
    with pytest.raises(Refused) as raised:
        own(line_length=100).write(program(Remark("x" * 96)), "mm")
    [finding] = raised.value.findings
    assert (finding.message, finding.measured, finding.limit) == ("a line is longer than own takes", 101, 100)
    assert finding.remedy == "take a post with longer lines, or fewer decimals"


def test_counts_of_a_dialect_to_the_last_decimal() -> None:
    """Feeds, speeds, places and steps, in both units."""
    dialect = own(speed_decimals=1)
    assert (dialect.speed_count(9000.26), own().speed_count(9000.6)) == (90003, 9001)
    assert [dialect.feed_count(254.0, "mm"), dialect.feed_count(254.0, "inch")] == [2540, 1000]
    assert [
        dialect.snap(1.2344, "mm"),
        dialect.snap(1.2344, "mm", "up"),
        dialect.snap(1.2346, "mm", "down"),
    ] == [
        1.234,
        1.235,
        1.234,
    ]
    assert dialect.snap(0.0012, "inch", "up") == pytest.approx(0.00254)
    assert dialect.refused() == {}
    assert dialect.refused() is not dialect.refuses
    assert dialect.file_name("02-a") == "02-a.txt"


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits, the rest as by default."""
    return WordAddress(name="trial", traits=replace(Traits(), **traits))  # type: ignore[arg-type]


UP, ALONG, DOWN, LOW = Rapid(z=60.0), Rapid(x=9.0, y=9.0), Rapid(z=22.0), cut((9.0, 9.0, 20.0))


@pytest.mark.parametrize(
    ("nodes", "kept"),
    [
        ((UP, ALONG, DOWN, LOW, Pause("a"), UP), (UP, ALONG, UP)),
        ((UP, ALONG, DOWN, Remark("x"), Pause("a"), UP), (UP, ALONG, UP)),
        ((UP, ALONG, Pause("a"), DOWN, LOW, UP), (UP, ALONG, DOWN, LOW, UP)),
        ((UP, ALONG, DOWN, cut((9.0, 9.0, 20.0), (9.0, 8.0, 20.0)), Pause("a"), LOW, UP), None),
        ((UP, DOWN, ALONG, Pause("a"), LOW, UP), None),
        ((UP, DOWN, Rapid(y=1.0), Pause("a"), UP), None),
        ((UP, DOWN, Pause("a"), LOW, ALONG, Rapid(z=30.0), Pause("b"), UP, DOWN, UP), (UP, UP, DOWN, UP)),
        ((UP, DOWN, Pause("a"), SpindleOff(), LOW, UP, LOW), (UP, SpindleOff(), UP, LOW)),
        ((UP, DOWN, Rapid(x=1.0, z=60.0), DOWN, Pause("a"), UP), (UP, DOWN, Rapid(x=1.0, z=60.0), UP)),
        ((LOW, Pause("a"), LOW), ()),
        (
            (Rapid(z=5.0), Arc((0.0, 0.0), (1.0, 1.0, 1.0), clockwise=True, feed=9.0), Pause("a"), LOW),
            None,
        ),
    ],
)
def test_a_pause_goes_with_the_way_down_to_it(nodes: tuple[Node, ...], kept: tuple[Node, ...] | None) -> None:
    """Only where nothing but the way down was there; None: where there was more, the pause alone goes."""
    alone = tuple(node for node in nodes if not isinstance(node, Pause))
    assert without_pauses(nodes) == (alone if kept is None else kept)


def test_the_collector_runs_from_the_first_start_to_the_last_stop() -> None:
    """Once, whatever starts and stops are between; to the end where nothing stops; not without a start."""
    on, off = SpindleOn(9.0), SpindleOff()
    first, last = Dust(on=True), Dust(on=False)
    for nodes, made in (
        ((UP, on, LOW, off, UP), (UP, first, on, LOW, off, last, UP)),
        ((on, off, on, off), (first, on, off, on, off, last)),
        ((on, LOW), (first, on, LOW, last)),
        ((UP, off), (UP, off)),
        ((UP,), (UP,)),
        ((on, Dust(on=False), off), (on, Dust(on=False), off)),
    ):
        assert with_dust(nodes) == made


def test_what_is_said_otherwise_is_told_in_these_words() -> None:
    """Each once, in order; nothing of what is not in the program."""
    arc = Arc((9.0, 19.0), (19.0, 19.0, 60.0), clockwise=False, feed=600.0)
    whole = program(Remark("x"), UP, ALONG, arc, Pause("a"), UP)
    strange = post(comments="none", rapid_feed=3000.0, pause_word=None, sagitta=0.01)
    expected = (
        (
            "The control has no stop that can be trusted: nothing waits for you, and nothing comes down for "
            "the block. Check zero with the block by hand before the first program."
        ),
        "The control takes no comments: its screen does not name the file's setup, tool and zero.",
        "Arcs are cut as chords that stand 0.01 mm off them at most.",
        (
            "Moves in the air are cutting moves at 3000 mm/min: an override of the feed slows or hurries "
            "them too."
        ),
    )
    assert said_otherwise(strange, [whole, whole], "mm") == expected
    for nodes, told in (((cut((9.0, 9.0, 9.0)),), ()), ((UP,), expected[3:]), ((UP, arc), expected[2:])):
        assert shaped(strange, program(*nodes), "mm").said == told
    probing = replace(whole, purpose="probe")
    assert shaped(strange, probing, "mm").said == expected[1:]
    assert shaped(strange, probing, "mm").programs[0].nodes == whole.nodes
    unmoved = program(UP, ALONG)
    assert shaped(post(pause_word=None), unmoved, "mm").programs[0] is unmoved
    long = program(
        UP, ALONG, *(Dwell(1.0) for _ in range(50)), ALONG, Rapid(x=1.0, y=1.0), UP, *(ALONG, DOWN, UP) * 30
    )
    assert shaped(post(file_lines=80, dust_on="M7", dust_off="M9"), long, "mm").said == (
        (
            "A program is longer than the control takes as one file and is split; each part begins and ends "
            "by itself, raised and with the spindle off. Run them in their order, nothing moved in between."
        ),
    )


def test_moves_in_the_air_are_no_faster_than_the_machine() -> None:
    """The slower of the two where the dialect states one, the machine's where it does not."""
    speeds = [air_speed(post(rapid_feed=feed), 6000.0) for feed in (0.0, 3000.0, 6000.0, 9000.0)]
    assert speeds == [6000.0, 3000.0, 6000.0, 6000.0]
    assert air_speed(own(), 6000.0) == 6000.0
