"""Small setups and shops for tests of the stages after planning.

In: keyword parameters. Out: `Setup` and `Shop` values as the plan stage would hand them on; work frame, mm.
Every setup's work zero is the shop's bed mark, z zero on the bed surface.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from cutters import end_mill, facer
from stockwright.machine import Bed, Machine, Shop
from stockwright.planning.setup import (
    BedCut,
    EdgeCut,
    FaceCut,
    Lies,
    PlaneGoal,
    Setup,
    Solid,
    WallGoal,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.planning.setup import Goal
    from stockwright.tooling import Tool

__all__ = [
    "bed_setup",
    "edge",
    "edge_line",
    "edge_setup",
    "face",
    "face_setup",
    "rectangle",
    "shop",
    "solid",
    "tall_edge_setup",
]

MARGIN = 3.0


def rectangle(x0: float, y0: float, x1: float, y1: float) -> NDArray[np.float64]:
    """Give the corners of a rectangle anticlockwise, (4, 2)."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64)


def shop(
    *,
    tools: tuple[Tool, ...] = (),
    units: Literal["mm", "inch"] = "mm",
    travel: tuple[tuple[float, float], tuple[float, float], tuple[float, float]] = (
        (0.0, 1400.0),
        (0.0, 900.0),
        (40.0, 180.0),
    ),
    mark: tuple[float, float] = (200.0, 140.0),
    **changes: object,
) -> Shop:
    """Give a shop with one machine and no fence; `changes` replace fields of its machine."""
    machine = Machine(
        name="router",
        x=travel[0],
        y=travel[1],
        z=travel[2],
        rapid=6000.0,
        rapids="independent",
        acceleration=400.0,
        max_feed=5000.0,
        min_rpm=8000.0,
        max_rpm=24000.0,
        power=1500.0,
        spoilboard=6.0,
        margin=MARGIN,
        park=(40.0, 860.0),
    )
    return Shop(
        name="two-bench workshop",
        post="rs274-ngc",
        units=units,
        machine=replace(machine, **changes),  # type: ignore[arg-type]
        bed=Bed(mark=mark, x=(20.0, 1380.0), y=(20.0, 880.0), skimmed=None),
        fence=None,
        hold_downs=(),
        shims=(0.1, 0.2, 0.5, 1.0, 2.0),
        tools=tools or (facer(), end_mill()),
    )


_small_shop = shop  # the setups below take a `shop` of the caller's


def solid(
    name: str,
    outline: NDArray[np.float64],
    *,
    bottom: float = 0.0,
    top: float = 14.0,
    kind: str = "side-clamp",
    may_cut_to: float | None = None,
) -> Solid:
    """Give something that stands."""
    return Solid(name=name, kind=kind, outline=outline, bottom=bottom, top=top, may_cut_to=may_cut_to)


def _setup(
    *,
    cuts: tuple[FaceCut | EdgeCut | BedCut, ...],
    shop: Shop,
    goals: tuple[Goal, ...],
    solids: tuple[Solid, ...],
    outline: NDArray[np.float64],
    wood_top: float,
    index: int,
    boards: tuple[str, ...] = ("board",),
) -> Setup:
    mark = shop.bed.mark
    return Setup(
        index=index,
        title="small setup",
        cuts=cuts,
        lies=tuple(Lies(board=board, up="A", quarter_turns=0, matrix=np.eye(4)) for board in boards),
        work_origin=(mark[0], mark[1], 0.0),
        zero_z="support",
        zero_how="Touch off on the bed beside the board.",
        goals=goals,
        solids=solids,
        shims=(),
        placing=(),
        wood_outline=outline,
        wood_top=wood_top,
        clear_z=max([wood_top, *(each.top for each in solids)]) + 10.0,
        seat_check=(),
    )


def face(
    *,
    size: tuple[float, float] = (300.0, 100.0),
    at: tuple[float, float] = (100.0, 80.0),
    tool: Tool | None = None,
    z: float = 30.0,
    ceiling: float = 35.0,
    wood: NDArray[np.float64] | None = None,
    passes: Literal["along", "across"] = "along",
    direction: Literal["both-ways", "conventional", "climb"] = "both-ways",
    perimeter: Literal["none", "first", "last"] = "none",
    stepover: float | None = None,
    stepdown: float | None = None,
    light: float = 0.5,
    region: NDArray[np.float64] | None = None,
    cell: float = 10.0,
) -> FaceCut:
    """Give a face cut over a rectangle of `size` whose low corner is `at`.

    `wood` (n, m) replaces the level surface at `ceiling`; its grid spans the region's bounding box evenly.
    """
    tool = tool or facer()
    if region is None:
        region = rectangle(at[0], at[1], at[0] + size[0], at[1] + size[1])
    low, high = region.min(axis=0), region.max(axis=0)
    if wood is None:
        count = np.maximum(2, np.ceil((high - low) / cell).astype(int) + 1)
        wood = np.full((int(count[0]), int(count[1])), ceiling)
    return FaceCut(
        board="board",
        name="face A",
        tool=tool,
        z=z,
        region=region,
        grid_x=np.linspace(low[0], high[0], wood.shape[0]),
        grid_y=np.linspace(low[1], high[1], wood.shape[1]),
        wood=wood,
        ceiling=float(wood.max()),
        passes=passes,
        direction=direction,
        perimeter=perimeter,
        stepover=tool.stepover if stepover is None else stepover,
        stepdown=tool.stepdown if stepdown is None else stepdown,
        light=light,
    )


