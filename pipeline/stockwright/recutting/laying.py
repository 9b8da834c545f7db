"""Programs made from other programs' moves. In: a program as read, some of its rows. Out: a `motion.Program`.

Promise: every program states its modes (the post does that), raises first and alone, runs the spindle as the
program it comes from does, and ends raised, spindle off, parked where that one parks; every place is on the
post's resolution.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.frozen import frozen
from stockwright.motion.nodes import (
    Dust,
    Dwell,
    Feed,
    Pause,
    Program,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.tooling import Cylinder, Tool

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from stockwright.motion.nodes import Node
    from stockwright.packet import model
    from stockwright.posting.post import Post
    from stockwright.proving.program import Event, Moves, Reading
    from stockwright.recutting.passes import Run

    Floats = NDArray[np.float64]

__all__ = ["Lines", "Source", "tool_of"]


@frozen(eq=False)
class Source:
    """A program of the packet as it was read, with what it stands on."""

    packet: model.Packet
    setup: model.Setup
    program: model.Program
    tool: Tool
    reading: Reading
    post: Post

    @property
    def moves(self) -> Moves:
        """Its moves, work frame."""
        return self.reading.moves

    @property
    def clear(self) -> float:
        """The height at which it goes about: the greatest it names, work z."""
        return float(np.nanmax(self.moves.end[:, 2]))

    @property
    def park(self) -> tuple[float, float] | None:
        """Where it ends, work x and y."""
        ends = self.moves.end[self.moves.rapid][:, :2]
        known = ends[np.isfinite(ends).all(axis=1)]
        return (float(known[-1, 0]), float(known[-1, 1])) if len(known) else None

    def snap(self, mm: float) -> float:
        """Give a position on the post's resolution."""
        return self.post.snap(mm, self.packet.units)


class Lines:
    """A program while it is laid down, from `source`'s own rows."""

    def __init__(self, source: Source, remarks: Iterable[str], row: int | None) -> None:
        """Begin: remarks, tool; unless `row` is None straight up, and the spindle as it turns there."""
        self.source, self.clear = source, source.clear
        tool = source.tool
        self.nodes: list[Node] = [Remark(text) for text in remarks]
        self.nodes.append(UseTool(tool.number, tool.name))
        if row is None:
            return
        self.nodes.append(Rapid(z=self.clear))
        rpm = float(source.moves.rpm[row])
        if rpm > 0:
            self.nodes.append(SpindleOn(rpm))
            wait = _wait_after_start(source.reading.events)
            if wait > 0:
                self.nodes.append(Dwell(wait))

    def over(self, x: float, y: float, z: float) -> None:
        """Go over a place at the clear height, then quickly down to `z`."""
        self.nodes.append(Rapid(x=x, y=y))
        self.nodes.append(Rapid(z=z))

    def feed(self, points: Floats, feed: float) -> None:
        """Go through points (n, 3) at `feed`."""
        self.nodes.append(Feed(np.asarray(points, dtype=np.float64).reshape(-1, 3), feed))

    def rows(self, first: int, last: int, shift: float = 0.0) -> None:
        """Repeat rows at a feed, `shift` mm higher."""
        moves = self.source.moves
        k = first
        while k < last:
            end = k + 1
            while end < last and moves.feed[end] == moves.feed[k]:
                end += 1
            points = moves.end[k:end].copy()
            if shift:
                points[:, 2] = [self.source.snap(z + shift) for z in points[:, 2].tolist()]
            self.feed(points, float(moves.feed[k]))
            k = end

    def run(self, run: Run, shift: float = 0.0) -> None:
        """Repeat a whole run, `shift` mm higher."""
        x, y, z = run.points[0].tolist()
        self.over(x, y, min(self.source.snap(z + shift), self.clear))
        self.rows(run.first, run.last, shift)
        self.up()

    def up(self) -> None:
        """Go straight up to the clear height."""
        self.nodes.append(Rapid(z=self.clear))

    def everything(self, first: int, last: int) -> None:
        """Repeat rows and what happens between them, rapids and machine words included.

        Words before the first row count where the program itself begins there.
        """
        moves, events = self.source.moves, self.source.reading.events
        for k in range(first, last):
            if k > first or first == 0:
                self.nodes += [node for event in events if event.after == k for node in _said(event)]
            if moves.rapid[k]:
                self.nodes += _rapid(moves.start[k], moves.end[k])
            else:
                self.rows(k, k + 1)

    def end(self) -> tuple[Node, ...]:
        """Raise, stop, park; give all nodes."""
        self.up()
        self.nodes.append(SpindleOff())
        park = self.source.park
        if park is not None:
            self.nodes.append(Rapid(x=park[0], y=park[1]))
        return tuple(_merged(self.nodes))

    def program(
        self, stem: str, title: str, touch_off: str, purpose: Literal["outline", "cut"] = "cut"
    ) -> Program:
        """End, and give the program."""
        source = self.source
        return Program(
            stem=stem,
            title=title,
            setup=source.setup.index,
            purpose=purpose,
            tool=source.tool,
            nodes=self.end(),
            standing=tuple(source.program.standing),
            touch_off=touch_off,
        )


