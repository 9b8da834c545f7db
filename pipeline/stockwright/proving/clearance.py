"""Moving parts against things that stand, exactly. In: a `Run`. Out: reasons.

Promise: the whole assembly up to its last cylinder, and whatever rides with the spindle, is followed along
every move; the move is clipped to the heights that the two share, then measured in plan. Distances are exact.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.packet.model import PlaneGoal
from stockwright.proving.kerfs import in_kerf
from stockwright.proving.outlines import area_of
from stockwright.proving.run import HAIR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Reason, Solid
    from stockwright.proving.run import Run

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["Mover", "Obstacle", "Ways", "clearances", "judge_clearance", "may_meet", "movers"]

STEEPER = 0.01  # degrees: what rounding to thousandths makes of a ramp
RULE = {
    "cutter": "cutter-touches-solid",
    "body": "body-touches-solid",
    "attached": "attached-touches-solid",
}


@frozen(eq=False)
class Mover:
    """A part that moves: a disc of `radius`, or `outline` (n, 2) about the axis, over heights above the tip.

    With `level` the heights are work heights and do not follow the tip. kind: cutter, body or attached.
    """

    name: str
    kind: str
    radius: float
    low: float
    high: float
    outline: Floats | None = None
    level: bool = False
    soft: bool = False


@frozen(eq=False)
class Ways:
    """Moves from `start` to `end` (n, 3), straight, or anywhere in the box of the two where `boxed` (n,)."""

    start: Floats
    end: Floats
    boxed: Mask

    def of(self, which: NDArray[np.intp]) -> Ways:
        """Give some of the moves."""
        return Ways(self.start[which], self.end[which], self.boxed[which])


@frozen(eq=False)
class Obstacle:
    """A solid as far as it counts: up to `top`; within `rise` above that, or below it, a mover is near."""

    solid: Solid
    top: float
    rise: float

    @property
    def heights(self) -> tuple[float, float]:
        """Between which heights a mover is near."""
        return self.solid.bottom - self.rise, self.top + self.rise

    @property
    def box(self) -> tuple[Floats, Floats]:
        """The low and the high corner in plan."""
        outline = np.array(self.solid.outline)
        return outline.min(axis=0), outline.max(axis=0)


def movers(run: Run) -> tuple[Mover, ...]:
    """List what moves in a run, the cutting part first."""
    found: list[Mover] = []
    for index, part in enumerate(run.tool.assembly):
        kind = "cutter" if index == 0 else "body"
        name = "the cutting part" if index == 0 else f"the {part.diameter:g} mm part above the cutter"
        found.append(Mover(name, kind, part.diameter / 2, part.bottom, part.top))
    for thing in run.machine.attached:
        level = thing.moves_with == "gantry"
        base = -run.setup.work_origin[2] if level else run.nose
        outline = np.array(thing.outline)
        radius = float(np.hypot(outline[:, 0], outline[:, 1]).max())
        low, high = base + thing.bottom, base + thing.top
        found.append(Mover(f"the {thing.name}", "attached", radius, low, high, outline, level, thing.soft))
    return tuple(found)


def clearances(ways: Ways, mover: Mover, obstacle: Obstacle, margin: float) -> Floats:
    """Distance of a mover from an obstacle along each move, (n,), inf where it is surely beyond `margin`.

    Below 0: by how much they overlap.
    """
    distance = np.full(len(ways.start), np.inf)
    reach = mover.radius + margin
    able = _able(ways, mover, obstacle, reach)
    if len(able) == 0:
        return distance
    distance[able] = _near(ways.of(able), mover, obstacle, reach)
    return distance


def may_meet(start: Floats, end: Floats, mover: Mover, solids: Sequence[Solid], margin: float) -> Mask:
    """Say of each solid, (k,), whether a mover comes near it at all: else `clearances` has inf only.

    All at once, as most never do; a solid's height counts as its own or as what it may be cut to.
    """
    if not solids or len(start) == 0:
        return np.zeros(len(solids), dtype=np.bool_)
    corners = [np.array(solid.outline) for solid in solids]
    least = np.array([c.min(axis=0) for c in corners]) - (mover.radius + margin)
    most = np.array([c.max(axis=0) for c in corners]) + (mover.radius + margin)
    low, high = np.minimum(start, end), np.maximum(start, end)
    able = (low[:, 0, None] <= most[:, 0]) & (high[:, 0, None] >= least[:, 0])
    able &= (low[:, 1, None] <= most[:, 1]) & (high[:, 1, None] >= least[:, 1])
    if not mover.level:
        tops = [max(s.top, s.top if s.may_cut_to is None else s.may_cut_to) for s in solids]
        able &= low[:, 2, None] + mover.low < np.array(tops) + margin
        able &= high[:, 2, None] + mover.high > np.array([s.bottom for s in solids]) - margin
    return np.asarray(able.any(axis=0), dtype=np.bool_)


def _able(ways: Ways, mover: Mover, obstacle: Obstacle, reach: float) -> NDArray[np.intp]:
    """Give the moves whose boxes come near an obstacle's at all: most never do."""
    low, high = np.minimum(ways.start, ways.end), np.maximum(ways.start, ways.end)
    least, most = obstacle.box
    able = (low[:, 0] - reach <= most[0]) & (high[:, 0] + reach >= least[0])
    able &= (low[:, 1] - reach <= most[1]) & (high[:, 1] + reach >= least[1])
    if not mover.level:
        under, over = obstacle.heights
        able &= (low[:, 2] + mover.low < over) & (high[:, 2] + mover.high > under)
    return np.flatnonzero(able)


