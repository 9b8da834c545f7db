"""Speeds, feeds, chips and power. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.checking.chips import least_feed
from stockwright.checking.forces import pressure_of
from stockwright.checking.wording import down, feed_down, feed_up, fewer_flutes, shown, up
from stockwright.findings import Finding
from stockwright.forces.mechanics import (
    feed_for_chip,
    feed_for_power,
    feed_per_tooth,
    greatest_chip,
    power,
    rim_speed,
)
from stockwright.motion.nodes import SpindleOn
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.checking.situation import Run, Situation
    from stockwright.planning.setup import Cut
    from stockwright.tooling import Tool

__all__ = [
    "chip_too_thick",
    "chip_too_thin",
    "feed_above_machine",
    "power_exceeded",
    "sections",
    "speed_above_mark",
    "speed_not_marked",
    "spindle_cannot_turn_so",
]


def speed_not_marked(situation: Situation) -> tuple[Finding, ...]:
    """No greatest speed is known for a cutter that is to turn.

    The speed marked on a cutter is the one limit on it that its maker has tested; above it a body or an
    insert can come apart and leave as shot. Nothing here can be worked out in its place. Cure: read the mark
    off the cutter or its maker's sheet and write it into the shop's document; a cutter without either is not
    run by this tool.
    """
    fastest: dict[str, tuple[Tool, float]] = {}
    for tool, rpm, _ in _turning(situation):
        if tool.marked_max_rpm is None and rpm > fastest.get(tool.name, (tool, 0.0))[1]:
            fastest[tool.name] = (tool, rpm)
    return tuple(
        Finding(
            rule="speed-not-marked",
            level="refuse",
            message=f"{tool.name} is to turn at {shown(rpm)} rpm, its rim at "
            f"{shown(rim_speed(tool.diameter, rpm))} m/s, and no greatest speed is given for it",
            remedy=f"write the speed marked on {tool.name} into the shop's document as marked-max; "
            f"at least {shown(rpm)} rpm lets it run as planned",
            measured=rpm,
        )
        for tool, rpm in fastest.values()
    )


def speed_above_mark(situation: Situation) -> tuple[Finding, ...]:
    """A cutter is to turn faster than the speed marked on it.

    Forces on a cutter's body grow with the square of its speed; the mark is where its maker stopped being
    sure of it. A cutter that bursts leaves the machine faster than anybody can move. Cure: a speed at or
    below the mark, and a feed to match.
    """
    return tuple(
        Finding(
            rule="speed-above-mark",
            level="refuse",
            message=f"{tool.name} is to turn at {shown(rpm)} rpm, and is marked "
            f"{shown(tool.marked_max_rpm)} rpm",
            remedy=f"set its speed to {down(tool.marked_max_rpm, 1)} rpm or less",
            measured=rpm,
            limit=tool.marked_max_rpm,
            setup=run.setup.index,
            program=run.program.stem,
        )
        for tool, rpm, run in _turning(situation)
        if tool.marked_max_rpm is not None and rpm > tool.marked_max_rpm
    )


def spindle_cannot_turn_so(situation: Situation) -> tuple[Finding, ...]:
    """A speed is asked that lies outside what the spindle can turn.

    A drive given such a speed takes another one without a word, and every chip is then other than planned;
    far below its least speed a spindle also has no torque. Cure: a speed within the spindle's range.
    """
    found = []
    machine = situation.machine
    for tool, rpm, run in _turning(situation):
        if machine.min_rpm <= rpm <= machine.max_rpm:
            continue
        slow = rpm < machine.min_rpm
        limit = machine.min_rpm if slow else machine.max_rpm
        found.append(
            Finding(
                rule="spindle-cannot-turn-so",
                level="refuse",
                message=f"{tool.name} is to turn at {shown(rpm)} rpm, and the spindle turns at "
                f"{shown(machine.min_rpm)} to {shown(machine.max_rpm)} rpm",
                remedy=f"set its speed to {up(limit, 1)} rpm or more"
                if slow
                else f"set its speed to {down(limit, 1)} rpm or less",
                measured=rpm,
                limit=limit,
                setup=run.setup.index,
                program=run.program.stem,
            )
        )
    return tuple(found)


def feed_above_machine(situation: Situation) -> tuple[Finding, ...]:
    """A feed is asked that the machine cannot run.

    A control that caps a feed in silence gives thinner chips than planned, and one that does not loses
    steps and cuts somewhere else. Cure: a feed at or below the machine's greatest.
    """
    found = []
    most = situation.machine.max_feed
    for run in situation.runs:
        feeds = run.moves.feed[~run.moves.rapid]
        if not len(feeds) or float(feeds.max()) <= most:
            continue
        row = int(np.flatnonzero(~run.moves.rapid)[feeds.argmax()])
        place = run.moves.end[row]
        found.append(
            Finding(
                rule="feed-above-machine",
                level="refuse",
                message=f"{run.program.tool.name} is fed at {shown(float(feeds.max()))} mm/min, and the "
                "machine "
                f"feeds at most at {shown(most)} mm/min",
                remedy=f"set its feed to {down(most, 1)} mm/min or less",
                measured=float(feeds.max()),
                limit=most,
                setup=run.setup.index,
                program=run.program.stem,
                at=(float(place[0]), float(place[1]), float(place[2])) if np.isfinite(place).all() else None,
            )
        )
    return tuple(found)


def chip_too_thin(situation: Situation) -> tuple[Finding, ...]:
    """The chips are so thin that the cutter rubs more than it cuts.

    An edge that cannot bite heats instead: it dulls, burns the wood, and its dust is finer and hotter. The
    chip counted is the greatest one, thinned where less than half the cutter is engaged; the bound of 0.1 mm
    is common practice, no source. Below a third of it nothing is cut but what is crushed and scorched, and
    hot dust in a bag is how fires begin: refused (common practice, no source). A light last pass is thin by
    nature and not judged. Cure: feed faster or turn slower, within what the machine and the cutter allow.
    """
    found = []
    least = situation.limits.thin_chip
    for cut, run, chip, feed, rpm in _chips(situation, thinnest=True):
        if chip >= least:
            continue
        tool = cut.tool
        wanted = feed_for_chip(least, cut.stepover, tool.diameter, rpm, tool.flutes)
        # Where little stands, a pass is narrower than its stepover, and its chip thinner again.
        laid = [load for load in situation.loads if load.tool.name == tool.name and len(load)]
        wanted = max([wanted, *(float(load.feed.max()) * least_feed(situation, load) for load in laid)])
        slower = rpm * feed / wanted
        ways = []
        if wanted <= situation.machine.max_feed:
            ways.append(f"set its feed to {feed_up(wanted, situation.machine.max_feed)} mm/min")
        if slower >= situation.machine.min_rpm:
            ways.append(f"set its speed to {down(slower, 100)} rpm")
        found.append(
            Finding(
                rule="chip-too-thin",
                level="refuse" if chip < situation.limits.burns * least else "warn",
                message=f"{tool.name} makes chips of at most {chip:.3f} mm in {cut.name} at {shown(feed)} "
                "mm/min and "
                f"{shown(rpm)} rpm; below {least:g} mm edges rub and burn",
                remedy=" or ".join(ways)
                or fewer_flutes(tool.flutes, feed / wanted, rpm, situation.machine.min_rpm),
                measured=chip,
                limit=least,
                setup=run.setup.index,
                program=run.program.stem,
            )
        )
    return tuple(found)


def chip_too_thick(situation: Situation) -> tuple[Finding, ...]:
    """The chips are thicker than a cutter of this size takes well.

    The force of a tooth grows with its chip: a small cutter bends or breaks, a large one tears the grain and
    pulls at what holds the board. The bound is 3 % of the diameter and never above 0.5 mm, common practice,
    no source. Cure: feed slower, or turn faster where mark and spindle allow it.
    """
    found = []
    for cut, run, chip, feed, rpm in _chips(situation, thinnest=False):
        tool = cut.tool
        most = min(situation.limits.thick_chip, situation.limits.thick_share * tool.diameter)
        if chip <= most:
            continue
        wanted = feed_for_chip(most, cut.stepover, tool.diameter, rpm, tool.flutes)
        found.append(
            Finding(
                rule="chip-too-thick",
                level="warn",
                message=f"{tool.name} makes chips of {chip:.3f} mm in {cut.name} at {shown(feed)} mm/min and "
                f"{shown(rpm)} rpm; {most:.3f} mm is much for {shown(tool.diameter)} mm of diameter",
                remedy=f"set its feed to {feed_down(wanted)} mm/min",
                measured=chip,
                limit=most,
                setup=run.setup.index,
                program=run.program.stem,
            )
        )
    return tuple(found)


def power_exceeded(situation: Situation) -> tuple[Finding, ...]:
    """A cut takes more power than the spindle has, or comes within a design factor of it.

    A spindle that is asked for too much slows down, the chips grow, and it stalls with the cutter in the
    wood. Power is cutting pressure times the cross-section of the cut times the feed; for solid wood no
    single published pressure exists, 30 N/mm2 is a placeholder and a design factor of 2 stands for what is
    not known: beyond the spindle's power the job is refused, beyond half of it there is a warning. Cure: a
    smaller feed or a smaller stepdown.
    """
    found = []
    limits, watts = situation.limits, situation.machine.power
    for cut, run, _, feed, _ in _chips(situation):
        step, width, depth = max(sections(cut), key=lambda section: section[1] * section[2])
        pressure = pressure_of(situation, run.setup)
        taken = power(pressure, width, depth, feed)
        if taken * limits.factor <= watts:
            continue
        slower = feed_for_power(watts, limits.factor, pressure, width, depth)
        smaller = (depth if step == "stepdown" else width) * watts / (limits.factor * taken)
        beyond = taken > watts
        found.append(
            Finding(
                rule="power-exceeded",
                level="refuse" if beyond else "warn",
                message=f"{cut.tool.name} takes about {taken:.0f} W in {cut.name}, "
                + (
                    f"and the spindle has {shown(watts)} W"
                    if beyond
                    else f"more than {shown(watts)} W over a design factor of {limits.factor:g}"
                ),
                remedy=f"set its feed to {feed_down(slower)} mm/min, or its {step} to "
                f"{down(smaller, 0.01)} mm",
                measured=taken,
                limit=watts if beyond else watts / limits.factor,
                setup=run.setup.index,
                program=run.program.stem,
            )
        )
    return tuple(found)


def sections(cut: Cut) -> tuple[tuple[str, float, float], ...]:
    """Return (step to change, width, depth) of the passes of a cut, mm: roughing, and an edge's last pass.

    An edge's last pass takes a light width over the full height.
    """
    if not isinstance(cut, EdgeCut):
        return (("stepdown", cut.stepover, cut.stepdown),)
    wall = cut.ceiling - cut.bottom
    return ("stepdown", cut.stepover, min(cut.stepdown, wall)), ("light", cut.light, wall)


def _turning(situation: Situation) -> Iterator[tuple[Tool, float, Run]]:
    """Yield the greatest and, where another, the least speed of each program."""
    for run in situation.runs:
        speeds = [node.rpm for node in run.program.nodes if isinstance(node, SpindleOn)]
        for rpm in sorted({max(speeds), min(speeds)}, reverse=True) if speeds else ():
            yield run.program.tool, rpm, run


def _chips(
    situation: Situation, *, thinnest: bool | None = None
) -> tuple[tuple[Cut, Run, float, float, float], ...]:
    """Return (cut, run, greatest chip in mm, feed, rpm) for each cut's main passes as they are programmed.

    With `thinnest` said, only the thinnest or the thickest of each cutter: one warning for it is enough.
    """
    found = []
    for setup, cut in situation.cuts():
        run = situation.run_for(setup, cut.tool)
        if run is None:
            continue
        speeds = [node.rpm for node in run.program.nodes if isinstance(node, SpindleOn)]
        feeds = run.moves.feed[~run.moves.rapid]
        if not speeds or not len(feeds):
            continue
        feed, rpm = float(feeds.max()), max(speeds)
        per_tooth = feed_per_tooth(feed, rpm, cut.tool.flutes)
        found.append((cut, run, greatest_chip(per_tooth, cut.stepover, cut.tool.diameter), feed, rpm))
    if thinnest is None:
        return tuple(found)
    found.sort(key=lambda each: each[2], reverse=not thinnest)
    return tuple({each[0].tool.name: each for each in reversed(found)}.values())[::-1]
