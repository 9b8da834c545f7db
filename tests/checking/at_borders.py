"""Small situations by one number each: for what is just enough, and what is not. Out: `Situation`."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from checking.cases_of_forces import press
from cutters import end_mill, facer
from setups import bed_setup, edge_setup, face_setup, rectangle, shop, solid
from situations import hand, situation
from stockwright.board.nominal import board_from_nominal, measured_within
from stockwright.job import Tolerance
from stockwright.machine import Attached
from stockwright.motion.nodes import Dwell
from stockwright.planning.setup import ShimPlace

if TYPE_CHECKING:
    from situations import Stop
    from stockwright.checking import Situation
    from stockwright.tooling import Tool

__all__ = [
    "backed",
    "bent",
    "beside_one_another",
    "edge_with",
    "face_with",
    "known_within",
    "lowered",
    "over_bed",
    "plate",
    "powered",
    "short",
    "sloped",
    "spanning",
    "trimmed",
    "turning",
    "waiting",
]

RING = ((-20.0, -10.0), (20.0, -10.0), (20.0, 10.0), (-20.0, 10.0))


def short(nut: float = 22.0) -> Tool:
    """Give a cutter that sticks out 31 mm of a nut so high."""
    return end_mill(cutting_length=20.0, stickout=31.0, nut=(34.0, nut))


def edge_with(tool: Tool, **of: object) -> Situation:
    """Give an edge to be cut by a cutter, no program made."""
    return situation(edge_setup(tool=tool, **of), shop(tools=(tool,)), ())  # type: ignore[arg-type]


def face_with(tool: Tool | None = None, **of: object) -> Situation:
    """Give a face to be cut by a cutter, no program made."""
    return situation(face_setup(tool=tool, **of), shop(), ())  # type: ignore[arg-type]


def turning(tool: Tool, *, stepover: float = 6.0, **machine: object) -> Situation:
    """Drive an edge's cutter once beside the wood."""
    setup = edge_setup(tool=tool, stepover=stepover)
    beside: tuple[Stop, ...] = (
        ("rapid", None, None, 60.0),
        ("rapid", 600.0, 500.0, None),
        ("feed", 600.0, 500.0, 20.0),
    )
    return situation(setup, shop(tools=(tool,), **machine), (hand(setup, tool, *beside),))  # type: ignore[arg-type]


def lowered(z: float, *attached: Attached, tool: Tool | None = None, spoilboard: float = 90.0) -> Situation:
    """Lower a cutter beside the wood, on a work zero 4.25 mm above the bed."""
    tool = tool or short()
    setup = replace(edge_setup(tool=tool), work_origin=(200.0, 140.0, 4.25), lies=())
    setup = replace(setup, wood_outline=np.empty((0, 2)))  # its first move may come from anywhere
    down: tuple[Stop, ...] = (("feed", 600.0, 500.0, 60.0), ("feed", 600.0, 500.0, z))
    own = shop(tools=(tool,), attached=attached, spoilboard=spoilboard)
    return situation(setup, own, (hand(setup, tool, *down),))


def plate(bottom: float, way: Literal["z", "gantry"], *, soft: bool = False) -> Attached:
    """Give something that rides with the spindle."""
    return Attached("plate", RING, bottom, bottom + 5.0, way, soft=soft)


def powered(watts: float) -> Situation:
    """Face 25 mm at a time, 2 mm deep, at 3000 mm/min: 75 W."""
    setup = face_setup(stepover=25.0)
    beside: tuple[Stop, ...] = (("rapid", None, None, 60.0), ("rapid", 900.0, 600.0, 60.0))
    program = hand(setup, facer(), *beside, ("feed", 901.0, 600.0, 60.0))
    return situation(setup, shop(power=watts), (program,))