def _near(ways: Ways, mover: Mover, obstacle: Obstacle, reach: float) -> Floats:
    start, end, solid = ways.start, ways.end, obstacle.solid
    distance = np.full(len(start), np.inf)
    first, last, z_low, z_high = _clip(ways, mover, *obstacle.heights)
    p = start + first[:, None] * (end - start)
    q = start + last[:, None] * (end - start)
    near = first <= last
    least, most = obstacle.box
    for axis in (0, 1):
        low, high = np.minimum(p[:, axis], q[:, axis]), np.maximum(p[:, axis], q[:, axis])
        near &= (low - reach <= most[axis]) & (high + reach >= least[axis])
    index = np.flatnonzero(near)
    if len(index) == 0:
        return distance
    paths = _paths(p[index, :2], q[index, :2], ways.boxed[index], mover.outline)
    polygon = area_of(solid.outline)
    flat = shapely.distance(paths, polygon) - (mover.radius if mover.outline is None else 0.0)
    apart = np.maximum(solid.bottom - z_high[index], z_low[index] - obstacle.top)
    gap = np.maximum(0.0, apart)
    distance[index] = np.where(gap > 0, np.hypot(np.maximum(flat, 0.0), gap), flat)
    return distance


def _clip(ways: Ways, mover: Mover, low: float, high: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Give the part of each move where heights overlap (from > to: none), and the mover's heights there."""
    z0, z1 = ways.start[:, 2], ways.end[:, 2]
    n = len(z0)
    if mover.level:
        over = mover.low < high and mover.high > low
        first, last = (np.zeros(n), np.ones(n)) if over else (np.ones(n), np.zeros(n))
        return first, last, np.full(n, mover.low), np.full(n, mover.high)
    below, above = high - mover.low - HAIR, low - mover.high + HAIR  # the tip must lie between
    rise = z1 - z0
    with np.errstate(divide="ignore", invalid="ignore"):
        ta, tb = (below - z0) / rise, (above - z0) / rise
    level = rise == 0
    within = (z0 < below) & (z0 > above)
    first = np.where(level, np.where(within, 0.0, 1.0), np.clip(np.minimum(ta, tb), 0.0, 1.0))
    last = np.where(level, np.where(within, 1.0, 0.0), np.clip(np.maximum(ta, tb), 0.0, 1.0))
    lowest, highest = np.minimum(z0, z1), np.maximum(z0, z1)
    missed = ~level & ((lowest >= below) | (highest <= above))
    first, last = np.where(missed, 1.0, first), np.where(missed, 0.0, last)
    loose = ways.boxed & (lowest < below) & (highest > above)  # any height at any place
    first, last = np.where(loose, 0.0, first), np.where(loose, 1.0, last)
    za, zb = z0 + first * rise, z0 + last * rise
    return first, last, np.minimum(za, zb) + mover.low, np.maximum(za, zb) + mover.high


def _paths(p: Floats, q: Floats, boxed: Mask, outline: Floats | None) -> NDArray[np.object_]:
    """Give what the axis, or the outline about it, covers in plan."""
    if outline is not None:
        corners = [p[:, None, :] + outline, q[:, None, :] + outline]
        other_p = np.stack([p[:, 0], q[:, 1]], axis=1)
        other_q = np.stack([q[:, 0], p[:, 1]], axis=1)
        corners += [
            np.where(boxed[:, None, None], other[:, None, :] + outline, corners[0])
            for other in (other_p, other_q)
        ]
        points = np.asarray(shapely.multipoints(np.concatenate(corners, axis=1)), dtype=np.object_)
        return np.asarray(shapely.convex_hull(points), dtype=np.object_)
    lines = np.asarray(shapely.linestrings(np.stack([p, q], axis=1)), dtype=np.object_)
    wide = boxed & (p != q).all(axis=1)
    if wide.any():
        low, high = np.minimum(p, q)[wide], np.maximum(p, q)[wide]
        lines[wide] = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    return lines


def judge_clearance(run: Run) -> list[Reason]:
    """Nothing that moves comes nearer than the margin to a thing that stands.

    Rules cutter-, body- and attached-touches-solid: move the thing, lift it off, or go round; for the body
    also more stick-out. The first place for each part and thing.
    """
    moves = run.moves
    known = np.isfinite(np.hstack([moves.start, moves.end])).all(axis=1)
    index = np.flatnonzero(known)
    start, end = moves.start[index], moves.end[index]
    ways = Ways(start, end, moves.rapid[index] & (run.machine.rapids == "independent"))
    margin = run.machine.margin
    within = margin + float(moves.sagitta.max(initial=0.0))  # an arc comes nearer than its chord
    # What may be cut is cut by a fed, turning cutter; straight up, a cutter leaves by its own kerf.
    up = (start[:, :2] == end[:, :2]).all(axis=1) & (end[:, 2] >= start[:, 2])
    cuts = up | (~moves.rapid[index] & (moves.rpm[index] > 0))
    found: list[Reason] = []
    standing, moving = run.standing, movers(run)
    may = [may_meet(start, end, mover, standing, within + HAIR) for mover in moving]
    for s, solid in enumerate(standing):
        for mover, near_it in zip(moving, may, strict=True):
            if not near_it[s]:
                continue
            free = mover.kind == "cutter" and solid.may_cut_to is not None and run.program.purpose == "cut"
            height = solid.may_cut_to if free and solid.may_cut_to is not None else solid.top
            counted = Obstacle(solid, height, 0.0 if free else margin)
            distance = clearances(ways, mover, counted, within) - moves.sagitta[index]
            near = distance < margin - HAIR
            if free:
                through = clearances(ways, mover, Obstacle(solid, solid.top, 0.0), 0.0)
                crash = ~cuts & (through < -HAIR)
                block = area_of(solid.outline)
                crash[crash] = [not in_kerf(run, int(k), solid.top, block) for k in index[crash]]
                distance, near = np.where(crash, through, distance), near | crash
            if not near.any():
                continue
            k = int(np.flatnonzero(near)[0])
            line = int(moves.line[index[k]])
            text = (
                f"{mover.name} comes within {distance[k]:.3f} mm of {solid.name}; {margin:g} mm is the least"
                if distance[k] > 0
                else f"{mover.name} runs into {solid.name}"
            )
            found.append(
                run.reason(RULE[mover.kind], line, text, at=end[k], measured=float(distance[k]), limit=margin)
            )
    return found + _bed(run) + _into_bed(run)


def _into_bed(run: Run) -> list[Reason]:
    """Treat the bed as the wood it is: met by a rapid, with the spindle off, or too steeply.

    Rule meets-the-bed: raise the move, or enter as the cutter can. Where a setup skims the bed, its wood is
    simulated like a board's and judged there; beside it there may be more of the bed or none, so that a cut
    goes down there at any slope, but no rapid does.
    """
    skims = [goal for goal in run.setup.goals if isinstance(goal, PlaneGoal) and goal.board is None]
    moves, tool = run.moves, run.tool
    surface = -run.setup.work_origin[2]
    up = (moves.start[:, :2] == moves.end[:, :2]).all(axis=1) & (moves.end[:, 2] >= moves.start[:, 2])
    with np.errstate(invalid="ignore"):
        low = np.fmin(moves.start[:, 2], moves.end[:, 2]) < surface - HAIR
        level = np.hypot(*(moves.end - moves.start)[:, :2].T)
        slope = np.degrees(np.arctan2(moves.start[:, 2] - moves.end[:, 2], level))
    plunges = (level == 0) & tool.centre_cutting
    skimmed = shapely.union_all([area_of(goal.region) for goal in skims])
    for k in np.flatnonzero(low & ~up & ~moves.touches):
        if moves.rapid[k]:
            what = "a rapid move goes"
        elif not moves.rpm[k] > 0:
            what = "the cutter goes, with the spindle off,"
        elif slope[k] > tool.ramp + STEEPER and not plunges[k] and not skims:
            what = f"the cutter goes down at {slope[k]:.2f} degrees, where {tool.ramp:g} is its steepest,"
        else:
            continue
        if in_kerf(run, int(k), surface) or (
            skims and _over(moves.start[k], moves.end[k], tool.diameter / 2, skimmed)
        ):
            continue
        deep = surface - float(np.nanmin([moves.start[k, 2], moves.end[k, 2]]))
        text = f"{what} {deep:.3f} mm into the bed"
        line = int(moves.line[k])
        return [run.reason("meets-the-bed", line, text, at=moves.end[k], measured=deep, limit=0.0)]
    return []


def _over(a: Floats, b: Floats, radius: float, area: BaseGeometry) -> bool:
    """Say whether a disc stays over an area on its way; what of the way is not known is beyond it."""
    if not np.isfinite(np.stack([a, b])[:, :2]).all():
        return False
    path = shapely.LineString([a[:2], b[:2]]) if (a[:2] != b[:2]).any() else shapely.Point(a[:2])
    return bool(shapely.covers(area, path.buffer(radius)))


def _bed(run: Run) -> list[Reason]:
    """Keep the body above the cutter above the bed surface."""
    if len(run.tool.assembly) < 2:
        return []
    moves = run.moves
    low = moves.end[:, 2] + run.tool.assembly[1].bottom + run.setup.work_origin[2]
    under = np.flatnonzero(low < -HAIR)
    if len(under) == 0:
        return []
    k = int(under[0])
    text = f"the part above the cutter goes {-low[k]:.3f} mm below the bed surface"
    return [
        run.reason(
            "body-touches-solid",
            int(moves.line[k]),
            text,
            at=moves.end[k],
            measured=float(low[k]),
            limit=0.0,
        )
    ]
