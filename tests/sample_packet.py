"""A packet built by hand, stage by stage, modelled on the stair-tread example: four setups, two cutters.

It stands in for the stages before `pack`: jobs, setups and programs are real values of their types, the
program texts are short, and nothing here is a measured result.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.surface import Board
from stockwright.findings import Finding
from stockwright.job import Job, Tolerance, Wanted
from stockwright.machine import Bed, Fence, Machine, Shop
from stockwright.motion.nodes import Feed, Program, Rapid, Remark, SpindleOff, SpindleOn
from stockwright.packet import model
from stockwright.packet.assemble import assemble, with_proof
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
from stockwright.tooling import Cylinder, Tool

if TYPE_CHECKING:
    from stockwright.job import Side

LAST: tuple[Side, ...] = ("end-1", "end-2", "edge-2")  # the order of the fourth setup
L, W, T = 1150.0, 200.0, 27.0
TILT = 0.004  # radians across: how the board leans on its shims
PIECE = (16.0, 16.0)  # the finished piece's corner in the board frame
FACER = Tool(
    name="wide-facer",
    number=1,
    kind="facing-cutter",
    does=("face",),
    diameter=50.0,
    cutting_length=12.0,
    shank_diameter=12.0,
    overall_length=70.0,
    gripped=26.0,
    grip_wanted=26.0,
    stickout=44.0,
    marked_max_rpm=18000.0,
    flutes=3,
    centre_cutting=False,
    ramp=0.0,
    corner_radius=0.0,
    rpm=14000.0,
    feed=3000.0,
    plunge_feed=500.0,
    stepover=35.0,
    stepdown=2.0,
    assembly=(
        Cylinder(50.0, 0.0, 12.0),
        Cylinder(12.0, 12.0, 44.0),
        Cylinder(34.0, 44.0, 66.0),
        Cylinder(70.0, 66.0, 156.0),
    ),
)
MILL = Tool(
    name="long-end-mill",
    number=2,
    kind="end-mill",
    does=("edge",),
    diameter=12.0,
    cutting_length=42.0,
    shank_diameter=12.0,
    overall_length=90.0,
    gripped=26.0,
    grip_wanted=26.0,
    stickout=64.0,
    marked_max_rpm=24000.0,
    flutes=2,
    centre_cutting=True,
    ramp=3.0,
    corner_radius=0.0,
    rpm=16000.0,
    feed=2400.0,
    plunge_feed=400.0,
    stepover=4.8,
    stepdown=7.0,
    assembly=(
        Cylinder(12.0, 0.0, 42.0),
        Cylinder(12.0, 42.0, 64.0),
        Cylinder(34.0, 64.0, 86.0),
        Cylinder(70.0, 86.0, 176.0),
    ),
)


@dataclass(frozen=True)
class SampleOutcome:
    """What a proof would hand back."""

    proof: model.Proof
    finished: dict[str, model.Finished]
    program_verdicts: dict[str, model.Verdict]


@dataclass(frozen=True)
class Sample:
    """Everything that goes into a packet, and the packet."""

    job: Job
    setups: tuple[Setup, ...]
    programs: tuple[tuple[Program, ...], ...]
    files: dict[str, tuple[str, str, float, int]]
    findings: tuple[Finding, ...]
    packet: model.Packet = field(repr=False)


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


def box(x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
    """Return a rectangle's outline."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def _moved(m: np.ndarray, outline: np.ndarray, z: float) -> np.ndarray:
    flat = np.column_stack([outline, np.full(len(outline), z)])
    out: np.ndarray = (flat @ m[:3, :3].T + m[:3, 3])[:, :2]
    return out


def _fence(lifted: tuple[int, ...] = ()) -> list[Solid]:
    return [
        Solid(f"fence piece {n}", "fence", box(lo - 200, -40, hi - 200, 0), 0.0, 20.0)
        for n, (lo, hi) in enumerate(shop().fence.pieces, 1)  # type: ignore[union-attr]
        if n not in lifted
    ]


