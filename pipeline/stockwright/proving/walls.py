"""Upright goals and through cuts, exactly in plan. In: goals, a board's outline, the trail. Out: reasons.

Promise: a wall is judged in two dimensions at its full depth, never on cells: 0.05 mm left along an edge is
found. Swept areas are inscribed where wood must be gone and enlarged where it must stay.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.packet.model import Reason, WallGoal
from stockwright.proving.run import HAIR

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Program, Setup
    from stockwright.proving.contact import Lying, Trail

    Floats = NDArray[np.float64]

__all__ = ["WALL", "band", "judge_walls", "kept", "part_pieces", "swept_area"]

WALL = 0.01  # mm a wall may stand off its path: programs are written to 0.001 or 0.0001 in; common practice
REACHES = 0.05  # mm that wood may end short of a wall: walls cut before it stand as near; common practice
CORNER = 1.0  # mm of a wall that may be bare: a corner broken by less is no fault; common practice, no source
ALONG = 401  # places looked at along a wall
CHIP = 0.25  # mm: waste thinner than twice this breaks up under the cutter; common practice, no source
QUADRANT = 32  # chords a quarter circle
GROWN = 1 / math.cos(1.5 * math.pi / (4 * QUADRANT))  # the worst corner of a buffer of that many chords
FAR = 1e4  # mm: beyond any board


def swept_area(a: Floats, b: Floats, radius: Floats | float, *, grown: bool = False) -> NDArray[np.object_]:
    """Give the area each move a-b (n, 2) sweeps: inscribed, or with `grown` at least all of it."""
    lines = np.asarray(shapely.linestrings(np.stack([a, b], axis=1)), dtype=np.object_)
    points = (a == b).all(axis=1)
    lines[points] = shapely.points(a[points])
    size = np.asarray(radius) * (GROWN if grown else 1.0)
    return np.asarray(shapely.buffer(lines, size, quad_segs=QUADRANT), dtype=np.object_)


def band(goal: WallGoal, reach: float, *, outside: bool) -> BaseGeometry:
    """Give the strip along a wall's own span, `reach` wide, outside or inside it."""
    left = (goal.inside == "left") != outside
    line = shapely.LineString(goal.path)
    strip: BaseGeometry = line.buffer(
        reach if left else -reach, single_sided=True, join_style="mitre", cap_style="flat"
    )
    return strip


def kept(outline: BaseGeometry, goals: list[WallGoal]) -> BaseGeometry:
    """Give the outline that walls leave: what lies inside each of them, however far its line is drawn on.

    A wall's own span is what is judged, but the waste beside it goes on to the board's rough ends.
    """
    for goal in goals:
        (ax, ay), (bx, by) = goal.path[0], goal.path[-1]
        scale = FAR / math.hypot(bx - ax, by - ay)
        dx, dy = (bx - ax) * scale, (by - ay) * scale
        whole = goal.model_copy(update={"path": [(ax - dx, ay - dy), *goal.path, (bx + dx, by + dy)]})
        outline = outline.difference(band(whole, max(goal.clear, HAIR), outside=True))
    return outline


def judge_walls(setup: Setup, name: str | None, before: BaseGeometry, trail: Trail) -> list[Reason]:
    """Judge every wall of one board: wall-left, wall-cut-into, wall-not-reached.

    `before`: its outline at the start, all the wood that may be there.
    """
    goals = [goal for goal in setup.goals if isinstance(goal, WallGoal) and goal.board == name]
    stays = kept(before, goals)
    found: list[Reason] = []
    for goal in goals:
        found += _wall_left(setup, goal, before, trail)
        found += _wall_cut_into(setup, goal, stays, trail)
        if name is not None:
            found += _wall_not_reached(setup, goal, before)
    return found


