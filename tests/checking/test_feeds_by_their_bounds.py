"""What the feed's range and the rules about it make of bounds, each share and word of them given by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from checking.loads_by_hand import loaded, run_of
from cutters import end_mill
from setups import edge_setup, shop
from situations import found, situation
from stockwright.checking import chips, feeds
from stockwright.checking.chips import BENDS, END, LIFT, MACHINE, POWER, RUBS, RUBS_LAST, SIDE, THICK, TIPS

if TYPE_CHECKING:
    from stockwright.checking import Situation

Bounds = tuple[tuple[float, str], ...]


def cutting(**machine: object) -> Situation:
    """Cut an edge at 3000 mm/min and 16000 rpm, at most 4 sideways and 7 deep, 0.5 left as light."""
    return situation(edge_setup(tool=end_mill(feed=3000.0), stepover=4.0), shop(**machine))  # type: ignore[arg-type]


OWN = cutting()


def bounded(monkeypatch: pytest.MonkeyPatch, low: float, slow: str, high: float, fast: str) -> None:
    """Have every load bounded so."""
    bounds = ([(0.0, RUBS), (low, slow)], [(2.0, END), (9.0, MACHINE), (high, fast)])
    monkeypatch.setattr(chips, "_bounds", lambda *_: bounds)


RANGES = (  # low, high, and the range that is said
    (0.5, 1.5, 0.5, 1.5, THICK),
    (0.51, 1.49, 0.55, 1.45, THICK),
    (0.549, 1.501, 0.55, 1.5, THICK),
    (0.551, 1.5005, 0.55, 1.5, THICK),
    (0.96, 1.04, 1.0, 1.0, THICK),
    (1.01, 1.04, 1.0, 1.0, THICK),
    (1.04, 1.2, 1.0, 1.2, THICK),
    (1.05, 1.2, 1.0, 1.2, THICK),
    (1.06, 1.2, 1.1, 1.2, THICK),
    (0.7, 0.98, 0.7, 1.0, THICK),
    (0.7, 0.975, 0.7, 0.95, THICK),
    (0.7, 0.99, 0.7, 1.0, THICK),
    (1.07, 1.08, 1.07, 1.07, THICK),
    (0.56, 0.58, 0.56, 0.56, THICK),
    (1.02, 1.0, 1.0, 1.0, THICK),
    (1.03, 1.0, 1.05, 1.0, THICK),
    (1.5, 1.2, 1.5, 1.2, THICK),
    (0.5, 2.5, 0.5, 2.0, END),
)


@pytest.mark.parametrize(("low", "high", "lowest", "highest", "fast"), RANGES)
def test_a_range_is_said_in_twentieths_inside_its_bounds(
    low: float, high: float, lowest: float, highest: float, fast: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rounded inwards, to the programmed feed where that is within a notch; too narrow, it is one feed."""
    bounded(monkeypatch, low, RUBS_LAST, high, THICK)
    [told] = chips.feed_ranges(OWN).values()
    assert [told.low, told.high] == pytest.approx([lowest, highest], abs=1e-12)
    assert told.told == (told.low, told.high, RUBS_LAST, fast)


@pytest.mark.parametrize(("width", "chip"), [(0.5, 4.0), (0.99, 4.0), (1.0, 1.0), (2.0, 2.0)])
def test_strips_under_a_quarter_of_the_stepover_say_nothing_of_the_feed(width: float, chip: float) -> None:
    """Two ways of three are narrow: below 1 mm of 4 the wide one bounds the feed, from there on they do."""
    tool = end_mill()
    slices = [(0, 4.0, 5.0, -1), (1, width, 5.0, -1), (2, width, 5.0, -1)]
    load = loaded(run_of(tool, edge_setup(tool=tool, stepover=4.0)), slices)  # 0.1 mm a tooth, 12 mm wide
    bites = 0.1 * math.sin(math.acos(1 - 2 * chip / 12))
    assert chips.least_feed(OWN, load) == pytest.approx(0.1 / bites)


def test_bounds_that_cross_by_a_fiftieth_have_not_crossed() -> None:
    """Sums of decimals may differ by their last bits: beyond a fiftieth no feed is right."""
    for low, high, none in ((1.0, 1.0, False), (1.02, 1.0, False), (1.021, 1.0, True), (0.5, 0.4, True)):
        assert chips.no_feed(low, high) is none


