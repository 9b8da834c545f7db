"""What the second judge tells, and the bands in which it is not sure. In: nothing. Out: its words.

Also what it carries along a program: `Run`, with the kerfs cut so far. mm, work frame.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import shapely

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from mutants.second_wood import Piece
    from stockwright.packet.model import Machine, Program, Setup, Tool

__all__ = [
    "CLEAR",
    "CRAWL",
    "FACE",
    "FINE",
    "HEIGHT",
    "KINDS",
    "NOTHING",
    "RIM",
    "SLIVER",
    "THICK",
    "WALL",
    "WIDE",
    "Harm",
    "Kerf",
    "Run",
    "slices",
    "swept",
    "verdict",
]

KINDS = {
    "text": "a strict controller refuses the line, or its meaning is not in the text",
    "left-over": "a first move before units, distances, feed mode, or an outline's stopped spindle are said",
    "tool": "another tool is asked for, or it is changed after a move",
    "rounding": "corners may be rounded, by how much is not said",
    "spindle": "wrong way, outside what machine and cutter allow, on in an outline, at a stop or at the end",
    "feed": "faster than the machine feeds",
    "start": "anything but straight up to a clear height while the place is not known",
    "travel": "beyond the travel of the spindle nose, or deeper below the bed than allowed",
    "solid": "nearer than the margin to a thing that stands",
    "contact": "wood or bed met by a rapid, by a cutter that does not turn, or in an outline",
    "plunge": "down into wood or bed more steeply than the cutter can",
    "rest": "at a depth where wood was met: the spindle stopped or started, or the cutter crawling",
    "body": "something above the cutter meets wood or bed",
    "end": "not raised clear of all that stands",
    "left": "wood stands above a flat goal, or outside a wall",
    "deep": "wood is cut below a flat goal, inside a wall, or where nothing asks for it",
    "loose": "a piece comes off and is not held",
    "thick": "a cut thicker than the cutter may take at once",
}

# The bands, mm: within them of a tolerance the judge is not sure.
HEIGHT = 0.05  # measured faces are drawn in triangles here, and by cells in the proof
RIM = (0.02, 0.15)  # half the width of a contact: less is none, more is sure
FACE = 0.02  # of the tolerance of a flat goal
WALL = (0.003, 0.01)  # half the width of what stands outside a wall, and depth inside it times a half
CLEAR = 0.01  # of the margin, of travel, of clear heights
SLIVER = (0.15, 0.4)  # half the width of a piece that comes off
THICK = (0.1, 0.4)  # beyond what a cutter may take at once
WIDE = 1.4  # half the width of a cut that is too thick: a narrower strip is not surely harm
CRAWL = 10.0  # mm/min: below it a cutter in wood is as good as standing; the proof's page says so too
NOTHING = 0.002  # mm: two of the thousandths that programs are written in
QUADRANT = 32  # chords a quarter circle, for contacts
FINE = 64  # the same, for goals: at 25 mm radius a chord lies 0.002 mm inside, at 6 mm 0.0005


@dataclass(frozen=True)
class Harm:
    """One harm: its kind, file and line (1 up), whether it is sure, and the area where wood was left."""

    kind: str
    file: str
    line: int
    sure: bool
    what: str = ""
    spots: BaseGeometry | None = field(default=None, compare=False, repr=False)


def verdict(harms: list[Harm]) -> str:
    """Sum up: harmful, unsure or harmless."""
    if any(harm.sure for harm in harms):
        return "harmful"
    return "unsure" if harms else "harmless"


@dataclass(frozen=True, eq=False)
class Kerf:
    """What one fed, turning move has cleared: from a to b within `radius`, tip between `low` and `high`."""

    a: tuple[float, float]
    b: tuple[float, float]
    radius: float
    low: float
    high: float
    file: str
    line: int

    @cached_property
    def area(self) -> BaseGeometry:
        """The area in plan, inscribed, as finely chorded as contacts want it."""
        return swept(self.a, self.b, self.radius)

    @cached_property
    def fine(self) -> BaseGeometry:
        """The same, as finely chorded as goals want it."""
        return swept(self.a, self.b, self.radius, FINE)


def swept(
    a: tuple[float, float], b: tuple[float, float], radius: float, chords: int = QUADRANT
) -> BaseGeometry:
    """Give what a disc sweeps from a to b."""
    line = shapely.Point(a) if a == b else shapely.LineString([a, b])
    return line.buffer(radius, quad_segs=chords)


@dataclass(eq=False)
class Run:
    """One program under way: its setup, the wood, what else is wood, and the kerfs of the setup so far."""

    machine: Machine
    setup: Setup
    program: Program
    tool: Tool
    wood: list[Piece]
    other: list[Piece]
    kerfs: list[Kerf]
    harms: list[Harm] = field(default_factory=list)

    def tell(self, kind: str, line: int, *, sure: bool, what: str = "") -> None:
        """Note a harm of this program."""
        self.harms.append(Harm(kind, self.program.file, line, sure, what=what))


def slices(a: tuple[float, ...], b: tuple[float, ...]) -> list[tuple[tuple[float, ...], tuple[float, ...]]]:
    """Cut a slanting move into pieces that fall 0.2 mm, 200 at most; a move straight down is its end."""
    if a[:2] == b[:2]:
        low = a if a[2] < b[2] else b
        return [(low, low)]
    count = max(1, min(200, math.ceil(abs(a[2] - b[2]) / 0.2)))
    at = [tuple(p + (q - p) * k / count for p, q in zip(a, b, strict=True)) for k in range(count + 1)]
    return list(itertools.pairwise(at))
