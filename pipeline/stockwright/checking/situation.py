"""What the rules look at.

In: a job, its setups and their programs. Out: `Situation`, which changes none of them. Promise: what several
rules need (moves, contacts with wood, swept areas) is computed once.
"""

from __future__ import annotations

from dataclasses import field
from functools import cached_property
from typing import TYPE_CHECKING

from stockwright.checking.bites import Bites, bites_of
from stockwright.checking.forces import Load, loads_of
from stockwright.checking.holds import Hold, holds_of
from stockwright.checking.wood import Eaten, Touch, touches_in
from stockwright.forces.mechanics import FACTOR, THIN_CHIP
from stockwright.frozen import frozen
from stockwright.motion.moves import Moves, moves

if TYPE_CHECKING:
    from collections.abc import Iterator

    from shapely.geometry.base import BaseGeometry

    from stockwright.job import Job
    from stockwright.machine import Machine
    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Cut, Setup, Solid
    from stockwright.tooling import Tool

__all__ = ["Limits", "Run", "Situation"]


@frozen
class Limits:
    """What the rules measure by. Every number: common practice, no source, unless it says otherwise.

    `thin_chip`, `thick_chip` in mm and `thick_share` of the diameter bound the greatest chip; below `burns`
    times the thin one no edge that has cut for an hour bites any more, and it smokes; `light_chip` bounds
    that of a light last pass, thin by nature; `factor` is the design factor on power and force; `wood_gap` is
    what the nut and the nose keep above wood; `level` is half the coarsest step a post writes (0.001 in), by
    which a height or place may be off; `film` is the thickness below which what is left is no piece and no
    fault; `left` the area, mm2, likewise.
    """

    thin_chip: float = THIN_CHIP
    burns: float = 1 / 3
    light_chip: float = 0.03
    thick_chip: float = 0.5
    thick_share: float = 0.03
    factor: float = FACTOR
    wood_gap: float = 2.0
    level: float = 0.013
    film: float = 0.03
    left: float = 0.01


@frozen(eq=False)
class Run:
    """One program with the setup it runs in, its moves and what stands meanwhile."""

    setup: Setup
    program: Program
    moves: Moves
    standing: tuple[Solid, ...]


@frozen(eq=False)
class Situation:
    """Everything planned and cut, before a word of it is written: `programs[i]` belong to `setups[i]`."""

    job: Job
    setups: tuple[Setup, ...]
    programs: tuple[tuple[Program, ...], ...]
    limits: Limits = field(default_factory=Limits)

    @property
    def machine(self) -> Machine:
        """The shop's machine."""
        return self.job.shop.machine

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """Every program in the order it is run."""
        return tuple(
            Run(setup, program, moves(program), tuple(s for s in setup.solids if s.name in program.standing))
            for setup, programs in zip(self.setups, self.programs, strict=True)
            for program in programs
        )

    @cached_property
    def touches(self) -> tuple[Touch, ...]:
        """Where something meets wood that it should not, the worst of each kind in each program."""
        return self._seen[0]

    @cached_property
    def bites(self) -> tuple[Bites, ...]:
        """What every move of every program takes, one for each of `runs`."""
        return tuple(bite for setup in self.setups for bite in self._bites_in(setup))

    def _bites_in(self, setup: Setup) -> tuple[Bites, ...]:
        return bites_of(setup, self.runs_of(setup), self.machine, self._seen[1])

    @cached_property
    def loads(self) -> tuple[Load, ...]:
        """What every move of every program asks of board and spindle, one for each of `runs`."""
        return loads_of(self)

    @cached_property
    def holds(self) -> tuple[Hold, ...]:
        """How well each board is held in each program, where it is known what grips it."""
        return holds_of(self)

    @cached_property
    def _seen(self) -> tuple[tuple[Touch, ...], dict[str, list[Eaten]]]:
        """Contacts, and what the wood's points say that was taken: both of one walk through the programs."""
        eaten: dict[str, list[Eaten]] = {}
        touches = tuple(
            touch
            for setup in self.setups
            for touch in touches_in(setup, self.runs_of(setup), self.machine, self.limits, eaten)
        )
        return touches, eaten

    @cached_property
    def cleared(self) -> dict[tuple[int, float], BaseGeometry]:
        """What a setup (its index) clears in plan down to a height, kept once a rule has worked it out."""
        return {}

    @cached_property
    def tools(self) -> tuple[Tool, ...]:
        """Every cutter in use, once, in the order of first use."""
        used = [run.program.tool for run in self.runs]
        used += [cut.tool for setup in self.setups for cut in setup.cuts]
        return tuple({tool.name: tool for tool in used}.values())

    def runs_of(self, setup: Setup) -> tuple[Run, ...]:
        """Return the runs of one setup, in order."""
        return tuple(run for run in self.runs if run.setup is setup)

    def run_for(self, setup: Setup, tool: Tool) -> Run | None:
        """Return the first run of a setup that cuts with `tool`."""
        for run in self.runs_of(setup):
            if run.program.tool.name == tool.name and run.program.purpose == "cut":
                return run
        return None

    def cuts(self) -> Iterator[tuple[Setup, Cut]]:
        """Yield every cut with its setup, in order."""
        for setup in self.setups:
            for cut in setup.cuts:
                yield setup, cut
