"""The lines of one region at one level.

In: where its wood stands. Out: passes in order, and the time they take. Lines run along u; v goes across
them. Promise: all wood of the region is cleared; no bite is wider than the stepover (except at ragged ends);
the cutter is lowered where no wood of this level stands, unless there is no such room and it is able to enter
wood; no line is cut before the wood beside it, on the line before, is gone.
"""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from stockwright.cutting.coverage import end_overrun, least_overrun, line_places
from stockwright.cutting.ground import TOUCH, ramp_length
from stockwright.cutting.path import APPROACH
from stockwright.cutting.wood import mirrored
from stockwright.frozen import frozen
from stockwright.tooling import LEAD, widest_stepover

if TYPE_CHECKING:
    from stockwright.cutting.ground import Ground
    from stockwright.cutting.path import Path
    from stockwright.cutting.wood import Span, Wood
    from stockwright.tooling import Tool

    Place = tuple[float, float]

__all__ = ["Level", "Lines", "Manner"]

# What a way of cutting that begins outside the travel counts, seconds: more than any other way could take.
OUT_OF_TRAVEL = 1e6


@frozen(eq=False)
class Manner:
    """How one cut's lines run: `ways` along u are +1 and -1, or one of them alone; `across`: u is the work y.

    Where it `falls`, v falls as the work axis rises: the lines begin at its high side. `bite` is the widest
    bite, mm. `to_rim`: the last line clears all that its rim passes. `goes_on`: beyond the region is wood to
    be cut later, so every level's last line lies half a bite inside: their rims come equally far, as planned.
    `within`: no line lies below or above these v, steps, because of what stands beside the region.
    """

    ground: Ground
    tool: Tool
    across: bool
    ways: tuple[int, ...]
    bite: float
    falls: bool = False
    to_rim: bool = False
    goes_on: bool = False
    within: tuple[int, int] | None = None

    @classmethod
    def of(
        cls,
        ground: Ground,
        tool: Tool,
        stepover: float,
        ways: tuple[int, ...],
        *,
        across: bool,
        falls: bool = False,
        to_rim: bool = False,
        goes_on: bool = False,
    ) -> Manner:
        """Give the manner; the bite is the stepover, unless neighbouring lines would then not overlap."""
        bite = min(stepover, widest_stepover(tool.flat))
        return cls(ground, tool, across, ways, bite, falls, to_rim, goes_on)

    @property
    def u(self) -> Span:
        """The travel along the lines, mm."""
        return self.ground.y if self.across else self.ground.x

    @property
    def v(self) -> Span:
        """The travel across the lines, mm."""
        low, high = self.ground.x if self.across else self.ground.y
        return (-high, -low) if self.falls else (low, high)

    def place(self, u: float, v: int, way: int) -> tuple[int, int]:
        """Give x, y in steps; `u` is rounded outwards as seen in the direction `way`."""
        whole = self.ground.steps.up(u) if way > 0 else self.ground.steps.down(u)
        v = -v if self.falls else v
        return (v, whole) if self.across else (whole, v)

    def xy(self, u: float, v: int) -> tuple[float, float]:
        """Give x, y in mm."""
        at = self.ground.steps.mm(-v if self.falls else v)
        return (at, u) if self.across else (u, at)


@frozen(eq=False)
class Level:
    """One level of a cut, at `depth`; no wood is over `surface` (both in steps), and `every` is all of it.

    `every` counts where the cutter is lowered: that may be more wood than is cut.
    """

    manner: Manner
    depth: int
    surface: int
    every: Wood


@dataclass(eq=False)
class _Run:
    """A stretch of line number `line` at `v` (steps), from `low` to `high` (mm) whichever way it is cut.

    `enter_low` and `enter_high` are where the cutter may be lowered to cut it rising and falling.
    """

    line: int
    v: int
    low: float
    high: float
    enter_low: float
    enter_high: float
    before: tuple[_Run, ...] = ()
    done: bool = False

    def start(self, way: int) -> float:
        return self.low if way > 0 else self.high

    def end(self, way: int) -> float:
        return self.high if way > 0 else self.low

    def entry(self, way: int) -> float:
        return self.enter_low if way > 0 else self.enter_high