def _low(outline: np.ndarray) -> list[Solid]:
    """Side clamps along both edges and stops at both ends, touching the outline's box."""
    (x0, y0), (x1, y1) = outline.min(axis=0).tolist(), outline.max(axis=0).tolist()
    solids = []
    for n, x in enumerate(np.linspace(x0 + 170, x1 - 170, 3), 1):
        solids.append(
            Solid(f"side-clamp {n} near", "side-clamp", box(x - 30, y0 - 50, x + 30, y0 + 3), 0.0, 14.0)
        )
        solids.append(
            Solid(f"side-clamp {n} far", "side-clamp", box(x - 30, y1 - 1, x + 30, y1 + 50), 0.0, 14.0)
        )
    for n, y in enumerate((y0 + 60, y1 - 60), 1):
        solids.append(Solid(f"end-stop {n} left", "stop", box(x0 - 29, y - 20, x0 + 1, y + 20), 0.0, 14.0))
        solids.append(Solid(f"end-stop {n} right", "stop", box(x1 - 1, y - 20, x1 + 29, y + 20), 0.0, 14.0))
    return solids


def _top(xs: tuple[float, ...], edge: float, front: float) -> list[Solid]:
    """Clamps on the face from the near side: arms from `front` to 45 mm on the board."""
    solids = []
    for n, x in enumerate(xs, 1):
        solids.append(
            Solid(f"toe-clamp {n} arm", "top-clamp", box(x - 15, front, x + 15, edge + 45), 27.0, 45.0)
        )
        solids.append(
            Solid(f"toe-clamp {n} body", "top-clamp", box(x - 15, front - 30, x + 15, front), 0.0, 45.0)
        )
    return solids


def _rows(x0: float, x1: float, ys: list[float], z: float) -> np.ndarray:
    points: list[tuple[float, float, float]] = []
    for i, y in enumerate(ys):
        ends = (x0, x1) if i % 2 == 0 else (x1, x0)
        points += [(ends[0], y, z), (ends[1], y, z)]
    return np.array(points)


def _cutting(
    stem: str, title: str, setup: int, tool: Tool, path: np.ndarray, clear: float, standing: list[Solid]
) -> Program:
    x, y, z = (float(v) for v in path[0])
    nodes = (
        Remark(title),
        Rapid(z=clear),
        SpindleOn(tool.rpm),
        Rapid(x=x, y=y),
        Feed(np.array([[x, y, z]]), tool.plunge_feed),
        Feed(path[1:], tool.feed),
        Rapid(z=clear),
        SpindleOff(),
    )
    return Program(
        stem,
        title,
        setup,
        "cut",
        tool,
        nodes,
        tuple(s.name for s in standing),
        "z on the support, with the tool's tip on a gauge",
    )


def _outline(
    stem: str, setup: int, tool: Tool, area: np.ndarray, clear: float, standing: list[Solid]
) -> Program:
    corners = np.column_stack([area, np.full(4, clear)])
    nodes = (
        Rapid(z=clear),
        Rapid(x=float(area[0, 0]), y=float(area[0, 1])),
        Feed(np.vstack([corners[1:], corners[:1]]), 2000.0),
    )
    return Program(
        stem,
        "around everything, above it",
        setup,
        "outline",
        tool,
        nodes,
        tuple(s.name for s in standing),
        "z on the support",
    )


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


def _text(program: Program) -> str:
    lines = ["G21", "G90"]
    for node in program.nodes:
        if isinstance(node, Feed):
            lines += [f"G1 X{p[0]:.3f} Y{p[1]:.3f} Z{p[2]:.3f} F{node.feed:.0f}" for p in node.points]
    return "\n".join([*lines, "M2", ""])


