"""Short programs made by hand for the setups of `sample_setups`. In: setups. Out: programs by setup."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sample_setups import EDGE_1_Y, FACER, MILL, X_END_1, X_END_2, T, W
from setups import rectangle
from stockwright.motion.nodes import Feed, Program, Rapid, Remark, SpindleOff, SpindleOn

if TYPE_CHECKING:
    from stockwright.planning.setup import Setup, Solid
    from stockwright.tooling import Tool

__all__ = ["programs"]


def programs(made: tuple[Setup, ...]) -> tuple[tuple[Program, ...], ...]:
    """Return each setup's programs: an outline, then what it cuts."""
    s1, s2, s3, s4 = (list(setup.solids) for setup in made)
    ys1 = [float(v) for v in np.arange(55.0, 325.0, 33.0)]
    wall_y = EDGE_1_Y + 6.0
    return (
        (
            _outline("s1-outline", 1, FACER, rectangle(-60, 0, 1250, 350), 56.0, s1),
            _cutting(
                "s1-face-a", "face A, along the grain", 1, FACER, _rows(-30.0, 1218.0, ys1, 35.0), 56.0, s1
            ),
        ),
        (
            _outline("s2-outline", 2, FACER, rectangle(-60, 0, 1250, 350), 48.0, s2),
            _cutting(
                "s2-face-b", "face B, along the grain", 2, FACER, _rows(-30.0, 1218.0, ys1, T), 48.0, s2
            ),
        ),
        (
            _outline("s3-outline", 3, MILL, rectangle(-60, -20, 1250, 350), 58.0, s3),
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
            _outline("s4-outline", 4, MILL, rectangle(-60, -80, 1250, 350), 58.0, s4),
            _cutting(
                "s4-end-1",
                "end-1 to the line",
                4,
                MILL,
                np.array([[X_END_1 + 6, -12, -1.0], [X_END_1 + 6, 240, -1.0]]),
                58.0,
                s4,
            ),
            _cutting(
                "s4-end-2",
                "end-2 to length",
                4,
                MILL,
                np.array([[X_END_2 - 6, 240, -1.0], [X_END_2 - 6, -12, -1.0]]),
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
