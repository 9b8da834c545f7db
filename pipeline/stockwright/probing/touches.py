"""The plan for measuring a board.

In: a bound job, a board, how it is read. Out: `Measuring`, or why there is none. Work frame, mm, unless said.
Promise: heights are cautious both ways: nothing travels where the highest wood that may lie there stands, and
no touch goes lower than a missed contact allows.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from stockwright.cutting.steps import Steps
from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.machine import Stop
from stockwright.planning.clamping import CLEAR, GAP, box
from stockwright.planning.holding import fence_solids, room_beside
from stockwright.planning.setup import Lies, Placing, Setup, Solid
from stockwright.probing.stations import bow_of, count_across, count_along, in_order, inset_for, places
from stockwright.units import format_length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.surface import Board
    from stockwright.job import Job
    from stockwright.machine import Shop
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = ["By", "Measuring", "Touch", "measuring"]

By = Literal["probe", "hand"]

# How much differently a flat board may lie when it is laid anew, mm; common practice, no source.
LIES_ANEW = 1.0
BEYOND = 1.0  # mm below the least wood that a touch may go at most, and half of what the probe gives
MISS = (
    0.3  # mm that may be missed between places where the job asks no flatness; facts of the trade, no source
)
LEAST_TRAVEL = (
    0.3  # mm between where a touch begins and its floor: under 0.254 it is an error (NISTIR 6556, 3.5.9)
)


@frozen
class Touch:
    """One place: its number from 1, where it is on the board, where on the bed, and the lowest tip there."""

    number: int
    x: float
    y: float
    work_x: float
    work_y: float
    floor: float


@frozen(eq=False)
class Measuring:
    """A board to be read. `board` is as unsure as it may lie; `approach` is where touches begin.

    `push` is the furthest, mm, that a probe which does not answer would be pushed after contact.
    """

    board: Board
    by: By
    tool: Tool
    setup: Setup
    touches: tuple[Touch, ...]
    highest: float
    approach: float
    push: float
    findings: tuple[Finding, ...]


def measuring(
    job: Job, board: Board, by: By, tool: Tool, index: int, size: float, grid: tuple[int | None, int | None]
) -> Measuring:
    """Plan how a board is read.

    `size` is the post's step, mm; `grid` the asked number of places along and across, None for the usual.
    What cannot be done is a refusing finding; nothing raises.
    """
    shop, steps = job.shop, Steps(size)
    margin = shop.machine.margin
    points = board.critical_points()
    bottom = board.bottom_at(points)
    # The board touches the bed, and once laid anew it may tilt by as much as its underside is out of flat.
    lift = -float(bottom.min())
    anew = max(LIES_ANEW, float(np.ptp(bottom)))
    unsure = replace(board, uncertainty=round(board.uncertainty + anew, 3))
    highest = float(board.top_at(points).max()) + lift + unsure.uncertainty
    shift = _shift(shop, board)
    outline = np.asarray(board.outline, dtype=float) + shift
    solids = _solids(shop, outline, _least(board, points, lift, unsure))
    given = shop.probe.over_travel if by == "probe" and shop.probe is not None else 0.0

    approach = steps.mm(steps.up(highest + margin))
    clear, found = _clear(shop, tool, solids, approach, steps, index)

    def floor_at(x: float, y: float) -> float:
        least = _least(board, _under(x, y, tool.radius), lift, unsure)
        floor = max(margin, least - min(BEYOND, given / 2))  # by hand: as low as a hand may have to go
        return steps.mm(steps.up(min(floor, approach - LEAST_TRAVEL)))

    def free(x: float, y: float) -> bool:
        return _free(shop, tool, solids, (x + shift[0], y + shift[1]), floor_at(x, y))

    x0, y0, x1, y1 = board.bounds
    miss = job.wanted.tolerance.flatness or MISS
    along = grid[0] or count_along(x1 - x0, bow_of(board), miss)
    across = grid[1] or count_across(y1 - y0)
    spots, lost = places(board, along, across, inset_for(tool.radius), free)
    touches = tuple(
        Touch(
            number,
            x,
            y,
            steps.mm(steps.nearest(x + shift[0])),
            steps.mm(steps.nearest(y + shift[1])),
            floor_at(x, y),
        )
        for number, (x, y) in enumerate(in_order(spots), 1)
    )
    push = max(
        (float(board.top_at(np.array([[t.x, t.y]]))[0]) + lift - t.floor for t in touches), default=0.0
    )
    push += unsure.uncertainty
    found += _judged(shop, tool, touches, lost, index)
    if by == "probe":
        found += _misses(board, touches, lift, unsure, push, given, index)
    setup = _setup(shop, board, index, shift, lift, outline, solids, highest, clear, by)
    return Measuring(unsure, by, tool, setup, touches, highest, approach, push, tuple(found))


def _shift(shop: Shop, board: Board) -> Floats:
    """Return where the board's own zero comes to lie: in the middle of the bed, beside the fence, (2,)."""
    x0, y0, x1, _ = board.bounds
    mark_x, mark_y = shop.bed.mark
    middle = (shop.bed.x[0] + shop.bed.x[1]) / 2 - mark_x
    near = (shop.fence.face if shop.fence else shop.bed.y[0]) - mark_y + room_beside(shop) + GAP
    return np.array([round(middle - (x0 + x1) / 2), round(near - y0)], dtype=float)


