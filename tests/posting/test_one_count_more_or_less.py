"""Where dialects turn: the least that can be said, the last decimal, the first line that is needed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from programs import program
from stockwright.findings import Refused
from stockwright.motion import Dwell, Feed, Pause, Probe, Rapid, SpindleOff, SpindleOn, UseTool
from stockwright.posting import Traits, WordAddress, load_post
from stockwright.posting.arc_words import centre_counts, radius_count
from stockwright.posting.dialect import Dialect
from stockwright.posting.digits import count, snap

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.findings import Finding
    from stockwright.motion import Node
    from stockwright.posting.dialect import Axes, Told

OWN = program().tool.number


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits, the rest as by default."""
    return WordAddress(name="trial", traits=replace(Traits(), **traits))  # type: ignore[arg-type]


def refused(dialect: WordAddress, *nodes: Node, units: str = "mm") -> list[Finding]:
    """Give what a dialect refuses of a program of these nodes."""
    return list(dialect.refusals(program(*nodes), units))  # type: ignore[arg-type]


def cut(feed: float) -> Feed:
    """Give a short move at a feed."""
    return Feed(np.array([[1.0, 2.0, 3.0]]), feed)


@pytest.mark.parametrize(("units", "least"), [("mm", 0.1), ("inch", 0.254)])
def test_the_least_feed_is_the_last_decimal(units: str, least: float) -> None:
    """One count of F can be said, less is refused, and the limit told is that count in mm/min."""
    assert refused(post(), cut(least), units=units) == []
    [finding] = refused(post(), cut(least / 3), units=units)
    assert finding.limit == pytest.approx(least)
    assert finding.measured == pytest.approx(least / 3)


def test_the_least_speed_is_the_last_decimal() -> None:
    """One count of S can be said, less is refused, and the limit told is that count in rpm."""
    for decimals, least in ((0, 1.0), (1, 0.1), (2, 0.01)):
        dialect = post(speed_decimals=decimals)
        assert refused(dialect, SpindleOn(least)) == []
        [finding] = refused(dialect, SpindleOn(least / 3))
        assert finding.limit == pytest.approx(least)
    text = post(speed_decimals=1).write(program(SpindleOn(9000.54)), "mm")
    assert "S9000.5" in text.splitlines()


def test_another_tool_is_refused_whichever_number_it_has() -> None:
    """Below or above the program's own; its own is none."""
    for number, refusals in ((OWN, 0), (OWN - 1, 1), (OWN + 1, 1)):
        assert len(refused(post(), UseTool(number, "x"))) == refusals
        assert len(refused(post(tool_change="word"), UseTool(number, "x"))) == 0


def test_what_waits_or_touches_does_so_with_the_spindle_off() -> None:
    """Refused between start and stop, said before and after; a tool change stops the spindle too."""
    dialect = post(probe_word="G38.2", tool_change="word")
    for node in (Pause("look"), Probe(0.0, 100.0)):
        assert refused(dialect, node) == []
        assert len(refused(dialect, SpindleOn(9000.0), node)) == 1
        assert len(refused(dialect, SpindleOn(9000.0), Rapid(z=5.0), node)) == 1
        assert refused(dialect, SpindleOn(9000.0), SpindleOff(), node) == []
        assert refused(dialect, SpindleOn(9000.0), UseTool(OWN + 1, "x"), node) == []


def test_an_arc_that_rounding_would_bend_has_no_radius() -> None:
    """Near half a turn a radius one count longer moves the bow far off: no R is given."""
    assert radius_count((0, 0), (2000, 0), (1000.0, 1.0), clockwise=False) is None
    assert radius_count((0, 0), (2000, 0), (1000.0, 200.0), clockwise=False) == 1020
    assert radius_count((0, 0), (2, 0), (1.0, 0.1), clockwise=False) == 2
    assert radius_count((5, 5), (5, 5), (0.0, 0.0), clockwise=False) is None


def test_an_arc_whose_ends_are_one_has_no_centre() -> None:
    """Nothing, or a whole turn: it cannot be told which."""
    assert centre_counts((5, 5), (5, 5), (0.0, 0.0), 2.0, clockwise=False) is None
    assert centre_counts((10, 0), (0, 10), (0.0, 0.0), 2.0, clockwise=False) == (-10, 0)
    assert centre_counts((10, 0), (0, 10), (0.0, 0.0), 2.0, clockwise=True) is None


def test_a_place_on_the_grid_stays_whichever_way_it_is_rounded() -> None:
    """What is a whole count already is not moved by a count; what is not goes the way that was asked."""
    for way in ("down", "up", "nearest"):
        assert snap(25.4, "inch", 4, way) == pytest.approx(25.4)
        assert count(0.3, "mm", 1, way) == 3
    assert [count(1.26, "mm", 1, "down"), count(1.24, "mm", 1, "up")] == [12, 13]
    for far in (1e6, -1e6):
        assert count(far, "mm", 0) == far
        with pytest.raises(ValueError, match="no position"):
            count(np.nextafter(far, 2 * far), "mm", 0)


