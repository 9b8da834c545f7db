"""Arcs put by hand into lines, for the bench of mutants. In: a text, its setup and tool. Out: a text.

The shipped posts write lines only; a person's own program, or another post's, may not. A turn between passes
bulges away from the board, and so do some roughing passes. A turn's other sense goes over the board, which is
no harm; a roughing pass's goes nearly the whole circle round.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.packet.model import WallGoal

if TYPE_CHECKING:
    from stockwright.packet.model import Setup, Tool

__all__ = ["WIDER", "with_arcs"]

BULGE = 0.15  # mm that a roughing pass made an arc bulges, over what it leaves beside the wall
MOST_BULGES = 2  # a program: each is a dozen chords to both judges
WIDER = 1.2  # mm


def with_arcs(text: str, setup: Setup, tool: Tool) -> str:
    """Make arcs of some lines."""
    lines = text.split("\n")
    scale = 25.4 if "G20" in lines else 1.0
    walls = [shapely.LineString(goal.path) for goal in setup.goals if isinstance(goal, WallGoal)]
    way, bulges = 0.0, 0
    here: dict[str, float] = {}
    for k, line in enumerate(lines):
        words = dict(re.findall(r"([XYZ])(-?[\d.]+)", "" if line.startswith("(") else line))
        turn = re.fullmatch(r"G1 ([XY])(-?[\d.]+)( F[\d.]+)?", line)
        again = k + 1 < len(lines) and re.fullmatch(r"G1 X-?[\d.]+( F[\d.]+)?", lines[k + 1])
        there = here | {axis: float(value) for axis, value in words.items()}
        if turn and {"X", "Y"} <= set(here):
            a, b = (here["X"], here["Y"]), (there["X"], there["Y"])
            if turn[1] == "Y" and again and way:
                rise = b[1] - a[1]
                code = "G3" if (way > 0) == (rise > 0) else "G2"
                lines[k] = f"{code} X{a[0]} Y{turn[2]} I0.0 J{round(rise / 2, 5)}{turn[3] or ''}"
            elif bulges < MOST_BULGES:
                lines[k] = _bulging(line, a, b, walls, tool.diameter / 2, scale, turn[3] or "")
                bulges += lines[k] != line
        if "X" in words and line.startswith("G1"):
            way = float(words["X"]) - here.get("X", float(words["X"]))
        here = there
    return "\n".join(lines)


def _bulging(
    line: str,
    a: tuple[float, float],
    b: tuple[float, float],
    walls: list[shapely.LineString],
    radius: float,
    scale: float,
    feed: str,
) -> str:
    """Make an arc, away from the wall, of a pass that runs just outside one; give other lines as they are."""
    path = shapely.LineString([a, b])
    for wall in walls:
        placed = shapely.LineString([(x / scale, y / scale) for x, y in wall.coords])
        light = float(path.distance(placed)) * scale - radius
        if not 0.1 < light < 0.5 or path.length * scale < 30:
            continue
        rise = (light + BULGE) / scale
        along = np.subtract(b, a) / path.length
        left = np.array([-along[1], along[0]])
        middle = np.add(a, b) / 2
        near = np.array(placed.interpolate(placed.project(shapely.Point(middle))).coords[0])
        away = 1.0 if float((middle - near) @ left) > 0 else -1.0
        size = (path.length**2 / 4 + rise**2) / (2 * rise)
        # The centre lies on the wall's side; bulging to the left of the way is clockwise.
        i, j = middle - away * left * (size - rise) - np.array(a)
        places = 4 if scale == 1.0 else 5
        return (
            f"{'G2' if away > 0 else 'G3'} X{b[0]} Y{b[1]} "
            f"I{round(float(i), places) + 0.0} J{round(float(j), places) + 0.0}{feed}"
        )
    return line
