"""A job with every name, number and role resolved. In: bound documents. Out: `Job`, what planning works from.

mm, mm/min, rpm, degrees. Promise: every tool is a real tool of the shop, and no text is looked up after this.
"""

from __future__ import annotations

from dataclasses import field, replace
from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.board.surface import Board
    from stockwright.machine import Shop
    from stockwright.tooling import Tool

__all__ = [
    "BedStep",
    "EdgeStep",
    "FaceStep",
    "FlipStep",
    "Job",
    "MateStep",
    "Own",
    "PauseStep",
    "Side",
    "Step",
    "Tolerance",
    "TurnStep",
    "Wanted",
    "Zone",
]

Side = Literal["edge-1", "edge-2", "end-1", "end-2"]


@frozen
class Tolerance:
    """What the finished piece may be out by, mm; None where nothing is asked."""

    length: float | None = None
    width: float | None = None
    thickness: float | None = None
    flatness: float | None = None
    parallelism: float | None = None
    squareness: float | None = None
    straightness: float | None = None


@frozen
class Wanted:
    """The finished size, mm; None where the recipe leaves a measure as it is."""

    length: float | None
    width: float | None
    thickness: float | None
    tolerance: Tolerance


@frozen
class Zone:
    """Where holding is wanted: sides below a height, the face clear of some sides, underneath, waste.

    "raised" holds nothing: the board stands on risers, off the bed.
    """

    name: str
    where: tuple[Side, ...] | Literal["face", "underneath", "waste", "raised"]
    below: float | None
    clear_of: tuple[Side, ...]


@frozen
class FaceStep:
    """Cut a face flat. `take` is for the first face, `to` (the thickness it leaves) for every later cut.

    `overlap`: by how much regions overlap, mm, where clamps stand on the face and move while it is cut.
    `together`: how many boards at most lie side by side in one clamping; 1 is each alone.
    """

    face: Literal["A", "B"]
    tool: Tool
    seat: Literal["thickest", "no-rocking", "as-it-lies"]
    take: Literal["half-of-surplus", "least"] | float
    to: float | None
    passes: Literal["along", "across"]
    direction: Literal["both-ways", "conventional", "climb"]
    perimeter: Literal["none", "first", "last"]
    stepover: float
    stepdown: float
    light: float
    hold: tuple[Zone, ...]
    overlap: float = 0.0
    together: int = 1


@frozen
class EdgeStep:
    """Cut an edge or an end straight and square to the faces, `below` deeper than the board.

    `spring`: the last pass once more at the same place; None where the cutter's bending decides. `together`:
    how many boards at most lie side by side in one clamping; 1 is each alone. `hollow`: how far the middle of
    an edge lies inside the line of its ends, mm. `take`: of an edge that is cut alone, to no width, how much
    comes off it at least, mm; None as much as the readings leave open.
    """

    side: Side
    tool: Tool
    to: float | None
    stepover: float
    stepdown: float
    below: float
    light: float
    hold: tuple[Zone, ...]
    spring: bool | None = None
    together: int = 1
    hollow: float = 0.0
    take: float | None = None


@frozen
class FlipStep:
    """Turn the board over; `second_only`: the job's second board, its fourth and so on, not the others."""

    how: Literal["edge-over-edge", "end-over-end"]
    second_only: bool = False


@frozen
class TurnStep:
    """Turn the board on the bed until `side` stands against the fence."""

    side: Side


@frozen
class BedStep:
    """Skim the spoilboard, or joint the wooden fence in place."""

    what: Literal["surface", "fence"]
    tool: Tool
    take: float
    stepover: float
    stepdown: float


@frozen
class PauseStep:
    """Something for people to do before the next clamping.

    `moved` is how far, mm, the board may warp meanwhile; "by-moisture" where it is estimated; None where
    it is not left to rest.
    """

    text: str
    moved: float | Literal["by-moisture"] | None = None


@frozen
class MateStep:
    """Cut edge-2 of every board and edge-1 of the next one in one pass between them, `take` off each, mm."""

    tool: Tool
    take: float
    stepdown: float
    below: float
    hold: tuple[Zone, ...]
    together: int = 2

    @property
    def gap(self) -> float:
        """How far apart the two boards are clamped, mm."""
        return self.tool.diameter - 2 * self.take


Step = FaceStep | EdgeStep | MateStep | FlipStep | TurnStep | BedStep | PauseStep


@frozen
class Own:
    """What is asked of one board for itself: the part it becomes, "" for no name, its size, its steps."""

    part: str
    wanted: Wanted
    steps: tuple[Step, ...]


@frozen
class Job:
    """One recipe, one shop, the boards, the values: bound.

    `place` is the moisture, %, of wood where the finished piece will live; None where nothing is said of it.
    `choices` are sentences on why each cutter was taken; `slide`: a board longer than the machine reaches may
    be slid along and cut in parts. `own`, by board: what is asked of it for itself, where boards become
    different parts; steps are then of the same kinds in the same order, and `wanted` and `steps` are those of
    the first board.
    """

    name: str
    recipe: str
    recipe_version: str
    recipe_digest: str
    shop: Shop
    boards: tuple[Board, ...]
    wanted: Wanted
    steps: tuple[Step, ...]
    place: float | None = None
    choices: tuple[str, ...] = ()
    already: frozenset[Literal["faces", "edge-1", "edge-2"]] = frozenset()
    slide: bool = False
    own: Mapping[str, Own] = field(default_factory=dict)

    def of(self, board: str) -> Job:
        """Return the job as it is for one of its boards, by name."""
        own = self.own.get(board)
        return self if own is None else replace(self, wanted=own.wanted, steps=own.steps)

    def part(self, board: str) -> str:
        """Return what a board becomes, as the job names it; "" where it does not."""
        own = self.own.get(board)
        return "" if own is None else own.part
