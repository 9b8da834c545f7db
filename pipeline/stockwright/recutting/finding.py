"""Which setup, board, face or program is meant. In: a packet, what is asked. Out: `Found`, or every mistake.

Promise: an unknown name is reported with the names that exist, a place outside the board with both numbers.
"""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

import shapely

from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.packet.model import PlaneGoal
from stockwright.posting import load_post
from stockwright.proving.readers import READERS
from stockwright.recutting.laying import Source, tool_of
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from stockwright.packet.model import Packet, Program, Setup
    from stockwright.recutting.asking import Asked

__all__ = ["Found", "find", "read_sources"]


@frozen(eq=False)
class Found:
    """The setup, its flat goal that is cut again, or the program that stopped; `needed`: files to read."""

    setup: Setup
    goal: PlaneGoal | None
    program: Program | None

    @property
    def needed(self) -> tuple[str, ...]:
        """Files that must be read to know what was cut."""
        if self.program is not None:
            return (self.program.file,)
        return tuple(p.file for p in self.setup.programs if p.purpose == "cut")


def find(packet: Packet, asked: Asked) -> Found:
    """Find what is meant. Raises `InputError`."""
    found = _stopped(packet, asked) if asked.file is not None else _face(packet, asked)
    later = [s for s in packet.setups if s.index > found.setup.index and any(p.done for p in s.programs)]
    if later:
        message = f"setup {later[0].index} has been run since, so setup {found.setup.index} is over"
        raise _wrong("again", "already-run", message, f"name setup {later[-1].index} or a later one")
    return found


def read_sources(
    packet: Packet, setup: Setup, texts: Mapping[str, str], files: tuple[str, ...], folder: Path
) -> dict[str, Source]:
    """Read programs of a setup by the readers that prove them. Raises `InputError` with every bad line."""
    mistakes: list[Mistake] = []
    found: dict[str, Source] = {}
    for program in setup.programs:
        if program.file not in files:
            continue
        place = str(folder / program.file)
        reader = READERS.get(program.reader or program.post)
        if program.file not in texts:
            mistakes.append(
                Mistake(place, 0, 0, "missing-file", "the packet lists this file, and it is not there")
            )
        elif reader is None or program.tool is None:
            message = f"no reader for {program.reader or program.post!r}: what was cut is not known"
            mistakes.append(
                Mistake(place, 0, 0, "no-reader", message, "make it anew with a post that is proven")
            )
        else:
            reading = reader(texts[program.file])
            mistakes += [Mistake(place, u.line, 1, u.rule, u.message) for u in reading.unread]
            if reading.unread:
                continue
            tool = tool_of(packet, program.tool, reading.moves)
            try:
                post = load_post(program.post)
            except InputError as error:
                mistakes += [Mistake(place, 0, 0, m.code, m.message, m.hint) for m in error.mistakes]
                continue
            found[program.file] = Source(packet, setup, program, tool, reading, post)
    if mistakes:
        raise InputError(mistakes)
    return found


def _wrong(place: str, code: str, message: str, hint: str = "") -> InputError:
    return InputError([Mistake(place, 0, 0, code, message, hint)])


def _stopped(packet: Packet, asked: Asked) -> Found:
    assert asked.file is not None
    said = f"--stopped {asked.file}"
    programs = [(setup, program) for setup in packet.setups for program in setup.programs]
    name = asked.file.replace("\\", "/").rpartition("/")[2]
    meant = [(s, p) for s, p in programs if p.file.rpartition("/")[2] == name]
    if not meant:
        names = [p.file.rpartition("/")[2] for _, p in programs if p.purpose == "cut" and not p.done]
        close = get_close_matches(name, names, n=1)
        message = f"the packet lists no file '{name}', expected one of {', '.join(names)}"
        raise _wrong(said, "no-such-file", message, f"did you mean '{close[0]}'?" if close else "")
    setup, program = meant[0]
    if asked.setup is not None and asked.setup != setup.index:
        message = f"{name} is of setup {setup.index}, got {asked.setup}"
        raise _wrong(f"--setup {asked.setup}", "out-of-range", message, "leave --setup out")
    if program.done:
        raise _wrong(
            said, "already-run", f"{name} has been run before this packet was made", "look in programs/"
        )
    if program.purpose != "cut":
        message = f"{name} cuts nothing: it is run with the spindle off"
        raise _wrong(said, "cuts-nothing", message, "run it again from its beginning")
    return Found(setup, None, program)


