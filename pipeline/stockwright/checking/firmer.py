"""What would hold a board well enough. In: a `Hold` that is too weak. Out: text, with numbers that cure it.

Promise: each number was tried, and with it the board is held. No force is asked for that no bed clamp has.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.checking.chips import least_feed
from stockwright.checking.holds import faces, grips_of, harder, hold_of
from stockwright.checking.wording import down, feed_down, shown, up
from stockwright.hold_downs import thing_of
from stockwright.planning.setup import Grip

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.checking.holds import Hold
    from stockwright.checking.situation import Situation

    Margin = Callable[[Hold], float]

__all__ = ["firmer", "moves_itself", "set_against", "ways_of"]

MOST = 1e4  # times as hard: what would need more is not cured by force
PEELS = 20  # thousandths of N/mm2: no tape for wood is trusted with more against lifting; common practice
ABSURD = 5000.0  # N: no clamp, stop or fence of a wooden bed is asked for more; common practice, no source


def ways_of(hold: Hold, situation: Situation, margin: Margin, *, upwards: bool = False) -> list[str]:
    """Say what cures: forces that are enough, and a feed or a step that still makes chips and takes less."""
    forces = firmer(hold, situation, margin, upwards=upwards)
    ways = [] if forces is None else [forces]
    least, load = margin(hold), hold.load
    slowest, feed = least_feed(situation, load), float(load.feed.max())
    if least >= slowest:
        ways.append(f"set the feed of {load.tool.name} to {feed_down(feed * least, feed * slowest)} mm/min")
    elif not load.light.any() and float(load.depth.max()) * least >= SHALLOWEST:
        ways.append(f"set the stepdown of {load.tool.name} to {down(float(load.depth.max()) * least)} mm")
    if not ways:
        said = _said_upwards(hold, situation, margin) if upwards else None
        ways += [way for way in (said, _pressed_too(hold, situation, margin)) if way is not None]
    return ways


def firmer(hold: Hold, situation: Situation, margin: Margin, *, upwards: bool = False) -> str | None:
    """Say which forces are enough; None where no clamp, stop or fence of a wooden bed has them."""
    for kinds in (CLAMPS, EVERYTHING):
        times = _times(hold, situation, margin, kinds)
        if times is None:
            continue
        wanted = _wanted([g for g in hold.grips if g.how in kinds], times, upwards=upwards)
        if max(wanted.values(), default=0.0) <= ABSURD:
            return f"hold it harder: {_forces(wanted)}"
    return None


def _said_upwards(hold: Hold, situation: Situation, margin: Margin) -> str | None:
    """Say what tape must bear against lifting, where nobody said what it does; None where that is no cure."""
    unsaid = [g for g in hold.grips if g.how == "shear" and g.area > 0 and not g.lifts and not g.whole]

    def enough(stress: float) -> bool:
        stuck = [replace(g, lifts=stress * g.area) if g in unsaid else g for g in hold.grips]
        return margin(hold_of(situation, hold.load, hold.board, tuple(stuck))) >= 1

    stress = next((s / 1000 for s in range(1, PEELS + 1) if enough(s / 1000)), None) if unsaid else None
    if stress is None:
        return None
    name = _kind(unsaid[0].name).removesuffix(" strip")
    return (
        f"find out by a pull test what {name} bears against lifting, and write it into the shop's document "
        f"as `lift`; {stress:g} N/mm2 is enough"
    )


def _pressed_too(hold: Hold, situation: Situation, margin: Margin) -> str:
    """Say how hard the board's middle must be pressed, where no more of what holds it is a cure."""
    from_above = "list clamps for the face, screws or vacuum, and ask for them"
    setup = hold.load.run.setup
    x, y = (setup.outline_of(hold.board).min(axis=0) + setup.outline_of(hold.board).max(axis=0)) / 2
    press = Grip("press", hold.board, "press", (float(x), float(y), setup.wood_top), 1.0, "wanted")

    def enough(force: float) -> bool:
        grips = (*hold.grips, replace(press, force=force))
        return margin(hold_of(situation, hold.load, hold.board, grips)) >= 1

    force = 10.0
    while not enough(force):
        if force > ABSURD:
            tool = hold.load.tool.name
            return f"take less at a time with {tool}, and hold it from above at several places: {from_above}"
        force *= 1.1
    place = f"x {shown(float(x))}, y {shown(float(y))}"
    return f"hold it from above as well, with {up(force, 10)} N at its middle, {place}: {from_above}"


