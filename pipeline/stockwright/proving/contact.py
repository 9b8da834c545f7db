"""A program's moves against the wood, one after another.

In: a `Run`, the boards. Out: reasons; the boards as cut. Promise: whether a part meets wood is decided on the
wood that may stand (`hi`, uncertainty added); where only cells at a rim are met, points an eighth of a cell
apart decide, after every earlier move of the setup.
"""

# ruff: noqa: D401 - the docstring of a rule says what is bad and its cure: it is the page of the rule

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.proving.clearance import Mover, movers
from stockwright.proving.lying import Lying, box
from stockwright.proving.together import (
    FEW,
    cut_level,
    may_be_thicker,
    may_stand_above,
    stretches,
    too_wide,
)
from stockwright.proving.trail import TOUCH, Trail, segment_distance

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.packet.model import Reason
    from stockwright.proving.run import Run

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["TOUCH", "Lying", "Trail", "follow"]

RIM = 0.02  # mm in plan: a cutter that runs along its own kerf does not meet the kerf's wall
FINE = 8  # points a cell, each way, where cells alone cannot tell
THICKER = 0.25  # mm a cut may be thicker: what cells and readings leave open of the wood's height
LEVEL = 1e-4  # mm: a fall of less is level
ROUNDED = 0.01  # degrees: what rounding to thousandths makes of a ramp
# mm that a slope falls in a part of it that is judged at its lowest, and how many parts there are at most.
SLICE, MOST_SLICES = 0.2, 200


@frozen(eq=False)
class _Touch:
    """Where a part meets wood (work frame), and how far the wood stands above the part's lower end."""

    at: Floats
    above: float


def _touch(
    lying: Lying, trail: Trail, a: Floats, b: Floats, mover: Mover, z: float, *, boxed: bool
) -> _Touch | None:
    """Ask whether a part, its lower end at work z, meets wood on the way from a to b."""
    if lying.beside(a, b, mover.radius) or lying.below(a, b, mover.radius, z):
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


def _below(a: Floats, b: Floats, top: float) -> Floats:
    """Give where a falling move comes below all the wood: before that it meets none."""
    if a[2] <= top or b[2] >= a[2]:
        return a
    found: Floats = a + (b - a) * ((a[2] - top) / (a[2] - b[2]))
    return found