def _face(packet: Packet, asked: Asked) -> Found:
    numbers = [setup.index for setup in packet.setups]
    setup = next((s for s in packet.setups if s.index == asked.setup), None)
    if setup is None:
        listed = ", ".join(map(str, numbers))
        raise _wrong(
            f"--setup {asked.setup}", "no-such-setup", f"got {asked.setup}, expected one of {listed}"
        )
    flat = [goal for goal in setup.goals if isinstance(goal, PlaneGoal)]
    if not flat:
        which = ", ".join(
            str(s.index) for s in packet.setups if any(isinstance(g, PlaneGoal) for g in s.goals)
        )
        message = f"setup {setup.index} cuts no face, expected one that does: {which or 'there is none'}"
        raise _wrong(f"--setup {asked.setup}", "no-face-there", message)
    parts = [goal for goal in flat if asked.board in (None, goal.board)]
    if len({(goal.board, goal.cut) for goal in parts}) < len(parts):
        message = f"{parts[0].cut} was cut in {len(parts)} parts, and the clamps that stood for one are moved"
        hint = "read the face anew and make a job of it; a stopped program is still taken up with --stopped"
        raise _wrong(f"--setup {setup.index}", "clamps-moved", message, hint)
    goal = _goal(asked, setup, flat)
    if asked.deeper is not None and any(
        other.index > setup.index and goal.board is None and other.lies for other in packet.setups
    ):
        message = "boards of later setups stand on this bed, and their zero is taken on it"
        raise _wrong("--deeper", "bed-in-use", message, "skim the bed by a job of its own")
    region = shapely.Polygon(goal.region)
    mistakes = []
    for x, y in asked.spots:
        off = float(region.distance(shapely.Point(x, y)))
        if off > 0:
            units = packet.units
            x0, y0, x1, y1 = (format_length(value, units, 0) for value in region.bounds)
            place = f"{format_length(x, units)}, {format_length(y, units)}"
            message = (
                f"the place {place} is {format_length(off, units, 1)} outside {goal.board or 'the bed'}, "
                f"which lies between x {x0} and {x1}, y {y0} and {y1} in setup {setup.index}"
            )
            hint = "places are read from the zero of that setup, as on the sheet"
            mistakes.append(Mistake(f"--spot {place}", 0, 0, "outside-board", message, hint))
    if mistakes:
        raise InputError(mistakes)
    return Found(setup, goal, None)


def _goal(asked: Asked, setup: Setup, flat: list[PlaneGoal]) -> PlaneGoal:
    """Choose the flat goal: the only one, the named board's, or the one that the spots lie on."""
    if asked.board is not None:
        names = [goal.board for goal in flat if goal.board is not None]
        of_board = [goal for goal in flat if goal.board == asked.board]
        if not of_board:
            close = get_close_matches(asked.board, names, n=1)
            message = f"got '{asked.board}', expected one of {', '.join(names) or 'none: it is the bed'}"
            hint = f"did you mean '{close[0]}'?" if close else ""
            raise _wrong(f"--board {asked.board}", "no-such-board", message, hint)
        flat = of_board
    if len(flat) > 1 and asked.spots:
        points = [shapely.Point(spot) for spot in asked.spots]
        flat = [g for g in flat if all(shapely.Polygon(g.region).covers(p) for p in points)] or flat
    if len(flat) > 1:
        message = f"setup {setup.index} cuts {len(flat)} faces, expected one to be named"
        names = [goal.board or "bed" for goal in flat]
        raise _wrong(
            f"--setup {setup.index}", "which-face", message, f"write --board with {' or '.join(names)}"
        )
    return flat[0]