def face_setup(
    *, solids: tuple[Solid, ...] = (), shop: Shop | None = None, index: int = 1, **of: object
) -> Setup:
    """Give a setup that faces one rectangle, 300 by 100 unless said; `of` goes to `face`."""
    cut = face(**of)  # type: ignore[arg-type]
    return _setup(
        cuts=(cut,),
        shop=shop or _small_shop(tools=(cut.tool,)),
        goals=(PlaneGoal(board="board", cut=cut.name, z=cut.z, region=cut.region),),
        solids=solids,
        outline=cut.region,
        wood_top=cut.ceiling,
        index=index,
    )


def edge_line(
    side: Literal["far", "near", "left", "right"],
    *,
    size: tuple[float, float],
    at: tuple[float, float],
    waste: float,
) -> tuple[NDArray[np.float64], Literal["left", "right"], NDArray[np.float64]]:
    """Give (line (2, 2), inside, waste polygon (4, 2)) of one side of a rectangle of wood.

    The rectangle is the rough board; the line lies `waste` inside its side.
    """
    x0, y0, x1, y1 = at[0], at[1], at[0] + size[0], at[1] + size[1]
    if side == "far":
        return np.array([[x0, y1 - waste], [x1, y1 - waste]]), "right", rectangle(x0, y1 - waste, x1, y1)
    if side == "near":
        return np.array([[x0, y0 + waste], [x1, y0 + waste]]), "left", rectangle(x0, y0, x1, y0 + waste)
    if side == "left":
        return np.array([[x0 + waste, y0], [x0 + waste, y1]]), "right", rectangle(x0, y0, x0 + waste, y1)
    return np.array([[x1 - waste, y0], [x1 - waste, y1]]), "left", rectangle(x1 - waste, y0, x1, y1)


def edge(
    *,
    side: Literal["far", "near", "left", "right"] = "far",
    size: tuple[float, float] = (300.0, 100.0),
    at: tuple[float, float] = (100.0, 80.0),
    waste: float = 6.0,
    backing: tuple[NDArray[np.float64], ...] = (),
    tool: Tool | None = None,
    ceiling: float = 30.0,
    bottom: float = -1.0,
    stepover: float | None = None,
    stepdown: float | None = None,
    light: float = 0.5,
) -> EdgeCut:
    """Give an edge cut that takes `waste` off one side of a rectangle of wood; `backing` is waste too."""
    tool = tool or end_mill()
    line, inside, strip = edge_line(side, size=size, at=at, waste=waste)
    names: dict[str, Literal["edge-1", "edge-2", "end-1", "end-2"]] = {
        "far": "edge-2",
        "near": "edge-1",
        "left": "end-1",
        "right": "end-2",
    }
    return EdgeCut(
        board="board",
        name=names[side],
        side=names[side],
        tool=tool,
        line=line,
        inside=inside,
        waste=(strip, *backing),
        ceiling=ceiling,
        bottom=bottom,
        stepover=tool.stepover if stepover is None else stepover,
        stepdown=tool.stepdown if stepdown is None else stepdown,
        light=light,
    )


def edge_setup(
    *,
    sides: tuple[Literal["far", "near", "left", "right"], ...] = ("far",),
    size: tuple[float, float] = (300.0, 100.0),
    at: tuple[float, float] = (100.0, 80.0),
    solids: tuple[Solid, ...] = (),
    shop: Shop | None = None,
    index: int = 3,
    **of: object,
) -> Setup:
    """Give a setup that cuts the named sides of one rectangle of wood; `of` goes to `edge`."""
    cuts = tuple(edge(side=side, size=size, at=at, **of) for side in sides)  # type: ignore[arg-type]
    goals = tuple(
        WallGoal(
            board="board",
            cut=cut.name,
            path=cut.line,
            inside=cut.inside,
            z=(0.0, cut.ceiling),
            clear=cut.tool.diameter,
        )
        for cut in cuts
    )
    return _setup(
        cuts=cuts,
        shop=shop or _small_shop(tools=(cuts[0].tool,)),
        goals=goals,
        solids=solids,
        outline=rectangle(at[0], at[1], at[0] + size[0], at[1] + size[1]),
        wood_top=max(cut.ceiling for cut in cuts),
        index=index,
    )


def tall_edge_setup(*, wall: float = 60.0, **of: object) -> Setup:
    """Give a setup whose one edge stands `wall` high, with a bit to match; `of` goes to `edge_setup`."""
    given: dict[str, object] = {
        "ceiling": wall,
        "tool": end_mill(cutting_length=wall + 5.0, stickout=wall + 10.0),
    }
    return edge_setup(**(given | of))  # type: ignore[arg-type]


def bed_setup(
    *,
    size: tuple[float, float] = (400.0, 300.0),
    at: tuple[float, float] = (0.0, 0.0),
    tool: Tool | None = None,
    take: float = 0.5,
    shop: Shop | None = None,
    index: int = 1,
) -> Setup:
    """Give a setup that skims `take` off a rectangle of the bed."""
    tool = tool or facer()
    region = rectangle(at[0], at[1], at[0] + size[0], at[1] + size[1])
    cut = BedCut(
        name="bed",
        tool=tool,
        z=-take,
        region=region,
        ceiling=0.0,
        stepover=tool.stepover,
        stepdown=tool.stepdown,
    )
    return _setup(
        cuts=(cut,),
        shop=shop or _small_shop(tools=(tool,)),
        goals=(PlaneGoal(board=None, cut="bed", z=-take, region=region),),
        solids=(),
        outline=np.empty((0, 2)),
        wood_top=0.0,
        index=index,
        boards=(),
    )
