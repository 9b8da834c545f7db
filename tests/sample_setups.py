"""The setups of a job made by hand, modelled on the stair-tread example.

In: a board's name. Out: a shop with two cutters, a board, four setups: real values of their types. Nothing
here is a measured result.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Literal

import numpy as np

from cutters import end_mill, facer
from setups import rectangle
from stockwright.board.surface import Board
from stockwright.machine import Bed, Fence, Machine, Shop
from stockwright.planning.setup import (
    EdgeCut,
    FaceCut,
    Lies,
    Placing,
    PlaneGoal,
    Setup,
    ShimPlace,
    Solid,
    WallGoal,
)

if TYPE_CHECKING:
    from stockwright.job import Side

__all__ = [
    "EDGE_1_Y",
    "FACER",
    "MILL",
    "PIECE",
    "X_END_1",
    "X_END_2",
    "L",
    "T",
    "W",
    "board",
    "setups",
    "shop",
]

LAST: tuple[Side, ...] = ("end-1", "end-2", "edge-2")  # the order of the fourth setup
L, W, T = 1150.0, 200.0, 27.0
TILT = 0.004  # radians across: how the board leans on its shims
PIECE = (16.0, 16.0)  # the finished piece's corner in the board frame
EDGE_1_Y = 66.0 + 231.0 - PIECE[1]  # work frame of the third setup
X_END_1, X_END_2 = 1192.0 - PIECE[0], 1192.0 - PIECE[0] - L  # work frame of the fourth
FACER = facer(does=("face",))
MILL = end_mill(stickout=64.0)


def board(name: str = "ash plank 3") -> Board:
    """Return the example's board: crooked, bowed and twisted."""
    along = np.array([10.0, 300.0, 590.0, 880.0, 1170.0])
    across = np.array([15.0, 115.0, 215.0])
    top = np.array(
        [[40.2, 38.9, 39.4], [41.0, 39.8, 40.6], [41.6, 40.3, 41.4], [41.2, 40.1, 41.5], [39.5, 38.6, 40.9]]
    )
    thick = np.array(
        [[38.2, 38.0, 38.3], [38.1, 38.2, 38.5], [38.0, 38.3, 38.6], [38.1, 38.2, 38.4], [37.9, 38.0, 38.2]]
    )
    outline = [
        (0.0, 2.0),
        (295.0, 5.5),
        (590.0, 7.0),
        (885.0, 5.0),
        (1182.0, 1.5),
        (1179.0, 226.0),
        (885.0, 229.0),
        (590.0, 230.0),
        (295.0, 228.5),
        (3.0, 225.5),
    ]
    notes = ("the readings' uncertainty was left out: 0.3 mm is taken",)
    return Board(name, np.array(outline), along, across, top, top - thick, 0.2, (), notes)


def shop() -> Shop:
    """Return the example's shop."""
    machine = Machine(
        name="two-bench workshop",
        x=(0.0, 1400.0),
        y=(0.0, 900.0),
        z=(40.0, 160.0),
        rapid=6000.0,
        rapids="independent",
        acceleration=400.0,
        max_feed=5000.0,
        min_rpm=8000.0,
        max_rpm=24000.0,
        power=1500.0,
        spoilboard=6.0,
        margin=3.0,
        park=(40.0, 860.0),
    )
    fence = Fence(
        140.0,
        40.0,
        20.0,
        ((200.0, 420.0), (480.0, 700.0), (760.0, 980.0), (1040.0, 1260.0)),
        True,
        True,
        0.05,
        0.01,
    )
    bed = Bed((200.0, 140.0), (20.0, 1380.0), (20.0, 880.0), "2026-05-30")
    return Shop(
        "two-bench workshop",
        "rs274-ngc",
        "mm",
        machine,
        bed,
        fence,
        (),
        (0.1, 0.2, 0.5, 1.0, 2.0, 3.0),
        (FACER, MILL),
    )


def place(up: str, quarter_turns: int, to: tuple[float, float, float], tilt: float = TILT) -> np.ndarray:
    """Return board -> work: tilt about x (radians), half a turn for B, quarter turns, then a shift."""

    def turn(axis: int, angle: float) -> np.ndarray:
        c, s = np.round(np.cos(angle), 12), np.round(np.sin(angle), 12)
        m = np.eye(4)
        i, j = ((1, 2), (2, 0), (0, 1))[axis]
        m[i, i], m[i, j], m[j, i], m[j, j] = c, -s, s, c
        return m

    shift = np.eye(4)
    shift[:3, 3] = to
    flip = turn(0, np.pi) if up == "B" else np.eye(4)
    exact = turn(0, tilt)
    exact[1, 1], exact[1, 2], exact[2, 1], exact[2, 2] = (
        np.cos(tilt),
        -np.sin(tilt),
        np.sin(tilt),
        np.cos(tilt),
    )
    m: np.ndarray = shift @ turn(2, quarter_turns * np.pi / 2) @ flip @ exact
    return m


