"""Whether the planned feed lies within the range that is safe at the machine.

In: a situation, not changed. Out: findings.
"""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.checking import burning, chips, holding, running
from stockwright.checking.wording import down, feed_down, feed_up, shown
from stockwright.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.checking.forces import Load
    from stockwright.checking.situation import Situation

__all__ = ["feed_outside_its_range"]

# Rules that say a bound of the range more closely, each for a cutter at its worst place.
CLOSER: dict[str, tuple[Callable[[Situation], tuple[Finding, ...]], ...]] = {
    chips.RUBS: (running.chip_too_thin,),
    chips.RUBS_LAST: (burning.last_pass_rubs,),
    chips.THICK: (running.chip_too_thick,),
    chips.POWER: (running.power_exceeded, chips.torque_exceeded),
    chips.MACHINE: (running.feed_above_machine,),
    **dict.fromkeys(chips.HELD, (holding.holding_too_weak, holding.lifts_off, holding.tips_over)),
}


def feed_outside_its_range(situation: Situation) -> tuple[Finding, ...]:
    """The feed that is asked lies outside the range in which it is right.

    The sheet says how far the feed may be turned while a program runs. Where the programmed feed is outside
    that range, the program starts wrong, and the person at the machine has to know by how much to turn it.
    What counts is the chip of the passes as they are laid, in the wood that is there: a narrow waste makes it
    thinner than the stepover would. Where the usual dial, which ends at twice the feed, does not reach the
    range, the job is refused. A feed that is short of the range by up to a twentieth, or above it by up to a
    fiftieth, is not reported. All of it is common practice, no source. Cure: the right feed in the shop's
    document, or a speed to match.
    """
    worst: dict[tuple[str, str], tuple[float, Finding]] = {}
    for load in situation.loads:
        if not len(load):
            continue
        (low, slow), (high, fast) = chips.bounds_of(situation, load)
        if chips.no_feed(low, high):
            continue
        if low > 1 + chips.NOTCH:
            off, why, level = low, slow, "refuse" if low > chips.DIAL else "warn"
            right = f"set the feed of {load.tool.name} to {_faster(load, low, high)} mm/min"
            if situation.machine.min_rpm <= load.rpm / low <= situation.machine.max_rpm:
                right += f", or its speed to {down(load.rpm / low, 100)} rpm"
        elif high < 1 - chips.BITE:
            off, why, level = 1 / max(high, chips.TINY), fast, "warn"
            feed = float(load.feed.max())
            right = f"set the feed of {load.tool.name} to {feed_down(feed * high, feed * low)} mm/min"
        else:
            continue
        if level == "warn" and _said_closer(situation, load, why):
            continue
        key = (load.tool.name, why)
        if key not in worst or worst[key][0] < off:
            worst[key] = (off, _finding(load, (low, high), why, right, level))
    return tuple(finding for _, finding in worst.values())


def _faster(load: Load, low: float, high: float) -> str:
    feed = float(load.feed.max())
    return feed_up(feed * low, feed * high)


def _said_closer(situation: Situation, load: Load, why: str) -> bool:
    """Say whether a rule of its own says the same of this cutter."""
    tools = {run.program.stem: run.program.tool.name for run in situation.runs}
    found = [f for rule in CLOSER.get(why, ()) for f in rule(situation)]
    return any(tools.get(f.program or "") == load.tool.name for f in found)


def _finding(load: Load, range_: tuple[float, float], why: str, right: str, level: str) -> Finding:
    feed = float(load.feed.max())
    low, high = range_
    beyond = low > 1
    return Finding(
        rule="feed-outside-its-range",
        level="refuse" if level == "refuse" else "warn",
        message=f"{load.tool.name} is fed at {shown(feed)} mm/min, and at that it {why}; right are "
        f"{feed_up(feed * low, feed * high)} to {feed_down(feed * high, feed * low)} mm/min"
        if beyond or why in (chips.RUBS, chips.RUBS_LAST)
        else f"{load.tool.name} is fed at {shown(feed)} mm/min, and at that {why}; right are "
        f"{feed_up(feed * low, feed * high)} to {feed_down(feed * high, feed * low)} mm/min",
        remedy=right,
        measured=round(feed, 3),
        limit=round(feed * (low if beyond else high), 3),
        setup=load.run.setup.index,
        program=load.run.program.stem,
        at=load.at(int(load.watts.argmax())),
    )