def _reason(
    setup: Setup,
    said: tuple[str, int] | None,
    rule: str,
    message: str,
    at: tuple[float, float, float],
    measured: float,
    limit: float,
) -> Reason:
    last = setup.programs[-1].file if setup.programs else None
    return Reason(
        rule=rule,
        setup=setup.index,
        program=said[0] if said else last,
        line=said[1] if said else None,
        at=(round(at[0], 3) + 0.0, round(at[1], 3) + 0.0, round(at[2], 3) + 0.0),
        measured=round(measured, 4),
        limit=limit,
        message=message,
    )


def _wall_left(setup: Setup, goal: WallGoal, before: BaseGeometry, trail: Trail) -> list[Reason]:
    """Wood stands outside the wall that no full-depth move takes. Cure: nearer, deeper, or farther out."""
    left = before.intersection(band(goal, goal.clear, outside=True)) if goal.clear > 0 else None
    if left is None or left.is_empty:
        return []
    a, b, radius, _, high = trail.columns()
    deep = high <= goal.z[0] + HAIR
    if deep.any():
        areas = swept_area(a[deep], b[deep], radius[deep])
        areas = areas[np.asarray(shapely.intersects(areas, left))]
        left = left.difference(shapely.union_all(areas))
    parts = [part for part in shapely.get_parts(left) if not part.buffer(-WALL / 2).is_empty]
    if not parts:
        return []
    worst = max(parts, key=lambda part: part.area)
    at = worst.representative_point()
    wall = shapely.LineString(goal.path)
    out = max(float(wall.distance(shapely.Point(corner))) for corner in worst.exterior.coords)
    total = sum(part.area for part in parts)
    text = (
        f"{goal.cut}: {total:.2f} mm2 of wood seen from above is not cut away down to z {goal.z[0]:g}, "
        f"up to {out:.3f} mm outside the wall; the line is the nearest pass"
    )
    said = trail.nearest((at.x, at.y), np.inf) or trail.last
    return [_reason(setup, said, "wall-left", text, (at.x, at.y, goal.z[0]), out, WALL)]


def _wall_not_reached(setup: Setup, goal: WallGoal, before: BaseGeometry) -> list[Reason]:
    """No wood reaches to the wall, so that nothing is cut there. Cure: lay the board nearer."""
    wall = shapely.LineString(goal.path)
    way = np.subtract(goal.path[-1], goal.path[0]) / math.dist(goal.path[-1], goal.path[0])
    inward = np.array([-way[1], way[0]]) * (1.0 if goal.inside == "left" else -1.0)
    points = wall.interpolate(np.linspace(0.0, 1.0, ALONG), normalized=True)
    at = shapely.get_coordinates(points)
    # A wall may be drawn on past the board's ends: only where there is wood behind it must the wood reach it.
    behind = shapely.intersects(shapely.linestrings(np.stack([at, at + FAR * inward], axis=1)), before)
    off = np.where(behind, shapely.distance(points, before), 0.0)
    bare = wall.length * float((off > REACHES).mean())
    if bare <= CORNER:
        return []
    k = int(off.argmax())
    text = (
        f"{goal.cut}: over {bare:.1f} mm of the wall no wood reaches to it; it ends up to {off[k]:.3f} mm "
        "short, and the side stays uncut"
    )
    place = (float(at[k, 0]), float(at[k, 1]), goal.z[0])
    return [_reason(setup, None, "wall-not-reached", text, place, float(off[k]), REACHES)]


def _wall_cut_into(setup: Setup, goal: WallGoal, stays: BaseGeometry, trail: Trail) -> list[Reason]:
    """Wood is cut inside the wall. Cure: move the path out."""
    inside = stays.intersection(band(goal, FAR, outside=False))
    if inside.is_empty or len(trail) == 0:
        return []
    a, b, radius, low, high = trail.columns()
    grown = radius + np.array(trail.slack)
    limit = goal.z[1] - WALL
    index = np.flatnonzero(low < limit)
    if len(index) == 0:
        return []
    p, q = a[index], b[index]
    lines = np.asarray(shapely.linestrings(np.stack([p, q], axis=1)), dtype=np.object_)
    short = grown[index] - np.asarray(shapely.distance(lines, inside))
    # A slope is only blamed for its part below the wall's upper end.
    for m in np.flatnonzero((short > WALL) & (high[index] > limit)).tolist():
        short[m] = _sloped(trail, int(index[m]), limit, inside, float(grown[index[m]]))
    bad = np.flatnonzero(short > WALL)
    if len(bad) == 0:
        return []
    k = int(bad[0])
    worst = float(short.max())
    near = shapely.shortest_line(lines[k], inside).coords[-1]
    text = f"{goal.cut}: a move cuts {short[k]:.3f} mm into the wall; the worst one {worst:.3f} mm"
    place = (float(near[0]), float(near[1]), float(low[index[k]]))
    return [_reason(setup, trail.said[int(index[k])], "wall-cut-into", text, place, float(short[k]), WALL)]


