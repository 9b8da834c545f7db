"""Whether what holds a board is strong enough. In: a situation, not changed. Out: findings.

A force that the shop states and that is too small refuses the job. A force guessed here only warns, as long
as it may be enough: where it is too small even at its most favourable, or where no feed is left that neither
burns nor tears the board loose, it refuses too.
"""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.checking.chips import least_feed, no_feed
from stockwright.checking.firmer import moves_itself, set_against, ways_of
from stockwright.checking.holds import GRAVITY, at_best
from stockwright.checking.wording import shown, up
from stockwright.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from stockwright.checking.holds import Hold
    from stockwright.checking.situation import Situation
    from stockwright.findings import Level

    Margin = Callable[[Hold], float]

__all__ = ["holding_margin", "holding_not_proven", "holding_too_weak", "lifts_off", "tips_over"]

TENS = 10  # N: nobody pushes to the newton


def holding_too_weak(situation: Situation) -> tuple[Finding, ...]:
    """A cutter may push the board sideways, or turn it, harder than it is held.

    A board that shifts takes the cut with it, and one that comes loose is thrown. What is asked is the peak
    of a tooth times the teeth in the cut, as large across the feed as along it, in whatever direction is
    worst, times a design factor of 2. What holds is friction under what presses, contact, and what carries
    shear; forces and moments at once, for every move. Friction counts 0.2 unless the shop has measured it,
    near the lowest readings published for dry wood on steel (Lemoine et al. 1970: 0.10 to 0.25). Where a
    clamp's force is this tool's guess it is a warning, unless twice that force, with friction of 0.4, were
    still too little (both common practice, no source), nothing at all held, or no feed were left that makes
    a chip: then it refuses, whatever the guess. Cure: hold harder, feed slower, or take less at a time.
    """
    found = []
    for hold in _worst(situation, _plane):
        if hold.plane.min() >= 1:
            continue
        index = int(hold.plane.argmin())
        asked, held = float(hold.asked[index]), float(hold.plane[index] * hold.asked[index])
        load = hold.load
        message = (
            f"{load.tool.name} may push {hold.board} with {asked:.0f} N, a design factor of "
            f"{situation.limits.factor:g} included, and there it is held against {held:.0f} N"
        )
        if hold.loose:
            message = moves_itself(hold)
        ways = [set_against(hold)] if hold.loose else ways_of(hold, situation, _plane)
        level = _level(hold, situation, _plane)
        found.append(_finding("holding-too-weak", hold, index, message, ways, (held, asked), level))
    return tuple(found)


def lifts_off(situation: Situation) -> tuple[Finding, ...]:
    """A cutter may lift the board off what it lies on.

    Teeth with a helix pull upwards by the tangent of its angle; a board that rises by a hair meets the
    cutter deeper and rises further. What keeps it down is its weight, what presses or draws, and the
    friction of what squeezes it. The helix counts 30 degrees where the shop does not say it. A guessed force
    warns or refuses as where a board is pushed sideways. Cure: press from above, feed slower, take less at a
    time, or use teeth that are straight or push down.
    """
    found = []
    for hold in _worst(situation, lambda h: float(h.lift.min())):
        if hold.lift.min() >= 1:
            continue
        index = int(hold.lift.argmin())
        pulled, kept = float(hold.pulled[index]), float(hold.lift[index] * hold.pulled[index])
        message = (
            f"{hold.load.tool.name} may lift {hold.board} with {pulled:.0f} N, a design factor of "
            f"{situation.limits.factor:g} included, and {kept:.0f} N keep it down"
        )
        # It would tip too, which is not said beside it: what cures must be enough for both.
        ways = ways_of(hold, situation, _upright, upwards=True)
        level = _level(hold, situation, _upright)
        found.append(_finding("lifts-off", hold, index, message, ways, (kept, pulled), level))
    return tuple(found)


def tips_over(situation: Situation) -> tuple[Finding, ...]:
    """A cutter may tip the board over a side of what it lies on.

    A push at the height of the wood and a pull at a corner turn a narrow or overhanging board about the rim
    of its supports, however well it is held from sliding. Moments are taken about every side of the
    outline, or of the shims it lies on. A guessed force warns or refuses as where a board is pushed sideways.
    Cure: press further in, hold harder, support it further out, take less at a time.
    """
    found = []
    for hold in _worst(situation, lambda h: float(h.tip.min())):
        # What lifts it off as a whole tips it too, and is said once.
        if hold.tip.min() >= 1 or hold.lift.min() < 1:
            continue
        index = int(hold.tip.argmin())
        message = (
            f"{hold.load.tool.name} may tip {hold.board}: with {hold.asked[index]:.0f} N sideways at "
            f"{shown(float(hold.load.top[index]))} mm and {hold.pulled[index]:.0f} N upwards, "
            f"{hold.tip[index]:.2f} of what is asked keeps it down"
        )
        ways = ways_of(hold, situation, _tip, upwards=True)
        level = _level(hold, situation, _tip)
        numbers = (float(hold.tip[index]), 1.0)
        found.append(_finding("tips-over", hold, index, message, ways, numbers, level))
    return tuple(found)