OUTSIDE = (  # low, slow, high, fast, level, limit, message's end and remedy; nothing where it lies inside
    (1.05, RUBS, 1.6, MACHINE, None, 0.0, "", ""),
    (0.5, RUBS, 0.98, BENDS, None, 0.0, "", ""),
    (1.06, RUBS, 1.03, BENDS, None, 0.0, "", ""),
    (
        1.2,
        RUBS_LAST,
        1.6,
        MACHINE,
        "warn",
        3600.0,
        "at that it rubs in its last pass; right are 3600 to 4800 mm/min",
        "set the feed of long-end-mill to 3600 mm/min, or its speed to 13300 rpm",
    ),
    (
        1.21,
        RUBS_LAST,
        1.215,
        MACHINE,
        "warn",
        3630.0,
        "at that it rubs in its last pass; right are 3630 to 3640 mm/min",
        "set the feed of long-end-mill to 3630 mm/min, or its speed to 13200 rpm",
    ),
    (
        0.737,
        RUBS,
        0.74,
        BENDS,
        "warn",
        2220.0,
        "at that the cutter bends too much for a square edge; right are 2220 to 2220 mm/min",
        "set the feed of long-end-mill to 2220 mm/min",
    ),
    (
        2.0,
        RUBS_LAST,
        2.6,
        MACHINE,
        "warn",
        6000.0,
        "at that it rubs in its last pass; right are 6000 to 7800 mm/min",
        "set the feed of long-end-mill to 6000 mm/min, or its speed to 8000 rpm",
    ),
    (
        2.25,
        RUBS,
        2.6,
        MACHINE,
        "refuse",
        6750.0,
        "at that it rubs and burns; right are 6800 to 7800 mm/min",
        "set the feed of long-end-mill to 6800 mm/min",
    ),
    (
        0.5,
        RUBS,
        0.75,
        BENDS,
        "warn",
        2250.0,
        "at that the cutter bends too much for a square edge; right are 1500 to 2200 mm/min",
        "set the feed of long-end-mill to 2200 mm/min",
    ),
    (
        0.5,
        RUBS,
        0.975,
        MACHINE,
        "warn",
        2925.0,
        "at that the machine feeds no faster; right are 1500 to 2900 mm/min",
        "set the feed of long-end-mill to 2900 mm/min",
    ),
)


