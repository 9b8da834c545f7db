"""What is set on the bed, kind by kind. In: a setup's page. Out: steps in a group.

Promise: what the board is laid on or against is set before it is laid, what holds it afterwards; how x and y
are told is said at the first of them, and in short over what holds: that may stand on another leaf.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from stockwright.hold_downs import thing_of
from stockwright.packet.steps.group import earlier, run_of
from stockwright.packet.steps.standing import where_they_stand
from stockwright.packet.steps.turning import comes_off, lies_still, stand_on, standing_first

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stockwright.packet.model import Packet, Setup, Solid
    from stockwright.packet.page import Page
    from stockwright.packet.steps.group import Group
    from stockwright.packet.wood import Wood

__all__ = ["BOLTED", "set_after", "set_before", "stops_for_length"]

ENDS = ("end-1", "end-2")
TOUCHES = 0.5  # mm: nearer is drawn as touching; our own choice
BOLTED = re.compile(r"(?P<name>.+): (?P<how>bolt in .+)")  # as the planner words it
BEFORE = (
    ("riser", "Set the risers {tags}, as high as one another: the board will bear on all of them."),
    ("fence", "Fence piece{s} {tags} stand{one}; any other piece of it is off the bed."),
)
FOR_LENGTH = (
    ("stop", "Set the stop{s} {tags} by measure, not to the board: what {it_is} off, the length is off."),
)
STAYING = "The risers {tags} stay as they stand, as high as one another: the board bears on all of them."
AFTER = (
    ("stop", "Set the stop{s} {tags} tight against the end{s}."),
    ("wedge", "Drive the wedge{s} {tags} in between board and block, snug, no harder."),
    ("lever-stop", "Swing the levers {tags} against the board and lock them."),
    ("screw", "Drive the screw{s} {tags} through the waste as noted."),
    ("side-clamp", "Set the side clamp{s} {tags}: snug, not hard, or the board bends."),
    (
        "backing",
        "Tape or glue the scrap {tags}{against}, where teeth leave the wood. It is cut: no metal in it.",
    ),
    ("top-clamp", "Set the clamps {tags} on top as drawn and tighten them."),
)
BENEATH = {
    "tape": "Stick the tape on the bed as noted, lay the board on it in its place, and press it down over "
    "every strip.",
    "vacuum": "Open and shut the vacuum's areas as noted, start the pump, and read the gauge with the board "
    "on it. The pump runs until the board is to come off.",
}
PUSH = (
    "Push the trued edge against every piece of the fence{stop}; hold it there until the clamps are tight.",
    "It is tight where a strip of paper, put between beforehand, cannot be drawn out at any piece.",
)


def stops_for_length(packet: Packet, setup: Setup) -> list[Solid]:
    """Return the stops at an end cut before, where the other end is cut: they decide how long a board gets.

    A board that is slid along is found again another way, and one that stays needs not be.
    """
    if setup.position is not None or lies_still(packet, setup):
        return []
    here = {cut.name for cut in setup.cuts}
    before = {cut.name for each in earlier(packet, setup) for cut in each.cuts} - here
    ends = [end for end, other in (ENDS, ENDS[::-1]) if end in before and other in here]
    return [
        s
        for s in standing_first(setup)
        if s.kind == "stop" and any(s.name.endswith(f" at {end}") for end in ends)
    ]


def set_before(group: Group, page: Page) -> None:
    """Add what stands before a board comes: fence, risers, and the stops that decide its length."""
    stops = stops_for_length(page.packet, page.setup)
    told = _set(group, page, BEFORE, standing_first(page.setup), told=False)
    _set(group, page, FOR_LENGTH, stops, told=told, more=_met(stops, page))


def _met(stops: Sequence[Solid], page: Page) -> list[str]:
    """Say where boards meet stops at their left: that decides a length, and left sides do not tell it."""
    lefts = [float(np.min(wood.before, axis=0)[0]) for wood in page.woods.values()]
    rights = [float(np.max(s.outline, axis=0)[0]) for s in stops]
    at = {page.writing.spot(x) for x in rights if lefts and x < min(lefts) + TOUCHES}
    return [f"What counts is the right side, which the board meets: x {', '.join(sorted(at))}."] if at else []


def set_after(group: Group, page: Page, *, pushed: bool) -> None:
    """Add what is set once a board lies: first it is `pushed` against the fence, or held from below.

    Of a board that has not been moved what held it before comes off last.
    """
    stops = stops_for_length(page.packet, page.setup)
    standing = [s for s in standing_first(page.setup) if s not in stops]
    off = comes_off(page.packet, page.setup)
    if pushed and not off and any(s.kind == "fence" for s in standing):  # else it is held, and stays so
        push, paper = PUSH
        group.add(push.format(stop=" and its fresh end against the stop" if stops else ""), paper, halt=True)
    for kind, sentence in BENEATH.items():
        if any(one.kind == kind for one in page.setup.beneath):
            group.add(sentence, halt=True)
    told = bool(stops) or any(s.kind in dict(BEFORE) for s in standing)
    if told and any(s.kind in dict(AFTER) for s in standing):
        group.heading += f" ({_unit(page)} from the mark)"
    _set(group, page, AFTER, standing, told=told)
    others = [s for s in standing if s.kind not in dict((*BEFORE, *AFTER))]
    if others:
        group.add("Set " + ", ".join(f"{page.tags.solids[s.name]} ({s.name})" for s in others) + " as drawn.")
    if off:
        group.add(f"Only now take off what held it before: {off}. The board must not stir.")


def _unit(page: Page) -> str:
    return "mm" if page.writing.units == "mm" else "inches"


def _set(
    group: Group,
    page: Page,
    kinds: Iterable[tuple[str, str]],
    solids: Sequence[Solid],
    *,
    told: bool,
    more: Sequence[str] = (),
) -> bool:
    """Add a step for each kind of thing among the `solids`; return whether anything is told.

    `told`: how x and y are to be taken is said already; `more` details.
    """
    setup, tags, writing = page.setup, page.tags.solids, page.writing
    bolts = _bolts(page)
    for kind, words in kinds:
        named = [s for s in solids if s.kind == kind]
        if not named:
            continue
        stays = kind == "riser" and lies_still(page.packet, setup) and stand_on(page.packet, setup, named)
        sentence = STAYING if stays else words
        lines, rows = where_they_stand(setup, named, tags, writing)
        how = "" if told else f"From the mark, {_unit(page)}: x to left sides, y to near sides."
        numbers = list(dict.fromkeys(tags[s.name] for s in named))
        group.add(
            sentence.format(
                tags=run_of(numbers),
                against=_against(named, page.woods),
                s="s" if len(numbers) > 1 else "",
                one="" if len(numbers) > 1 else "s",
                it_is="they are" if len(numbers) > 1 else "it is",
            ),
            how,
            *lines,
            *more,
            *(f"{number}: {bolts[number]}" for number in numbers if number in bolts),
            rows=rows,
        )
        told = True
    return told


def _bolts(page: Page) -> dict[str, str]:
    """Return by a thing's number in which slot or hole its bolt goes."""
    known = {thing_of(name): number for name, number in page.tags.solids.items()}
    found = map(BOLTED.fullmatch, page.extras.notes.get(page.setup.index, ()))
    return {known[m["name"]]: page.writing.words(m["how"]) for m in found if m and m["name"] in known}


def _against(solids: list[Solid], woods: Mapping[str, Wood]) -> str:
    """Say which sides of a board things are set against, where they touch one along x or along y."""
    touched: dict[str, None] = {}
    for solid in solids:
        low, high = np.min(solid.outline, axis=0), np.max(solid.outline, axis=0)
        for wood in woods.values():
            least, most = np.min(wood.before, axis=0), np.max(wood.before, axis=0)
            at = {
                "near": abs(high[1] - least[1]) < TOUCHES,
                "far": abs(low[1] - most[1]) < TOUCHES,
                "left": abs(high[0] - least[0]) < TOUCHES,
                "right": abs(low[0] - most[0]) < TOUCHES,
            }
            beside = bool(((low < most + TOUCHES) & (high > least - TOUCHES)).all())
            for name, where in wood.sides.items():
                if beside and at[where]:
                    touched[name] = None
    return f" tight against {' and '.join(touched)}" if touched else ""