CLAMPS = ("press", "push", "shear", "draw")
EVERYTHING = (*CLAMPS, "carry")
SHALLOWEST = 0.5  # mm: below it no step is a cure; common practice, no source


def _times(hold: Hold, situation: Situation, margin: Margin, kinds: tuple[str, ...]) -> float | None:
    """Return how many times as hard is enough, to a hundredth; None where no force is."""

    def enough(times: float) -> bool:
        return margin(harder(hold, situation, times, kinds)) >= 1

    if not any(grip.how in kinds for grip in hold.grips) or not enough(MOST):
        return None
    low, high = 1.0, 2.0
    while not enough(high):
        low, high = high, 2 * high
    while high - low > 0.005:
        middle = (low + high) / 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def _kind(name: str) -> str:
    """Return a hold-down's name without its number and place: "end-stop 1 at end-2" is an end-stop."""
    return re.split(r" \d+(?: |$)| at ", thing_of(name))[0]


def _wanted(grips: list[Grip], times: float, *, upwards: bool = False) -> dict[tuple[str, str], float]:
    """Return what each kind of hold-down has to hold, N, by its name and how: the least of its kind taken.

    Of one whose force only in part counts for a board the whole is said: it is what a person can set. What a
    push rubs with at the other edge (a share that shears) hangs on the push. Of what else shears, only what
    it holds `upwards` counts against lifting and tipping.
    """
    wanted: dict[tuple[str, str], float] = {}
    for grip in grips:
        how = "push" if grip.whole and grip.how == "shear" else grip.how
        if upwards and how == "shear":
            key = (_kind(grip.name), UPWARDS)
            wanted[key] = max(wanted.get(key, 0.0), grip.lifts * times)
            continue
        key = (_kind(grip.name), WORDS[how])
        wanted[key] = max(wanted.get(key, 0.0), (grip.whole or grip.force) * times)
    return wanted


def _forces(wanted: dict[tuple[str, str], float]) -> str:
    """Say what each kind of hold-down has to hold."""
    return ", ".join(
        f"{name} {word} {up(force, 10)} N or more" for (name, word), force in wanted.items() if force > 0
    )


UPWARDS = "holding upwards with"
WORDS = {
    "press": "pressing with",
    "push": "pushing with",
    "carry": "carrying",
    "shear": "carrying",
    "draw": "drawing with",
}


def moves_itself(hold: Hold) -> str:
    """Say that pushes move a board by themselves: which pushes, and what stands against them."""
    whole = {grip.name: grip.force for grip in grips_of(hold.load, hold.board)}
    each = []
    for grip in hold.grips:
        if grip.how == "push":
            full = whole.get(grip.name, grip.force)
            part = f" (of its {full:.0f} N, as much as is met)" if full > grip.force + 0.5 else ""
            each.append(f"{grip.name} with {grip.force:.0f} N{part}")
    against = _standing_against(hold)
    if not against:
        return f"{', '.join(each)} moves {hold.board} by itself, for nothing stands against it"
    stand = ", ".join(
        f"{grip.name} is taken to carry {grip.force:.0f} N"
        + (", for `carries` is not said of it" if grip.guessed else "")
        for grip in against
    )
    return f"{', '.join(each)} moves {hold.board} by itself: what stands against it is not enough; {stand}"


def _standing_against(hold: Hold) -> list[Grip]:
    """Return what carries and faces one of the pushes."""
    pushes = [grip for grip in hold.grips if grip.how == "push"]
    return [g for g in hold.grips if g.how == "carry" and any(faces(g, push) for push in pushes)]


def set_against(hold: Hold) -> str:
    """Say what has to stand straight across from each push that nothing meets."""
    pushes = [grip for grip in grips_of(hold.load, hold.board) if grip.how == "push"]
    each = ", ".join(f"x {shown(g.at[0])}, y {shown(g.at[1])}" for g in pushes)
    most = max(grip.force for grip in pushes)
    force = up(2 * most, 10)
    way = f"set a stop or a fence piece that carries {force} N straight across from {each}"
    unsaid = [grip for grip in _standing_against(hold) if grip.guessed]
    if unsaid:
        names = ", ".join(dict.fromkeys(_kind(grip.name) for grip in unsaid))
        way += f", or say in the shop's document what {names} `carries`"
    return way
