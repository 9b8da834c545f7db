"""What is to be cut once more. In: packet, what is meant, its programs as read. Out: `Planned`.

Promise: a face goes no deeper than the wanted thickness allows, unless the person says that thinner is wanted
too; where it would, both numbers are given.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

import shapely

from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.packet.model import DECIMALS, PlaneGoal, WallGoal
from stockwright.packet.wood import wood_in
from stockwright.recutting.faces import deeper, face_of, proud
from stockwright.recutting.naming import after_all, parts
from stockwright.recutting.room import Room
from stockwright.recutting.shifting import later_setups, top_before
from stockwright.recutting.stopped import row_at_line, row_at_place, take_up
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shapely.geometry.base import BaseGeometry

    from stockwright.motion.nodes import Program
    from stockwright.packet.model import Packet, Setup, Wanted
    from stockwright.recutting.asking import Asked
    from stockwright.recutting.faces import LastCut
    from stockwright.recutting.finding import Found
    from stockwright.recutting.laying import Lines, Source
    from stockwright.recutting.stopped import TakenUp

__all__ = ["Planned", "plan"]

HAIR = 1e-6  # mm: what rounding to six decimals leaves


@frozen(eq=False)
class Planned:
    """What the new packet is about: the setup's number, and one sentence `said` of it.

    `setups` and `wanted` as they now are. `added` comes after the setup's programs; `instead` gives for a
    file what stands in its place, each with whether it is done. `taken_up`: where a program that stopped goes
    on; None where a face is cut again.
    """

    setup: int
    said: str
    setups: list[Setup]
    wanted: dict[str, Wanted]
    added: tuple[Program, Source] | None = None
    instead: Mapping[str, tuple[tuple[Program, bool], ...]] = field(default_factory=dict)
    taken_up: TakenUp | None = None


def plan(
    packet: Packet, found: Found, sources: Mapping[str, Source], asked: Asked, texts: Mapping[str, str]
) -> Planned:
    """Plan it. Raises `InputError` for a line or place that does not exist, `Refused` with both numbers."""
    if found.program is not None:
        return _stopped(packet, found, sources[found.program.file], asked, texts)
    return _face(packet, found, list(sources.values()), asked)


def _wood(packet: Packet, setup: Setup) -> BaseGeometry:
    """Give every board's outline as the setup finds it, work frame."""
    outlines = [shapely.Polygon(wood_in(packet, setup, lie.board).before) for lie in setup.lies]
    beds = [shapely.Polygon(g.region) for g in setup.goals if isinstance(g, PlaneGoal) and g.board is None]
    return shapely.union_all([*outlines, *beds])


def _stopped(packet: Packet, found: Found, source: Source, asked: Asked, texts: Mapping[str, str]) -> Planned:
    assert found.program is not None
    program, setup = found.program, found.setup
    name = program.file.rpartition("/")[2]
    lines = len(texts[program.file].splitlines())
    if asked.at is not None:
        row = row_at_place(source, asked.at, f"--at {', '.join(f'{value:g}' for value in asked.at)} mm")
    else:
        assert asked.line is not None
        row = row_at_line(source, asked.line, f"--stopped {asked.file}:{asked.line}", lines)
    remarks = (
        f"Takes up {name} where it stopped.",
        "New cutter: take z anew.",
        "Switched off, pushed or lost: take x, y and z anew.",
    )
    taken = take_up(source, row, asked.overlap, Room(source, _wood(packet, setup)), remarks)
    done, rest = parts(setup, program)
    what = program.title or name
    made = (
        (taken.done.program(done, f"{what}: done up to line {taken.line}", program.touch_off.how), True),
        (taken.rest.program(rest, f"{what}: taken up at line {taken.line}", program.touch_off.how), False),
    )
    said = f"setup {setup.index}: {name} stopped, and is taken up at its line {taken.line}"
    return Planned(
        setup=setup.index,
        said=said,
        setups=list(packet.setups),
        wanted=dict(packet.wanted),
        instead={program.file: made},
        taken_up=taken,
    )


