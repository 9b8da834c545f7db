"""A board longer than the machine reaches, slid along x in stated positions. In: a job, the wood, a clamping.

Out: `Position`s, each a clamping of its own, and the part of the clamping's cuts that is made in each. Work
frame, mm. Promise: the parts overlap and cover what the clamping was to cut; no pass begins or ends in wood
that is still uncut; slides are whole millimetres; what cannot be slid is a finding.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import affinity

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.hold_downs import Stop
from stockwright.job import EdgeStep, FaceStep
from stockwright.planning.clamp_places import rims
from stockwright.planning.clamping import FAR
from stockwright.planning.cuts import ring, wood_over
from stockwright.planning.lay import wall_at
from stockwright.planning.setup import FaceCut, PlaneGoal, Slid
from stockwright.planning.wood import Place
from stockwright.tooling import LEAD

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.job import Job, MateStep, Zone
    from stockwright.machine import Shop
    from stockwright.planning.groups import Group
    from stockwright.planning.piece import Piece
    from stockwright.planning.setup import EdgeCut, On, WallGoal
    from stockwright.planning.wood import Wood

__all__ = ["Position", "edge_part", "face_part", "fresh_part", "positions", "steps_here"]

# mm kept from the ends of travel and bed: a board is laid with a tape; common practice, no source
SPARE = 5.0
SHARED = 0.5  # of the reach stays on the bed where fresh wood is the only reference; our own choice
LEAST_NEW = 50.0  # mm of new length a slide must bring, or nothing is gained; our own choice


@frozen
class Position:
    """One of the places along x at which a board is cut.

    `shift` is the board's along x; `cut` the part that is cut here, infinite where the board ends in it;
    `bed` where the bed is, on which alone anything stands; `fresh` what is cut already and lies on the bed.
    """

    slid: Slid
    shift: float
    cut: tuple[float, float]
    bed: tuple[float, float]
    fresh: tuple[float, float] | None
    from_right: bool

    @property
    def last(self) -> bool:
        """Whether nothing is left to cut after it."""
        return self.slid.number == self.slid.count


def positions(job: Job, wood: Wood, g: Group, index: int) -> tuple[Position, ...] | Finding:
    """Return where a clamping's board lies, one place after another; none where it need not be slid.

    Cut from the right end on: a wall away from the operator is roughed from right to left, so that each part
    begins where the one before is clear. Where only the near wall is cut, from the left end on.
    """
    if not job.slide:
        return ()
    shop = job.shop
    lying = Place(g.place.up, g.place.quarter_turns)
    x0, _, x1, _ = wood.plan(lying).bounds
    mark = shop.bed.mark[0]
    bed = (shop.bed.x[0] - mark, shop.bed.x[1] - mark)
    travel = (shop.machine.x[0] - mark, shop.machine.x[1] - mark)
    low, high = _reach(shop, g, ending=False)
    end_low, end_high = _reach(shop, g, ending=True)
    if x1 - x0 <= end_high - end_low:
        return ()
    looks = [lying.looks(s.side)[1] for s in g.steps if isinstance(s, EdgeStep)]
    faced = any(isinstance(s, FaceStep) for s in g.steps)
    if (why := _why_not(g, looks, faced=faced)) is not None:
        return _cannot(index, *why, float(x1 - x0), end_high - end_low)
    on = _stands_on(wood, g, faced=faced)
    overlap = _overlap(g)
    shared = max(overlap, SHARED * (high - low)) if on.startswith("fresh") else overlap
    if high - low - shared < LEAST_NEW:
        return _too_short(index, high - low, shared)
    across = {lying.looks(s.side)[0] for s in g.steps if isinstance(s, EdgeStep)} - {0.0}
    from_right = min(looks, default=0.0) >= 0
    count = 0
    if not faced and not any(looks):
        count, from_right = len(across), 1.0 in across  # ends alone: what lies between is not cut
    first = float(np.floor(end_high - x1) if from_right else np.ceil(end_low - x0))
    away = (end_low - x0 - first) if from_right else (x1 + first - end_high)
    count = count or int(np.ceil(away / (high - low - shared) - 1e-9)) + 1
    step = float(np.ceil(away / (count - 1) - 1e-9)) if count > 1 else 0.0
    laid = _Laid(count, first, step, (x0, x1), (low, high), bed, travel, overlap, on, from_right)
    return tuple(laid.position(number) for number in range(1, count + 1))


def _why_not(g: Group, looks: list[float], *, faced: bool) -> tuple[str, str] | None:
    """Return why a clamping cannot be slid, and what to do."""
    if min(looks, default=0.0) < 0 < max(looks, default=0.0):
        return "both edges are cut in one clamping", "give one of the edges a `hold` of its own"
    if faced and any(zone.where == "face" for zone in g.hold):
        return "clamps move on the face that is cut", "hold it from its edges or from underneath"
    if any(zone.where == "waste" for zone in g.hold):
        return "screws in the waste hold it", "hold it by clamps"
    if any(zone.where == "raised" for zone in g.hold):
        return "it stands on risers", "lay it on the bed"
    if any(not isinstance(s, EdgeStep | FaceStep) for s in g.steps):
        return "edges of two boards are cut to each other", "cut them one board at a time"
    if any(isinstance(s, EdgeStep) and s.hollow for s in g.steps):
        return "its edge is to be hollow all along", "ask for a straight edge"
    return None


@frozen
class _Laid:
    """How all positions of one clamping are laid: the first shift, the step between them, the reach."""

    count: int
    first: float
    step: float
    ends: tuple[float, float]
    reach: tuple[float, float]
    bed: tuple[float, float]
    travel: tuple[float, float]
    overlap: float
    on: On
    from_right: bool

    def position(self, number: int) -> Position:
        """Return one; what was cut before it ends a step inside its own inner end of reach."""
        way = 1.0 if self.from_right else -1.0
        shift = self.first + way * self.step * (number - 1)
        low, high = self.reach
        inner = low if self.from_right else high
        done = inner + way * self.step
        outer = way * FAR if number == 1 else done + way * self.overlap
        border = -way * FAR if number == self.count else inner
        fresh = None
        if number > 1:
            end = (
                min(self.bed[1], self.ends[1] + shift) if way > 0 else max(self.bed[0], self.ends[0] + shift)
            )
            fresh = (done, end) if way > 0 else (end, done)
        slid = Slid(
            number=number,
            count=self.count,
            by=0.0 if number == 1 else way * self.step,
            shared=0.0 if fresh is None else fresh[1] - fresh[0],
            new=self.step,
            bears=min(self.bed[1], self.ends[1] + shift) - max(self.bed[0], self.ends[0] + shift),
            on=self.on,
            reach=self.travel,
        )
        cut = (border, outer) if way > 0 else (outer, border)
        return Position(slid, shift, cut, self.bed, fresh, self.from_right)


def _reach(shop: Shop, g: Group, *, ending: bool) -> tuple[float, float]:
    """Return between which x a part can be cut and held, work frame; `ending`: the board may end there."""
    mark = shop.bed.mark[0]
    radius = max((s.tool.radius + LEAD for s in g.steps if isinstance(s, EdgeStep)), default=0.0)
    at_ends = any(isinstance(z.where, tuple) and any(s[:3] == "end" for s in z.where) for z in g.hold)
    stop = 0.0
    if ending and at_ends:
        stop = max((h.depth for h in shop.hold_downs if isinstance(h, Stop)), default=0.0)
    low = max(shop.machine.x[0] + radius, shop.bed.x[0] + stop) + SPARE - mark
    high = min(shop.machine.x[1] - radius, shop.bed.x[1] - stop) - SPARE - mark
    return float(low), float(high)


def _overlap(g: Group) -> float:
    """Return by how much the parts overlap: more than a cutter's rounded corner leaves, or a whole cutter."""
    wide = [
        max(s.overlap, s.tool.corner_radius + 1.0) if isinstance(s, FaceStep) else s.tool.diameter
        for s in g.steps
    ]
    return float(max(wide))


