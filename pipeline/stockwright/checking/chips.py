"""How far the feed may be turned up or down at the machine.

In: a situation. Out: a `FeedRange` for each program, and the programs that have none. Promise: below the
lower end the main passes rub, above the upper end something is overloaded, each with its reason; a light last
pass is thin by nature and has a bound of its own.
"""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stockwright.checking.forces import power_at
from stockwright.checking.wording import down, feed_down, fewer_flutes, shown, up
from stockwright.findings import Finding
from stockwright.forces.bending import out_of_upright
from stockwright.forces.mechanics import ACROSS
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from stockwright.checking.forces import Load
    from stockwright.checking.situation import Situation

    Floats = NDArray[np.float64]

__all__ = [
    "FeedRange",
    "bounds_of",
    "feed_ranges",
    "least_feed",
    "no_feed",
    "no_feed_will_do",
    "torque_exceeded",
]

DIAL = 2.0  # times the programmed feed, where the usual dial ends; common practice, no source
NOTCH = 0.05  # the range is said in twentieths
BENDS_SHARE = 0.5  # of the squareness asked may go into a bent cutter; common practice, no source
NARROW = 0.25  # of the stepover: a strip so narrow is thin by nature, like a last pass; common practice
TINY = 1e-9  # mm: what does not bend is divided by this
BITE = 0.02  # of the chip; sums of decimals may differ by their last bits


@frozen
class FeedRange:
    """The feed may be turned from `low` to `high` times the programmed one.

    `slow` and `fast` say what happens beyond.
    """

    low: float
    high: float
    slow: str
    fast: str

    @property
    def told(self) -> tuple[float, float, str, str]:
        """The range and what happens below and above it, for the packet."""
        return self.low, self.high, self.slow, self.fast


def feed_ranges(situation: Situation) -> Mapping[str, FeedRange]:
    """Return by stem how far each cutting program's feed may be turned; of every place the narrowest."""
    return {load.run.program.stem: _range(situation, load) for load in situation.loads if len(load)}


def no_feed_will_do(situation: Situation) -> tuple[Finding, ...]:
    """The feed that makes a proper chip is more than something bears: no feed is right.

    Below the range the edges rub and burn, above it the spindle, the cutter or what holds the board is
    overloaded, and here the two have crossed: whoever starts can only choose which harm to do. A thinner chip
    is no cure, it burns; a shallower cut is. Where the holding is too weak at the feed asked, that is said,
    and refused, by a rule of its own. Cure: a smaller stepdown, a firmer hold, a wider or shorter cutter, or
    a slower spindle where the bound is the machine's own feed.
    """
    found = []
    for load in situation.loads:
        if not len(load):
            continue
        (low, slow), (high, fast) = bounds_of(situation, load)
        # What is refused as it is programmed is said by that rule.
        if not no_feed(low, high) or (high < 1 and fast in REFUSED):
            continue
        hungriest = int(load.watts.argmax())
        rpm = load.rpm * high / low
        fewer = load.tool.flutes * high / low >= 1
        if fast == POWER and fewer and not load.light[hungriest] and load.depth[hungriest] > _stepdown(load):
            # On its way to the last pass it goes through all the levels' depth, whatever the stepdown.
            remedy = fewer_flutes(load.tool.flutes, high / low, load.rpm, situation.machine.min_rpm)
        elif fast == POWER:
            remedy = _smaller(load, high * float(load.watts[hungriest]) / low)
        elif fast in HELD:
            remedy = _held_harder(situation, load, low, high)
        elif fast == THICK:
            remedy = f"take a cutter {up(load.tool.diameter * low / high)} mm wide or more"
        elif fast == BENDS:
            # It bends by the cube of what sticks out.
            reach = load.tool.stickout * (high / low) ** (1 / 3)
            remedy = f"let {load.tool.name} stick out {down(reach)} mm or less, or take a wider cutter"
        elif situation.machine.min_rpm <= rpm <= situation.machine.max_rpm:
            remedy = f"set the speed of {load.tool.name} to {down(rpm, 100)} rpm"
        else:
            remedy = fewer_flutes(load.tool.flutes, high / low, load.rpm, situation.machine.min_rpm)
        found.append(
            Finding(
                rule="no-feed-will-do",
                level="refuse",
                message=f"{load.tool.name} {slow} below {100 * low:.0f} % of its feed, and above "
                f"{100 * high:.0f} % {fast}",
                remedy=remedy,
                measured=round(low, 4),
                limit=round(high, 4),
                setup=load.run.setup.index,
                program=load.run.program.stem,
                at=load.at(hungriest),
            )
        )
    return tuple(found)