def _face(packet: Packet, found: Found, sources: list[Source], asked: Asked) -> Planned:
    goal, setup = found.goal, found.setup
    assert goal is not None
    _, top = top_before(packet, setup, goal)
    cut = face_of(sources, goal, top)
    if cut is None:
        message = f"no program of setup {setup.index} ends at z {format_length(goal.z, packet.units, 3)}"
        raise InputError([Mistake(f"--setup {setup.index}", 0, 0, "no-such-pass", message)])
    if asked.deeper is None:
        return _proud(packet, found, cut, asked)
    depth, units = asked.deeper, packet.units
    setups = [*packet.setups]
    refused: list[Finding] = []
    wanted = dict(packet.wanted)
    if goal.board is not None:
        setups, refused = later_setups(packet, setup.index, goal.board, goal.cut, depth)
        refused += _thinner(packet, found, asked, wanted)
    if refused:
        raise Refused(tuple(refused))
    by = format_length(depth, units)
    what = f"{goal.cut}, {by} deeper"
    lines = deeper(cut, depth, (f"The whole of {goal.cut} {by} deeper.",))
    at = next(k for k, each in enumerate(setups) if each.index == setup.index)
    setups[at] = _deepened(setups[at], goal, depth)
    return Planned(
        setup=setup.index,
        said=f"setup {setup.index}: {what}",
        setups=setups,
        wanted=wanted,
        added=_added(lines, setup, goal, what),
    )


def _proud(packet: Packet, found: Found, cut: LastCut, asked: Asked) -> Planned:
    goal, setup = found.goal, found.setup
    assert goal is not None
    spots = f"{len(asked.spots)} {'spot' if len(asked.spots) == 1 else 'spots'}"
    what = f"{goal.cut} again at {spots}"
    room = Room(cut.source, _wood(packet, setup))
    lines = proud(cut, asked.spots, asked.proud or 0.0, room, (f"{what}, at the same height.",))
    return Planned(
        setup=setup.index,
        said=f"setup {setup.index}: {what}",
        setups=list(packet.setups),
        wanted=dict(packet.wanted),
        added=_added(lines, setup, goal, what),
    )


def _added(lines: Lines, setup: Setup, goal: PlaneGoal, what: str) -> tuple[Program, Source]:
    """Return the program that comes after the setup's own, and the one that it is made from."""
    source, stem = lines.source, after_all(setup, f"{goal.cut}-again")
    return lines.program(stem, f"{setup.title}: {what}", source.program.touch_off.how), source


def _deepened(setup: Setup, goal: PlaneGoal, depth: float) -> Setup:
    """Return the setup with the face's goal lower, and its board's walls no higher than that."""
    goals: list[PlaneGoal | WallGoal] = []
    for each in setup.goals:
        if each == goal:
            goals.append(goal.model_copy(update={"z": round(goal.z - depth, DECIMALS)}))
        elif isinstance(each, WallGoal) and each.board == goal.board:
            goals.append(each.model_copy(update={"z": (each.z[0], round(each.z[1] - depth, DECIMALS))}))
        else:
            goals.append(each)
    return setup.model_copy(update={"goals": goals})


def _thinner(packet: Packet, found: Found, asked: Asked, wanted: dict[str, Wanted]) -> list[Finding]:
    """Refuse a second face that leaves less than is wanted; with the person's word, want that instead."""
    setup, goal = found.setup, found.goal
    assert goal is not None
    assert goal.board is not None
    assert asked.deeper is not None
    board = goal.board
    wish = packet.wanted.get(board)
    lower = "face B" if goal.cut == "face A" else "face A"
    earlier = any(
        each.board == board and each.cut == lower
        for other in packet.setups
        if other.index < setup.index
        for each in other.goals
        if isinstance(each, PlaneGoal)
    )
    later = any(
        each.board == board and isinstance(each, PlaneGoal)
        for other in packet.setups
        if other.index > setup.index
        for each in other.goals
    )
    if wish is None or wish.thickness is None or not earlier or later:
        return []
    left = goal.z - asked.deeper  # the other face lies on the support, which is z 0
    least = wish.thickness - (wish.tolerance.thickness or 0.0)
    if asked.thinner:
        wanted[board] = wish.model_copy(update={"thickness": round(left, DECIMALS)})
        return []
    if left >= least - HAIR:
        return []
    units = packet.units
    most = goal.z - least
    up_to = f"ask for {format_length(most, units)} or less, or " if most > HAIR else ""
    return [
        Finding(
            rule="thinner-than-wanted",
            level="refuse",
            message=f"{board} would be {format_length(left, units)} thick; {format_length(least, units)} is "
            f"the least of the {format_length(wish.thickness, units)} wanted",
            remedy=f"{up_to}write --thinner if {format_length(left, units)} will do",
            measured=round(left, 3),
            limit=round(least, 3),
            setup=setup.index,
        )
    ]
