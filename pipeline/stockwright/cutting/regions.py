"""The regions that one level is cut in.

In: where wood stands above the level. Out: each region's lines, in order. Promise: every piece of wood above
the level lies in one region; regions are farther apart than the cutter reaches, or joined. Of keeping them
apart, joining them and cutting the whole face, whatever is quickest by the time model is chosen, so that
skipping air is never slower than not skipping it.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING

from stockwright.cutting.lines import Lines
from stockwright.tooling import LEAD

if TYPE_CHECKING:
    from stockwright.cutting.lines import Level
    from stockwright.cutting.wood import Area, Cells

__all__ = ["regions"]

# More parts than these are first joined to the nearest ones: the pairs are tried one by one.
MOST_PARTS = 12
# How much quicker than the whole face regions must be, as a share and s: corners are modelled as stops.
WORTH = (0.005, 0.2)

Place = tuple[float, float]


def regions(level: Level, wood: Cells, area: Area, whole: Lines, here: Place | None) -> tuple[Lines, ...]:
    """Give the lines of each region of a level in the order of cutting, from `here` (x, y) on; no wood: none.

    `whole` are lines over all of the face's `area`, of any level: how long they take hardly hangs on the
    depth.
    """
    if not wood.marked.any():
        return ()
    found = _in_order(_joined(level, wood), here)
    back = whole.starts
    whole.begin(here)
    share, seconds = WORTH
    if _time(found, here, back) >= _time((whole,), here, back) * (1 - share) - seconds:
        return (Lines(level, area),)
    return found


def _joined(level: Level, wood: Cells) -> list[Lines]:
    """Give the regions, joined pair by pair as long as that saves time."""
    room = level.manner.tool.radius + LEAD
    parts = wood.parts(room)
    while len(parts) > MOST_PARTS:
        room *= 2
        parts = wood.parts(room)
    found = {label: (part, Lines(level, part)) for label, part in enumerate(parts)}
    tried: dict[tuple[int, int], tuple[float, Cells, Lines]] = {}
    next_label = len(parts)
    while True:
        for pair in combinations(found, 2):
            if pair not in tried and _near(*(found[label] for label in pair)):
                (one, by_itself), (two, too) = (found[label] for label in pair)
                both = one.joined(two)
                lines = Lines(level, both)
                apart = by_itself.seconds + too.seconds + _between(by_itself, too)
                tried[pair] = (apart - lines.seconds, both, lines)
        best = max(tried, key=lambda pair: tried[pair][0], default=None)
        if best is None or tried[best][0] <= 0:
            return [lines for _, lines in found.values()]
        found[next_label] = tried[best][1:]
        next_label += 1
        for label in best:
            del found[label]
        tried = {pair: each for pair, each in tried.items() if not set(pair) & set(best)}


def _near(one: tuple[Cells, Lines], two: tuple[Cells, Lines]) -> bool:
    """Say whether cutting through the air between two parts could be quicker than going round, once."""
    a, b = one[0].box, two[0].box
    gap = max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3], 0.0)
    lines = one[1]
    return gap / (lines.manner.tool.feed / 60) <= 2 * lines.around(gap)


def _between(one: Lines, two: Lines) -> float:
    return min(_nearest(one.last, two), _nearest(two.last, one))


def _nearest(here: Place, lines: Lines) -> float:
    """Give the time to the nearest start of a region, raised."""
    ground = lines.manner.ground
    return min(ground.seconds(math.dist(here, start), ground.machine.rapid) for start in lines.starts)


def _in_order(lines: list[Lines], here: Place | None) -> tuple[Lines, ...]:
    """Take the nearest region next."""
    left, found = list(lines), []
    while left:
        nearest = min(left, key=lambda each: (_nearest(here or each.first, each), each.first))
        left.remove(nearest)
        nearest.begin(here)
        found.append(nearest)
        here = nearest.last
    return tuple(found)


def _time(lines: tuple[Lines, ...], here: Place | None, back: tuple[Place, ...]) -> float:
    """Give the time of regions in order, from `here` on and back to the nearest start of the whole face."""
    ground = lines[0].manner.ground
    stops = [here or lines[0].first, *(place for each in lines for place in (each.first, each.last))]
    ways = [math.dist(a, b) for a, b in zip(stops[::2], stops[1::2], strict=False)]
    ways.append(min(math.dist(lines[-1].last, start) for start in back))
    return math.fsum(
        [*(each.seconds for each in lines), *(ground.seconds(way, ground.machine.rapid) for way in ways)]
    )