def _under(x: float, y: float, radius: float) -> Floats:
    """Return places under a tip, its rim included, (9, 2)."""
    turns = np.arange(8) * np.pi / 4
    return np.vstack([[x, y], np.column_stack([x + radius * np.cos(turns), y + radius * np.sin(turns)])])


def _least(board: Board, points: Floats, lift: float, unsure: Board) -> float:
    """Return the least height above the bed that the upper face may have at `points` (n, 2)."""
    return float(board.top_at(points).min()) + lift - unsure.uncertainty


def _solids(shop: Shop, outline: Floats, least: float) -> tuple[Solid, ...]:
    """Return the fence as it stands, and a stop at each end where the shop has one that is low enough."""
    solids = list(fence_solids(shop, shop.fence, ())) if shop.fence else []
    low = [h for h in shop.hold_downs if isinstance(h, Stop) and h.height < least and h.count >= 2]
    if not low:
        return tuple(solids)
    stop = max(low, key=lambda h: (h.height, h.name))
    wood = shapely.Polygon(outline)
    x0, y0, x1, y1 = wood.bounds
    a, b = (y0 + y1 - stop.length) / 2, (y0 + y1 + stop.length) / 2
    touched = wood.intersection(shapely.box(x0 - 1, a, x1 + 1, b)).bounds
    left, right = float(touched[0]), float(touched[2])
    solids += [
        Solid(f"{stop.name} at end-1", "stop", box(left - stop.depth, a, left, b), 0.0, stop.height),
        Solid(f"{stop.name} at end-2", "stop", box(right, a, right + stop.depth, b), 0.0, stop.height),
    ]
    return tuple(solids)


def _low_parts(shop: Shop, tool: Tool) -> list[tuple[float, float]]:
    """Return what goes up and down with the tip: how far it reaches sideways, and how high it begins."""
    parts = [(part.radius, part.bottom) for part in tool.assembly]
    riding = [thing for thing in shop.machine.attached if thing.moves_with == "z" and not thing.soft]
    return parts + [
        (max(float(np.hypot(x, y)) for x, y in thing.outline), tool.nose + thing.bottom) for thing in riding
    ]


def _free(shop: Shop, tool: Tool, solids: tuple[Solid, ...], at: tuple[float, float], low: float) -> bool:
    """Say whether the whole assembly may come down to `low` at a place without nearing what stands."""
    margin, point = shop.machine.margin, shapely.Point(at)
    for solid in solids:
        away = float(shapely.Polygon(solid.outline).distance(point))
        for radius, bottom in _low_parts(shop, tool):
            if low + bottom < solid.top + margin and away < radius + margin:
                return False
    return True


def _clear(
    shop: Shop, tool: Tool, solids: tuple[Solid, ...], approach: float, steps: Steps, index: int
) -> tuple[float, list[Finding]]:
    """Return a height of the tip that is clear of everything, as high as the travel lets it be."""
    margin = shop.machine.margin
    top = max([approach, *(s.top + margin for s in solids)])
    needed = top - min(0.0, *(bottom for _, bottom in _low_parts(shop, tool)))
    room = shop.machine.z[1] - tool.nose
    clear = steps.mm(steps.down(min(float(np.ceil(needed + CLEAR)), room)))
    if clear >= needed:
        return clear, []
    return clear, [
        Finding(
            rule="no-room-to-measure",
            level="refuse",
            message=f"with the {tool.name} in the spindle the nose must rise to {needed + tool.nose:.1f} mm "
            "above the bed to pass over all that may stand there",
            remedy="let it stick out less, take lower stops, or read the board with rule and callipers",
            measured=round(needed + tool.nose, 3),
            limit=shop.machine.z[1],
            setup=index,
        )
    ]


