"""Odd packets and programs, each a few changes to the small one. In: nothing. Out: `CASES`.

By name what is changed in the document and in the lines; `outcomes` proves it.
"""

from __future__ import annotations

import math

import numpy as np

from proving.outcomes import EDGE, GONE, A, Changes, box
from small_packet import LENGTH, PREAMBLE, WIDTH, small_document, small_lines

__all__ = ["CASES"]


def thing(
    name: str, outline: list[list[float]], low: float, high: float, cut: float | None = None
) -> Changes:
    """Give a solid."""
    whole: Changes = {"name": name, "kind": "post", "outline": outline, "bottom": low, "top": high}
    return whole | ({} if cut is None else {"may_cut_to": cut})


def rider(
    low: float, high: float, outline: list[list[float]], how: str = "z", *, soft: bool = False
) -> Changes:
    """Give the machine a thing that rides along; `how`: with z, or with the gantry alone."""
    part = {"name": "rider", "outline": outline, "from": low, "to": high, "moves_with": how, "soft": soft}
    return {"machine.attached": [part]}


def leaning(setup: int, about_x: float, about_y: float, lift: float = 0.0) -> Changes:
    """Tilt how the board lies in a setup about work x and y."""
    matrix = np.array(small_document()["setups"][setup]["lies"][0]["matrix"])
    cx, sx, cy, sy = math.cos(about_x), math.sin(about_x), math.cos(about_y), math.sin(about_y)
    tilt = np.eye(4)
    tilt[:3, :3] = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]]) @ np.array(
        [[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]]
    )
    tilt[2, 3] = lift
    return {f"setups.{setup}.lies.0.matrix": (tilt @ matrix).tolist()}


def turned(setup: int, turns: int) -> Changes:
    """Turn how the board lies in a setup, seen from above, so that it stays in the first quadrant."""
    matrix = np.array(small_document()["setups"][setup]["lies"][0]["matrix"])
    c, s = (1, 0, -1, 0)[turns], (0, 1, 0, -1)[turns]
    turn = np.array([[c, -s, 0, 0], [s, c, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1.0]])
    turn[:2, 3] = [(0, WIDTH, LENGTH, 0)[turns], (0, 0, WIDTH, LENGTH)[turns]]
    return {
        f"setups.{setup}.lies.0.matrix": (turn @ matrix).tolist(),
        f"setups.{setup}.lies.0.quarter_turns": turns,
    }


def bed(*moves: str, z: float = -0.5) -> Changes:
    """Let the first setup skim a piece of bed of 80 by 40 and nothing else."""
    lines = [*PREAMBLE, "S14000", "M3", "G0 Z60", "G0 X-30 Y10", *moves, "G0 Z60", "M5", "M30"]
    return {
        "setups.0.lies": [],
        "setups.0.solids": [],
        "setups.0.goals": [{"kind": "plane", "cut": "bed", "z": z, "region": box(0, 0, 80, 40)}],
        "setups.0.cuts": [{"name": "bed"}],
        "setups.0.programs.0.standing": [],
        "setups": 1,
        A: lines,
    }


def across(*at: tuple[float, float, float]) -> list[str]:
    """Cut through along y at each x, down to z; the last way back goes where the first went."""
    lines = [*PREAMBLE, "S16000", "M3", "G0 Z60"]
    for x, z, far in at:
        lines += [f"G0 X{x} Y-12", f"G0 Z{z + 8}", f"G1 Z{z} F400", f"G1 Y{far} F2400", "G0 Z60"]
    return [*lines, "M5", "M30"]