def _slope(a: Floats, b: Floats) -> float:
    """Give how steeply a move falls, degrees; 90 straight down."""
    return math.degrees(math.atan2(float(a[2] - b[2]), math.hypot(float(b[0] - a[0]), float(b[1] - a[1]))))


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

    def board(self, lying: Lying, top: float) -> NDArray[np.intp]:
        """Give the moves that may come near a board's wood, which stands no higher than work z `top`."""
        moves = self.run.moves
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
            low = _below(a, b, top)
            touch = _touch(lying, self.trail, low, b, self.cutter, tip, boxed=False)
            if touch is not None and falling and not level and not (turning and self.descends(a, b)):
                touch = self.sloped(lying, low, b)
            if touch is not None:
                self.feed(touch, line, a, b, turning=turning, falling=falling)
            elif not turning:
                return
        if lying.beside(a, b, self.cutter.radius):
            return
        slack = float(moves.sagitta[k])
        self.thick(lying, a, b, top, line)
        lying.wood.cut(lying.lay, a, b, self.cutter.radius, slack, self.run.tool.corner_radius)
        self.lowered(lying, a, b, slack)

    def descends(self, a: Floats, b: Floats) -> bool:
        """Say whether the cutter can go down from a to b in wood."""
        return _slope(a, b) <= self.run.tool.ramp + ROUNDED

    def sloped(self, lying: Lying, a: Floats, b: Floats) -> _Touch | None:
        """Ask of a slope, part after part, whether it meets wood: each part is as low as its own end."""
        count = min(MOST_SLICES, max(1, math.ceil((a[2] - b[2]) / SLICE)))
        for p, q in itertools.pairwise(np.linspace(a, b, count + 1)):
            touch = _touch(lying, self.trail, p, q, self.cutter, float(q[2]), boxed=False)
            if touch is not None:
                return touch
        return None

    def lowered(self, lying: Lying, a: Floats, b: Floats, slack: float) -> None:
        """Note that wood fell along moves a-b."""
        low, high = box(a, b)
        reach = self.cutter.radius + slack
        lying.ceiling.cut(low - reach, high + reach)

    def plain(self) -> Mask:
        """Which moves are level cuts: of them only is asked where other parts are, and how thick."""
        moves = self.run.moves
        level = (moves.start[:, 2] == moves.end[:, 2]) & np.isfinite(moves.start + moves.end).all(axis=1)
        found: Mask = level & ~moves.rapid & (moves.rpm > 0) & ~moves.touches
        return found & (not self.untouching)

    def together(self, first: int, last: int, near: list[Mask], tops: list[float]) -> bool:
        """Do plain level moves at once, if none of them can be found fault with; say whether it was done."""
        moves, tool = self.run.moves, self.run.tool
        if tool.corner_radius:  # what a flat cutter clears is not what this one does
            return False
        z, slack = float(moves.end[first, 2]), float(moves.sagitta[first])
        radius = self.cutter.radius
        cuts: list[tuple[Lying, Floats, Floats]] = []
        for lying, close, top in zip(self.boards, near, tops, strict=True):
            index = first + np.flatnonzero(close[first:last])
            if len(index) == 0:
                continue
            a, b = moves.start[index], moves.end[index]
            if lying.lay.slope > 0 or too_wide(lying.wood, a, b, radius):
                return False
            for mover in self.rest:
                low = mover.low if mover.level else z + mover.low
                if low >= top or lying.below(a, b, mover.radius, low):
                    continue
                if may_stand_above(lying.wood, lying.lay, a, b, mover.radius, low, low + TOUCH):
                    return False
            if z >= top:
                continue
            if tool.deepest is not None and top - z > tool.deepest + THICKER:
                depth = tool.deepest + THICKER
                block = max(2, 1 + math.ceil(tool.trim / lying.wood.grid.cell))
                if not lying.below(a, b, radius, z + tool.deepest) and may_be_thicker(
                    lying.wood, lying.lay, a, b, radius, z, depth, block
                ):
                    return False
            cuts.append((lying, a, b))
        for lying, a, b in cuts:
            cut_level(lying.wood, lying.lay, a, b, radius, z, slack)
            self.lowered(lying, a, b, slack)
        return True

    def thick(self, lying: Lying, a: Floats, b: Floats, top: float, line: int) -> None:
        """More is cut at once than the cutter may take. Cure: a pass more, between this one and the last.

        A strip no wider than the trim may be as high as the cutter is long.
        """
        tool = self.run.tool
        tip = float(min(a[2], b[2]))
        if tool.deepest is None or top - tip <= tool.deepest + THICKER:
            return
        if lying.below(a, b, self.cutter.radius, tip + tool.deepest):
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
        """A part above the cutter, or one riding along, meets wood: more stick-out, or a longer cutter."""
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
        slope, tool = _slope(a, b), self.run.tool
        if a[0] == b[0] and a[1] == b[1]:
            if not tool.centre_cutting:
                text = f"a cutter with no edges at its centre goes down {touch.above:.3f} mm into wood"
                self.tell("plunge-without-centre-edges", line, text, touch)
        elif not self.descends(a, b):
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
    near = []
    tops = [lying.wood.top(lying.lay) for lying in boards]
    for lying, top in zip(boards, tops, strict=True):
        close = np.zeros(len(moves), dtype=np.bool_)
        close[state.board(lying, top)] = True
        near.append(close)
    plain = state.plain()
    finite = np.isfinite(moves.start).all(axis=1) & np.isfinite(moves.end).all(axis=1)
    cutting = ~moves.rapid & (moves.rpm > 0) & finite
    file, radius, corner = run.program.file, state.cutter.radius, run.tool.corner_radius
    waiting = list(stretches(moves, plain))[::-1]
    while waiting:
        first, last = waiting.pop()
        if plain[first] and last - first >= FEW:
            if state.together(first, last, near, tops):
                part = slice(first, last)
                slack = moves.sagitta[part]
                lines = moves.line[part]
                trail.add_many(moves.start[part], moves.end[part], radius - slack, 2 * slack, file, lines)
            else:  # somewhere in there: where, its halves tell
                middle = (first + last) // 2
                waiting += [(middle, last), (first, middle)]
            continue
        for k in range(first, last):
            for lying, close, top in zip(boards, near, tops, strict=True):
                if close[k]:
                    state.move(k, lying, top)
            if cutting[k]:
                off = float(moves.sagitta[k])
                said = (file, int(moves.line[k]))
                # Its flat clears down to the tip, all of it above its corners only; they may reach as far.
                trail.add(moves.start[k], moves.end[k], radius - corner - off, 2 * off + corner, said)
                if corner:
                    above = np.array([0.0, 0.0, corner])
                    trail.add(moves.start[k] + above, moves.end[k] + above, radius - off, 2 * off, said)
    return state.reasons