def tool_of(packet: model.Packet, name: str, moves: Moves) -> Tool:
    """Give a cutter of the packet with the speed and feeds that a program uses; a bite is not known here."""
    tool = packet.tools[name]
    feeds = moves.feed[~moves.rapid]
    feed = float(feeds.max()) if len(feeds) else packet.machine.max_feed
    return Tool(
        name=name,
        number=tool.number,
        kind="end-mill" if tool.kind == "end-mill" else "facing-cutter",
        does=(),
        diameter=tool.diameter,
        cutting_length=tool.cutting_length,
        shank_diameter=tool.shank_diameter,
        overall_length=tool.overall_length,
        gripped=tool.gripped,
        grip_wanted=tool.gripped,
        stickout=tool.stickout,
        marked_max_rpm=tool.marked_max_rpm,
        flutes=tool.flutes,
        centre_cutting=tool.centre_cutting,
        ramp=tool.ramp,
        corner_radius=tool.corner_radius,
        rpm=float(moves.rpm.max()) if len(moves) else 0.0,
        feed=feed,
        plunge_feed=float(feeds.min()) if len(feeds) else feed,
        stepover=tool.diameter,
        stepdown=tool.cutting_length,
        assembly=tuple(Cylinder(part.diameter, part.bottom, part.top) for part in tool.assembly),
    )


def _wait_after_start(events: tuple[Event, ...]) -> float:
    """Give the seconds that a program waits for its spindle to come to speed."""
    started = next((k for k, event in enumerate(events) if event.kind == "spindle" and event.value > 0), None)
    if started is None:
        return 0.0
    after = events[started].after
    return sum(e.value for e in events[started:] if e.kind == "dwell" and e.after == after)


def _said(event: Event) -> list[Node]:
    """Give what a machine word does as motion; a program's end is left to the post."""
    match event.kind:
        case "spindle":
            return [SpindleOn(event.value)] if event.value > 0 else [SpindleOff()]
        case "dwell":
            return [Dwell(event.value)]
        case "stop":
            return [Pause("The program waits here, as the one before did.")]
        case "dust":
            return [Dust(bool(event.value))]
        case _:
            return []


def _rapid(start: Floats, end: Floats) -> list[Node]:
    """Give a rapid in steps that every machine goes alike: up, along, down."""
    x, y, z = (None if math.isnan(value) else float(value) for value in end)
    along = [axis for axis in (0, 1) if not (math.isnan(end[axis]) or end[axis] == start[axis])]
    fall = z is not None and not math.isnan(start[2]) and z < start[2]
    level: list[Node] = [Rapid(x=x, y=y)] if along else []
    upright: list[Node] = [Rapid(z=z)] if z is not None and z != start[2] else []
    return [*level, *upright] if fall else [*upright, *level]


def _merged(nodes: list[Node]) -> Iterable[Node]:
    """Leave out a rapid that repeats the one before it."""
    before: Node | None = None
    for node in nodes:
        if not (isinstance(node, Rapid) and node == before):
            yield node
        before = node