def _stands_on(wood: Wood, g: Group, *, faced: bool) -> On:
    """Return what says in every position that the board lies as before."""
    if g.against_fence:
        return "fence"
    if faced:
        return "bed" if g.place.under in wood.faced else "fresh face"
    return "fresh edge"


def steps_here(piece: Piece, wood: Wood, g: Group, position: Position) -> Group:
    """Return the clamping as it is at one position: what is cut there, and zones of what is on the bed."""
    place = Place(g.place.up, g.place.quarter_turns, (position.shift, 0.0, 0.0))
    x0, _, x1, _ = wood.plan(place).bounds
    steps = tuple(s for s in g.steps if _is_here(piece, place, s, position))

    def on_bed(side: str) -> bool:
        if not side.startswith("end") or abs(place.looks(side)[0]) < 0.5:  # type: ignore[arg-type]
            return True
        at = float(x1 if place.looks(side)[0] > 0 else x0)  # type: ignore[arg-type]
        return position.bed[0] <= at <= position.bed[1]

    zones: list[Zone] = []
    for zone in g.hold:
        where = tuple(s for s in zone.where if on_bed(s)) if isinstance(zone.where, tuple) else zone.where
        if where:
            zones.append(replace(zone, where=where))
    first = position.slid.number == 1
    return replace(
        g,
        steps=steps,
        hold=tuple(zones),
        before=g.before if first else (),
        moved=g.moved if first else None,
    )


def _is_here(piece: Piece, place: Place, step: FaceStep | EdgeStep | MateStep, position: Position) -> bool:
    """Say whether a step is made here: what runs along x always, what runs across it where it lies."""
    if not isinstance(step, EdgeStep) or abs(place.looks(step.side)[0]) < 0.5:
        return True
    low, high = position.cut
    at = wall_at(piece, place, step.side)
    return low < at < high


