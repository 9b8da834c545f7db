"""What a goal is called against where it stands. In: a setup's goals, a board as it lies. Out: reasons.

Promise: the names of a board's faces, edges and ends have fixed places in the piece frame (edge-1 at y 0,
edge-2 at y = width, end-1 at x 0, end-2 at x = length, face B at z 0, face A at z = thickness); a goal that
is turned another way than its name's is refused, however well it is cut. Nothing but `lies` decides.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.packet.model import PlaneGoal, Reason
from stockwright.proving.frames import turned_by_hand
from stockwright.proving.outlines import area_of

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Setup, WallGoal

    Floats = NDArray[np.float64]

__all__ = ["OUTWARD", "judge_names"]

OUTWARD: dict[str, tuple[str, int]] = {  # a name: the axis of the piece frame that it ends, and at which end
    "end-1": ("x", -1),
    "end-2": ("x", 1),
    "edge-1": ("y", -1),
    "edge-2": ("y", 1),
    "face B": ("z", -1),
    "face A": ("z", 1),
}
ASKEW = 0.5  # cosine: a slanting or shaped side is turned by less than 60 degrees; common practice, no source


def judge_names(setup: Setup, board: str, stays: BaseGeometry, underside: float) -> list[Reason]:
    """Apply the rule goal-misnamed to every goal of one board.

    `stays`: the outline that its walls leave, work frame; `underside`: work z of what it lies on.
    """
    lies = next(each for each in setup.lies if each.board == board)
    turned = turned_by_hand(lies.up, lies.quarter_turns)
    low_z = underside if math.isfinite(underside) else 0.0
    found: list[Reason] = []
    for goal in setup.goals:
        if goal.board != board:
            continue
        outward = turned.T @ _outward(goal)  # piece frame
        if goal.cut in OUTWARD and _towards(outward, goal.cut) >= ASKEW:
            continue
        here = max(OUTWARD, key=lambda name: _towards(outward, name))
        at = _middle(goal)
        what = "plane" if isinstance(goal, PlaneGoal) else "wall"
        if goal.cut not in OUTWARD:
            text = f"{goal.cut!r} is no face, edge or end; its {what} stands where {here} belongs"
            found.append(_reason(setup, text, at))
            continue
        axis, end = OUTWARD[goal.cut]
        way = turned[:, "xyz".index(axis)]
        low, high = _extent(way, stays, (low_z, max(low_z, _top(goal))))
        stands, belongs = float(at @ way) - low, (high - low if end > 0 else 0.0)
        text = (
            f"the {what} that is called {goal.cut} stands where {here} belongs: at {axis} {stands:.3f} of "
            f"the piece, and {goal.cut} is at {axis} {belongs:.3f}"
        )
        found.append(_reason(setup, text, at, stands, belongs))
    return found


def _towards(outward: Floats, name: str) -> float:
    axis, end = OUTWARD[name]
    return float(outward["xyz".index(axis)]) * end


def _outward(goal: PlaneGoal | WallGoal) -> Floats:
    """Give the direction (3,) out of the wood, work frame: a plane's is up, a wall's that of its chord."""
    if isinstance(goal, PlaneGoal):
        return np.array([0.0, 0.0, 1.0])
    (ax, ay), (bx, by) = goal.path[0], goal.path[-1]
    out = np.array([by - ay, ax - bx, 0.0]) / math.hypot(bx - ax, by - ay)  # to the right of the path
    return out if goal.inside == "left" else -out


def _middle(goal: PlaneGoal | WallGoal) -> Floats:
    if isinstance(goal, PlaneGoal):
        middle = area_of(goal.region).centroid
        return np.array([middle.x, middle.y, goal.z])
    middle = shapely.LineString(goal.path).interpolate(0.5, normalized=True)
    return np.array([middle.x, middle.y, goal.z[0]])


def _top(goal: PlaneGoal | WallGoal) -> float:
    return goal.z if isinstance(goal, PlaneGoal) else goal.z[1]


def _extent(way: Floats, stays: BaseGeometry, heights: tuple[float, float]) -> tuple[float, float]:
    """Give where the wood that stays begins and ends along a direction of the work frame."""
    corners = shapely.get_coordinates(stays)
    if len(corners) == 0:
        corners = np.zeros((1, 2))
    plan = corners @ way[:2]
    rise = [z * float(way[2]) for z in heights]
    return float(plan.min()) + min(rise), float(plan.max()) + max(rise)


def _reason(
    setup: Setup, text: str, at: Floats, measured: float | None = None, limit: float | None = None
) -> Reason:
    x, y, z = (round(float(value), 3) + 0.0 for value in at)
    return Reason(
        rule="goal-misnamed",
        setup=setup.index,
        program=setup.programs[-1].file if setup.programs else None,
        at=(x, y, z),
        measured=None if measured is None else round(measured, 3) + 0.0,
        limit=None if limit is None else round(limit, 3) + 0.0,
        message=text,
    )