def _sloped(trail: Trail, k: int, limit: float, inside: BaseGeometry, radius: float) -> float:
    """Give how far a sloped move cuts into a wall below `limit`; `trail.falls` tells its lower end."""
    part = (limit - trail.low[k]) / (trail.high[k] - trail.low[k])
    a, b = np.array(trail.a[k]), np.array(trail.b[k])
    lower, upper = (b, a) if trail.falls[k] else (a, b)
    line = shapely.LineString([lower, lower + (upper - lower) * part])
    return radius - float(line.distance(inside))


def part_pieces(
    setup: Setup, program: Program, lying: Lying, trail: Trail, first: int, span: tuple[float, float]
) -> list[Reason]:
    """Carry a board's outlines through the through cuts of a program; tell of pieces that come loose.

    `first`: where in the trail the program begins; `span`: lowest and highest place of the underside.
    Rule loose-piece: a piece that is cut off stays by its own hold-down or a skin, or is milled away.
    """
    a, b, radius, low, high = trail.columns()
    slack = np.array(trail.slack)
    # Readings may be out, but no wood is below the bed that it lies on.
    lowest = max(span[0], -setup.work_origin[2])
    gone = np.flatnonzero((high <= lowest + HAIR) & (np.arange(len(a)) >= first))
    harmed = np.flatnonzero((low <= span[1] + HAIR) & (np.arange(len(a)) >= first))
    if len(harmed):
        areas = swept_area(a[harmed], b[harmed], radius[harmed] + slack[harmed], grown=True)
        areas = areas[np.asarray(shapely.intersects(areas, lying.sure))]
        if len(areas):
            lying.sure = lying.sure.difference(shapely.union_all(areas))
    found: list[Reason] = []
    areas = swept_area(a[gone], b[gone], radius[gone]) if len(gone) else np.empty(0, dtype=np.object_)
    for k, area in zip(gone, areas, strict=True):
        if not area.intersects(lying.may):
            continue
        lying.may = lying.may.difference(area)
        parts = [part for part in shapely.get_parts(lying.may) if not part.buffer(-CHIP).is_empty]
        if len(parts) < 2:
            continue
        main = max(parts, key=lambda part: part.area)
        for part in parts:
            if part is main or any(part.intersects(old) for old in lying.known):
                continue
            lying.known.append(part)
            if not _held(setup, program, lying, part):
                at = part.representative_point()
                text = (
                    f"a piece of {part.area:.0f} mm2 comes loose beside the running cutter; "
                    "mill it to chips, leave a skin, or give it a hold-down of its own"
                )
                place = (at.x, at.y, float(low[k]))
                found.append(
                    _reason(setup, trail.said[int(k)], "loose-piece", text, place, float(part.area), 0.0)
                )
    return found


def _held(setup: Setup, program: Program, lying: Lying, part: BaseGeometry) -> bool:
    """Say whether a piece is an offcut held by something that stands; a skin cut through holds none."""
    for offcut in setup.offcuts:
        if offcut.board == lying.wood.name and isinstance(offcut.held_by, list):
            covers = shapely.Polygon(offcut.outline).buffer(1.0).covers(part)
            if covers and any(name in program.standing for name in offcut.held_by):
                return True
    return False