class Plain(Dialect):
    """A dialect of one's own that says each thing in a word."""

    name = "plain"

    def header(self, told: Told) -> Iterable[str]:
        """Say nothing."""
        return ()

    def end(self, told: Told) -> Iterable[str]:
        """Say whether the spindle still turns."""
        return (f"end {told.turning}",)

    def rapid_to(self, to: Axes, told: Told) -> Iterable[str]:
        """Say where to."""
        return (f"rapid {to}",)

    def cut_to(self, to: Axes, feed: int, told: Told) -> Iterable[str]:
        """Say where to, how fast, and the feed before."""
        return (f"cut {to} {feed} {told.feed}",)

    def wait(self, seconds: float) -> Iterable[str]:
        """Say how long."""
        return (f"wait {seconds:g}",)

    def spindle_on(self, rpm: int, told: Told) -> Iterable[str]:
        """Say how fast."""
        return (f"on {rpm}",)

    def spindle_off(self, told: Told) -> Iterable[str]:
        """Say off."""
        return ("off",)

    def pause(self, text: str, told: Told) -> Iterable[str]:
        """Say what for."""
        return (f"pause {text}",)

    def touch(self, to: Axes, feed: int, told: Told) -> Iterable[str]:
        """Say how far at most."""
        return (f"touch {to} {feed}",)


def lines(*nodes: Node, **basics: object) -> list[str]:
    """Give the lines of a program of these nodes in the plain dialect."""
    dialect = Plain()
    dialect.traits = replace(dialect.traits, **basics)  # type: ignore[arg-type]
    return dialect.write(program(*nodes), "mm").splitlines()


def test_a_dialect_moves_only_where_it_is_not_yet() -> None:
    """A move to where it stands has no line, cutting or not; after a pause every axis is said again."""
    at = (Rapid(z=5.0), Rapid(x=1.0, y=2.0))
    here = Feed(np.array([[1.0, 2.0, 5.0], [3.0, 2.0, 5.0]]), 600.0)
    assert lines(*at, Rapid(x=1.0), here) == [
        "rapid (None, None, 5000)",
        "rapid (1000, 2000, 5000)",
        "cut (3000, 2000, 5000) 6000 None",
        "end False",
    ]
    again = lines(*at, here, Pause("look"), Rapid(z=5.0), Rapid(x=3.0, y=2.0), Rapid(x=3.0), Rapid(y=2.0))
    assert again[3:] == [
        "pause look",
        "rapid (3000, 2000, 5000)",
        "rapid (3000, 2000, 5000)",
        "end False",
    ]
    cutting = lines(*at, here, Pause("look"), Feed(np.array([[3.0, 2.0, 5.0]]), 600.0), here)
    assert cutting[3:] == [
        "pause look",
        "cut (3000, 2000, 5000) 6000 None",
        "cut (1000, 2000, 5000) 6000 6000",
        "cut (3000, 2000, 5000) 6000 6000",
        "end False",
    ]


def test_after_a_touch_only_z_is_not_known() -> None:
    """It is said again, with the feed; x and y are not."""
    at = (Rapid(z=5.0), Rapid(x=1.0, y=2.0), Probe(0.0, 100.0))
    assert lines(*at, Rapid(x=1.0), Rapid(z=5.0)) == [
        "rapid (None, None, 5000)",
        "rapid (1000, 2000, 5000)",
        "touch (1000, 2000, 0) 1000",
        "rapid (1000, 2000, 5000)",
        "end False",
    ]


def test_a_dialect_waits_once_for_the_spindle() -> None:
    """After the start as long as it says, or as long as the program says where that is longer."""
    assert lines(SpindleOn(9000.4)) == ["on 9000", "end True"]
    assert lines(SpindleOn(9000.0), SpindleOff(), spin_up=4.0) == ["on 9000", "wait 4", "off", "end False"]
    for seconds, waits in ((2.0, ["wait 4"]), (6.0, ["wait 6"])):
        assert lines(SpindleOn(9000.0), Dwell(seconds), spin_up=4.0) == ["on 9000", *waits, "end True"]
    assert lines(Dwell(0.0), Dwell(0.5), spin_up=4.0) == ["wait 0.5", "end False"]
    assert lines(SpindleOn(9000.25), speed_decimals=1) == ["on 90002", "end True"]


@pytest.mark.parametrize("name", ["motion-table", "cldata", "rs274-ngc"])
def test_a_dialect_never_moves_slantwise_in_the_air(name: str) -> None:
    """Up and along at once is refused; where one of them does not move, it is none."""
    dialect = load_post(name)
    at = (Rapid(z=5.0), Rapid(x=1.0, y=2.0))
    for slanting in (Rapid(x=2.0, z=9.0), Rapid(y=3.0, z=9.0)):
        with pytest.raises(Refused, match="at once"):
            dialect.write(program(*at, slanting), "mm")
    for level in (Rapid(x=1.0, y=2.0, z=9.0), Rapid(x=7.0, y=9.0, z=5.0)):
        assert dialect.write(program(*at, level), "mm")
