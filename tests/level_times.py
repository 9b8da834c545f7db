"""Modelled times of faces cut in levels, with and without skipping air. In: boards. Out: seconds, arrays."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from random_jobs import facing_job
from stockwright.cutting.faces import face_depths, lay_levels
from stockwright.cutting.ground import Ground, ground
from stockwright.cutting.path import Path
from stockwright.findings import Refused
from stockwright.motion.nodes import Program
from stockwright.motion.timing import seconds
from stockwright.planning import plan
from stockwright.planning.setup import FaceCut

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.board.surface import Board
    from stockwright.motion.nodes import Node

__all__ = ["Face", "able", "faces", "whole_levels"]

RESOLUTION = 0.001  # mm


@dataclass(frozen=True, eq=False)
class Face:
    """One planned face and what its machine can do."""

    board: str
    cut: FaceCut
    ground: Ground

    def nodes(self, depths: tuple[int, ...] | None = None, *, skip_air: bool = True) -> tuple[Node, ...]:
        """Return the motion of the face alone; without `depths`, at those that the planner chooses."""
        path = Path(self.ground.steps, self.ground.clear)
        depths = face_depths(self.cut, self.ground) if depths is None else depths
        lay_levels(path, self.cut, self.ground, depths, skip_air=skip_air)
        return path.nodes()

    def seconds(self, depths: tuple[int, ...] | None = None, *, skip_air: bool = True) -> float:
        """Return the modelled time of the face alone."""
        nodes = self.nodes(depths, skip_air=skip_air)
        program = Program("face", "face", 1, "cut", self.cut.tool, nodes, (), "")
        machine = self.ground.machine
        return seconds(program, machine.rapid, machine.acceleration)


def able(boards: Iterable[Board], *, stepdown: float = 1.0, light: float = 0.5) -> list[Board]:
    """Return the boards whose faces can be planned: a few come out too thin to be held, or spring."""
    found = []
    for board in boards:
        with contextlib.suppress(Refused):
            plan(facing_job(board, stepdown=stepdown, light=light))
            found.append(board)
    return found


def faces(boards: Iterable[Board], *, stepdown: float = 1.0, light: float = 0.5) -> list[Face]:
    """Plan both faces of every board, seated as thick as can be; raises `Refused` where one cannot be."""
    found = []
    for board in boards:
        job = facing_job(board, stepdown=stepdown, light=light)
        for setup in plan(job).setups:
            [cut] = setup.cuts
            assert isinstance(cut, FaceCut)
            found.append(Face(board.name, cut, ground(setup, job.shop, RESOLUTION)))
    return found


def whole_levels(face: Face, step: float = 1.0) -> tuple[int, ...]:
    """Return depths `step` mm apart from the highest wood down; the last as light as the planner's last."""
    steps, cut = face.ground.steps, face.cut
    top, last, each = steps.up(cut.ceiling), steps.up(cut.z), steps.down(step)
    floor = last + min(steps.down(cut.light), each)
    if top <= floor:
        return (last,)
    above = tuple(range(top - each, floor, -each))
    return (*above, floor, last) if floor > last else (*above, last)
