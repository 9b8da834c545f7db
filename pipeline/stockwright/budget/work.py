"""What is cut, as far as the machine's errors show in it. In: a job's setups, or a shop alone. Out: `Work`.

Promise: only what the setups really cut is budgeted; a shop without a job is shown on one reference board.
mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen
from stockwright.planning.setup import EdgeCut, FaceCut
from stockwright.units import INCH

if TYPE_CHECKING:
    from stockwright.board.surface import Board
    from stockwright.job import Job, Side
    from stockwright.machine import Shop
    from stockwright.planning.setup import Setup, Slid
    from stockwright.tooling import Tool

__all__ = ["Carried", "Facing", "Siding", "Work", "reference", "work_of"]

# mm: length, width, thickness of the board a shop alone is judged by; round in the shop's own units
REFERENCES = {"mm": (1000.0, 200.0, 25.0), "inch": (40 * INCH, 8 * INCH, 1 * INCH)}
LIGHT = 0.4  # mm the last pass takes sideways where no recipe says, as recipes do by default
BELOW = 0.5  # mm the tip goes below the board, likewise
SIDES: tuple[Side, ...] = ("edge-1", "end-1", "end-2", "edge-2")
TOUCHES = 0.05  # mm between a board's near edge and the fence's face that still is contact


@frozen
class Carried:
    """On what a board stands off the bed: `count` risers; how far it is borne along it and across it."""

    count: int
    along: float
    across: float


@frozen
class Facing:
    """One face as last cut: cutter, stepover, along which axis of the bed it travels.

    `rests`: on a true face, so that the thickness is made here; `clamp_step`: the step that may stand between
    regions cut with the clamps at different places; `slid`: the last position of a board that was slid
    along; `risers`: what carries it, None on the bed.
    """

    face: Literal["A", "B"]
    tool: Tool
    stepover: float
    travels: Literal["x", "y"]
    rests: bool
    clamp_step: float = 0.0
    slid: Slid | None = None
    risers: Carried | None = None


@frozen
class Siding:
    """One edge or end: cutter, last pass, height of the wall; `lies` along which axis of the bed.

    `setup` is its clamping's number; `fenced`: the trued edge stands against the fence meanwhile; `slid`
    and `risers` as of a face.
    """

    side: Side
    tool: Tool
    light: float
    height: float
    spring: bool
    lies: Literal["x", "y"]
    setup: int
    fenced: bool
    slid: Slid | None = None
    risers: Carried | None = None


@frozen
class Work:
    """One board's cuts, its finished size, its `species` where that is said."""

    board: str
    length: float
    width: float
    thickness: float
    facings: tuple[Facing, ...]
    sidings: tuple[Siding, ...]
    species: str | None = None

    def facing(self, face: str) -> Facing | None:
        """Return how a face is cut; None where it is not."""
        return next((each for each in self.facings if each.face == face), None)

    def below(self, facing: Facing) -> Facing | None:
        """Return how the face was cut that lies below while another one is; None where it is not."""
        return self.facing("A" if facing.face == "B" else "B")

    def siding(self, side: str) -> Siding | None:
        """Return how a side is cut; None where it is not."""
        return next((each for each in self.sidings if each.side == side), None)


def work_of(job: Job, setups: tuple[Setup, ...], board: Board) -> Work:
    """Return what is cut of a board."""
    low, high = board.outline.min(axis=0), board.outline.max(axis=0)
    facings: dict[str, Facing] = {}
    sidings: dict[str, Siding] = {}
    faced: set[str] = set()
    for setup in setups:
        lie = next((each for each in setup.lies if each.board == board.name), None)
        if lie is None:
            continue
        turned = lie.quarter_turns % 2 == 1
        under = "B" if lie.up == "A" else "A"
        risers = _carried(setup, turned=turned)
        seams = [cut.seam for cut in setup.cuts if isinstance(cut, FaceCut) and cut.of(board.name)]
        for cut in setup.cuts:
            if isinstance(cut, FaceCut) and cut.of(board.name):
                facings[lie.up] = Facing(
                    face=lie.up,
                    tool=cut.tool,
                    stepover=cut.stepover,
                    travels="x" if cut.passes == "along" else "y",  # of the bed, however the board lies
                    rests=under in faced,
                    clamp_step=max(seams),
                    slid=setup.slid,
                    risers=risers,
                )
                faced.add(lie.up)
            elif isinstance(cut, EdgeCut) and cut.of(board.name) and cut.side is not None:
                along = cut.side.startswith("edge")
                sidings[cut.side] = Siding(
                    side=cut.side,
                    tool=cut.tool,
                    light=cut.light,
                    height=cut.ceiling - cut.bottom,
                    spring=cut.spring,
                    lies="x" if along is not turned else "y",
                    setup=setup.index,
                    fenced=_fenced(job.shop, setup),
                    slid=setup.slid,
                    risers=risers,
                )
    wanted = job.of(board.name).wanted
    return Work(
        board=board.name,
        length=wanted.length or float(high[0] - low[0]),
        width=wanted.width or float(high[1] - low[1]),
        thickness=wanted.thickness or float((board.top - board.bottom).mean()),
        facings=tuple(facings.values()),
        sidings=tuple(sidings.values()),
        species=board.species,
    )


def _carried(setup: Setup, *, turned: bool) -> Carried | None:
    """Return what carries a board; `turned`: its length lies along y of the bed."""
    corners = [corner for solid in setup.solids if solid.kind == "riser" for corner in solid.outline]
    if not corners:
        return None
    count = sum(solid.kind == "riser" for solid in setup.solids)
    x, y = (max(values) - min(values) for values in zip(*corners, strict=True))
    return Carried(count, float(y if turned else x), float(x if turned else y))


def _fenced(shop: Shop, setup: Setup) -> bool:
    """Say whether the board's near edge stands against the fence."""
    if shop.fence is None or not any(solid.kind == "fence" for solid in setup.solids):
        return False
    near = float(setup.wood_outline[:, 1].min()) + setup.work_origin[1]
    return abs(near - shop.fence.face) < TOUCHES


def reference(shop: Shop) -> Work:
    """Return the reference board: both faces, all sides, by the shop's widest cutter for each.

    A machine too small for it is judged by as much of its travel as there is.
    """
    length, width, thickness = REFERENCES[shop.units]
    faces = _widest(shop, ("face",))
    edges = _widest(shop, ("edge", "end"))
    facings = [] if faces is None else [_faced(face, faces) for face in ("A", "B")]
    sidings = [] if edges is None else [_sided(side, edges, shop) for side in SIDES]
    return Work("reference board", length, width, thickness, tuple(facings), tuple(sidings))


def _faced(face: Literal["A", "B"], tool: Tool) -> Facing:
    return Facing(face, tool, tool.stepover, "x", rests=face == "B")


def _sided(side: Side, tool: Tool, shop: Shop) -> Siding:
    """Give a side of the reference board: edge-1 alone, the rest against the fence where there is one."""
    first = side == "edge-1"
    return Siding(
        side=side,
        tool=tool,
        light=LIGHT,
        height=REFERENCES[shop.units][2] + BELOW,
        spring=False,
        lies="x" if side.startswith("edge") else "y",
        setup=1 if first else 2,
        fenced=shop.fence is not None and not first,
    )


def _widest(shop: Shop, does: tuple[str, ...]) -> Tool | None:
    able = [tool for tool in shop.tools if any(each in tool.does for each in does)]
    return min(able, key=lambda t: (-t.diameter, t.cutting_length, t.name)) if able else None
