"""A control of RS274/NGC: what a line's words do. In: lines taken apart, in order. Out: moves and events.

Written from NISTIR 6556 (Kramer, Proctor, Messina, 2000), sections 3.5 to 3.8, never from a writer. Promise:
an axis that was not named is not known, nothing that an earlier program left is taken as said, and what
controls do differently is refused.
"""

from __future__ import annotations

import math

from stockwright.proving.arcs import SAGITTA, Arc, NotAnArc, arc_by_centre, arc_by_radius
from stockwright.proving.program import Event
from stockwright.proving.rs274_line import AXES, NotALine, Words
from stockwright.proving.rs274_sense import is_motion, refuse, retracts_in_machine_frame, unused
from stockwright.proving.track import Track

__all__ = ["Control"]

MM = {200: 25.4, 210: 1.0}  # section 3.5.7
PLANES = {170: (0, 1, 2), 180: (2, 0, 1), 190: (1, 2, 0)}  # section 3.5.3: the axes of each arc plane
OFFSETS = "IJK"
PROBE = 382  # G38.2, times ten as all codes here
NEAREST_TOUCH = 0.254  # mm, section 3.5.9: from nearer it is an error
TAKEN_BACK = ("work frame", "tool length", "cutter radius")
A_HAIR = 1e-9  # mm: what a difference of two decimal numbers may be out by
# Degrees, section 3.5.3.1: "only very bad", as a hair of the numbers moves the centre far; others are OK.
NEARLY_HALF = (165.0, 195.0)
NEARLY_WHOLE = 345.0