def _held_harder(situation: Situation, load: Load, low: float, high: float) -> str:
    """Say what would hold every board at `low` times the feed, where the teeth pull so much harder, too."""
    from stockwright.checking.firmer import firmer  # which asks of this module how slow a feed may be
    from stockwright.checking.holds import hold_of

    ways = []
    for hold in situation.holds:
        if hold.load.run is load.run and hold.least < low:
            fed = replace(hold.load, side=hold.load.side * low, pull=hold.load.pull * low)
            faster = hold_of(situation, fed, hold.board, hold.grips)
            # Where it is held well enough sideways, of tape and screws only what they hold upwards cures.
            upwards = float(faster.plane.min()) >= 1
            ways.append(firmer(faster, situation, lambda hold: hold.least, upwards=upwards))
    told = [way for way in dict.fromkeys(ways) if way is not None]
    if told and None not in ways:
        return "; ".join(told)
    return (
        f"hold the board {up(low / high, 0.01)} times as hard, or take less at a time with {load.tool.name}"
    )


def torque_exceeded(situation: Situation) -> tuple[Finding, ...]:
    """A cut asks for more torque than the spindle has at that speed.

    A spindle's power is stated at its rated speed; slower it has less, and stalls in the wood though the
    rated power is never reached. Where the shop states neither its torque nor its power at some speeds, one
    torque at every speed is taken and the rated power at the greatest: the least there can be, and only a
    warning. Cure: a smaller feed or stepdown, a faster spindle where the mark allows it, or the spindle's
    own figures.
    """
    found = []
    factor, machine = situation.limits.factor, situation.machine
    for load in situation.loads:
        if not len(load):
            continue
        watts, stated = power_at(machine, load.rpm)
        index = int(load.watts.argmax())
        taken = float(load.watts[index])
        # Beyond the rated power it is the power that is exceeded, and said so.
        if taken * factor <= watts or taken * factor > machine.power:
            continue
        share = watts / (factor * taken)
        turning, slower = float(load.newton_metres[index]), float(load.feed[index]) * share
        fits = share >= least_feed(situation, load)
        least = float(load.feed[index]) * least_feed(situation, load)
        beyond = stated and taken > watts
        found.append(
            Finding(
                rule="torque-exceeded",
                level="refuse" if beyond else "warn",
                message=f"{load.tool.name} takes about {turning:.3f} N m at {shown(load.rpm)} rpm, and the "
                f"spindle has {'' if stated else 'perhaps only '}{watts * turning / taken:.3f} N m there"
                + ("" if beyond else f", too little for a design factor of {factor:g}"),
                remedy=(f"set its feed to {feed_down(slower, least)} mm/min, or " if fits else "")
                + _smaller(load, watts / factor)
                + ("" if stated else ", or state the spindle's torque in the shop's document"),
                measured=round(taken, 3),
                limit=round(watts if beyond else watts / factor, 3),
                setup=load.run.setup.index,
                program=load.run.program.stem,
                at=load.at(index),
            )
        )
    return tuple(found)


RUBS = "rubs and burns"
RUBS_LAST = "rubs in its last pass"
POWER, SIDE, LIFT, TIPS, THICK, BENDS, MACHINE, END = (
    "the spindle has too little power",
    "the board is held too weakly",
    "the board may lift",
    "the board may tip",
    "the chip is too thick for the cutter",
    "the cutter bends too much for a square edge",
    "the machine feeds no faster",
    "the dial ends",
)
HELD = (SIDE, LIFT, TIPS)
REFUSED = (*HELD, MACHINE)


def bounds_of(situation: Situation, load: Load) -> tuple[tuple[float, str], tuple[float, str]]:
    """Return the lower and the upper bound of a program's feed, each a share of it with what happens there.

    The end of the dial is left out: it bears nothing, and a feed beyond it can be programmed.
    """
    lows, highs = _bounds(situation, load)
    return max(lows), min(bound for bound in highs if bound[1] != END)


