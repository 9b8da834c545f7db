"""A program's moves against the wood, one after the other. In: a `Run`, the boards. Out: reasons; boards cut.

Promise: whether a part meets wood is asked of the wood that may stand (`hi`, uncertainty added); where only
cells at a rim say so, points an eighth of a cell apart decide, against every earlier move of the setup.
"""

# ruff: noqa: D401 - the docstring of a rule says what is bad and its cure: it is the page of the rule

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.proving.clearance import Mover, movers

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Reason
    from stockwright.proving.frames import Lay
    from stockwright.proving.run import Run
    from stockwright.proving.wood import Wood

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["Lying", "Trail", "follow"]

TOUCH = 0.01  # mm of height: less is the cutter resting on what it has just cut
RIM = 0.02  # mm in plan: a cutter that runs along its own kerf does not meet the kerf's wall
FINE = 8  # points a cell, each way, where cells alone cannot tell
CHUNK = 200_000  # distances computed at once, so that memory stays bounded
THICKER = 0.25  # mm a cut may be thicker: what cells and readings leave open of the wood's height
BESIDE = 2.0  # mm beyond its outline where a board surely has no wood, an arc's chords allowed for
THICKEST = 400.0  # mm: no board is thicker, so a tilted one leans by no more than its slope times this
LEVEL = 1e-4  # mm: a fall of less is level


@dataclass(eq=False)
class Lying:
    """One board as it lies in a setup; `may`, `sure` its outlines in the work frame, as they now are.

    `known` are pieces that have come off it.
    """

    wood: Wood
    lay: Lay
    may: BaseGeometry
    sure: BaseGeometry
    known: list[BaseGeometry] = field(default_factory=list)
    bounds: tuple[float, float, float, float] = field(init=False)

    def __post_init__(self) -> None:
        """Note how far the wood reaches; it never grows."""
        x0, y0, x1, y1 = self.may.bounds
        more = BESIDE + self.lay.slope * THICKEST
        self.bounds = (x0 - more, y0 - more, x1 + more, y1 + more)

    def beside(self, a: Floats, b: Floats, radius: float) -> bool:
        """Say whether a disc on its way from a to b stays clear of the whole board in plan."""
        x0, y0, x1, y1 = self.bounds
        return bool(
            max(a[0], b[0]) + radius < x0
            or min(a[0], b[0]) - radius > x1
            or max(a[1], b[1]) + radius < y0
            or min(a[1], b[1]) - radius > y1
        )