OFF = [(106.0, z, 118.0) for z in (19.0, 12.0, 5.0, -1.0)]
END: Changes = {
    "setups.2.solids": [],
    "setups.2.programs.0.standing": [],
    "setups.2.goals.0.path": [[100.0, -1.0], [100.0, 107.0]],
    "setups.2.goals.0.inside": "left",
    "setups.2.goals.0.cut": "end-2",
    "setups.2.cuts.0.name": "end-2",
}
HELD: Changes = {"board": "plank", "outline": box(111, -1, 155, 107), "held_by": ["left toe"]}
TOES: Changes = {
    "setups.2.solids": small_document()["setups"][2]["solids"][:1],
    "setups.2.programs.0.standing": ["left toe"],
}
NUT: Changes = {
    "tools.mill.cutting_length": 40,
    "tools.mill.stickout": 42,
    "tools.mill.gripped": 48,
    "tools.mill.assembly.0.to": 40,
    "tools.mill.assembly.1.from": 40,
    "tools.mill.assembly.1.to": 42,
    "tools.mill.assembly.2.from": 42,
    "tools.mill.assembly.2.diameter": 130,
}
HOLE = [box(100, 40, 140, 60)]
SMALL = box(-8, -8, 8, 8)
ASKED = {"thickness": 0.3, "flatness": 0.05, "parallelism": 0.02, "squareness": 0.05, "straightness": 0.01}