def no_feed(low: float, high: float) -> bool:
    """Say whether no feed is right between two bounds, shares of the programmed one."""
    return low > high * (1 + BITE)


def _range(situation: Situation, load: Load) -> FeedRange:
    lows, highs = _bounds(situation, load)
    low, slow = max(lows)
    high, fast = min(highs)
    lowest, highest = math.ceil(low / NOTCH - BITE) * NOTCH, math.floor(high / NOTCH + BITE) * NOTCH
    if not no_feed(low, high):
        # A range never ends within a notch of the programmed feed, and one narrower than that is one feed.
        lowest = min(lowest, 1.0) if low <= 1 + NOTCH else lowest
        highest = max(highest, 1.0) if high >= 1 - BITE else highest
        if lowest > highest:
            lowest = highest = round(min(low, high), 2)
    return FeedRange(lowest, highest, slow, fast)


def least_feed(situation: Situation, load: Load) -> float:
    """Return the share of the programmed feed below which a program rubs and burns."""
    return max(_bounds(situation, load)[0])[0]


def _bounds(situation: Situation, load: Load) -> tuple[list[tuple[float, str]], list[tuple[float, str]]]:
    """Return every lower and every upper bound as shares of the programmed feed, with what happens there."""
    limits, machine = situation.limits, situation.machine
    lows = [(0.0, RUBS)]
    main = ~load.light & (load.width >= NARROW * _stepover(load))
    if main.any():
        lows.append((limits.thin_chip / _usual(load, main), RUBS))
    elif not load.light.all():  # strips only
        lows.append((limits.light_chip / float(load.chip.max()), RUBS))
    if load.light.any():  # as its own rule judges it: by what bites best
        lows.append((limits.light_chip / float(load.chip[load.light].max()), RUBS_LAST))
    bent = situation.job.wanted.tolerance.squareness
    most = min(limits.thick_chip, limits.thick_share * load.tool.diameter)
    watts = min(machine.power, power_at(machine, load.rpm)[0])
    highs = [
        (DIAL, END),
        (machine.max_feed / float(load.feed.max()), MACHINE),
        (most / float(load.chip.max()), THICK),
        (watts / (limits.factor * float(load.watts.max())), POWER),
    ]
    if bent is not None and load.light.any():
        wall = int(np.where(load.light, load.side, 0.0).argmax())
        leans = out_of_upright(load.tool, float(load.side[wall]) / ACROSS, float(load.depth[wall]))
        highs.append((BENDS_SHARE * bent / max(leans, TINY), BENDS))
    for hold in situation.holds:
        if hold.load.run is load.run:  # in a row each board has a load of its own
            highs += [
                (float(hold.plane.min()), SIDE),
                (float(hold.lift.min()), LIFT),
                (float(hold.tip.min()), TIPS),
            ]
    return lows, highs


def _smaller(load: Load, watts: float) -> str:
    """Say the steps at which a cut takes so much power at most, W at the programmed feed."""
    ways = []
    for which, steps, what in (
        (~load.light, load.depth, "set the stepdown to {} mm or less"),
        (load.light, load.width, "leave {} mm or less as light for the last pass"),
    ):
        taken = np.where(which, load.watts, 0.0)
        index = int(taken.argmax())
        if taken[index] > watts:
            ways.append(what.format(down(float(steps[index]) * watts / float(taken[index]), 0.01)))
    return " and ".join(ways)


def _stepover(load: Load) -> float:
    """Return the least stepover of the cuts that a program makes, mm."""
    cuts = [cut.stepover for cut in load.run.setup.cuts if cut.tool.name == load.tool.name]
    return min(cuts, default=load.tool.stepover)


def _stepdown(load: Load) -> float:
    """Return the greatest depth of one level of the cuts that a program makes, mm."""
    return max((cut.stepdown for cut in load.run.setup.cuts if cut.tool.name == load.tool.name), default=0.0)


def _usual(load: Load, which: NDArray[np.bool_]) -> float:
    """Return the chip that half the way is cut with: a ragged end is thinner and does not count."""
    far = np.linalg.norm(load.b - load.a, axis=1)[which]
    chip = load.chip[which]
    order = np.argsort(chip, kind="stable")
    way = np.cumsum(far[order])
    return float(chip[order][np.searchsorted(way, way[-1] / 2)])
