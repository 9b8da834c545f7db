"""The plan for measuring a board.

In: a bound job, a board, how it is read. Out: `Measuring`, or why there is none. Work frame, mm, unless said.
Promise: heights are cautious both ways: nothing travels where the highest wood that may lie there stands, and
no touch goes lower than a missed contact allows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.cutting.steps import Steps
from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.planning.clamping import CLEAR
from stockwright.probing.lying import laid
from stockwright.probing.stations import bow_of, count_across, count_along, in_order, inset_for, places
from stockwright.probing.unmeasured import out_of_reach, unsure_contact

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.surface import Board
    from stockwright.job import Job
    from stockwright.machine import Shop
    from stockwright.planning.setup import Setup
    from stockwright.probing.lying import By, Lying
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = ["Measuring", "Touch", "measuring"]

BEYOND = 1.0  # mm below the least wood that a touch may go at most, and half of what the probe gives
# mm that may be missed between places where the job asks no flatness; common practice, no source.
MISS = 0.3
# mm between where a touch begins and its floor: under 0.254 it is an error (NISTIR 6556, 3.5.9).
LEAST_TRAVEL = 0.3


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
    lying = laid(shop, board, index)
    given = shop.probe.over_travel if by == "probe" and shop.probe is not None else 0.0
    approach = steps.mm(steps.up(lying.highest + margin))
    clear, found = _clear(lying, tool, approach, steps)

    def floor_at(x: float, y: float) -> float:
        least = lying.least(_under(x, y, tool.radius))
        floor = max(margin, least - min(BEYOND, given / 2))  # by hand: as low as a hand may have to go
        return steps.mm(steps.up(min(floor, approach - LEAST_TRAVEL)))

    def free(x: float, y: float) -> bool:
        return _free(lying, tool, (x + lying.shift[0], y + lying.shift[1]), floor_at(x, y))

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
            steps.mm(steps.nearest(x + lying.shift[0])),
            steps.mm(steps.nearest(y + lying.shift[1])),
            floor_at(x, y),
        )
        for number, (x, y) in enumerate(in_order(spots), 1)
    )
    push = max((lying.top(t.x, t.y) - t.floor for t in touches), default=0.0)
    push += lying.board.uncertainty
    found += out_of_reach(lying, tool, touches, lost)
    if by == "probe":
        found += unsure_contact(lying, touches, push, given)
    setup = lying.setup(clear, by)
    return Measuring(lying.board, by, tool, setup, touches, lying.highest, approach, push, tuple(found))


def _under(x: float, y: float, radius: float) -> Floats:
    """Return places under a tip, its rim included, (9, 2)."""
    turns = np.arange(8) * np.pi / 4
    return np.vstack([[x, y], np.column_stack([x + radius * np.cos(turns), y + radius * np.sin(turns)])])


def _low_parts(shop: Shop, tool: Tool) -> list[tuple[float, float]]:
    """Return what goes up and down with the tip: how far it reaches sideways, and how high it begins."""
    parts = [(part.radius, part.bottom) for part in tool.assembly]
    riding = [thing for thing in shop.machine.attached if thing.moves_with == "z" and not thing.soft]
    return parts + [
        (max(float(np.hypot(x, y)) for x, y in thing.outline), tool.nose + thing.bottom) for thing in riding
    ]


def _free(lying: Lying, tool: Tool, at: tuple[float, float], low: float) -> bool:
    """Say whether the whole assembly may come down to `low` at a place without nearing what stands."""
    margin, point = lying.shop.machine.margin, shapely.Point(at)
    for solid in lying.solids:
        away = float(shapely.Polygon(solid.outline).distance(point))
        for radius, bottom in _low_parts(lying.shop, tool):
            if low + bottom < solid.top + margin and away < radius + margin:
                return False
    return True


def _clear(lying: Lying, tool: Tool, approach: float, steps: Steps) -> tuple[float, list[Finding]]:
    """Return a height of the tip that is clear of everything, as high as the travel lets it be."""
    shop, margin = lying.shop, lying.shop.machine.margin
    top = max([approach, *(s.top + margin for s in lying.solids)])
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
            setup=lying.index,
        )
    ]
