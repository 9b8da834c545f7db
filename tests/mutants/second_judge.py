"""The second judge: does a damaged program do harm? In: a packet, a setup, texts. Out: `Harm`s.

Exact and slow where the proof is quick and cautious: plane geometry on polygons, no cells. Written from
PACKET.md; shares nothing with the proof. A harm is `sure`, or it lies within a stated band of a tolerance and
the judge is not sure: both are told apart, none is dropped. What it takes for harm is the list of `KINDS`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mutants.second_goals import goals
from mutants.second_harm import KINDS, Harm, Kerf, Run, verdict
from mutants.second_limits import beyond, left_over, unready
from mutants.second_moves import follow
from mutants.second_reading import SECOND
from mutants.second_solids import solids
from mutants.second_text import Note, Script, Step
from mutants.second_wood import BESIDE, Piece, pieces
from stockwright.packet.model import PlaneGoal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.model import Packet, Program, Setup

__all__ = ["KINDS", "Harm", "SecondJudge", "verdict"]


class SecondJudge:
    """The judge of one packet; what stays the same between mutants is worked out once."""

    def __init__(self, packet: Packet, texts: Mapping[str, str]) -> None:
        self.packet = packet
        self._reader = {
            program.file: program.reader or program.post
            for setup in packet.setups
            for program in setup.programs
        }
        self._control = {
            program.file: packet.machine.controls.get(program.post)
            for setup in packet.setups
            for program in setup.programs
        }
        self._wood: dict[int, list[Piece]] = {}
        self._scripts: dict[tuple[str, str], Script] = {}
        self._undamaged = {file: _doings(self.read(file, text)) for file, text in texts.items()}

    def judge(self, texts: Mapping[str, str], damaged: set[str]) -> list[Harm]:
        """Judge every setup that a damaged file is of; `texts` holds at least the files of those setups."""
        found: list[Harm] = []
        # A text that says the same moves and notes in other words does what the undamaged one did.
        damaged = {
            file
            for file in damaged
            if _doings(self.read(file, texts[file])) != self._undamaged[file]
            or self._not_taken(file, texts[file])
        }
        for index, setup in enumerate(self.packet.setups):
            if damaged & {program.file for program in setup.programs}:
                found += self.setup(index, setup, texts, damaged)
        return found

    def setup(self, index: int, setup: Setup, texts: Mapping[str, str], damaged: set[str]) -> list[Harm]:
        """Run the programs of one clamping in order, then see whether its goals hold."""
        if index not in self._wood:
            self._wood[index] = pieces(self.packet, index)
        wood = self._wood[index]
        kerfs: list[Kerf] = []
        harms: list[Harm] = []
        seen = False
        for program in setup.programs:
            assert program.tool is not None
            tool = self.packet.tools[program.tool]
            read = self.read(program.file, texts[program.file])
            harms += self._not_taken(program.file, texts[program.file]) if program.file in damaged else []
            if read.bad is not None:
                harms += [
                    Harm("left-over", program.file, note.line, sure=True, what=note.said)
                    for note in read.items
                    if isinstance(note, Note) and note.what == "first"
                ]
                return [*harms, Harm("text", program.file, read.bad[0], sure=True, what=read.bad[1])]
            seen = seen or program.file in damaged
            run = Run(self.packet.machine, setup, program, tool, wood, self._other(setup, program), kerfs)
            follow(run, read, judged=seen)
            if seen:
                solids(run, read)
                harms += run.harms
        harms += goals(self.packet, setup, wood, kerfs)
        return harms

    def read(self, file: str, text: str) -> Script:
        """Read a file's text in its own dialect, remembering the last ones."""
        key = (self._reader[file], text)
        if key not in self._scripts:
            if len(self._scripts) > 64:
                self._scripts.clear()
            self._scripts[key] = SECOND[key[0]](text)
        return self._scripts[key]

    def _not_taken(self, file: str, text: str) -> list[Harm]:
        """Give what the control does not take of a text, and what it would need to hear first."""
        control = self._control[file]
        lines = beyond(control, text)
        harms = [Harm("text", file, line, sure=True, what=what) for line, what in lines]
        for line, what in unready(control, self.read(file, text).items):
            harms.append(Harm("rest" if "speed" in what else "tool", file, line, sure=True, what=what))
        left = left_over(control, text)
        return harms if left is None else [*harms, Harm("left-over", file, left[0], sure=True, what=left[1])]

    def _other(self, setup: Setup, program: Program) -> list[Piece]:
        """Give what is wood too: the bed, and scrap that may be cut, with no uncertainty.

        A bed that is skimmed is a board of its setup, as large as what is asked of it; beside it there
        may be more, where a turning cutter comes down.
        """
        everything = shapely.box(-1e4, -1e4, 1e4, 1e4)
        bed = -setup.work_origin[2]
        none = np.empty((0, 3, 3))
        skims = [goal for goal in setup.goals if isinstance(goal, PlaneGoal) and goal.board is None]
        beyond = everything.difference(shapely.union_all([shapely.Polygon(goal.region) for goal in skims]))
        name = BESIDE if skims else "the bed"
        found = [Piece(name, beyond, beyond, bed, none, 0.0, (-1e4, -1e4))]
        for solid in setup.solids:
            if solid.may_cut_to is not None and program.purpose == "cut" and solid.name in program.standing:
                area = shapely.Polygon(solid.outline)
                found.append(Piece(solid.name, area, area, solid.top, none, 0.0, (bed, bed)))
        return found


def _doings(read: Script) -> tuple[object, ...]:
    """Give what a text does, without the numbers of its lines; not-a-number is made equal to itself."""
    if read.bad is not None:
        return ("bad", *read.bad)
    return tuple(
        str((item.rapid, item.start, item.end, item.feed, item.rpm))
        if isinstance(item, Step)
        else str((item.what, item.value, item.said))
        for item in read.items
    )