def _judged(shop: Shop, tool: Tool, touches: tuple[Touch, ...], lost: int, index: int) -> list[Finding]:
    """Say what the machine cannot reach, and which places had to be left out."""
    found: list[Finding] = []
    origin = np.array(shop.bed.mark)
    spots = np.array([(t.work_x, t.work_y) for t in touches]).reshape(-1, 2) + origin
    for axis, (low, high) in enumerate((shop.machine.x, shop.machine.y)):
        for worst, limit, out in (
            (spots[:, axis].min(initial=low), low, spots[:, axis].min(initial=low) < low),
            (spots[:, axis].max(initial=high), high, spots[:, axis].max(initial=high) > high),
        ):
            if out:
                found.append(
                    Finding(
                        rule="place-out-of-reach",
                        level="refuse",
                        message=f"a place would be at {'xy'[axis]} {worst:.0f} mm on the bed; "
                        f"the spindle does not go beyond {limit:g} mm",
                        remedy="saw the board to a length that fits, or read it with rule and callipers",
                        measured=round(float(worst), 3),
                        limit=limit,
                        setup=index,
                    )
                )
    lowest = min((t.floor for t in touches), default=np.inf) + tool.nose
    if lowest < shop.machine.z[0]:
        found.append(
            Finding(
                rule="place-out-of-reach",
                level="refuse",
                message=f"the spindle nose would have to come down to {lowest:.1f} mm above the bed",
                remedy="let the probe stick out further, or lay the board on something flat and higher",
                measured=round(float(lowest), 3),
                limit=shop.machine.z[0],
                setup=index,
            )
        )
    if not touches:
        found.append(
            Finding(
                rule="nothing-to-measure",
                level="refuse",
                message="the board has no place far enough from its sides and from what stands round it",
                remedy="read it with rule and callipers into a board's document",
                measured=0.0,
                limit=1.0,
                setup=index,
            )
        )
    elif lost:
        found.append(
            Finding(
                rule="places-left-out",
                level="warn",
                message=f"{lost} of {lost + len(touches)} places could not be reached past what stands there",
                remedy="read these by hand, or take lower stops",
                measured=float(lost),
                limit=0.0,
                setup=index,
            )
        )
    return found


def _misses(
    board: Board,
    touches: tuple[Touch, ...],
    lift: float,
    unsure: Board,
    push: float,
    given: float,
    index: int,
) -> list[Finding]:
    """Say where contact is not sure, and what a probe that does not answer would have to bear."""
    found = []
    over = [
        t.floor - (float(board.top_at(np.array([[t.x, t.y]]))[0]) + lift - unsure.uncertainty)
        for t in touches
    ]
    if over and max(over) > 1e-6:
        found.append(
            Finding(
                rule="touch-may-miss",
                level="warn",
                message="the board may lie lower than a touch may go, and the program would stop there",
                remedy="lay the board on something flat and say so, or measure it more closely first",
                measured=round(max(over), 3),
                limit=0.0,
                setup=index,
            )
        )
    if push > given:
        found.append(
            Finding(
                rule="dead-probe-is-pushed",
                level="warn",
                message="a probe that does not answer would be pushed further than it gives, "
                "so little is known of the board",
                remedy="try the probe by hand where the program first stops, a hand at the stop button; "
                "or take a few heights with a rule first, and state a smaller uncertainty",
                measured=round(push, 3),
                limit=given,
                setup=index,
            )
        )
    return found


def _setup(
    shop: Shop,
    board: Board,
    index: int,
    shift: Floats,
    lift: float,
    outline: Floats,
    solids: tuple[Solid, ...],
    highest: float,
    clear: float,
    by: By,
) -> Setup:
    matrix = np.eye(4)
    matrix[:3, 3] = (*shift, lift)
    what = "the probe's tip" if by == "probe" else "what touches the wood later"
    return Setup(
        index=index,
        title=f"{board.name}: heights of the upper face",
        cuts=(),
        lies=(Lies(board.name, "A", 0, matrix),),
        work_origin=(*shop.bed.mark, 0.0),
        zero_z="bed",
        zero_how=f"z on the bed beside the board, with {what}; x and y at the mark on the bed",
        goals=(),
        solids=solids,
        shims=(),
        placing=_placing(shop, outline),
        wood_outline=outline,
        wood_top=highest,
        clear_z=clear,
        seat_check=(),
        notes=(),
    )


def _placing(shop: Shop, outline: Floats) -> tuple[Placing, ...]:
    """Two distances that lay the board: its ends' line along x, its near corner from the fence."""
    wood = shapely.Polygon(outline)
    x0, _, x1, _ = wood.bounds
    line_y = shop.fence.face - shop.bed.mark[1] if shop.fence else 0.0
    line = "the fence's face" if shop.fence else "the line through the mark, along x"
    found = []
    for x in (x0 + 0.1 * (x1 - x0), x1 - 0.1 * (x1 - x0)):
        across = wood.intersection(shapely.LineString([(x, -1e5), (x, 1e5)])).bounds
        gap = round(float(across[1]) - line_y, 1)
        where = format_length(round(float(x)), shop.units)
        text = f"{format_length(gap, shop.units)} from {line} to the board's near edge, at x = {where}"
        found.append(Placing(round(float(x), 1), gap, text))
    side = "right" if x0 >= 0 else "left"
    far = format_length(round(abs(x0), 1), shop.units)
    text = f"{far} along x from the mark to the board's left end, which lies {side} of it"
    return (*found, Placing(round(float(x0), 1), round(abs(float(x0)), 1), text))