def _moved(m: np.ndarray, outline: np.ndarray, z: float) -> np.ndarray:
    flat = np.column_stack([outline, np.full(len(outline), z)])
    out: np.ndarray = (flat @ m[:3, :3].T + m[:3, 3])[:, :2]
    return out


def _fence(lifted: tuple[int, ...] = ()) -> list[Solid]:
    return [
        Solid(f"fence piece {n}", "fence", rectangle(lo - 200, -40, hi - 200, 0), 0.0, 20.0)
        for n, (lo, hi) in enumerate(shop().fence.pieces, 1)  # type: ignore[union-attr]
        if n not in lifted
    ]


def _low(outline: np.ndarray) -> list[Solid]:
    """Side clamps along both edges and stops at both ends, touching the outline's box."""
    (x0, y0), (x1, y1) = outline.min(axis=0).tolist(), outline.max(axis=0).tolist()
    solids = []
    for n, x in enumerate(np.linspace(x0 + 170, x1 - 170, 3), 1):
        solids.append(
            Solid(f"side-clamp {n} near", "side-clamp", rectangle(x - 30, y0 - 50, x + 30, y0 + 3), 0.0, 14.0)
        )
        solids.append(
            Solid(f"side-clamp {n} far", "side-clamp", rectangle(x - 30, y1 - 1, x + 30, y1 + 50), 0.0, 14.0)
        )
    for n, y in enumerate((y0 + 60, y1 - 60), 1):
        solids.append(
            Solid(f"end-stop {n} left", "stop", rectangle(x0 - 29, y - 20, x0 + 1, y + 20), 0.0, 14.0)
        )
        solids.append(
            Solid(f"end-stop {n} right", "stop", rectangle(x1 - 1, y - 20, x1 + 29, y + 20), 0.0, 14.0)
        )
    return solids


def _top(xs: tuple[float, ...], edge: float, front: float) -> list[Solid]:
    """Clamps on the face from the near side: arms from `front` to 45 mm on the board."""
    solids = []
    for n, x in enumerate(xs, 1):
        solids.append(
            Solid(f"toe-clamp {n} arm", "top-clamp", rectangle(x - 15, front, x + 15, edge + 45), 27.0, 45.0)
        )
        solids.append(
            Solid(f"toe-clamp {n} body", "top-clamp", rectangle(x - 15, front - 30, x + 15, front), 0.0, 45.0)
        )
    return solids


def _wall(name: str, line: list[tuple[float, float]], b: str) -> WallGoal:
    return WallGoal(b, name, np.array(line), "left", (-1.0, T), 13.0)


def _edge(name: Side, goal: WallGoal, waste: np.ndarray) -> EdgeCut:
    return EdgeCut(str(goal.board), name, name, MILL, goal.path, "left", (waste,), T, -1.0, 4.8, 7.0, 0.3)


def _face(name: Literal["face A", "face B"], b: Board, m: np.ndarray, z: float, ceiling: float) -> FaceCut:
    region = _moved(m, b.outline, 20.0)
    return FaceCut(
        b.name,
        name,
        FACER,
        z,
        region,
        b.x,
        b.y,
        b.top,
        ceiling,
        "along",
        "both-ways",
        "none",
        35.0,
        2.0,
        0.5,
    )


_setup = partial(
    Setup,
    work_origin=(200.0, 140.0, 0.0),
    zero_z="support",
    zero_how="z on the bed's surface, where the board will rest; x and y at the mark on the bed",
)