def face_part(wood: Wood, place: Place, whole: FaceCut, position: Position) -> tuple[FaceCut, PlaneGoal]:
    """Return the part of a face that is cut here, and its goal.

    Its passes run across the board and come to the inner border last. The last pass lies half a stepover
    inside the region that is handed on, so the cutter's rim reaches to the goal's border and no further.
    """
    low, high = position.cut
    _, rim = rims(whole.tool, whole.stepover)
    inner = (
        (low + (rim if low > -FAR else 0.0), high)
        if position.from_right
        else (low, high - (rim if high < FAR else 0.0))
    )
    outline = shapely.Polygon(whole.region)
    region, wanted = (
        _main(outline.intersection(shapely.box(a, -FAR, b, FAR))) for a, b in (inner, (low, high))
    )
    grid_x, grid_y, heights = wood_over(wood, place, region)
    if position.fresh is not None:
        done = (grid_x > position.fresh[0]) if position.from_right else (grid_x < position.fresh[1])
        heights = np.where(done[:, None] & np.isfinite(heights), whole.z, heights)
    if not position.last:
        _, far_y, beyond = wood_over(wood, place, _main(wanted.difference(region)))
        rim_high = np.interp(grid_y, far_y, beyond.max(axis=0))
        side = 0 if position.from_right else -1
        # The rim of the cutter takes that wood too, level by level; none may find more than its own.
        heights[side] = np.where(np.isfinite(heights[side]), np.fmax(heights[side], rim_high), -np.inf)
    cut = replace(
        whole,
        region=ring(region),
        grid_x=grid_x,
        grid_y=grid_y,
        wood=heights,
        passes="across",
        perimeter="none",
        begin="high" if position.from_right else "low",
        to_rim=not position.last,
        around=whole.region,
    )
    return cut, PlaneGoal(whole.board, whole.name, whole.z, ring(wanted))


def fresh_part(whole: FaceCut, position: Position) -> tuple[tuple[NDArray[np.float64], float], ...]:
    """Return where a face has been cut already, on the bed or beyond it, and how high it is there."""
    if position.fresh is None:
        return ()
    low, high = (position.fresh[0], FAR) if position.from_right else (-FAR, position.fresh[1])
    done = shapely.Polygon(whole.region).intersection(shapely.box(low, -FAR, high, FAR))
    return ((ring(_main(done)), whole.z),)


def edge_part(
    wood: Wood, place: Place, cut: EdgeCut, goal: WallGoal, kept: shapely.Polygon, position: Position
) -> tuple[EdgeCut, WallGoal, Wood]:
    """Return the part of a wall along x that is cut here, its goal, and the wood that is left."""
    low, high = position.cut
    here = shapely.box(low, -FAR, high, FAR)
    waste = [
        ring(part)
        for each in cut.waste
        for part in shapely.get_parts(shapely.Polygon(each).intersection(here))
        if isinstance(part, shapely.Polygon) and part.area > 0
    ]
    part = replace(cut, waste=tuple(waste), line=_between(cut.line, low, high))
    there = replace(goal, path=_between(goal.path, low, high))
    if position.last:
        assert cut.side is not None
        return part, there, wood.after_wall(cut.side, kept)
    beside: BaseGeometry = shapely.box(-FAR, -FAR, low, FAR)
    if high < FAR:
        beside = beside.union(shapely.box(high, -FAR, FAR, FAR))
    back = np.linalg.inv(place.matrix())
    beside = affinity.affine_transform(
        beside, [back[0, 0], back[0, 1], back[1, 0], back[1, 1], back[0, 3], back[1, 3]]
    )
    return part, there, wood.after_part(kept.union(beside))


def _between(line: NDArray[np.float64], low: float, high: float) -> NDArray[np.float64]:
    """Return a line along x, its ends drawn in to a span."""
    return np.column_stack([np.clip(line[:, 0], low, high), line[:, 1]])


def _main(shape: BaseGeometry) -> shapely.Polygon:
    """Return the greatest part of a shape, its corners anticlockwise."""
    parts = [p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)]
    return shapely.geometry.polygon.orient(max(parts, key=lambda p: p.area))


def _cannot(index: int, why: str, remedy: str, length: float, reach: float) -> Finding:
    return Finding(
        rule="cannot-be-slid",
        level="refuse",
        message=f"the board is {length:.1f} mm long, the machine cuts and holds {reach:.1f} mm of it at "
        f"once, and it cannot be slid along here: {why}",
        remedy=remedy,
        measured=round(length, 3),
        limit=round(reach, 3),
        setup=index,
    )


def _too_short(index: int, reach: float, shared: float) -> Finding:
    return Finding(
        rule="cannot-be-slid",
        level="refuse",
        message=f"the machine reaches {reach:.1f} mm along x here, {shared:.1f} mm of which two positions "
        f"share: a slide brings less than {LEAST_NEW:.1f} mm",
        remedy="take a smaller cutter or a smaller `overlap`, or a larger machine",
        measured=round(reach - shared, 3),
        limit=LEAST_NEW,
        setup=index,
    )
