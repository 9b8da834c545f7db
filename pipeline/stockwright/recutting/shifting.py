"""Later setups after a face has gone deeper. In: a packet's setups, which face, how deep. Out: new setups.

A face that goes D deeper lowers the board by D in every setup that rests on it; a face cut from that one, at
its own height over the support, then lies D farther out in the wood. Promise: what was wanted stays wanted;
where the wood no longer reaches, the call is refused with both thicknesses.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from stockwright.board.surface import Board
from stockwright.findings import Finding
from stockwright.packet.model import DECIMALS, PlaneGoal, WallGoal
from stockwright.units import INCH, format_length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.packet.model import Goal, Lies, MeasuredBoard, Packet, Setup, Solid

    Floats = NDArray[np.float64]

__all__ = ["later_setups", "top_before"]

PITCH = 8.0  # mm between the places where measured heights are compared; readings lie much further apart


def later_setups(
    packet: Packet, index: int, board: str, face: str, depth: float
) -> tuple[list[Setup], list[Finding]]:
    """Return the setups after the one at `index` (its number) as they are now, and what refuses them."""
    off = {"A": 0.0, "B": 0.0, face[-1]: depth}
    found: list[Finding] = []
    setups: list[Setup] = []
    for setup in packet.setups:
        lie = next((lie for lie in setup.lies if lie.board == board), None)
        if setup.index <= index or lie is None or lie.up not in off:
            setups.append(setup)
            continue
        lower = "B" if lie.up == "A" else "A"
        sunk = -off[lower]
        before = sunk - off[lie.up]
        goals = [goal for goal in setup.goals if _is_face(goal, board, lie.up)]
        for goal in goals:
            assert isinstance(goal, PlaneGoal)
            found += _too_little(packet, setup, goal, before)
        if goals:
            off[lie.up] = sunk
        after = 0.0 if goals else before
        setups.append(_moved(setup, board, sunk, before, after))
    return setups, found


def top_before(packet: Packet, setup: Setup, goal: PlaneGoal) -> tuple[float, float]:
    """Return the lowest and highest wood over a goal's region when a setup begins, work z.

    Measured heights as the board lies, no higher than a face that an earlier setup has cut.
    """
    if goal.board is None:
        surface = -setup.work_origin[2]
        return surface, surface
    lie = next(lie for lie in setup.lies if lie.board == goal.board)
    here = np.array(lie.matrix)
    cap = np.inf
    for other in packet.setups:
        if other.index >= setup.index:
            break
        there = next((one for one in other.lies if one.board == goal.board), None)
        planes = [g for g in other.goals if _is_face(g, goal.board, lie.up) and isinstance(g, PlaneGoal)]
        for plane in planes if there is not None and there.up == lie.up else []:
            assert there is not None
            middle = np.mean(plane.region, axis=0)
            point = np.array([middle[0], middle[1], plane.z, 1.0])
            cap = float((here @ np.linalg.inv(np.array(there.matrix)) @ point)[2])
    heights = np.minimum(_heights(packet.boards[goal.board], lie), cap)
    unsure = packet.boards[goal.board].uncertainty if np.isinf(cap) else 0.0
    rested = [s for s in packet.setups if s.index <= setup.index]
    unsure += sum(one.moved for s in rested for one in s.lies if one.board == goal.board)
    return float(heights.min()) - unsure, float(heights.max()) + unsure


def _is_face(goal: Goal, board: str, face: str) -> bool:
    return isinstance(goal, PlaneGoal) and goal.board == board and goal.cut == f"face {face}"


def _heights(board: MeasuredBoard, lie: Lies) -> Floats:
    """Return work heights of the measured upper side, (n,): at every reading, between them, along the rim."""
    outline = shapely.Polygon(board.outline)
    x0, y0, x1, y1 = outline.bounds
    xs = np.unique(np.concatenate([np.arange(x0, x1 + PITCH, PITCH), board.x]))
    ys = np.unique(np.concatenate([np.arange(y0, y1 + PITCH, PITCH), board.y]))
    gx, gy = (each.ravel() for each in np.meshgrid(xs, ys, indexing="ij"))
    rim = np.asarray(outline.exterior.segmentize(PITCH).coords)
    within = shapely.contains_xy(outline, gx, gy)
    x, y = np.concatenate([gx[within], rim[:, 0]]), np.concatenate([gy[within], rim[:, 1]])
    sides = (np.array(board.top), np.array(board.bottom))
    measured = Board("", np.array(board.outline), np.array(board.x), np.array(board.y), *sides, 0.0)
    xy = np.column_stack([x, y])
    z = measured.top_at(xy) if lie.up == "A" else measured.bottom_at(xy)
    row = np.array(lie.matrix)[2]
    heights: Floats = row[0] * x + row[1] * y + row[2] * z + row[3]
    return heights


def _too_little(packet: Packet, setup: Setup, goal: PlaneGoal, lower: float) -> list[Finding]:
    """Refuse a later face that the wood does not reach any more, now that it lies `lower` (below 0)."""
    lowest, _ = top_before(packet, setup, goal)
    most, units = lowest + lower, packet.units
    if most >= goal.z:
        return []
    spare = lowest - goal.z
    can = f"at most {_down(spare, units)} deeper" if _step(units) <= spare else "no deeper at all"
    return [
        Finding(
            rule="too-little-wood-left",
            level="refuse",
            message=f"{goal.cut} of {goal.board} would be at most {format_length(most, units, 3)} over the "
            f"support in setup {setup.index}, and {format_length(goal.z, units, 3)} are wanted there",
            remedy=f"go {can}, or make the job anew with a thickness of {_down(most, units)} or less",
            measured=round(most, 3),
            limit=round(goal.z, 3),
            setup=setup.index,
        )
    ]


def _step(units: Literal["mm", "inch"]) -> float:
    return 0.05 if units == "mm" else 0.002 * INCH


def _down(value: float, units: Literal["mm", "inch"]) -> str:
    step = _step(units)
    return format_length(np.floor(value / step + 1e-9) * step, units)


def _moved(setup: Setup, board: str, sunk: float, before: float, after: float) -> Setup:
    """Return a setup whose board lies `sunk` higher, its upper face moved by `before`, then by `after`."""
    lies = [lie if lie.board != board else _sunk(lie, sunk) for lie in setup.lies]
    goals = [
        goal.model_copy(update={"z": (goal.z[0], _round(goal.z[1] + after))})
        if isinstance(goal, WallGoal) and goal.board == board
        else goal
        for goal in setup.goals
    ]
    checks = [
        (x, y, _round(reads + before), within) if len(setup.lies) == 1 else (x, y, reads, within)
        for x, y, reads, within in setup.seat_check
    ]
    solids = _lowered(setup, before) if len(setup.lies) == 1 else list(setup.solids)
    return setup.model_copy(update={"lies": lies, "goals": goals, "seat_check": checks, "solids": solids})


def _sunk(lie: Lies, by: float) -> Lies:
    x, y, z, w = lie.matrix
    return lie.model_copy(update={"matrix": (x, y, (z[0], z[1], z[2], _round(z[3] + by)), w)})


def _lowered(setup: Setup, by: float) -> list[Solid]:
    """Return what stands, clamps that press on the upper face moved with it."""
    return [
        solid.model_copy(
            update={
                "top": _round(solid.top + by),
                "bottom": _round(solid.bottom + by) if solid.bottom > 0 else solid.bottom,
            }
        )
        if solid.kind == "top-clamp"
        else solid
        for solid in setup.solids
    ]


def _round(value: float) -> float:
    return round(value, DECIMALS) + 0.0
