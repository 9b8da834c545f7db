"""The wood as a setup finds and leaves it, drawn from a packet's physical facts alone.

In: a packet and one of its setups. Out: outlines and heights in that setup's work frame, mm. Promise: used
for drawings and sentences only; the proof computes its own. Walls and planes of setups already run are taken
as cut, everything else as measured.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen
from stockwright.packet.model import PlaneGoal, WallGoal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from stockwright.packet.model import Lies, MeasuredBoard, Packet, Setup

    Floats = NDArray[np.float64]

__all__ = ["Wood", "clip", "side_names", "upper_at", "wood_in"]

Point = tuple[float, float]


@frozen(eq=False)
class Wood:
    """One board in one setup, work frame, mm.

    `before` and `after` are outlines as the setup finds and leaves the board, `piece` what remains when
    every wall of the packet is cut; `top` and `bottom` are the board's extreme heights, `top_after` the upper
    face once this setup is run. Face `up` is above; `sides` says of each edge and end where it lies ("near",
    "far", "left", "right"). `profile_x` and `profile_y` run through the middle of the board along x and y:
    (n, 3) of place, lower and upper height as it comes; `voids` are where it has no wood.
    """

    before: list[Point]
    after: list[Point]
    piece: list[Point]
    top: float
    bottom: float
    top_after: float
    up: str
    lower_is_flat: bool
    upper_is_flat: bool
    sides: dict[str, str]
    profile_x: Floats
    profile_y: Floats
    voids: tuple[list[Point], ...] = ()


def wood_in(packet: Packet, setup: Setup, name: str) -> Wood:
    """Return what is known of board `name` in `setup`."""
    lies = next(lie for lie in setup.lies if lie.board == name)
    board = packet.boards[name]
    here = np.array(lies.matrix)
    outline = _outline(board, board.outline, here)
    lines = [
        (_whole_by(packet, other, wall.cut), _line(wall, other_lies, here))
        for other, other_lies in _clampings(packet, name)
        for wall in other.goals
        if isinstance(wall, WallGoal) and wall.board == name
    ]
    before = _cut(outline, (line for index, line in lines if index < setup.index))
    after = _cut(before, (line for index, line in lines if index == setup.index))
    piece = _cut(outline, (line for _, line in lines))
    faces = _faces(packet, setup, name, here)
    upper, lower = ("A", "B") if lies.up == "A" else ("B", "A")
    x, y = np.meshgrid(board.x, board.y, indexing="ij")
    heights = {
        face: _moved(np.stack([x, y, np.array(z)], axis=-1), here)
        for face, z in (("A", board.top), ("B", board.bottom))
    }
    tops, bottoms = heights[upper], heights[lower]
    known_top, known_bottom = faces["before"].get(upper), faces["before"].get(lower)
    top = float(tops[..., 2].max()) if known_top is None else known_top
    bottom = float(bottoms[..., 2].min()) if known_bottom is None else known_bottom
    return Wood(
        before=before,
        after=after,
        piece=piece,
        top=top,
        bottom=bottom,
        top_after=faces["after"].get(upper, top),
        up=upper,
        lower_is_flat=known_bottom is not None,
        upper_is_flat=known_top is not None,
        sides=side_names(lies),
        profile_x=_profile(tops, bottoms, 0, known_top, known_bottom),
        profile_y=_profile(tops, bottoms, 1, known_top, known_bottom),
        voids=tuple(_outline(board, hole, here) for hole in board.holes),
    )


def upper_at(packet: Packet, setup: Setup, name: str, at: Point) -> float:
    """Return the height of board `name`'s upper face, as measured, at a place of `setup`'s work frame."""
    lies = next(lie for lie in setup.lies if lie.board == name)
    board, here = packet.boards[name], np.array(lies.matrix)
    faces = np.array(board.top if lies.up == "A" else board.bottom)
    point = np.array([*at, 0.0, 1.0])
    back = np.linalg.inv(here)
    for _ in range(4):  # a board lies so little aslant that each round leaves a thousandth of the last
        x, y = (back @ point)[:2].tolist()
        across = [float(np.interp(y, board.y, row)) for row in faces]
        z = float(np.interp(x, board.x, across))
        point[2] = (here @ np.array([x, y, z, 1.0]))[2]
    return float(point[2])


def side_names(lies: Lies) -> dict[str, str]:
    """Say for each edge and end where it points: "near" (towards the operator), "far", "left" or "right"."""
    turn = np.array(lies.matrix)[:2, :2]
    directions = {"edge-1": (0, -1), "edge-2": (0, 1), "end-1": (-1, 0), "end-2": (1, 0)}
    return {name: _pointing(turn @ np.array(vector)) for name, vector in directions.items()}


def clip(outline: list[Point], line: tuple[Point, Point]) -> list[Point]:
    """Return the part of `outline` on the left of the directed `line`."""
    (ax, ay), (bx, by) = line

    def side(p: Point) -> float:
        return (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)

    kept: list[Point] = []
    for i, p in enumerate(outline):
        q = outline[(i + 1) % len(outline)]
        a, b = side(p), side(q)
        if a >= 0:
            kept.append(p)
        if (a > 0 > b) or (a < 0 < b):
            t = a / (a - b)
            kept.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
    return kept


def _pointing(vector: Floats) -> str:
    angle = math.degrees(math.atan2(float(vector[1]), float(vector[0])))
    return ("right", "far", "left", "near")[round(angle / 90) % 4]


def _clampings(packet: Packet, name: str) -> list[tuple[Setup, Lies]]:
    return [(setup, lie) for setup in packet.setups for lie in setup.lies if lie.board == name]


def _whole_by(packet: Packet, setup: Setup, cut: str) -> int:
    """Return the setup by whose end a cut is made all along the board, which may be slid on for it."""
    if setup.position is None:
        return setup.index
    begins = setup.index - setup.position.number
    return max(
        other.index
        for other in packet.setups
        if other.position is not None
        and other.index - other.position.number == begins
        and any(goal.cut == cut for goal in other.goals)
    )


def _moved(points: Floats, matrix: Floats) -> Floats:
    moved: Floats = points @ matrix[:3, :3].T + matrix[:3, 3]
    return moved


def _outline(board: MeasuredBoard, ring: Iterable[Point], here: Floats) -> list[Point]:
    middle = (np.mean(board.top) + np.mean(board.bottom)) / 2
    flat = np.array([(x, y, middle) for x, y in ring])
    return [(float(x), float(y)) for x, y, _ in _moved(flat, here)]


def _line(wall: WallGoal, lies: Lies, here: Floats) -> tuple[Point, Point]:
    """Return the wall, set in its own setup, as a line of this one, the wood on its left."""
    ends = np.array([(x, y, sum(wall.z) / 2) for x, y in (wall.path[0], wall.path[-1])])
    there = here @ np.linalg.inv(np.array(lies.matrix))
    a, b = ((float(p[0]), float(p[1])) for p in _moved(ends, there))
    # Turning a board over mirrors left and right.
    mirrored = there[2, 2] < 0
    return (a, b) if (wall.inside == "left") != mirrored else (b, a)


def _cut(outline: list[Point], lines: Iterable[tuple[Point, Point]]) -> list[Point]:
    for line in lines:
        outline = clip(outline, line) or outline
    return outline


def _faces(packet: Packet, setup: Setup, name: str, here: Floats) -> dict[str, dict[str, float]]:
    """Return the heights, in this setup, of the faces already cut "before" it and "after" it."""
    known: dict[str, dict[str, float]] = {"before": {}, "after": {}}
    for other, lies in _clampings(packet, name):
        if other.index > setup.index:
            continue
        there = here @ np.linalg.inv(np.array(lies.matrix))
        for goal in other.goals:
            if not isinstance(goal, PlaneGoal) or goal.board != name or not goal.cut.startswith("face "):
                continue
            middle = np.mean(goal.region, axis=0)
            z = float(_moved(np.array([[middle[0], middle[1], goal.z]]), there)[0, 2])
            known["after"][goal.cut[-1]] = z
            if _whole_by(packet, other, goal.cut) < setup.index:
                known["before"][goal.cut[-1]] = z
    return known


def _profile(tops: Floats, bottoms: Floats, axis: int, top: float | None, bottom: float | None) -> Floats:
    """Return (n, 3): place along the work `axis`, lower and upper height, through the board's middle."""
    # Which of the grid's two directions runs along the work axis depends on the quarter turns.
    spread = [np.ptp(tops[:, 0, axis]), np.ptp(tops[0, :, axis])]
    along = int(np.argmax(spread))
    middle = tops.shape[1 - along] // 2
    upper = tops[:, middle] if along == 0 else tops[middle]
    lower = bottoms[:, middle] if along == 0 else bottoms[middle]
    rows = np.stack([upper[:, axis], lower[:, 2], upper[:, 2]], axis=1)
    if top is not None:
        rows[:, 2] = top
    if bottom is not None:
        rows[:, 1] = bottom
    ordered: Floats = rows[np.argsort(rows[:, 0], kind="stable")]
    return ordered
