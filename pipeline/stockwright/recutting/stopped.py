"""A program that stopped in the middle. In: its reading, where it stopped. Out: what was cut, and the rest.

Promise: the rest begins at the start of the pass that was being cut, or earlier, never later; it comes in
from outside the wood, or as the program itself came in and then along passes already cut.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.packet.model import PlaneGoal
from stockwright.recutting.laying import Lines
from stockwright.recutting.passes import SAME_LEVEL, runs
from stockwright.tooling import LEAD
from stockwright.units import format_length

if TYPE_CHECKING:
    from stockwright.recutting.laying import Source
    from stockwright.recutting.passes import Run
    from stockwright.recutting.room import Room

__all__ = ["TakenUp", "row_at_line", "row_at_place", "take_up"]

SHORT = 200.0  # mm: a way already cut that is sooner gone again than gone round; our own choice
BESIDE = 1.0  # mm: how much further off another pass may be and still be meant; our own choice


@frozen(eq=False)
class TakenUp:
    """What counts as cut, and the rest; `line`, of the program's text, is where it goes on; `z` its level."""

    line: int
    z: float
    done: Lines
    rest: Lines


def row_at_line(source: Source, line: int, said: str, lines: int) -> int:
    """Find the row at or after a line of the text. Raises `InputError` for a line that does not exist."""
    if not 1 <= line <= lines:
        message = f"the file has {lines} lines, got {line}"
        raise InputError(
            [Mistake(said, 0, 0, "no-such-line", message, "the control shows the line it was at")]
        )
    later = np.flatnonzero(source.moves.line >= line)
    return int(later[0]) if len(later) else len(source.moves)


def row_at_place(source: Source, at: tuple[float, ...], said: str) -> int:
    """Find the pass nearest to a place. Raises `InputError` where none is near, or several levels are."""
    moves, radius = source.moves, source.tool.radius
    rows = [row for run in runs(moves) for row in range(run.entered, run.last)]
    if len(at) == 3:
        near = [row for row in rows if abs(moves.end[row, 2] - at[2]) <= SAME_LEVEL]
        if not near:
            heights = _heights(source, rows)
            message = f"no pass is cut at z {format_length(at[2], source.packet.units)}, expected {heights}"
            raise InputError([Mistake(said, 0, 0, "no-such-pass", message)])
        rows = near
    segments = np.array([[moves.start[row, :2], moves.end[row, :2]] for row in rows])
    away = np.asarray(shapely.distance(shapely.linestrings(segments), shapely.Point(at[:2])))
    least = float(away.min()) if len(away) else math.inf
    if least > radius:
        message = f"the nearest pass is {format_length(least, source.packet.units)} away"
        hint = "places are read from the zero of the setup, as on the sheet"
        raise InputError([Mistake(said, 0, 0, "no-such-pass", message, hint)])
    found = [row for row, distance in zip(rows, away.tolist(), strict=True) if distance <= least + BESIDE]
    levels = {round(float(moves.end[row, 2]), 3) for row in found}
    if len(levels) > 1:
        message = f"{len(levels)} levels pass there, at {_heights(source, found)}"
        hint = "write --at X,Y,Z, or the line that the control showed"
        raise InputError([Mistake(said, 0, 0, "ambiguous-place", message, hint)])
    return found[0]


def _heights(source: Source, rows: list[int]) -> str:
    heights = sorted({round(float(source.moves.end[row, 2]), 3) for row in rows}, reverse=True)
    return ", ".join(f"z {format_length(z, source.packet.units, 3)}" for z in heights)


