"""A small packet made by hand: a 304 x 106 x 31 board, face A, face B turned over, then edge-1.

In: nothing. Out: a fresh `Packet` and its programs' text, proven as they stand; tests change one thing.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stockwright.packet.model import Packet

Floats = NDArray[np.float64]

LENGTH, WIDTH, THICK = 304.0, 106.0, 26.0
TILT = 0.004  # radians about y: how the rough board is seated
FACE_A = 28.0  # work z of the first face
MARK = (200.0, 140.0, 0.0)
CLEAR = 60.0
PREAMBLE = ["G17", "G21", "G40", "G49", "G54", "G80", "G90", "G94"]


def _seated() -> Floats:
    """Board frame to the first setup's work frame: tilted, the lowest corner of the underside at z 0."""
    c, s = math.cos(TILT), math.sin(TILT)
    matrix = np.eye(4)
    matrix[:3, :3] = np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])
    matrix[2, 3] = s * LENGTH
    return matrix


def _turned() -> Floats:
    """Turn the same board edge over edge, its first face down on the bed."""
    place = np.diag([1.0, -1.0, -1.0, 1.0])
    place[1, 3] = WIDTH
    place[2, 3] = FACE_A
    turned: Floats = place @ _seated()
    return turned


def _facing(top: float, z: float) -> list[str]:
    lines = [*PREAMBLE, "(face)", "S14000", "M3", f"G0 Z{CLEAR:.3f}"]
    xs = (-32.0, LENGTH + 34.0)
    for level in (top, z):
        lines.append(f"G0 X{xs[0]:.3f} Y18.000")
        lines.append(f"G0 Z{top + 6:.3f}")
        lines.append(f"G1 Z{level:.3f} F500")
        for index, y in enumerate((18.0, 53.0, 88.0)):
            if index:
                lines.append(f"G1 Y{y:.3f} F3000")
            lines.append(f"G1 X{xs[(index + 1) % 2]:.3f} F3000")
        lines.append(f"G0 Z{CLEAR:.3f}")
    return [*lines, "M5", "M30"]


def _edge() -> list[str]:
    lines = [*PREAMBLE, "(edge)", "S16000", "M3", f"G0 Z{CLEAR:.3f}"]
    for z, y in ((19.0, 107.3), (12.0, 107.3), (5.0, 107.3), (-1.0, 107.3), (-1.0, 107.0)):
        lines += [f"G0 X320.000 Y{y:.3f}", f"G0 Z{z + 8:.3f}", f"G1 Z{z:.3f} F400", "G1 X-12.000 F2400"]
        lines.append(f"G0 Z{CLEAR:.3f}")
    return [*lines, "M5", "M30"]


def _box(x0: float, y0: float, x1: float, y1: float) -> list[list[float]]:
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def _solid(name: str, outline: list[list[float]], bottom: float, top: float) -> dict[str, Any]:
    return {"name": name, "kind": "clamp", "outline": outline, "bottom": bottom, "top": top}


def _low_clamps() -> list[dict[str, Any]]:
    return [
        _solid("near clamp", _box(100, -52, 160, -1), 0, 14),
        _solid("far clamp", _box(100, 107, 160, 157), 0, 14),
        _solid("left stop", _box(-31, 30, -1, 70), 0, 14),
        _solid("right stop", _box(306, 30, 336, 70), 0, 14),
    ]


def _program(file: str, tool: str, standing: list[str]) -> dict[str, Any]:
    return {
        "file": file,
        "purpose": "cut",
        "tool": tool,
        "post": "rs274-ngc",
        "touch_off": {"z": "support", "how": "on the bed"},
        "digest": "sha256:0",
        "seconds": 60.0,
        "blocks": 40,
        "standing": standing,
    }


def _setup(
    index: int,
    cut: str,
    up: str,
    matrix: Floats,
    goal: dict[str, Any],
    solids: list[dict[str, Any]],
    program: dict[str, Any],
) -> dict[str, Any]:
    return {
        "index": index,
        "title": cut,
        "cuts": [{"board": "plank", "name": cut}],
        "lies": [{"board": "plank", "up": up, "quarter_turns": 0, "matrix": matrix.tolist()}],
        "work_origin": list(MARK),
        "zero": {"x": MARK[0], "y": MARK[1], "z": "support", "how": "on the bed mark"},
        "goals": [goal | {"board": "plank", "cut": cut}],
        "solids": solids,
        "programs": [program],
    }


