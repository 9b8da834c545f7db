"""Compares what a text does with what it should do.

In: a post, its reader, a program. Out: nothing, or `Fault`. Promise: what should happen is worked out from
the program's nodes, one at a time, with nothing that writers use.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from stockwright.conformance.fault import Fault, demand
from stockwright.frozen import frozen
from stockwright.motion.nodes import Arc, Feed, Probe, Program, Rapid

if TYPE_CHECKING:
    from stockwright.posting.post import Post
    from stockwright.posting.traits import Units

__all__ = ["Player", "Read"]

Read = Callable[[str], Any]  # text -> stockwright.proving.program.Reading
Place = tuple[float, float, float]
# Both writer and reader may lay an arc out as chords, each within this, mm.
CHORDS = 0.02


@frozen
class Asked:
    """One move of the neutral motion: `kind` is rapid, cut, arc or touch."""

    kind: str
    to: Place
    arc: Arc | None = None


@frozen
class Player:
    """A post and what reads it."""

    post: Post
    read: Read

    def text(self, program: Program, units: Units) -> str:
        """Give the text of a program."""
        return self.post.write(program, units)

    def reading(self, program: Program, units: Units) -> Any:
        """Read a program's text back. Raises Fault for a line that is not understood."""
        reading = self.read(self.text(program, units))
        if reading.unread:
            first = reading.unread[0]
            raise Fault(f"the reader does not understand line {first.line}: {first.message}")
        return reading

    def same_motion(self, program: Program, units: Units) -> None:
        """Demand every move of the program in the text, in order, to half a step, and no other."""
        step = self.post.resolution(units)
        reach = step * 0.5 + 1e-6
        asked = self._asked(program, units)
        done = self._done(self.reading(program, units), step)
        if getattr(self.post.traits, "retract", "work") == "machine":
            done = self._between_retracts(done, asked)
        k = 0
        for number, move in enumerate(asked, 1):
            name = f"move {number} ({move.kind} to {_shown(move.to)})"
            demand(k < len(done), f"{name} is not in the text, which has {len(done)} moves")
            if move.kind == "arc":
                k = self._along(move, done, k, step, name)
                continue
            rapid, touching, _, to = done[k]
            kind = "touch" if touching else "rapid" if rapid else "cut"
            as_feed = getattr(self.post.traits, "rapid_feed", 0.0) > 0
            wanted = "cut" if as_feed and move.kind == "rapid" else move.kind
            demand(kind == wanted, f"{name} is a {kind} in the text")
            demand(_near(to, move.to, reach), f"{name} goes to {_shown(to)} in the text")
            k += 1
        demand(k == len(done), f"the text moves on to {_shown(done[k][3]) if k < len(done) else ''}, unasked")

    def _asked(self, program: Program, units: Units) -> list[Asked]:
        at: Place = (math.nan, math.nan, math.nan)
        found: list[Asked] = []

        def go(kind: str, to: Place, arc: Arc | None = None) -> None:
            nonlocal at
            if self._steps(to, units) != self._steps(at, units):
                found.append(Asked(kind, to, arc))
            at = to

        for node in program.nodes:
            if isinstance(node, Rapid):
                named = (node.x, node.y, node.z)
                x, y, z = (old if new is None else new for new, old in zip(named, at, strict=True))
                go("rapid", (x, y, z))
            elif isinstance(node, Feed):
                for x, y, z in node.points.tolist():
                    go("cut", (x, y, z))
            elif isinstance(node, Arc):
                go("arc", node.end, node)
            elif isinstance(node, Probe):
                go("touch", (at[0], at[1], node.z))
                at = (at[0], at[1], math.nan)
        return found

    def _steps(self, place: Place, units: Units) -> tuple[int | None, ...]:
        step = self.post.resolution(units)
        return tuple(None if math.isnan(v) else round(self.post.snap(v, units) / step) for v in place)

    @staticmethod
    def _done(reading: Any, step: float) -> list[tuple[bool, bool, Place, Place]]:
        """Give the text's moves, those left out that go nowhere."""
        moves = reading.moves
        rows = zip(
            moves.rapid.tolist(),
            moves.touches.tolist(),
            moves.start.tolist(),
            moves.end.tolist(),
            strict=True,
        )
        return [
            (rapid, touching, (a[0], a[1], a[2]), (b[0], b[1], b[2]))
            for rapid, touching, a, b in rows
            if not _near(a, b, step * 0.25)
        ]

    @staticmethod
    def _between_retracts(
        done: list[tuple[bool, bool, Place, Place]], asked: list[Asked]
    ) -> list[tuple[bool, bool, Place, Place]]:
        """Leave out the first and the last way up, if Z alone goes and they are unasked for."""
        if len(done) > len(asked) and all(map(math.isnan, done[0][3][:2])):
            done = done[1:]
        if len(done) > len(asked) and done[-1][2][:2] == done[-1][3][:2]:
            done = done[:-1]
        return done

    @staticmethod
    def _along(
        move: Asked, done: list[tuple[bool, bool, Place, Place]], k: int, step: float, name: str
    ) -> int:
        """Follow an arc from move `k` on to its end; give the number of the move after it."""
        arc = move.arc
        assert arc is not None
        cx, cy = arc.centre
        radius = math.hypot(move.to[0] - cx, move.to[1] - cy)
        swept = 0.0
        while k < len(done):
            rapid, _, start, end = done[k]
            demand(not rapid, f"{name}: a rapid stands in it")
            off = abs(math.hypot(end[0] - cx, end[1] - cy) - radius)
            demand(off <= CHORDS + 2 * step, f"{name}: the text is {off:.4f} mm off the arc")
            turn = math.remainder(
                math.atan2(end[1] - cy, end[0] - cx) - math.atan2(start[1] - cy, start[0] - cx), math.tau
            )
            swept += -turn if arc.clockwise else turn
            demand(
                -1e-3 <= swept <= math.pi / 2 + 0.05, f"{name}: it turns by {math.degrees(swept):.2f} degrees"
            )
            k += 1
            if _near(end, move.to, step * 0.5 + 1e-6):
                return k
        raise Fault(f"{name}: the text never gets there")


def _near(a: Any, b: Any, reach: float) -> bool:
    return all((math.isnan(p) and math.isnan(q)) or abs(p - q) <= reach for p, q in zip(a, b, strict=True))


def _shown(place: Place) -> str:
    return "(" + ", ".join("?" if math.isnan(v) else f"{v:.4f}" for v in place) + ")"