class Lines:
    """The lines over some of a level's wood.

    `seconds` is the time from raised over the first entry to raised over the last end, every corner taken as
    a stop; the entry is the handiest, until `begin` says where the cutter comes from.
    """

    def __init__(self, level: Level, wood: Wood) -> None:
        """Find the runs of every line, then put them in order."""
        manner, depth = level.manner, level.depth
        self.manner, self.depth, self.surface = manner, depth, level.surface
        ground, tool = manner.ground, manner.tool
        height = ground.steps.mm(ground.clear - depth)
        self._up = ground.seconds(height, ground.machine.rapid)
        self._down = ground.seconds(max(0.0, height - APPROACH), ground.machine.rapid)
        self._down += ground.seconds(APPROACH, tool.plunge_feed)
        self._stop = tool.feed / 60 / ground.machine.acceleration
        _, low, _, high = wood.box
        side = manner.bite / 2 if manner.goes_on else widest_stepover(tool.flat) / 2
        places = line_places(ground.steps, (low, high), tool.radius, side, manner.bite, manner.v)
        if manner.within is not None:
            first, last = manner.within
            places = tuple(dict.fromkeys(min(max(place, first), last) for place in places))
        self.places = places
        lines = self._lines(places, low, high, wood, level.every)
        self._runs_of_all = [run for line in lines for run in line]
        self.begin(None)

    def begin(self, here: Place | None) -> None:
        """Put the passes in order, coming from `here` (x, y), raised."""
        self.seconds = 0.0
        self._order: list[tuple[_Run, int, bool]] = []
        for run in self._runs_of_all:
            run.done = False
        self._put_in_order(list(self._runs_of_all), here)

    @property
    def starts(self) -> tuple[Place, ...]:
        """Where the cutter may be lowered first, (x, y) each."""
        first = [run for run in self._runs_of_all if not run.before]
        return tuple(self.manner.xy(run.entry(way), run.v) for run in first for way in self.manner.ways)

    @property
    def first(self) -> Place:
        """Where the cutter is lowered first, (x, y)."""
        run, way, _ = self._order[0]
        return self.manner.xy(run.entry(way), run.v)

    @property
    def last(self) -> Place:
        """Where the cutter is raised last, (x, y)."""
        run, way, _ = self._order[-1]
        return self.manner.xy(run.end(way), run.v)

    def around(self, across: float) -> float:
        """Give the time to raise, go `across` mm at the clear height and lower again, seconds."""
        ground = self.manner.ground
        return self._up + ground.seconds(across, ground.machine.rapid) + self._down

    def _lines(
        self, places: tuple[int, ...], low: float, high: float, wood: Wood, every: Wood
    ) -> list[list[_Run]]:
        mm, radius, bite = self.manner.ground.steps.mm, self.manner.tool.radius, self.manner.bite
        at = [mm(place) for place in places]
        gaps = [b - a for a, b in pairwise(at)]
        under = [at[0] - low, *(gap / 2 for gap in gaps)]
        over = [*(gap / 2 for gap in gaps), self.manner.tool.flat if self.manner.to_rim else high - at[-1]]
        # Before the next line comes, what is left for it must not be wider than a bite.
        ahead = [*(max(gap / 2, radius - (bite - gap)) for gap in gaps), over[-1]]
        widest = max(gaps, default=bite)
        lines: list[list[_Run]] = []
        for index, v in enumerate(places):
            half = max(under[index], over[index])
            own = wood.spans(at[index] - under[index], at[index] + ahead[index])
            line = self._runs(index, v, half, widest, own, every) if own else []
            for run in line:
                near = lines[index - 1] if index else []
                run.before = tuple(
                    r for r in near if r.low < run.high + 2 * radius and r.high > run.low - 2 * radius
                )
            lines.append(line)
        return lines

    def _runs(
        self, line: int, v: int, half: float, widest: float, own: tuple[Span, ...], every: Wood
    ) -> list[_Run]:
        """Give the runs over the spans of one line; two are one where that is quicker, or leaves no entry."""
        manner, tool = self.manner, self.manner.tool
        at, room = manner.ground.steps.mm(v), tool.radius + LEAD
        wide = every.spans(at - room, at + room)
        back = mirrored(wide, -1)
        low, high = manner.u
        least = least_overrun(tool.flat, half)
        wanted = end_overrun(tool.radius, least, widest, turns=len(manner.ways) > 1)
        dives = tool.centre_cutting or tool.ramp > 0
        found: list[_Run] = []
        for a, b in own:
            # Inside the travel, as long as the wood's ends are still cleared.
            start = min(max(a - wanted, low), a - least)
            end = max(min(b + wanted, high), b + least)
            if start > end:
                start = end = (a + b) / 2
            enter_low, enter_high = _clear_before(wide, start, room), -_clear_before(back, -end, room)
            if dives and enter_low < low:
                enter_low = start
            if dives and enter_high > high:
                enter_high = end
            run = _Run(line, v, start, end, enter_low, enter_high)
            if found and self._through(found[-1], run):
                last = found[-1]
                last.high, last.enter_high = max(last.high, end), max(last.enter_high, enter_high)
            else:
                found.append(run)
        return found

    def _through(self, one: _Run, two: _Run) -> bool:
        """Say whether cutting on to the next run of a line is no slower than going round."""
        ways = self.manner.ways
        if (1 in ways and two.enter_low <= one.high) or (-1 in ways and one.enter_high >= two.low):
            return True
        speed, gap = self.manner.tool.feed / 60, max(0.0, two.low - one.high)
        lead = min(abs(two.start(way) - two.entry(way)) for way in ways)
        return gap / speed <= self._stop + self.around(gap) + lead / speed

    def _put_in_order(self, runs: list[_Run], here: Place | None) -> None:
        """Take, again and again, the run that is reached soonest of those whose turn it may be."""
        at: tuple[_Run, int] | None = None
        waits = [sum(not earlier.done for earlier in run.before) for run in runs]
        behind: dict[int, list[int]] = {}
        for place, run in enumerate(runs):
            for earlier in run.before:
                if not earlier.done:
                    behind.setdefault(id(earlier), []).append(place)
        ready = [place for place, count in enumerate(waits) if not count]
        while ready:
            options = []
            for number, place in enumerate(ready):
                run = runs[place]
                for way in self.manner.ways:
                    seconds, linked = (
                        self._reach(at, run, way) if at else (self._down + self._lead(run, way), False)
                    )
                    coming = 0.0
                    if not at and here is not None:
                        coming = self._coming(here, self.manner.xy(run.entry(way), run.v))
                    options.append(
                        (coming + seconds, run.line, number, -way * self.manner.ways[0], seconds, linked)
                    )
            _, _, number, turned, seconds, linked = min(options)
            run, way = runs[ready.pop(number)], -turned * self.manner.ways[0]
            run.done = True
            for place in behind.get(id(run), ()):
                waits[place] -= 1
                if not waits[place]:
                    bisect.insort(ready, place)
            self._order.append((run, way, linked))
            self.seconds += seconds + self.manner.ground.seconds(run.high - run.low, self.manner.tool.feed)
            at = (run, way)
        self.seconds += self._up

    def _coming(self, a: Place, b: Place) -> float:
        return self.manner.ground.seconds(math.dist(a, b), self.manner.ground.machine.rapid)

    def _lead(self, run: _Run, way: int) -> float:
        """Give the time from where the cutter is lowered to where a run starts."""
        entry = run.entry(way)
        lead = abs(run.start(way) - entry) / (self.manner.tool.feed / 60)
        return lead if self.manner.u[0] <= entry <= self.manner.u[1] else lead + OUT_OF_TRAVEL

    def _reach(self, here: tuple[_Run, int], run: _Run, way: int) -> tuple[float, bool]:
        """Give the time from the end of one run to the start of another, and whether it stays down."""
        ground, (old, back) = self.manner.ground, here
        aside, end = ground.steps.mm(run.v - old.v), old.end(back)
        around = self.around(math.hypot(aside, end - run.entry(way))) + self._lead(run, way)
        if way != back and run.line == old.line + 1:
            feed = self.manner.tool.feed
            link = abs(end - run.start(way)) / (feed / 60) + ground.seconds(aside, feed)
            if link <= around:
                return link, True
        return around, False

    def lay(self, path: Path) -> None:
        """Lay the passes down in the order that suits where the cutter is; ends raised."""
        mm, feed, end, old_v = self.manner.ground.steps.mm, self.manner.tool.feed, 0.0, 0
        if path.place is not None:
            self.begin((mm(path.place[0]), mm(path.place[1])))
        for run, way, linked in self._order:
            if linked:
                turn = min(end * way, run.start(way) * way) * way
                for v in (old_v, run.v):
                    path.feed(*self.manner.place(turn, v, -way), self.depth, feed)
            else:
                self._enter(path, run, way)
            end, old_v = run.end(way), run.v
            path.feed(*self.manner.place(end, run.v, way), self.depth, feed)
        path.raise_up()

    def _enter(self, path: Path, run: _Run, way: int) -> None:
        """Lower beside the wood; or, where the travel leaves no room, straight or slanting into it."""
        manner, steps, tool = self.manner, self.manner.ground.steps, self.manner.tool
        start, depth, surface = run.start(way), self.depth, self.surface
        path.over(*manner.place(run.entry(way), run.v, -way))
        if run.entry(way) != start or (tool.ramp <= 0 and not tool.centre_cutting):
            path.lower(depth, depth, tool.plunge_feed)
            return
        length, room = ramp_length(tool, steps.mm(surface - depth) + TOUCH), run.high - run.low
        if length <= 0 or room <= 0:
            path.lower(depth, max(surface, depth), tool.plunge_feed)
            return
        top = surface + steps.up(TOUCH)
        path.lower(top, surface, tool.plunge_feed)
        legs = math.ceil(length / room)
        for leg in range(1, legs + 1):
            there = start + way * (length / legs if leg % 2 else 0.0)
            z = depth + ((top - depth) * (legs - leg)) // legs
            path.feed(*manner.place(there, run.v, -way), z, tool.plunge_feed)
        path.feed(*manner.place(start, run.v, -way), depth, tool.feed)


def _clear_before(spans: tuple[Span, ...], start: float, room: float) -> float:
    """Give the place at or before `start` nearest to it that keeps `room` from every span."""
    for a, b in reversed(spans):
        if a - room < start < b + room:
            start = a - room
    return start