def holding_margin(situation: Situation) -> tuple[Finding, ...]:
    """How much better each board is held than the cutters push, and the move that decides it.

    The margin is what holds over what is asked without the design factor, at the worst move, in the worst
    direction, sideways, upwards and tipping. It rests on a cutting pressure that nobody has published for
    solid wood and on forces that somebody stated or guessed. Cure: none is needed; still, try every board
    by hand as the remedy says, before the cutter turns.
    """
    found = []
    factor = situation.limits.factor
    for hold in _worst(situation, lambda h: h.least):
        if hold.least < 1:
            continue
        each = {"sideways": hold.plane, "upwards": hold.lift, "tipping": hold.tip}
        how = min(each, key=lambda name: float(each[name].min()))
        index = int(each[how].argmin())
        guesses = " (a force of these is guessed)" if hold.guessed else ""
        push, pull = _greatest(situation, hold.load.run.setup.index)
        by_hand = "try it by hand, the spindle off: it must not move"
        lifted = f", nor rise for a pull of {_by_hand(pull)}" if pull > 0 else ""
        found.append(
            _finding(
                "holding-margin",
                hold,
                index,
                f"{hold.board} is held {factor * hold.least:.1f} times as hard as {hold.load.tool.name} "
                f"may push it, {how}, where {factor:g} times is asked{guesses}",
                [f"{by_hand} for {_by_hand(push)} in any direction{lifted}"],
                (factor * hold.least, factor),
                "note",
            )
        )
    return tuple(found)


def holding_not_proven(situation: Situation) -> tuple[Finding, ...]:
    """Whether the hold-downs are strong enough is not worked out where nothing is known of how they hold.

    What can be said is the greatest force of the teeth that cut at once, with a design factor of 2, and
    that the same may pull sideways. Cure: try every such board by hand before the cutter turns; it must not
    move for a hard push in any direction.
    """
    bare = {s.index for s in situation.setups if s.lies and not s.grips}
    loads = [load for load in situation.loads if load.run.setup.index in bare and len(load)]
    if not loads:
        return ()
    worst = max(loads, key=lambda load: float(load.side.max()))
    greatest = situation.limits.factor * float(worst.side.max())
    return (
        Finding(
            rule="holding-not-proven",
            level="note",
            message=f"clamping force is not computed; the cutters push with up to about {greatest:.0f} N, "
            f"a design factor of {situation.limits.factor:g} included",
            remedy=f"try every board by hand: it must not move for a push of {_by_hand(greatest)} "
            "in any direction",
            measured=greatest,
            setup=worst.run.setup.index,
            program=worst.run.program.stem,
            at=worst.at(int(worst.side.argmax())),
        ),
    )


def _by_hand(force: float) -> str:
    """Say a force in N, rounded up, and the weight of so much: one number of kilograms for one of newtons."""
    newtons = int(up(force, TENS))
    return f"{newtons} N ({newtons / GRAVITY:.0f} kg)"


def _worst(situation: Situation, margin: Margin) -> Iterable[Hold]:
    """Return for each setup and board the program in which it is held worst."""
    worst: dict[tuple[int, str], Hold] = {}
    for hold in situation.holds:
        key = (hold.load.run.setup.index, hold.board)
        if key not in worst or margin(hold) < margin(worst[key]):
            worst[key] = hold
    return worst.values()


def _greatest(situation: Situation, setup: int) -> tuple[float, float]:
    """Return the greatest push and pull asked in a setup, N."""
    holds = [h for h in situation.holds if h.load.run.setup.index == setup]
    return max(float(h.asked.max()) for h in holds), max(float(h.pulled.max()) for h in holds)


def _plane(hold: Hold) -> float:
    return float(hold.plane.min())


def _upright(hold: Hold) -> float:
    return float(min(hold.lift.min(), hold.tip.min()))


def _tip(hold: Hold) -> float:
    return float(hold.tip.min())


def _level(hold: Hold, situation: Situation, margin: Margin) -> Level:
    """Say how bad it is that `margin` is below 1: only a guess that may be enough lets a job through.

    Refused where a force is the shop's own; where the guesses at their best are not enough; and where in
    some program of this clamping the feed that is held is one that burns.
    """
    if not hold.guessed or margin(at_best(hold, situation)) < 1:
        return "refuse"
    for other in situation.holds:
        same = other.board == hold.board and other.load.run.setup.index == hold.load.run.setup.index
        if same and no_feed(least_feed(situation, other.load), min(other.least, 1.0)):
            return "refuse"
    return "warn"


def _finding(
    rule: str,
    hold: Hold,
    index: int,
    message: str,
    ways: list[str],
    numbers: tuple[float, float],
    level: Level,
) -> Finding:
    return Finding(
        rule=rule,
        level=level,
        message=message,
        remedy=", or ".join(ways),
        measured=round(numbers[0], 4),
        limit=round(numbers[1], 4),
        setup=hold.load.run.setup.index,
        program=hold.load.run.program.stem,
        at=hold.load.at(index),
    )