def take_up(source: Source, row: int, overlap: float, room: Room, remarks: tuple[str, ...]) -> TakenUp:
    """Split a program at a row. Raises `Refused` where nothing, or all of it, was cut before."""
    every = runs(source.moves)
    run = next((run for run in every if run.last > row), None)
    if run is None:
        raise Refused((_all_was_cut(source, every),))
    at, run = _back(every, run, _pass_start(run, max(row, run.first)), overlap)
    if run is every[0] and at <= run.entered:
        raise Refused((_nothing_was_cut(source),))
    line = int(source.moves.line[at])
    done = Lines(source, (f"What was cut of {_name(source)} before its line {line}. Never run it.",), None)
    done.everything(0, at)
    rest = Lines(source, remarks, max(at, run.entered))
    _enter(rest, run, at, room)
    rest.everything(at, every[-1].last)
    return TakenUp(line, run.z, done, rest)


def _name(source: Source) -> str:
    return source.program.file.rpartition("/")[2]


def _pass_start(run: Run, row: int) -> int:
    """Give the first row of the pass that a row belongs to; the run's own for one that lowers the cutter."""
    if row <= run.entered:  # the first pass begins with the lowering
        return run.first
    line = run.moves.line
    while row > run.entered and line[row - 1] == line[row]:  # the chords of an arc
        row -= 1
    return row


def _back(every: tuple[Run, ...], run: Run, row: int, overlap: float) -> tuple[int, Run]:
    """Go back along what was cut by at least `overlap` mm, to the start of a pass."""
    left = overlap
    while left > 0:
        if row <= run.entered:
            number = every.index(run)
            if number == 0:
                return run.first, run
            run = every[number - 1]
            row = run.last
        before = _pass_start(run, row - 1)
        ends = run.moves.end[max(before, run.first) : row, :2]
        begins = run.moves.start[max(before, run.first) : row, :2]
        left -= float(np.hypot(*(ends - begins).T).sum())
        row = before
    return row, run


def _enter(lines: Lines, run: Run, row: int, room: Room) -> None:
    """Bring the cutter to the start of a row, at its height, without meeting wood."""
    source, moves = lines.source, run.moves
    x, y, z = run.points[0].tolist()
    if row <= run.entered:
        lines.over(x, y, z)
        lines.rows(run.first, row)
        return
    way = moves.end[run.first : row, :2] - moves.start[run.first : row, :2]
    start, end = moves.start[row], moves.end[row]
    place = None
    if float(np.hypot(*way.T).sum()) > SHORT and _only_faces(source, run.z):
        place = room.before(start[:2], end[:2], run.z)
    if place is None:
        lines.over(x, y, z)
        lines.rows(run.first, row)
        return
    px, py = source.snap(place[0]), source.snap(place[1])
    lines.over(px, py, min(source.snap(run.z + LEAD), lines.clear))
    lines.feed(np.array([[px, py, run.z]]), source.tool.plunge_feed)
    lines.feed(start[None, :], float(moves.feed[row]))


def _only_faces(source: Source, z: float) -> bool:
    """Say whether wood at this height is for facing alone: then a line may go on outwards beyond a pass."""
    goals = source.setup.goals
    flat = [goal.z for goal in goals if isinstance(goal, PlaneGoal)]
    return len(flat) == len(goals) and all(z >= height - SAME_LEVEL for height in flat)


def _nothing_was_cut(source: Source) -> Finding:
    return Finding(
        rule="nothing-was-cut",
        level="refuse",
        message=f"{_name(source)} had not finished its first pass: 0 passes are cut, 1 at least can be kept",
        remedy="take the zero anew as the sheet says and run the same file from its beginning",
        measured=0,
        limit=1,
        setup=source.setup.index,
        program=source.program.file,
    )


def _all_was_cut(source: Source, every: tuple[Run, ...]) -> Finding:
    return Finding(
        rule="all-was-cut",
        level="refuse",
        message=f"{_name(source)} had cut its last pass: {len(every)} of {len(every)} lowerings are done",
        remedy="go on with the sheet after this file; where spots are left, use --spot or --deeper",
        measured=len(every),
        limit=len(every),
        setup=source.setup.index,
        program=source.program.file,
    )