CASES: dict[str, Changes] = {
    "as it is": {},
    "rider 26 above the tip": rider(-40, 0, SMALL),
    "rider in the wood": rider(-62, 0, SMALL),
    "rider in the wood, soft": rider(-62, 0, SMALL, soft=True),
    "rider aside, in the clamps": rider(-64, -50, box(-5, -110, 5, -70)),
    "rider with the gantry, 2 above the clamps": rider(42, 90, box(-60, -90, 60, -60), "gantry"),
    "rider with the gantry, in the clamps": rider(39, 90, box(-60, -90, 60, -60), "gantry"),
    "rider with the gantry, in the wood": rider(29, 90, box(20, -10, 40, 10), "gantry"),
    "a rapid aslant, anywhere in its box": {"A 21": "G0 X-32.000 Y18.000 Z36.000"},
    "a rapid aslant, straight": {"A 21": "G0 X-32.000 Y18.000 Z36.000", "machine.rapids": "straight"},
    "a rapid in plan, anywhere in its box": {"E 17": "G0 X320.000 Y50.000", "E 18": "G0 Y107.300"},
    "a rapid just beside the wood": {"E 15": "G0 Z19.000", "E 13": "G0 X320.000 Y113.000", "E 16": "G0 X-12"},
    "a rapid just in the wood": {"E 15": "G0 Z19.000", "E 13": "G0 X320.000 Y111.900", "E 16": "G0 X-12"},
    "scrap that may be cut": {
        "setups.2.solids.3": thing("scrap", box(-20, 95, 0, 130), 0, 26, -1.5),
        "setups.2.programs.0.standing.3": "scrap",
    },
    "scrap that may be cut to less": {
        "setups.2.solids.3": thing("scrap", box(-20, 95, 0, 130), 0, 26, -0.5),
        "setups.2.programs.0.standing.3": "scrap",
    },
    "scrap hit by a rapid": {
        "setups.2.solids.3": thing("scrap", box(-20, 95, 0, 130), 0, 26, -4.5),
        "setups.2.programs.0.standing.3": "scrap",
        "E 17": "G0 Y120.000\nG0 Z60.000",
    },
    "scrap hit straight down by a rapid": {
        "setups.2.solids.3": thing("scrap", box(-40, 95, -20, 140), 0, 26, -4.5),
        "setups.2.programs.0.standing.3": "scrap",
        "E 17": "G0 Z60.000\nG0 X-30.000 Y120.000\nG0 Z12.000\nG0 Z60.000",
    },
    "scrap passed back through its kerf": {
        "setups.2.solids.3": thing("scrap", box(-20, 95, 0, 130), 0, 26, -4.5),
        "setups.2.programs.0.standing.3": "scrap",
        "E 17": "G0 X-2.000\nG0 Z60.000",
    },
    "a post 2.698 from the way": {
        "setups.2.solids.3": thing("post", box(100, 115.998, 120, 130), 0, 40),
        "setups.2.programs.0.standing.3": "post",
    },
    "a post 3.0 from the way": {
        "setups.2.solids.3": thing("post", box(100, 116.3, 120, 130), 0, 40),
        "setups.2.programs.0.standing.3": "post",
    },
    "a bar above the way": {
        "setups.2.solids.3": thing("bar", box(100, 110, 120, 130), 61.5, 70),
        "setups.2.programs.0.standing.3": "bar",
    },
    "a bar 4 above the shank's part": {
        "setups.2.solids.3": thing("bar", box(100, 123.9, 120, 140), 50, 75),
        "setups.2.programs.0.standing.3": "bar",
    },
    "bed skimmed": bed("G0 Z5", "G1 Z-0.5 F500", "G1 X110 F3000", "Y34", "X-30"),
    "bed skimmed too deep": bed("G0 Z5", "G1 Z-0.8 F500", "G1 X110 F3000", "Y34", "X-30"),
    "bed skimmed and a strip left": bed("G0 Z5", "G1 Z-0.5 F500", "G1 X110 F3000", "Y70", "X-30"),
    "bed skimmed with the spindle off": bed("M5", "G0 Z5", "G1 Z-0.5 F500", "G1 X110 F3000", "Y34", "X-30"),
    "bed skimmed at a rapid": bed("G0 Z-0.5", "X110", "G1 Y34 F900", "X-30"),
    "bed skimmed 14 deep": bed("G0 Z5", "G1 Z-14 F500", "G1 X110 F3000", z=-14.0)
    | {"machine.spoilboard": 20},
    "an end cut off, the piece loose": END | {EDGE: across(*OFF)},
    "an end cut off, the piece held": END | TOES | {"setups.2.offcuts": [HELD], EDGE: across(*OFF)},
    "an end cut off, a skin left": END
    | {"setups.2.offcuts": [HELD | {"held_by": "skin"}], EDGE: across(*OFF[:3], (106.0, 0.5, 118.0))},
    "an end cut off but for its corner": END | {EDGE: across(*OFF[:3], (106.0, -1.0, 99.5))},
    "an end cut 0.05 too long": END | {EDGE: across(*((106.05, z, far) for _, z, far in OFF))},
    "an end cut 0.05 too short": END | {EDGE: across(*((105.95, z, far) for _, z, far in OFF))},
    "an end cut 0.009 too short": END | {EDGE: across(*((105.991, z, far) for _, z, far in OFF))},
    "an end aslant": END
    | {
        "setups.2.goals.0.path": [[100.0, -1.0], [101.0, 107.0]],
        EDGE: across(*OFF),
        "wanted.plank.tolerance": ASKED,
    },
    "a wall drawn past the wood": END
    | {"setups.2.goals.0.path": [[100.0, -50.0], [100.0, 150.0]], EDGE: across(*OFF)},
    "a wall that no wood reaches": {"setups.2.goals.0.path": [[0.0, 106.2], [LENGTH, 106.2]]},
    "a wall 0.04 beyond the wood": {"setups.2.goals.0.path": [[0.0, 106.1], [LENGTH, 106.1]]},
    "a wall of two pieces": {"setups.2.goals.0.path": [[0.0, 101.0], [80.0, 101.0], [304.1, 101.5]]},
    "a wall to be clear 20 wide": {"setups.2.goals.0.clear": 20.0, "E 33": "G0 X320.000 Y108"},
    "a wall's upper half alone": {
        "setups.2.goals.0.z": [13.0, 26.0],
        "E 30": "G1 Z13.000",
        "E 35": "G1 Z13.000",
    },
    "a slope into the wall": {"E 36": "G1 X150.000 Y107.000 F2400\nG1 X100.000 Y103.000 Z45.000"},
    "arcs into the wall and out": {"E 36": "G3 X150.000 Y107.000 R90 F2400\nG1 X-12.000"},
    "a hole in the board": {"boards.plank.holes": HOLE},
    "a hole, and its rim cut away": {
        "boards.plank.holes": HOLE,
        "setups.0.goals.0.region": box(-1, -1, 120, 107),
    },
    "face A leans about x": leaning(0, 0.01, 0.0),
    "face B leans about both": leaning(1, 0.006, -0.004, 0.5),
    "edge-1 leans about x": leaning(2, 0.02, 0.0) | {"wanted.plank.tolerance": ASKED},
    "edge-1 leans about y": leaning(2, 0.0, 0.004) | {"wanted.plank.tolerance": ASKED},
    "face B leans, rests and is turned": leaning(1, 0.002, 0.0) | {"setups.1.lies.0.moved": 0.2},
    "face A turned a quarter": turned(0, 1),
    "face A turned a half": turned(0, 2),
    "face B turned three quarters": turned(1, 3),
    "edge-1 turned a half": turned(2, 2),
    "uncertain by 1.5": {"boards.plank.uncertainty": 1.5},
    "5.5 at once": {"tools.mill.deepest": 5.5, "tools.mill.trim": 0.4},
    "6.74 at once": {"tools.mill.deepest": 6.74, "tools.mill.trim": 0.4},
    "7 at once": {"tools.mill.deepest": 7.0, "tools.mill.trim": 0.4, "tools.facer.deepest": 1.5},
    "7 at once, with a wide trim": {
        "tools.mill.deepest": 7.0,
        "tools.mill.trim": 7.6,
        "tools.facer.deepest": 2.5,
    },
    "8 at once, the last level gone": {
        "tools.mill.deepest": 8.0,
        "tools.mill.trim": 0.4,
        **{f"E {n}": GONE for n in range(23, 28)},
    },
    "sizes asked": {
        "wanted.plank.length": 154.0,
        "wanted.plank.width": 101.0,
        "wanted.plank.tolerance": ASKED | {"length": 0.12, "width": 0.06},
    },
    "sizes missed": {
        "wanted.plank.length": 154.4,
        "wanted.plank.width": 100.8,
        "wanted.plank.thickness": 26.2,
        "wanted.plank.hollow": {"edge-1": 0.1, "edge-2": 0.3},
        "wanted.plank.tolerance": {"thickness": 0.1, "width": 0.1},
    },
    "sizes missed by less than half a millimetre": {
        "wanted.plank.length": 154.4,
        "wanted.plank.width": 100.6,
    },
    "a hollow edge asked": {"wanted.plank.hollow": {"edge-1": 0.2}, "wanted.plank.tolerance": ASKED},
    "flatness alone decides": {"wanted.plank.tolerance": {"flatness": 0.1}, "A 24": "G1 Z27.890 F500"},
    "half the thickness decides": {"wanted.plank.tolerance": {"thickness": 0.18}, "A 24": "G1 Z27.920 F500"},
    "nothing is asked": {"wanted": {}, "A 24": "G1 Z27.840 F500"},
    "0.15 too deep": {"A 24": "G1 Z27.850 F500"},
    "0.16 too high": {"A 24": "G1 Z28.160 F500"},
    "the goal of face A is higher than the wood": {"setups.0.goals.0.z": 31.5},
    "the goal of face A is a part of it": {"setups.0.goals.0.region": box(-1, -1, 100, 107)},
    "two goals of face A": {
        "setups.0.goals.1": {
            "kind": "plane",
            "board": "plank",
            "cut": "face A",
            "z": 28,
            "region": box(80, -1, 306, 107),
        },
        "setups.0.goals.0.region": box(-1, -1, 80, 107),
    },
    "cut through from both sides": {
        "B 24": "G1 Z-0.5 F500",
        "A 24": "G1 Z14 F500",
        "setups.1.solids": [],
        "setups.1.programs.0.standing": [],
    },
    "a board twice in a setup": {"setups.1.lies.1": small_document()["setups"][1]["lies"][0]},
    "no such reader": {"setups.0.programs.0.reader": "runes"},
    "no tool": {"setups.1.programs.0.tool": None},
    "a file too many": {"more.nc": ["M30"], "other.nc": ["M30"]},
    "a matrix that stretches": {"setups.0.lies.0.matrix.0.0": 1.001},
    "words that disagree with the matrix": {"setups.1.lies.0.up": "A"},
    "turns that disagree with the matrix": {"setups.0.lies.0.quarter_turns": 1},
    "an outline in the air": {"setups.0.programs.0.purpose": "outline", "A 11": "M5", "A 15": "G1 Z35 F500"},
    "an outline in the wood": {"setups.0.programs.0.purpose": "outline", "A 11": "M5"},
    "an outline at a rapid in the wood": {
        "setups.0.programs.0.purpose": "outline",
        "A 11": "M5",
        "A 16": "G0 X338",
    },
    "an outline with the spindle on": {"setups.0.programs.0.purpose": "outline"},
    "an outline without a word of the spindle": {
        "setups.0.programs.0.purpose": "outline",
        "A 11": GONE,
        "A 31": GONE,
    },
    "two programs in a setup": {
        "setups.0.programs.1": small_document()["setups"][0]["programs"][0]
        | {"file": "1b.nc", "standing": []},
        A: [*small_lines()[A][:21], "M5", "M30"],
        "1b.nc": small_lines()[A][:12] + small_lines()[A][21:],
    },
    "a support 19 high": {"setups.1.work_origin.2": 19.0},
    "travel met at its end": {"machine.travel.x": [168, 538], "machine.travel.z": [85, 146]},
    "travel left by little": {"machine.travel.x": [168.003, 537.997], "machine.travel.z": [85.003, 145.997]},
    "travel left at its low end": {"machine.travel.y": [160, 900], "machine.travel.x": [200, 500]},
    "down to the spoilboard's end": {"E 30": "G1 Z-6.000 F400"},
    "below the spoilboard's end": {"E 30": "G1 Z-6.003 F400"},
    "speeds at their ends": {
        "machine.min_rpm": 14000,
        "machine.max_rpm": 16000,
        "tools.facer.marked_max_rpm": 14000,
    },
    "speeds beyond their ends": {"machine.min_rpm": 14001, "tools.mill.marked_max_rpm": 15999},
    "no mark on the cutter": {"tools.facer.marked_max_rpm": None, "A 10": "S24001", "machine.max_rpm": 24000},
    "a speed of nothing": {"A 10": "S0", "machine.min_rpm": 0},
    "feeds beyond the end": {"machine.max_feed": 2999},
    "the wrong tool is selected": {"B 9": "T7"},
    "a tool change that is right": {"A 9": "T1 M6"},
    "first up too little": {"A 12": "G0 Z31.200"},
    "a low start along": {"A 12": "G0 Z34.000\nG0 Z60.000"},
    "it ends 30 high": {"A 30": "G0 Z30.000"},
    "a stop with the spindle on, another with it off": {"A 21": "G0 Z60.000\nM1\nM5\nM0\nM3"},
    "it stops, and turns the other way": {"A 21": "G0 Z60.000\nM4\nM0"},
    "down onto the wood": {"A 13": "G0 X100.000 Y18.000"},
    "a plunge with edges at the centre": {"E 18": "G0 X140.000 Y95.000"},
    "a ramp of 3 degrees": {
        "E 18": "G0 X140.000 Y107.300",
        "E 20": "G1 X6.430 Z13.000",
        "E 15": "G1 Z19.000 F400",
    },
    "a ramp of 3.5 degrees": {
        "E 18": "G0 X160.000 Y107.300",
        "E 20": "G1 X30.770 Z12.000 F400",
        "tools.mill.ramp": 3.0,
    },
    "into the bed at 10 degrees": {"E 35": "G1 X314.000 Z-1.000 F400", "E 34": "G0 Z0.058"},
    "into the bed at 3.005 degrees": {"E 35": "G1 X300.000 Z-1.000 F400", "E 34": "G0 Z0.050"},
    "into the bed at 3.034 degrees": {"E 35": "G1 X300.000 Z-1.000 F400", "E 34": "G0 Z0.060"},
    "into the bed with the spindle off": {"E 29": "G0 Z7.000\nM5"},
    "the nut comes down to the clamps": NUT,
    "the nut comes down to the wood": {
        "tools.facer.cutting_length": 1.0,
        "tools.facer.stickout": 1.5,
        "tools.facer.gripped": 68.5,
        "tools.facer.assembly.0.to": 1.0,
        "tools.facer.assembly.1.from": 1.0,
        "tools.facer.assembly.1.to": 1.5,
        "tools.facer.assembly.2.from": 1.5,
        "tools.facer.assembly.2.diameter": 60,
    },
    "the body below the bed": {
        "tools.mill.cutting_length": 0.5,
        "tools.mill.assembly.1.from": 0.5,
        "tools.mill.assembly.0.to": 0.5,
    },
}