def _board() -> dict[str, Any]:
    x = [0.0, 100.0, 200.0, LENGTH]
    y = [0.0, 50.0, WIDTH]
    # Seated at the tilt, the underside rises from the right end; the top is a little cupped.
    bottom = [[0.0 if i else 0.2, 0.1, 0.0] for i in range(4)]
    top = [[31.0, 30.6, 31.1], [30.9, 30.4, 30.9], [30.8, 30.3, 30.8], [30.9, 30.5, 31.0]]
    outline = _box(0, 0, LENGTH, WIDTH)
    return {"outline": outline, "x": x, "y": y, "top": top, "bottom": bottom, "uncertainty": 0.2}


def _tools() -> dict[str, Any]:
    facer = {
        "number": 1,
        "kind": "facing-cutter",
        "diameter": 50,
        "cutting_length": 12,
        "shank_diameter": 12,
        "overall_length": 70,
        "gripped": 26,
        "stickout": 44,
        "marked_max_rpm": 18000,
        "flutes": 3,
        "centre_cutting": False,
        "ramp": 0,
        "assembly": [
            {"diameter": 50, "from": 0, "to": 12},
            {"diameter": 12, "from": 12, "to": 44},
            {"diameter": 34, "from": 44, "to": 66},
            {"diameter": 70, "from": 66, "to": 156},
        ],
    }
    mill = {
        "number": 2,
        "kind": "end-mill",
        "diameter": 12,
        "cutting_length": 42,
        "shank_diameter": 12,
        "overall_length": 90,
        "gripped": 26,
        "stickout": 64,
        "marked_max_rpm": 24000,
        "flutes": 2,
        "centre_cutting": True,
        "ramp": 3,
        "assembly": [
            {"diameter": 12, "from": 0, "to": 42},
            {"diameter": 12, "from": 42, "to": 64},
            {"diameter": 34, "from": 64, "to": 86},
            {"diameter": 70, "from": 86, "to": 176},
        ],
    }
    return {"facer": facer, "mill": mill}


def small_document() -> dict[str, Any]:
    """Give the packet as plain values, fresh each time."""
    low = _low_clamps()
    names = [solid["name"] for solid in low]
    whole = _box(-1, 0, LENGTH + 1, WIDTH)
    top_clamps = [
        _solid("left toe", _box(60, -40, 90, 40), THICK, THICK + 14),
        _solid("right toe", _box(210, -40, 240, 40), THICK, THICK + 14),
        _solid("left body", _box(60, -70, 90, -40), 0, THICK + 14),
    ]
    tops = [solid["name"] for solid in top_clamps]
    seated, turned = _seated(), _turned()
    wall = {
        "kind": "wall",
        "path": [[0.0, 101.0], [LENGTH + 0.1, 101.0]],
        "inside": "right",
        "z": [0.0, THICK],
        "clear": 12.0,
    }
    return {
        "packet_format": 1,
        "made_with": {"name": "by hand", "version": "1"},
        "recipe": {"name": "test", "version": "1", "digest": "sha256:0"},
        "wanted": {
            "plank": {
                "length": None,
                "width": None,
                "thickness": THICK,
                "tolerance": {"thickness": 0.3, "flatness": 0.3, "parallelism": 0.3},
            }
        },
        "boards": {"plank": _board()},
        "machine": {
            "name": "bench router",
            "travel": {"x": [0, 1400], "y": [0, 900], "z": [40, 160]},
            "zero": None,
            "rapid": 6000,
            "rapids": "independent",
            "acceleration": 400,
            "max_feed": 5000,
            "min_rpm": 8000,
            "max_rpm": 24000,
            "power": 1500,
            "spoilboard": 6,
            "margin": 3,
            "attached": [],
        },
        "tools": _tools(),
        "setups": [
            _setup(
                1,
                "face A",
                "A",
                seated,
                {"kind": "plane", "z": FACE_A, "region": whole},
                low,
                _program("1-face-a.nc", "facer", names),
            ),
            _setup(
                2,
                "face B",
                "B",
                turned,
                {"kind": "plane", "z": THICK, "region": whole},
                low,
                _program("2-face-b.nc", "facer", names),
            ),
            _setup(3, "edge-1", "B", turned, wall, top_clamps, _program("3-edge-1.nc", "mill", tops)),
        ],
        "findings": [],
        "finished": {},
        "proof": {"verdict": "unproven", "cell": 1, "cannot_know": [], "reasons": []},
    }


def small_packet() -> Packet:
    """Give the packet, fresh."""
    return Packet.model_validate(small_document())


def small_lines() -> dict[str, list[str]]:
    """Give each program's lines, fresh."""
    return {
        "1-face-a.nc": _facing(30.0, FACE_A),
        "2-face-b.nc": _facing(28.0, THICK),
        "3-edge-1.nc": _edge(),
    }


def small_texts(lines: dict[str, list[str]] | None = None) -> dict[str, str]:
    """Give the programs' text."""
    return {file: "\n".join(text) + "\n" for file, text in (lines or small_lines()).items()}