def sample(name: str = "ash plank 3", verdict: model.Verdict = "proven") -> Sample:
    """Return the four-setup sample, with any board name and any verdict."""
    b = board(name)
    # S1: face A up, tilted by 0.004 rad across, standing on shims.
    m1 = place("A", 0, (4.0, 66.0, -1.0))
    m2 = place("B", 0, (4.0, 66.0 + 231.0, 36.0))
    m3 = place("B", 0, (4.0, 66.0 + 231.0, 36.0))
    # S4: edge-1 against the fence at y = 0, end-1 on the right.
    m4 = place("B", 2, (1182.0 + 10.0, -PIECE[1], 36.0))
    o1, o2, o3, o4 = (_moved(m, b.outline, 20.0) for m in (m1, m2, m3, m4))
    edge1_y = 66.0 + 231.0 - PIECE[1]
    x_end1, x_end2 = 1192.0 - PIECE[0], 1192.0 - PIECE[0] - L
    s1, s2 = _low(o1) + _fence(), _low(o2) + _fence()
    s3 = _fence((1, 4)) + _top(
        (120.0, 430.0, 750.0, 1060.0), float(o3[:, 1].min()), float(o3[:, 1].min()) - 8
    )
    block = Solid(
        "scrap-block at end-2", "backing", box(x_end2 - 11, -40, x_end2 + 70, 0), 0.0, T, may_cut_to=0.0
    )
    s4 = [*_fence((1, 4)), block, *_top((250.0, 520.0, 798.0, 1088.0), 0.0, -46.0)]
    walls: dict[Side, WallGoal] = {
        "edge-1": _wall("edge-1", [(o3[:, 0].max(), edge1_y), (o3[:, 0].min(), edge1_y)], b.name),
        "end-1": _wall("end-1", [(x_end1, -5.0), (x_end1, 230.0)], b.name),
        "end-2": _wall("end-2", [(x_end2, 230.0), (x_end2, -5.0)], b.name),
        "edge-2": _wall("edge-2", [(1200.0, W), (-10.0, W)], b.name),
    }
    how = "z on the bed's surface, where the board will rest; x and y at the mark on the bed"
    setups = (
        Setup(
            index=1,
            title="Face A, on shims",
            cuts=(_face("face A", b, m1, 35.0, 41.5),),
            lies=(Lies(b.name, "A", 0, m1),),
            zero_how=how,
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
            work_origin=(200.0, 140.0, 0.0),
            zero_z="support",
        ),
        Setup(
            index=2,
            title="Face B, face A down on the bed",
            cuts=(_face("face B", b, m2, T, 34.9),),
            lies=(Lies(b.name, "B", 0, m2),),
            zero_how=how,
            goals=(PlaneGoal(b.name, "face B", T, o2),),
            solids=tuple(s2),
            shims=(),
            placing=(Placing(60.0, 70.0, "70 mm from the fence line to edge-2, 60 mm right of the mark"),),
            wood_outline=o2,
            wood_top=34.9,
            clear_z=48.0,
            seat_check=((24.0, 90.0, 33.5, 0.3), (1160.0, 90.0, 33.1, 0.3), (594.0, 260.0, 34.2, 0.3)),
            notes=(),
            work_origin=(200.0, 140.0, 0.0),
            zero_z="support",
        ),
        Setup(
            index=3,
            title="edge-1, on the far side",
            cuts=(_edge("edge-1", walls["edge-1"], box(0, edge1_y, 1192, 300)),),
            lies=(Lies(b.name, "B", 0, m3),),
            zero_how=how,
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
            work_origin=(200.0, 140.0, 0.0),
            zero_z="support",
        ),
        Setup(
            index=4,
            title="Both ends, then edge-2, edge-1 against the fence",
            cuts=tuple(_edge(n, walls[n], box(0, 0, 1, 1)) for n in LAST),
            lies=(Lies(b.name, "B", 2, m4),),
            zero_how=how,
            goals=tuple(walls[n] for n in LAST),
            solids=tuple(s4),
            shims=(),
            placing=(Placing(60.0, 0.0, "edge-1 tight against the fence over its whole length"),),
            wood_outline=o4,
            wood_top=T,
            clear_z=58.0,
            seat_check=((100.0, 100.0, 27.0, 0.2), (600.0, 100.0, 27.0, 0.2), (1100.0, 100.0, 27.0, 0.2)),
            notes=("Push the board home against the fence before any clamp is tight.",),
            work_origin=(200.0, 140.0, 0.0),
            zero_z="support",
        ),
    )
    ys1 = [float(v) for v in np.arange(55.0, 325.0, 33.0)]
    wall_y = edge1_y + 6.0
    programs = (
        (
            _outline("s1-outline", 1, FACER, box(-60, 0, 1250, 350), 56.0, s1),
            _cutting(
                "s1-face-a", "face A, along the grain", 1, FACER, _rows(-30.0, 1218.0, ys1, 35.0), 56.0, s1
            ),
        ),
        (
            _outline("s2-outline", 2, FACER, box(-60, 0, 1250, 350), 48.0, s2),
            _cutting(
                "s2-face-b", "face B, along the grain", 2, FACER, _rows(-30.0, 1218.0, ys1, T), 48.0, s2
            ),
        ),
        (
            _outline("s3-outline", 3, MILL, box(-60, -20, 1250, 350), 58.0, s3),
            _cutting(
                "s3-edge-1",
                "edge-1 to the line",
                3,
                MILL,
                _rows(-12.0, 1210.0, [wall_y + 10, wall_y + 5, wall_y], -1.0),
                58.0,
                s3,
            ),
        ),
        (
            _outline("s4-outline", 4, MILL, box(-60, -80, 1250, 350), 58.0, s4),
            _cutting(
                "s4-end-1",
                "end-1 to the line",
                4,
                MILL,
                np.array([[x_end1 + 6, -12, -1.0], [x_end1 + 6, 240, -1.0]]),
                58.0,
                s4,
            ),
            _cutting(
                "s4-end-2",
                "end-2 to length",
                4,
                MILL,
                np.array([[x_end2 - 6, 240, -1.0], [x_end2 - 6, -12, -1.0]]),
                58.0,
                s4,
            ),
            _cutting(
                "s4-edge-2",
                "edge-2 to width",
                4,
                MILL,
                _rows(-12.0, 1210.0, [W + 16, W + 11, W + 6], -1.0),
                58.0,
                s4,
            ),
        ),
    )
    files = {
        p.stem: (f"{p.stem}.ngc", _text(p), 35.0 if p.purpose == "outline" else 214.4, _text(p).count("\n"))
        for group in programs
        for p in group
    }
    findings = (
        Finding(
            "little-to-spare",
            "warn",
            "the thickest place of face B takes four levels",
            "expect about ten minutes for it",
            7.9,
            8.0,
            2,
            "s2-face-b",
            (590.0, 180.0, 34.9),
        ),
        Finding(
            "moisture-unknown",
            "note",
            "the board's moisture is not stated",
            "measure it before the first cut",
        ),
        Finding("guessed-deflection", "note", "the cutter's stiffness is a guess", "read the maker's sheet"),
    )
    wanted = Wanted(L, W, T, Tolerance(0.8, 0.5, 0.3, 0.3, 0.3, 0.3, 0.3))
    job = Job("stair-tread", "four-sides-square", "1.0.0", "sha256:" + "ab" * 32, shop(), (b,), wanted, ())
    packet = assemble(job, setups, programs, files, findings, "rs274-ngc", "rs274-ngc")
    outcome = SampleOutcome(
        proof=model.Proof(
            verdict=verdict,
            cell=0.5,
            cannot_know=[
                "whether the zero was taken where the sheet says",
                "which cutter is in the collet, and how far it sticks out",
                "whether the hold-downs stand as drawn and hold",
                "knots, shakes, nails and grit in the wood",
            ],
            reasons=[]
            if verdict == "proven"
            else [
                model.Reason(
                    rule="cut-too-deep",
                    setup=2,
                    program="programs/s2-face-b.ngc",
                    line=5,
                    at=(10.0, 80.0, 26.2),
                    measured=26.2,
                    limit=26.7,
                    message="the board ends 0.5 mm thinner than wanted",
                ),
            ],
        ),
        finished={
            b.name: model.Finished(
                length=(1149.9, 1150.1),
                width=(199.9, 200.1),
                thickness=(26.95, 27.08),
                flatness={"A": 0.06, "B": 0.07},
                parallelism=0.11,
                squareness={"edge-1": 0.04, "edge-2": 0.05, "end-1": 0.06, "end-2": 0.06},
                straightness={"edge-1": 0.03, "edge-2": 0.03},
            )
        },
        program_verdicts={p.file: verdict for s in packet.setups for p in s.programs},
    )
    return Sample(job, setups, programs, files, findings, with_proof(packet, outcome))