def setups(b: Board) -> tuple[Setup, ...]:
    """Return the four setups: face A on shims, face B, edge-1, then both ends and edge-2."""
    # S1: face A up, tilted by 0.004 rad across, standing on shims.
    m1 = place("A", 0, (4.0, 66.0, -1.0))
    m2 = place("B", 0, (4.0, 66.0 + 231.0, 36.0))
    m3 = place("B", 0, (4.0, 66.0 + 231.0, 36.0))
    # S4: edge-1 against the fence at y = 0, end-1 on the right.
    m4 = place("B", 2, (1182.0 + 10.0, -PIECE[1], 36.0))
    o1, o2, o3, o4 = (_moved(m, b.outline, 20.0) for m in (m1, m2, m3, m4))
    s1, s2 = _low(o1) + _fence(), _low(o2) + _fence()
    s3 = _fence((1, 4)) + _top(
        (120.0, 430.0, 750.0, 1060.0), float(o3[:, 1].min()), float(o3[:, 1].min()) - 8
    )
    block = Solid(
        "scrap-block at end-2",
        "backing",
        rectangle(X_END_2 - 11, -40, X_END_2 + 70, 0),
        0.0,
        T,
        may_cut_to=0.0,
    )
    s4 = [*_fence((1, 4)), block, *_top((250.0, 520.0, 798.0, 1088.0), 0.0, -46.0)]
    walls: dict[Side, WallGoal] = {
        "edge-1": _wall("edge-1", [(o3[:, 0].max(), EDGE_1_Y), (o3[:, 0].min(), EDGE_1_Y)], b.name),
        "end-1": _wall("end-1", [(X_END_1, -5.0), (X_END_1, 230.0)], b.name),
        "end-2": _wall("end-2", [(X_END_2, 230.0), (X_END_2, -5.0)], b.name),
        "edge-2": _wall("edge-2", [(1200.0, W), (-10.0, W)], b.name),
    }
    return (
        _setup(
            index=1,
            title="Face A, on shims",
            cuts=(_face("face A", b, m1, 35.0, 41.5),),
            lies=(Lies(b.name, "A", 0, m1),),
            goals=(PlaneGoal(b.name, "face A", 35.0, o1),),
            solids=tuple(s1),
            shims=(
                ShimPlace(b.name, 24.0, 84.0, 0.4),
                ShimPlace(b.name, 24.0, 270.0, 2.1),
                ShimPlace(b.name, 1160.0, 84.0, 0.0),
                ShimPlace(b.name, 1160.0, 270.0, 1.3),
                ShimPlace(b.name, 594.0, 84.0, 0.7),
                ShimPlace(b.name, 594.0, 270.0, 1.7),
            ),
            placing=(
                Placing(60.0, 68.7, "68.7 mm from the fence line to edge-1, 60 mm right of the mark"),
                Placing(1120.0, 68.2, "68.2 mm from the fence line to edge-1, 1120 mm right of the mark"),
            ),
            wood_outline=o1,
            wood_top=41.5,
            clear_z=56.0,
            seat_check=((24.0, 90.0, 42.0, 0.5), (1160.0, 90.0, 41.3, 0.5), (594.0, 260.0, 43.6, 0.5)),
            notes=(
                "The clamps squeeze from the sides: snug, not hard, or the board bends and springs back.",
            ),
        ),
        _setup(
            index=2,
            title="Face B, face A down on the bed",
            cuts=(_face("face B", b, m2, T, 34.9),),
            lies=(Lies(b.name, "B", 0, m2),),
            goals=(PlaneGoal(b.name, "face B", T, o2),),
            solids=tuple(s2),
            shims=(),
            placing=(Placing(60.0, 70.0, "70 mm from the fence line to edge-2, 60 mm right of the mark"),),
            wood_outline=o2,
            wood_top=34.9,
            clear_z=48.0,
            seat_check=((24.0, 90.0, 33.5, 0.3), (1160.0, 90.0, 33.1, 0.3), (594.0, 260.0, 34.2, 0.3)),
            notes=(),
        ),
        _setup(
            index=3,
            title="edge-1, on the far side",
            cuts=(_edge("edge-1", walls["edge-1"], rectangle(0, EDGE_1_Y, 1192, 300)),),
            lies=(Lies(b.name, "B", 0, m3),),
            goals=(walls["edge-1"],),
            solids=tuple(s3),
            shims=(),
            placing=(
                Placing(60.0, 70.0, "70 mm from the fence line to edge-2, 60 mm right of the mark"),
                Placing(1120.0, 69.0, "69 mm from the fence line to edge-2, 1120 mm right of the mark"),
            ),
            wood_outline=o3,
            wood_top=T,
            clear_z=58.0,
            seat_check=((100.0, 200.0, 27.0, 0.2), (600.0, 200.0, 27.0, 0.2), (1100.0, 200.0, 27.0, 0.2)),
            notes=(),
        ),
        _setup(
            index=4,
            title="Both ends, then edge-2, edge-1 against the fence",
            cuts=tuple(_edge(n, walls[n], rectangle(0, 0, 1, 1)) for n in LAST),
            lies=(Lies(b.name, "B", 2, m4),),
            goals=tuple(walls[n] for n in LAST),
            solids=tuple(s4),
            shims=(),
            placing=(Placing(60.0, 0.0, "edge-1 tight against the fence over its whole length"),),
            wood_outline=o4,
            wood_top=T,
            clear_z=58.0,
            seat_check=((100.0, 100.0, 27.0, 0.2), (600.0, 100.0, 27.0, 0.2), (1100.0, 100.0, 27.0, 0.2)),
            notes=("Push the board home against the fence before any clamp is tight.",),
        ),
    )