class Control:
    """The state of section 3 while a program runs. `room`: for how many moves to make room.

    `machine`: where the machine frame's zero lies, work frame, mm; without it that frame is refused.
    """

    def __init__(self, room: int, machine: tuple[float, float, float] | None = None) -> None:
        self.machine, self.in_machine = machine, False
        self.here = [math.nan] * 3
        self.motion: int | None = None
        self.plane = 170
        self.unit = 1.0
        self.incremental = False
        self.inverse_time = False
        self.feed, self.lost = 0.0, 0  # the number as written, and the line that took it away
        self.speed = 0.0
        self.turning = 0
        self.selected: float | None = None
        self.said: set[str] = set()  # the groups that this program has said, however late
        self.stated: set[str] = set()
        self.moved = False
        self.ended = False
        self.events: list[Event] = []
        self.words: dict[tuple[str, float], tuple[int, int]] = {}  # where each code first stands
        self.track = Track(room)

    def execute(self, block: Words, number: int) -> None:
        """Do one line in the order of section 3.8, table 8."""
        self.in_machine = self.machine is not None and retracts_in_machine_frame(
            block, incremental=self.incremental
        )
        refuse(block, in_machine=self.in_machine)
        g, m, values = block.g, block.m, block.values
        for code in g.values():
            self.words.setdefault(("G", code / 10), (number, self.track.count))
        for code in m.values():
            self.words.setdefault(("M", code), (number, self.track.count))
        axes = [axis for axis in AXES if axis in values]
        motion = g.get("motion", self.motion if axes else None)
        unused(block, axes, motion)
        self._said_late(block)
        if "feed mode" in g:
            if self.inverse_time != (g["feed mode"] == 930) or "feed mode" not in self.said:
                self.inverse_time = g["feed mode"] == 930
                self._lose_feed(number)  # a feed is of one mode alone, if need be of the one that was left
            self._state("feed mode")
        if "F" in values:
            if values["F"] < 0:
                raise NotALine(f"the feed {values['F']:g} is below zero")
            self.feed = values["F"]
            if self.inverse_time and motion not in {10, 20, 30}:
                raise NotALine("F in inverse time belongs on the line of its move")
        if "S" in values:
            if values["S"] < 0:
                raise NotALine(f"the speed {values['S']:g} is below zero")
            changed = values["S"] != self.speed
            self.speed = values["S"]
            if self.turning and changed and "spindle" not in m:
                self._spindle(number)
        self._tool(block, number)
        if "spindle" in m:
            self.turning = {3: 1, 4: -1, 5: 0}[m["spindle"]]
            self._spindle(number)
        if "coolant" in m:
            self._event(number, "dust", 0.0 if m["coolant"] == 9 else 1.0)
        if g.get("one line only") == 40:
            self._event(number, "dwell", values["P"])
        if "plane" in g:
            self.plane = g["plane"]
            self.stated.add("plane")  # an arc asks for it, wherever it stands
        if "units" in g:
            unit = MM[g["units"]]
            other = unit != self.unit or "units" not in self.said
            if other and "F" in values:
                raise NotALine("a feed on the line that sets units: of which unit? give each its own line")
            if other:  # not all rescale a feed alike
                self.unit = unit
                self._lose_feed(number)
            self._state("units")
        if "path control" in g:  # section 3.5.14: G61 and G61.1 keep to the path, G64 rounds its corners
            self._event(number, "path", 1.0 if g["path control"] == 640 else 0.0)
        if "distance" in g:
            self.incremental = g["distance"] == 910
            self._state("distance")
        if "motion" in g:
            self.motion = None if g["motion"] == 800 else g["motion"]
        if axes or is_motion(g.get("motion")):
            self._go(values, axes, number)
        if "stop" in m:
            self._stop(m["stop"], number)
        self.said.update(g)

    def _said_late(self, block: Words) -> None:
        """Refuse a word that takes back what was left, after moves that were made with it."""
        for group in TAKEN_BACK:
            if group in block.g and self.moved and group not in self.said:
                code = block.g[group] / 10
                raise NotALine(f"G{code:g} said first after a move: with what was that made? say it before")

    def _lose_feed(self, number: int) -> None:
        """Know no feed any more, from a line on."""
        if self.feed:
            self.feed, self.lost = 0.0, number

    def _state(self, what: str) -> None:
        if not self.moved:
            self.stated.add(what)

    def _event(self, number: int, kind: str, value: float, note: str = "") -> None:
        self.events.append(Event(number, kind, value, self.track.count, note))  # type: ignore[arg-type]

    def _spindle(self, number: int) -> None:
        self._event(number, "spindle", self.turning * self.speed, "on" if self.turning else "off")
        if self.turning < 0:
            self.events[-1] = Event(number, "spindle", -self.speed, self.track.count, "anticlockwise")

    def _tool(self, block: Words, number: int) -> None:
        if "T" in block.values:
            self.selected = block.values["T"]
            self._event(number, "select", self.selected)
        if "tool change" in block.m:
            if self.selected is None:
                raise NotALine("M6 with no tool selected: T belongs before it")
            self.turning = 0
            self.here = [math.nan] * 3  # section 3.6.3 lets the machine stand anywhere after a change
            self.track.jump(self.here)
            self._event(number, "tool", self.selected)

    def _go(self, values: dict[str, float], axes: list[str], number: int) -> None:
        old = self.here
        new = list(old)
        for axis in axes:
            at = AXES.index(axis)
            distance = values[axis] * self.unit
            if self.in_machine and self.machine is not None:
                distance += self.machine[at]
            if self.incremental and math.isnan(old[at]):
                raise NotALine(f"a distance along {axis} from a place that is not known")
            new[at] = old[at] + distance if self.incremental else distance
        if self.motion == 0:
            self._move(number, new, math.nan)
        elif self.motion == 10:
            self._move(number, new, self._rate(values, math.dist(old, new)))
        elif self.motion == PROBE:
            self._probe(axes, number, old, new)
        else:
            self._arc(values, axes, number, new)

    def _move(self, number: int, new: list[float], feed: float, sagitta: float = 0.0) -> None:
        """Go to `new`; `feed` NaN is a rapid move."""
        self.track.add(number, new, feed, self.turning * self.speed, sagitta)
        self.here = new
        self.moved = True

    def _probe(self, axes: list[str], number: int, old: list[float], new: list[float]) -> None:
        """Go until something is touched (section 3.5.9); where that was is not known afterwards."""
        if self.inverse_time:
            raise NotALine("a probing move in inverse time; G94 belongs before it")
        if any(math.isnan(value) for value in old):
            raise NotALine("a probing move from a place that is not known")
        if math.dist(old, new) < NEAREST_TOUCH - A_HAIR:
            raise NotALine(f"a probing move of {math.dist(old, new):.4g} mm; {NEAREST_TOUCH} at least")
        self._move(number, new, self._rate({}, math.nan))
        self.track.touch()
        self.here = [math.nan if axis in axes else at for axis, at in zip(AXES, new, strict=True)]
        self.track.jump(self.here)

    def _rate(self, values: dict[str, float], length: float) -> float:
        """Give the feed of a move of `length`, mm/min."""
        if self.inverse_time:
            if values.get("F", 0.0) <= 0:
                raise NotALine("in inverse time every cut needs its own F")
            return values["F"] * length
        if self.feed <= 0:
            since = f"; line {self.lost} took away the one that was set" if self.lost else ""
            raise NotALine(f"a cut with no feed set: an F word above zero belongs before it{since}")
        return self.feed * self.unit

    def _arc(self, values: dict[str, float], axes: list[str], number: int, to: list[float]) -> None:
        if "plane" not in self.stated:
            raise NotALine("an arc before G17: in the plane that an earlier program left, whichever it is")
        a, b, c = PLANES[self.plane]
        if any(math.isnan(value) for value in self.here):
            raise NotALine("an arc from a place that is not known")
        if AXES[a] not in axes and AXES[b] not in axes:
            raise NotALine(f"an arc here names {AXES[a]} or {AXES[b]}, its end")
        if OFFSETS[c] in values:
            raise NotALine(f"{OFFSETS[c]} is not of the plane of this arc")
        centred = OFFSETS[a] in values or OFFSETS[b] in values
        start = (self.here[a], self.here[b], self.here[c])
        end = (to[a], to[b], to[c])
        clockwise = self.motion == 20
        if "R" in values:
            if centred:
                raise NotALine("an arc has a centre or a radius, not both")
            arc = arc_by_radius(start, end, values["R"] * self.unit, clockwise=clockwise)
            _trust(arc)
        elif centred:
            offset = (values.get(OFFSETS[a], 0.0) * self.unit, values.get(OFFSETS[b], 0.0) * self.unit)
            arc = arc_by_centre(start, end, offset, clockwise=clockwise, inch=self.unit != 1.0)
        else:
            raise NotALine(f"an arc needs its centre, {OFFSETS[a]} and {OFFSETS[b]}")
        feed = self._rate(values, arc.length)
        for point in arc.points():
            new = [0.0] * 3
            new[a], new[b], new[c] = point
            self._move(number, new, feed, SAGITTA)

    def _stop(self, code: int, number: int) -> None:
        if code in {2, 30}:
            self._event(number, "end", code)
            self.ended = True
        else:
            self._event(number, "stop", code)


def _trust(arc: Arc) -> None:
    """Refuse an arc by its radius whose centre hangs on the last digit of its numbers (section 3.5.3.1)."""
    turn = abs(math.degrees(arc.sweep))
    if NEARLY_HALF[0] < turn < NEARLY_HALF[1] or turn > NEARLY_WHOLE:
        raise NotAnArc(
            f"an arc of {turn:.1f} degrees by its radius: its centre hangs on the last digit; give I and J"
        )
