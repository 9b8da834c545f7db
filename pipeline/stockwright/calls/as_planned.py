"""How a job seats its boards and which levels it cuts, for the drawing.

In: `run.Checked`. Out: `Shown` by board. Public: as_planned(checked) -> dict of the board's name to
`board.shown.Shown` Promise: taken from the programs as they are written, not from what was intended.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.shown import Level, Shown
from stockwright.motion.arcs import SAGITTA, chords
from stockwright.motion.nodes import Arc, Feed, Program, Rapid
from stockwright.planning.setup import FaceCut, Setup

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from stockwright.planning.piece import Piece
    from stockwright.run import Checked

    Floats = NDArray[np.float64]

__all__ = ["as_planned"]

_SAME = 1e-6  # mm; heights of one level


def as_planned(checked: Checked) -> dict[str, Shown]:
    """Return how each board of the job is seated, its finished faces and the levels that lead to them."""
    return {piece.wood.board.name: _shown(checked, piece) for piece in checked.plan.pieces}


def _shown(checked: Checked, piece: Piece) -> Shown:
    name = piece.wood.board.name
    seating = piece.seating
    planes = {"A": (seating.a, seating.b, seating.top), "B": (seating.a, seating.b, seating.bottom)}
    levels: list[Level] = []
    for setup, programs in zip(checked.plan.setups, checked.programs, strict=True):
        for cut in setup.cuts:
            if isinstance(cut, FaceCut) and cut.of(name):
                face, plane, found = _face(setup, name, cut, programs)
                planes[face] = plane
                levels += found
    # Both finished faces have the seating's tilt, but for rounding.
    return Shown(
        seating=replace(
            seating, a=planes["A"][0], b=planes["A"][1], top=planes["A"][2], bottom=planes["B"][2]
        ),
        words=f"as the job {checked.job.name} seats it",
        levels=tuple(levels),
    )


def _face(
    setup: Setup, name: str, cut: FaceCut, programs: tuple[Program, ...]
) -> tuple[str, tuple[float, float, float], list[Level]]:
    """Return the face, its finished plane in the board frame, and its levels from the highest down."""
    lies = next(each for each in setup.lies if each.board == name)
    m = lies.matrix
    plane = (
        float(-m[2, 0] / m[2, 2]),
        float(-m[2, 1] / m[2, 2]),
        float((cut.z - m[2, 3]) / m[2, 2]),
    )
    back = np.linalg.inv(m)
    paths: dict[float, list[Floats]] = {}
    for program in programs:
        if program.purpose == "cut" and program.tool == cut.tool:
            for start, end in _lines(program):
                if abs(start[2] - end[2]) <= _SAME and start[2] >= cut.z - _SAME:
                    both = np.column_stack([np.array([start, end]), np.ones(2)]) @ back.T
                    paths.setdefault(round(float(start[2] - cut.z), 4), []).append(both[:, :2])
    face = cut.name.removeprefix("face ")
    found = [
        Level(face, height, np.array(lines), cut.tool.diameter / 2.0)
        for height, lines in sorted(paths.items(), reverse=True)
    ]
    return face, plane, found


def _lines(program: Program) -> Iterator[tuple[Floats, Floats]]:
    """Yield the straight lines that are cut, from place to place; (x, y, z) of the tip."""
    at = np.full(3, np.nan)
    for node in program.nodes:
        if isinstance(node, Rapid):
            to = [old if new is None else new for old, new in zip(at, (node.x, node.y, node.z), strict=True)]
            at = np.array(to, dtype=float)
        elif isinstance(node, Feed | Arc):
            for point in node.points if isinstance(node, Feed) else chords(at, node, SAGITTA):
                if np.isfinite(at).all():
                    yield at, point
                at = np.asarray(point, dtype=float)