@pytest.mark.parametrize(("low", "slow", "high", "fast", "level", "limit", "said", "cure"), OUTSIDE)
def test_a_feed_outside_its_bounds_is_told_with_the_right_ones(
    low: float,
    slow: str,
    high: float,
    fast: str,
    level: str | None,
    limit: float,
    said: str,
    cure: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """More than a twentieth too slow or a fiftieth too fast; beyond what the dial reaches it is refused."""
    bounded(monkeypatch, low, slow, high, fast)
    monkeypatch.setattr(feeds, "CLOSER", {})
    told = found(feeds.feed_outside_its_range, OWN)
    if level is None:
        assert told == ()
        return
    [finding] = told
    assert (finding.level, finding.measured, finding.limit) == (level, 3000.0, limit)
    assert finding.message.endswith(said)
    assert finding.message.startswith("long-end-mill is fed at 3000 mm/min, and ")
    assert finding.remedy == cure
    assert finding.at == OWN.loads[-1].at(int(OWN.loads[-1].watts.argmax()))


def test_what_a_rule_of_its_own_says_is_not_said_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """A warning gives way to the rule that says it more closely of this cutter; a refusal does not."""
    own = situation(edge_setup(tool=end_mill(feed=3000.0), light=0.2), shop())
    for low, many in ((1.5, 0), (2.5, 1)):
        bounded(monkeypatch, low, RUBS_LAST, 9.0, THICK)
        assert len(found(feeds.feed_outside_its_range, own)) == many
    for high, fast, many in ((0.5, MACHINE, 1), (0.5, SIDE, 1), (0.5, POWER, 1), (0.5, THICK, 1)):
        bounded(monkeypatch, 0.2, RUBS_LAST, high, fast)
        assert len(found(feeds.feed_outside_its_range, own)) == many


NONE = (  # low, high, fast, what cures; nothing where another rule says it, or nothing is wrong
    (1.02, 1.0, POWER, None),
    (0.6, 0.5, SIDE, None),
    (0.6, 0.5, LIFT, None),
    (0.6, 0.5, TIPS, None),
    (0.6, 0.5, MACHINE, None),
    (1.5, 1.0, SIDE, "hold the board 1.5 times as hard, or take less at a time with long-end-mill"),
    (1.51, 1.1, TIPS, "hold the board 1.38 times as hard, or take less at a time with long-end-mill"),
    (
        0.6,
        0.5,
        POWER,
        "set the stepdown to 5.16 mm or less and leave 0.45 mm or less as light for the last pass",
    ),
    (0.6, 0.58, POWER, "set the stepdown to 5.99 mm or less"),
    (1.5, 1.2, THICK, "take a cutter 15 mm wide or more"),
    (1.6, 0.2, BENDS, "let long-end-mill stick out 30 mm or less, or take a wider cutter"),
    (1.5, 1.2, MACHINE, "set the speed of long-end-mill to 12800 rpm"),
    (2.0, 1.0, MACHINE, "set the speed of long-end-mill to 8000 rpm"),
    (2.1, 1.0, MACHINE, "take a cutter with one flute and set its speed to 15200 rpm"),
    (4.0, 1.0, MACHINE, "take a cutter with one flute and set its speed to 8000 rpm"),
    (4.6, 1.0, MACHINE, "run it on a machine that feeds 2.3 times as fast with one flute"),
    (1.95, 0.99, MACHINE, None),
    (4.5, 2.7, MACHINE, "set the speed of long-end-mill to 9600 rpm"),
)


@pytest.mark.parametrize(("low", "high", "fast", "cure"), NONE)
def test_no_feed_will_do_where_the_bounds_have_crossed(
    low: float, high: float, fast: str, cure: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Told are both bounds, and what moves one by their ratio; what is refused elsewhere is left out."""
    bounded(monkeypatch, low, RUBS, high, fast)
    told = found(chips.no_feed_will_do, OWN)
    if cure is None:
        assert told == ()
        return
    [finding] = told
    assert (finding.level, finding.measured, finding.limit) == ("refuse", low, high)
    assert finding.message == (
        f"long-end-mill {RUBS} below {100 * low:.0f} % of its feed, and above {100 * high:.0f} % {fast}"
    )
    assert finding.remedy == cure


def test_the_torque_that_is_there_is_compared_with_twice_what_is_taken() -> None:
    """Twice is enough; from once to twice it warns, below once it refuses where the shop states it."""
    watts = float(OWN.loads[-1].watts.max())
    rpm = 16000.0
    for share, level, limit in (
        (2.0, None, 0.0),
        (1.99, "warn", 0.995),
        (1.0, "warn", 0.5),
        (0.99, "refuse", 0.99),
    ):
        curve = ((8000.0, watts * share), (24000.0, watts * share))
        told = found(chips.torque_exceeded, cutting(power_at=curve))
        assert [f.level for f in told] == ([] if level is None else [level])
        for finding in told:
            assert finding.measured == round(watts, 3)
            assert finding.limit == pytest.approx(watts * limit, abs=6e-4)
            assert f"{watts * 60 / (2 * 3.141592653589793 * rpm):.3f} N m at 16000 rpm" in finding.message
            assert f"has {share * watts * 60 / (2 * 3.141592653589793 * rpm):.3f} N m" in finding.message
    # Nobody states it: a warning, of the least there can be; more than the rated power is another rule's.
    for power, level in ((3.0, None), (2.9, "warn"), (2.0, "warn"), (1.99, None)):
        told = found(chips.torque_exceeded, cutting(power=watts * power))
        assert [f.level for f in told] == ([] if level is None else [level]), power
        assert all("perhaps only" in f.message and "state the spindle's torque" in f.remedy for f in told)


def test_of_each_cutter_and_reason_the_worst_program_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three walls in setups of their own: once the furthest off, whichever comes first, and each reason."""
    setups = [edge_setup(tool=end_mill(feed=3000.0), index=index) for index in (1, 2, 3)]
    each = [situation(setup, shop()) for setup in setups]
    own = replace(
        each[0], setups=tuple(setups), programs=tuple(programs for one in each for programs in one.programs)
    )
    monkeypatch.setattr(feeds, "CLOSER", {})
    for lows, highs, told in (
        ((1.2, 1.5, 1.3), (9.0, 9.0, 9.0), [(2, 4500.0)]),
        ((1.5, 1.2, 1.3), (9.0, 9.0, 9.0), [(1, 4500.0)]),
        ((1.2, 1.3, 1.5), (9.0, 9.0, 9.0), [(3, 4500.0)]),
        ((0.1, 0.1, 0.1), (0.5, 0.4, 0.6), [(2, 1200.0)]),
        ((0.1, 0.1, 0.1), (0.4, 0.4, 0.6), [(1, 1200.0)]),
        ((0.1, 1.4, 0.1), (0.5, 9.0, 0.4), [(3, 1200.0), (2, 4200.0)]),
        ((2.0, 1.0, 1.2), (1.0, 1.2, 9.0), [(3, 3600.0)]),
    ):
        by_setup = {
            index: ((low, RUBS), (high, BENDS))
            for index, low, high in zip((1, 2, 3), lows, highs, strict=True)
        }
        monkeypatch.setattr(chips, "bounds_of", lambda _, load, by=by_setup: by[load.run.setup.index])
        assert [(f.setup, f.limit) for f in found(feeds.feed_outside_its_range, own)] == told
