"""A setup in which clamps move while it is run: its states, what each of them cuts, how clamps are moved.

In: a packet's setup, its programs' paths. Out: states, outlines to shade, steps for the person. Promise:
hands go in only after the spindle has stopped and is cut off from its power; one clamp is loose at a time; a
setup in which nothing moves has one state and no such steps.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.hold_downs import PARTS, thing_of
from stockwright.packet.drawing import cutting_moves

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.drawing import Moves
    from stockwright.packet.model import Packet, Program, Setup, Solid
    from stockwright.packet.wood import Wood
    from stockwright.packet.writing import Writing

__all__ = ["Moved", "State", "cut_in", "hand_steps", "states_of"]

Point = tuple[float, float]
DETAIL = 0.3  # mm by which a shaded outline may be simpler than what was cut; our own choice


@frozen
class State:
    """Programs run one after another while the same things stand; `numbers` as the table of files counts."""

    number: int
    standing: frozenset[str]
    programs: tuple[Program, ...]
    numbers: tuple[int, ...]


@frozen
class Moved:
    """One hold-down that goes to another place: its name, and the solids of its old and its new place."""

    name: str
    old: tuple[Solid, ...]
    new: tuple[Solid, ...]


def states_of(setup: Setup) -> tuple[State, ...]:
    """Return the setup's states in order; none where it has no program."""
    numbered = list(enumerate(setup.programs, 1))
    found: list[State] = []
    for standing, group in groupby(numbered, key=lambda each: frozenset(each[1].standing)):
        runs = tuple(group)
        found.append(
            State(len(found) + 1, standing, tuple(p for _, p in runs), tuple(number for number, _ in runs))
        )
    return tuple(found)


def _moved_between(
    setup: Setup, before: State, after: State
) -> tuple[tuple[Moved, ...], list[str], list[str]]:
    """Return what moves, then what else comes off, then what else is set: names of solids.

    A hold-down is the same in both where its name differs only in what stands after the comma.
    """
    off = [s for s in setup.solids if s.name in before.standing - after.standing]
    on = [s for s in setup.solids if s.name in after.standing - before.standing]
    old, new = _by_thing(off), _by_thing(on)
    both = [name for name in old if name in new]
    moved = tuple(Moved(name, tuple(old[name]), tuple(new[name])) for name in both)
    taken = {s.name for m in moved for s in (*m.old, *m.new)}
    return moved, [s.name for s in off if s.name not in taken], [s.name for s in on if s.name not in taken]


def _by_thing(solids: list[Solid]) -> dict[str, list[Solid]]:
    found: dict[str, list[Solid]] = {}
    for solid in solids:
        thing, comma, _ = solid.name.partition(", ")
        if comma:
            found.setdefault(thing, []).append(solid)
    return found


def cut_in(
    packet: Packet, state: State, woods: Mapping[str, Wood], paths: Mapping[str, Moves]
) -> list[list[Point]]:
    """Return the outlines of the wood that a state's programs cut at their lowest level, seen from above."""
    swept = []
    for program in state.programs:
        moves = paths.get(program.file)
        if program.purpose != "cut" or program.tool is None or moves is None:
            continue
        start, end = cutting_moves(moves)
        if not len(end):
            continue
        lowest = float(end[:, 2].min()) + 0.01
        at = (start[:, 2] <= lowest) & (end[:, 2] <= lowest)
        lines = shapely.linestrings(np.stack([start[at, :2], end[at, :2]], axis=1))
        swept.append(shapely.union_all(shapely.buffer(lines, packet.tools[program.tool].diameter / 2)))
    wood = shapely.union_all([shapely.Polygon(w.before) for w in woods.values()])
    shape = shapely.union_all(swept).intersection(wood).simplify(DETAIL)
    parts = [p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon) and p.area > 1.0]
    return [
        [(round(float(x), 1), round(float(y), 1)) for x, y in part.exterior.coords[:-1]]
        for part in sorted(parts, key=lambda p: p.bounds)
    ]


def hand_steps(
    setup: Setup, before: State, after: State, tags: Mapping[str, str], writing: Writing
) -> list[tuple[str, tuple[str, ...], bool]]:
    """Return what hands do between two states: sentence, details, and whether it must not be passed over."""
    moved, off, on = _moved_between(setup, before, after)
    steps: list[tuple[str, tuple[str, ...], bool]] = [
        (
            (
                "Wait until the spindle stands still. Then disconnect it from its power: the plug pulled, or "
                "the main switch off and locked, as the machine's manual says. Only now do hands go in."
            ),
            (
                (
                    "A stop button, a pause or a program that has ended is not enough: the spindle could "
                    "start while your hand is there."
                ),
            ),
            True,
        ),
        (
            (
                "Leave the board, its shims and the zeros as they are. Vacuum the fresh face, the bed beside "
                "the board and the undersides of the arms."
            ),
            ("A chip under an arm or under a body lets the clamp come loose.",),
            False,
        ),
    ]
    staying = len({thing_of(n) for n in before.standing & after.standing if n.endswith(PARTS)})
    for number, each in enumerate(moved, 1):
        stand = len(moved) - 1 + staying
        others = "the other one holds" if stand == 1 else f"the other {stand} hold"
        place = "" if number > 1 else f"Never two at once: {others} the board meanwhile."
        steps.append(
            (
                (
                    f"Loosen {each.name} ({_tags(each.old, tags)}), set it in its new place "
                    f"({_tags(each.new, tags)}: {_spot(each.new, writing)}) and tighten it, before the next "
                    "is touched."
                ),
                (place,),
                number == 1,
            )
        )
    if on:
        steps.append((f"Set {', '.join(on)} as drawn and tighten.", (), False))
    if off:
        steps.append((f"Only then take off {', '.join(off)}.", (), False))
    steps.append(("Try the board by hand again: nothing may move.", (), True))
    steps.append(
        (
            "Hands and tools out, everyone clear; then connect the power again as the manual says.",
            (
                (
                    "If that switched the axes off too, the machine may have lost its place: bring it back "
                    "as the manual says, then check x and y at the mark, and z over bare bed with a block."
                ),
            ),
            False,
        )
    )
    return steps


def _tags(solids: tuple[Solid, ...], tags: Mapping[str, str]) -> str:
    return " and ".join(dict.fromkeys(tags[s.name] for s in solids))


def _spot(solids: tuple[Solid, ...], writing: Writing) -> str:
    """Say where a hold-down stands along x, from the mark."""
    points = np.vstack([np.array(s.outline) for s in solids])
    low, high = float(points[:, 0].min()), float(points[:, 0].max())
    return f"x {writing.spot(low)} to {writing.spot(high)}"