def spanning(
    x: tuple[float, float] = (0.0, 1400.0),
    y: tuple[float, float] = (0.0, 900.0),
    z: tuple[float, float] = (40.0, 180.0),
) -> Situation:
    """Drive beside the wood from x 450 to 650, y 500 to 600, z 10 to 60; the nose is 82 mm up."""
    setup = edge_setup()
    path: tuple[Stop, ...] = (
        ("feed", 450.0, 500.0, 60.0),
        ("feed", 450.0, 500.0, 10.0),
        ("feed", 650.0, 600.0, 10.0),
    )
    return situation(setup, shop(travel=(x, y, z)), (hand(setup, end_mill(), *path),))


def over_bed(kind: Literal["rapid", "feed"], z: float, tool: Tool | None = None) -> Situation:
    """Pass over the bed, whose surface is at 0."""
    setup = bed_setup(take=2.0)
    path: tuple[Stop, ...] = (
        ("rapid", None, None, 30.0),
        ("rapid", -90.0, 150.0, None),
        (kind, -90.0, 150.0, z),
        (kind, 90.0, 150.0, z),
        ("rapid", None, None, 30.0),
    )
    return situation(setup, shop(), (hand(setup, tool or facer(), *path),))


def sloped(fall: float) -> Situation:
    """Descend in the bed at a cutter's own slope of 45 degrees, and so much more, over 2 mm."""
    tool = facer(ramp=45.0, diameter=20.0)
    setup = bed_setup(take=9.0)
    path: tuple[Stop, ...] = (("feed", 150.0, 150.0, 1.0), ("feed", 152.0, 150.0, 1.0 - 2.0 - fall))
    return situation(setup, shop(), (hand(setup, tool, *path),))


def trimmed(out: float) -> Situation:
    """Drive once along the far wall, its centre so far from it."""
    setup = edge_setup(waste=6.0)
    path: tuple[Stop, ...] = (
        ("rapid", None, None, 60.0),
        ("rapid", 60.0, 174.0 + out, None),
        ("feed", 60.0, 174.0 + out, -1.0),
        ("feed", 440.0, 174.0 + out, -1.0),
    )
    return situation(setup, shop(), (hand(setup, end_mill(), *path),))


def beside_one_another(x: float = 1.0, y: float = 1.0, z: float = 1.0) -> Situation:
    """Let two things share a space."""
    one = solid("clamp 1", rectangle(-30.0, -30.0, x, y), top=z)
    other = solid("clamp 2", rectangle(0.0, 0.0, 30.0, 30.0))
    return face_with(solids=(one, other))


def waiting(z: float) -> Situation:
    """Wait over wood whose top is at 0."""
    setup = replace(face_setup(), wood_top=0.0)
    made = hand(setup, facer(), ("feed", 250.0, 130.0, z))
    program = replace(made, nodes=(*made.nodes[:-1], Dwell(1.0), made.nodes[-1]))
    return situation(setup, shop(), (program,))


def backed(near: float) -> Situation:
    """Cut the left end at x 106, its teeth leaving at y 79.9, scrap standing from `near` downwards."""
    scrap = solid("scrap", rectangle(90.0, 40.0, 130.0, near), kind="backing")
    return situation(edge_setup(sides=("left",), solids=(scrap,)), shop(), ())


def known_within(times: float) -> Situation:
    """Give a board known within so many times what readings would come to."""
    board = board_from_nominal("board", 500.0, 160.0, 40.0)
    board = replace(board, uncertainty=times * measured_within(500.0, 160.0))
    bare = face_with()
    return replace(bare, job=replace(bare.job, boards=(board,)))


def bent(flatness: float, off: float = 60.0) -> Situation:
    """Press a board between two shims, a flatness being asked."""
    shims = tuple(ShimPlace("board", x, 130.0, 1.0) for x in (250.0 - off, 390.0))
    setup = replace(face_setup(), shims=shims, grips=(press(250.0, 130.0, 2000.0),))
    bare = situation(setup, shop(), ())
    return replace(
        bare, job=replace(bare.job, wanted=replace(bare.job.wanted, tolerance=Tolerance(flatness=flatness)))
    )