@dataclass(eq=False)
class Trail:
    """Every cutting move of a setup so far: ends (work x, y), radius, heights of tip, where it was said.

    `last` is where the last program ended: what is named when nothing was cut at all.
    """

    a: list[tuple[float, float]] = field(default_factory=list)
    b: list[tuple[float, float]] = field(default_factory=list)
    radius: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    slack: list[float] = field(default_factory=list)
    falls: list[bool] = field(default_factory=list)
    said: list[tuple[str, int]] = field(default_factory=list)
    last: tuple[str, int] | None = None

    def add(self, a: Floats, b: Floats, radius: float, slack: float, said: tuple[str, int]) -> None:
        """Note a move of the tip from a to b (3,); `radius` surely swept, `slack` more it may reach."""
        self.a.append((float(a[0]), float(a[1])))
        self.b.append((float(b[0]), float(b[1])))
        self.radius.append(radius)
        self.low.append(float(min(a[2], b[2])))
        self.high.append(float(max(a[2], b[2])))
        self.slack.append(slack)
        self.falls.append(bool(b[2] < a[2]))
        self.said.append(said)

    def columns(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Give a (n, 2), b (n, 2), radius, low and high (n,)."""
        return (
            np.array(self.a, dtype=np.float64).reshape(-1, 2),
            np.array(self.b, dtype=np.float64).reshape(-1, 2),
            np.array(self.radius),
            np.array(self.low),
            np.array(self.high),
        )

    def nearest(self, point: tuple[float, float], below: float) -> tuple[str, int] | None:
        """Give where the move nearest to a point was said, among those that come below a height."""
        a, b, radius, low, _ = self.columns()
        index = np.flatnonzero(low <= below)
        if len(index) == 0:
            return None
        distance = segment_distance(np.array([point]), a[index], b[index])[0] - radius[index]
        # Of all that reach the point the deepest, then the first; else the nearest.
        reach = np.maximum(distance, 0.0)
        best = np.lexsort((index, low[index], np.round(reach, 3)))[0]
        return self.said[int(index[best])]

    def swept(self, points: Floats, z: float) -> Mask:
        """Say which points (n, 2) a move has surely cleared down to work z."""
        done: Mask = np.zeros(len(points), dtype=np.bool_)
        if not self.a or len(points) == 0:
            return done
        a, b, radius, _, high = self.columns()
        low_p, high_p = points.min(axis=0), points.max(axis=0)
        near = (high <= z + TOUCH) & np.logical_and.reduce(
            [
                (np.minimum(a[:, k], b[:, k]) - radius <= high_p[k])
                & (np.maximum(a[:, k], b[:, k]) + radius >= low_p[k])
                for k in (0, 1)
            ]
        )
        a, b, radius = a[near], b[near], radius[near]
        step = max(1, CHUNK // len(points))
        for k in range(0, len(a), step):
            distance = segment_distance(points, a[k : k + step], b[k : k + step])
            done |= (distance <= radius[k : k + step]).any(axis=1)
        return done


def segment_distance(points: Floats, a: Floats, b: Floats) -> Floats:
    """Distance of points (n, 2) from segments a-b (m, 2), (n, m)."""
    along = b - a
    square = np.maximum((along**2).sum(axis=1), 1e-30)
    offset = points[:, None, :] - a[None, :, :]
    t = np.clip((offset * along[None, :, :]).sum(axis=2) / square, 0.0, 1.0)
    gap = offset - t[:, :, None] * along[None, :, :]
    found: Floats = np.hypot(gap[..., 0], gap[..., 1])
    return found


@dataclass(frozen=True, eq=False)
class _Touch:
    """Where a part meets wood (work frame), and how far the wood stands above the part's lower end."""

    at: Floats
    above: float


def _touch(
    lying: Lying, trail: Trail, a: Floats, b: Floats, mover: Mover, z: float, *, boxed: bool
) -> _Touch | None:
    """Ask whether a part, its lower end at work z, meets wood on the way from a to b."""
    if lying.beside(a, b, mover.radius):
        return None
    wood, lay = lying.wood, lying.lay
    low: Floats | None = None
    high: Floats | None = None
    if boxed and a[0] != b[0] and a[1] != b[1]:
        low, high = np.minimum(a, b), np.maximum(a, b)
        cells = wood.above_box(lay, low, high, mover.radius, z, TOUCH)
    else:
        cells = wood.above(lay, a, b, mover.radius, z, TOUCH)
    if len(cells) == 0:
        return None
    c = wood.grid.cell
    within = (np.arange(FINE) + 0.5) / FINE * c - c / 2
    dx, dy = np.meshgrid(within, within)
    order = np.argsort(-cells[:, 2], kind="stable")
    for k in range(0, len(cells), 256):
        part = cells[order[k : k + 256]]
        grid_x = (part[:, 0, None] + dx.ravel()).ravel()
        grid_y = (part[:, 1, None] + dy.ravel()).ravel()
        tops = np.repeat(part[:, 2], FINE * FINE)
        points = wood.to_work_xy(lay, grid_x, grid_y, z)
        if low is not None and high is not None:
            out = np.maximum(0.0, np.maximum(low[:2] - points, points - high[:2]))
            distance = np.hypot(out[:, 0], out[:, 1])
        else:
            distance = segment_distance(points, a[None, :2], b[None, :2])[:, 0]
        keep = distance <= mover.radius - RIM
        if mover.outline is not None and keep.any():
            keep &= _under(points, a, b, mover.outline, boxed=boxed)
        keep[keep] &= shapely.contains_xy(lying.may, points[keep])
        keep[keep] &= ~trail.swept(points[keep], z)
        if keep.any():
            first = int(np.flatnonzero(keep)[0])
            at = np.array([points[first, 0], points[first, 1], z])
            return _Touch(at, float(tops[first] - z))
    return None


def _under(points: Floats, a: Floats, b: Floats, outline: Floats, *, boxed: bool) -> Mask:
    ends = [a[:2], b[:2]]
    if boxed:
        ends += [np.array([a[0], b[1]]), np.array([b[0], a[1]])]
    hull = shapely.convex_hull(shapely.multipoints(np.concatenate([end + outline for end in ends])))
    found: Mask = np.asarray(shapely.contains_xy(hull, points), dtype=np.bool_)
    return found


class _Follow:
    """The state of one program as it is followed."""

    def __init__(self, run: Run, boards: list[Lying], trail: Trail) -> None:
        self.run = run
        self.boards = boards
        self.trail = trail
        self.cutter, *self.rest = movers(run)
        self.rest = [mover for mover in self.rest if not mover.soft]
        self.independent = run.machine.rapids == "independent"
        self.untouching = run.program.purpose in {"outline", "probe"}
        self.reasons: list[Reason] = []
        self.told: set[str] = set()

    def tell(self, rule: str, line: int, message: str, touch: _Touch, limit: float = 0.0) -> None:
        if rule not in self.told:
            self.told.add(rule)
            self.reasons.append(
                self.run.reason(rule, line, message, at=touch.at, measured=touch.above, limit=limit)
            )

    def board(self, lying: Lying) -> NDArray[np.intp]:
        """Give the moves that may come near a board's wood."""
        moves = self.run.moves
        top = lying.wood.top(lying.lay)
        reach = max(mover.radius for mover in (self.cutter, *self.rest))
        x0, y0, x1, y1 = lying.may.bounds
        lowest = min(0.0, *(mover.low for mover in self.rest if not mover.level), 0.0)
        gantry = any(mover.level and mover.low < top for mover in self.rest)
        known = np.isfinite(np.hstack([moves.start, moves.end])).all(axis=1)
        low = np.fmin(moves.start, moves.end)
        high = np.fmax(moves.start, moves.end)
        near = known & ((low[:, 2] + lowest < top) | gantry)
        near &= (low[:, 0] - reach <= x1) & (high[:, 0] + reach >= x0)
        near &= (low[:, 1] - reach <= y1) & (high[:, 1] + reach >= y0)
        return np.flatnonzero(near)

    def move(self, k: int, lying: Lying, top: float) -> None:
        """Judge move k against one board, and cut it."""
        moves = self.run.moves
        a, b = moves.start[k], moves.end[k]
        line = int(moves.line[k])
        tip = float(min(a[2], b[2]))
        rapid = bool(moves.rapid[k])
        level = a[0] == b[0] and a[1] == b[1]
        rising = level and b[2] >= a[2]
        boxed = rapid and self.independent
        if not rising:
            self.parts(lying, a, b, top, line, boxed=boxed)
        if tip >= top or moves.touches[k]:  # what a probing move may touch is judged by its own rules
            return
        if rapid:
            if not rising:
                touch = _touch(lying, self.trail, a, b, self.cutter, tip, boxed=boxed)
                if touch is not None:
                    self.rapid(touch, line)
            return
        turning = bool(moves.rpm[k] > 0)
        falling = float(a[2] - b[2]) > LEVEL
        if (falling or not turning or self.untouching) and not rising:
            touch = _touch(lying, self.trail, a, b, self.cutter, tip, boxed=False)
            if touch is not None:
                self.feed(touch, line, a, b, turning=turning, falling=falling)
            elif not turning:
                return
        if lying.beside(a, b, self.cutter.radius):
            return
        slack = float(moves.sagitta[k])
        self.thick(lying, a, b, top, line)
        lying.wood.cut(lying.lay, a, b, self.cutter.radius, slack)

    def thick(self, lying: Lying, a: Floats, b: Floats, top: float, line: int) -> None:
        """More is cut at once than the cutter may take. Cure: a pass more, between this one and the last.

        A strip no wider than the trim may be as high as the cutter is long.
        """
        tool = self.run.tool
        tip = float(min(a[2], b[2]))
        if tool.deepest is None or top - tip <= tool.deepest + THICKER:
            return
        block = 1 + math.ceil(tool.trim / lying.wood.grid.cell)
        found = lying.wood.thicker(
            lying.lay, a, b, self.cutter.radius, tip, tool.deepest + THICKER, max(2, block)
        )
        if found is not None and "cuts-too-thick" not in self.told:
            self.told.add("cuts-too-thick")
            thick = found[2] - tip
            text = f"{thick:.2f} mm are cut at once; {tool.deepest:g} mm is the thickest for this cutter"
            self.reasons.append(
                self.run.reason(
                    "cuts-too-thick",
                    line,
                    text,
                    at=(found[0], found[1], tip),
                    measured=thick,
                    limit=tool.deepest,
                )
            )

    def parts(self, lying: Lying, a: Floats, b: Floats, top: float, line: int, *, boxed: bool) -> None:
        """A part above the cutter, or one that rides along, meets wood: more stick-out, or a longer bit."""
        for mover in self.rest:
            low = mover.low if mover.level else float(min(a[2], b[2])) + mover.low
            if low >= top:
                continue
            touch = _touch(lying, self.trail, a, b, mover, low, boxed=boxed)
            if touch is not None:
                rule = "body-touches-wood" if mover.kind == "body" else "attached-touches-wood"
                text = f"{mover.name} meets wood that stands {touch.above:.3f} mm above its lower end"
                self.tell(rule, line, text, touch)

    def rapid(self, touch: _Touch, line: int) -> None:
        """A rapid move goes where wood may stand. Cure: retract higher first, or feed there."""
        if self.untouching:
            self.untouched(touch, line)
            return
        text = f"a rapid move passes where wood may stand {touch.above:.3f} mm above the tip"
        self.tell("rapid-through-wood", line, text, touch)

    def untouched(self, touch: _Touch, line: int) -> None:
        """An outline or a measuring program comes down to where wood may stand, and not to probe it.

        Cure: trace it higher; below the highest possible wood only a probing move goes.
        """
        purpose = self.run.program.purpose
        what = "an outline program" if purpose == "outline" else "a measuring program, but for probing moves,"
        text = f"{what} touches nothing, yet wood may stand {touch.above:.3f} mm above the tip"
        self.tell(f"{purpose}-touches-wood", line, text, touch)

    def feed(self, touch: _Touch, line: int, a: Floats, b: Floats, *, turning: bool, falling: bool) -> None:
        """Wood is met with the spindle off, or on a descent that the cutter cannot make.

        Cure: M3 with a speed before it; or enter from beside the wood, or down a slope it can cut.
        """
        if self.untouching:
            self.untouched(touch, line)
            return
        if not turning:
            text = f"the cutter meets wood {touch.above:.3f} mm above its tip with the spindle off"
            self.tell("spindle-off-in-wood", line, text, touch)
        if not falling:
            return
        run = math.hypot(float(b[0] - a[0]), float(b[1] - a[1]))
        slope = math.degrees(math.atan2(float(a[2] - b[2]), run))
        tool = self.run.tool
        if run == 0:
            if not tool.centre_cutting:
                text = f"a cutter with no edges at its centre goes down {touch.above:.3f} mm into wood"
                self.tell("plunge-without-centre-edges", line, text, touch)
        elif (
            slope > tool.ramp + 0.01
        ):  # a hundredth of a degree: what rounding to thousandths makes of a ramp
            text = f"the cutter goes down into wood at {slope:.2f} degrees; {tool.ramp:g} is its steepest"
            if "ramp-too-steep" not in self.told:
                self.told.add("ramp-too-steep")
                self.reasons.append(
                    self.run.reason("ramp-too-steep", line, text, at=b, measured=slope, limit=tool.ramp)
                )


def follow(run: Run, boards: list[Lying], trail: Trail) -> list[Reason]:
    """Follow a program through the wood of every board in its setup, cutting as it goes.

    `boards` and `trail` change; the reasons found are the first of each rule.
    """
    state = _Follow(run, boards, trail)
    ends = [event.line for event in run.reading.events if event.kind == "end"]
    trail.last = (run.program.file, ends[0]) if ends else trail.last
    moves = run.moves
    near = [set(state.board(lying).tolist()) for lying in boards]
    tops = [lying.wood.top(lying.lay) for lying in boards]
    cutting = ~moves.rapid & np.isfinite(np.hstack([moves.start, moves.end])).all(axis=1)
    for k in range(len(moves)):
        for index, lying in enumerate(boards):
            if k in near[index]:
                state.move(k, lying, tops[index])
        if cutting[k] and moves.rpm[k] > 0:
            slack = float(moves.sagitta[k])
            said = (run.program.file, int(moves.line[k]))
            trail.add(moves.start[k], moves.end[k], state.cutter.radius - slack, 2 * slack, said)
    return state.reasons
