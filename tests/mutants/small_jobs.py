"""Small jobs for the bench of mutants: generated boards of at most 300 x 100 mm through the whole pipeline.

In: a number. Out: the packet and its programs' texts, proven as they stand. Both posts, both units, three
shops and three recipes: the example's own, and variants of them made here.
"""

from __future__ import annotations

import re
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
import yaml

from example_jobs import STAIR_TREAD
from rough_boards import rough
from stockwright.packet.model import WallGoal
from stockwright.run import Request, make

if TYPE_CHECKING:
    from stockwright.packet.model import Packet, Setup, Tool

__all__ = ["JOBS", "Small", "small"]

ROOT = Path(__file__).parents[2]
SHOP = STAIR_TREAD.parent / "shop.yaml"
RECIPE = ROOT / "recipes" / "four-sides-square.yaml"
BULGE = 0.15  # mm that a roughing pass made an arc bulges, over what it leaves beside the wall
MOST_BULGES = 2  # a program: each is a dozen chords to both judges
WIDER = 1.2  # mm
LONGEST, WIDEST = (190.0, 296.0), (66.0, 96.0)

# Two clamps hold so small a board only where they press hard.
HOLDS = [(r"press: 900 N", "press: 4000 N")]
# What is exchanged in the shop's and the recipe's text; every pattern must be there.
SHOPS: dict[str, list[tuple[str, str]]] = {
    "example": [],
    "straight": [
        (r"rapids: independent", "rapids: straight"),
        (r"margin: 3 mm", "margin: 2 mm"),
        (r"centre-cutting: no\n", "centre-cutting: no\n    ramp: 2 deg\n"),
        (r"diameter: 50 mm", "diameter: 32 mm"),
    ],
    "shoe": [
        (
            r"  park:",
            (
                "  attached:\n    dust-shoe: {x: -45 mm to 45 mm, y: -45 mm to 45 mm, from: -24 mm,"
                " to: 10 mm, moves-with: z, soft: yes}\n  park:"
            ),
        ),
        (r"centre-cutting: yes", "centre-cutting: no"),
    ],
}
RECIPES: dict[str, list[tuple[str, str]]] = {
    "four-sides-square": [],
    "end-over-end": [
        (r"edge-over-edge", "end-over-end"),
        (r"half-of-surplus  ", "least  "),
        (r"\{face: B, ", "{face: B, passes: across, direction: conventional, "),
    ],
    "looped": [
        (r"seat: thickest  ", "seat: no-rocking  "),
        (r"\{face: B, ", "{face: B, direction: climb, perimeter: last, "),
        (r"\{end: end-1, ", "{end: end-1, light: 0.5 mm, "),
    ],
}
# (board's seed, shop, recipe, post, units, whether the turns between passes are made arcs by hand)
JOBS: tuple[tuple[int, str, str, str, Literal["mm", "inch"], bool], ...] = (
    (1, "example", "four-sides-square", "rs274-ngc", "mm", False),
    (3, "shoe", "looped", "lean-serial", "inch", True),
    (4, "straight", "end-over-end", "lean-serial", "mm", False),
    (5, "example", "looped", "rs274-ngc", "inch", True),
    (0, "straight", "four-sides-square", "lean-serial", "inch", False),
    (7, "shoe", "end-over-end", "rs274-ngc", "mm", True),
    (8, "straight", "looped", "rs274-ngc", "inch", False),
    (10, "example", "end-over-end", "lean-serial", "mm", True),
)


@dataclass(frozen=True, eq=False)
class Small:
    """One small job: what it is, its packet, and its programs' text by file."""

    name: str
    packet: Packet
    texts: dict[str, str]


def _changed(text: str, edits: list[tuple[str, str]]) -> str:
    for pattern, new in edits:
        text, count = re.subn(pattern, new.replace("\\", r"\\"), text)
        assert count, pattern
    return text


@cache
def small(number: int) -> Small:
    """Make the job of a number, 0 up to `len(JOBS)`."""
    seed, shop, recipe, post, units, arced = JOBS[number]
    board = rough(seed, LONGEST, WIDEST, (22, 38))
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "board.yaml").write_text(board.text)
        (folder / "shop.yaml").write_text(_changed(SHOP.read_text(), [*HOLDS, *SHOPS[shop]]))
        (folder / "recipe.yaml").write_text(_changed(RECIPE.read_text(), RECIPES[recipe]))
        job = {
            "stockwright": "job/1",
            "name": f"small-{number}",
            "recipe": "recipe.yaml",
            "shop": "shop.yaml",
            "boards": ["board.yaml"],
            "set": {key: f"{getattr(board, key):g} mm" for key in ("length", "width", "thickness")},
        }
        (folder / "job.yaml").write_text(yaml.safe_dump(job, sort_keys=False))
        made = make(Request(folder / "job.yaml", post=post, units=units))
    texts = {name: data.decode() for name, data in made.files.items() if name.startswith("programs/")}
    packet = made.packet
    if arced:
        # The bulges leave more to the last pass than the planner does, and whoever made them allows it.
        tools = {key: tool.model_copy(update={"trim": WIDER}) for key, tool in packet.tools.items()}
        packet = packet.model_copy(update={"tools": tools})
        texts = {
            program.file: _with_arcs(texts[program.file], setup, made.packet.tools[program.tool or ""])
            for setup in made.packet.setups
            for program in setup.programs
        }
    name = f"board {seed}, {shop}, {recipe}, {post}, {units}{', arcs' * arced}"
    return Small(name, packet, texts)


def _with_arcs(text: str, setup: Setup, tool: Tool) -> str:
    """Make arcs of some lines: the turns between passes bulge away from the board, and so do roughing passes.

    The shipped posts write lines only; a person's own program, or another post's, may not. A turn's other
    sense goes over the board, which is no harm; a roughing pass's goes nearly the whole circle round.
    """
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
