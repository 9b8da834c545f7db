"""What holds a row of boards.

In: the row's clamping, its zones. Out: solids and grips, for each board its own. Work frame, mm, N. Promise:
a squeeze goes through the whole row, so that every board feels it at both edges and none feels more than what
is pushed at the row's ends; each board that needs a stop has its own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.forces.holding_force import FRICTION, LOCKING_FRICTION
from stockwright.hold_downs import Stop
from stockwright.planning.clamping import FAR, box, none_listed, none_low_enough
from stockwright.planning.grips import Held, beside_force
from stockwright.planning.holding import hold
from stockwright.planning.places import BoltPlaces, none_fits
from stockwright.planning.setup import Grip, Solid

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.job import Side, Zone
    from stockwright.planning.clamping import Clamping

    Outlines = Mapping[str, shapely.Polygon]

__all__ = ["hold_row", "rubs", "spread"]

# mm by which a stop may be shorter than the row: the outer boards bear on it still; our own choice
SPARE = 10.0
KEPT = 0.5  # of a squeeze that is there still while a cut pulls away from what is firm; our own choice
SHARED = 2**-0.5  # of it each for the plane and for the height, as on a circle
IN_LINE = 0.05  # mm by which ends may differ that are said to stand in one line


def hold_row(
    c: Clamping, zones: Sequence[Zone], outlines: Outlines, standing: tuple[Solid, ...], *, faced: bool
) -> Held:
    """Return what holds the row; grips name their boards. `faced`: a face is cut, nothing may lie on it."""
    found: list[Finding] = []
    across: list[Zone] = []
    at_ends: list[tuple[Zone, Side]] = []
    for zone in zones:
        if isinstance(zone.where, tuple):
            edges = tuple(s for s in zone.where if s.startswith("edge"))
            at_ends += [(zone, s) for s in zone.where if s.startswith("end")]
            if edges:
                across.append(replace(zone, where=edges))
        elif zone.where == "face" and not faced:
            across.append(zone)
        else:
            found.append(_cannot(c, zone))
    held = hold(c, tuple(across), standing)
    stops = _Stops(c, outlines, (*standing, *held.solids))
    for zone, side in at_ends:
        stops.stand(zone, side)
    return Held(
        solids=(*held.solids, *stops.solids),
        grips=(*spread(held.grips, outlines), *stops.grips),
        notes=(*held.notes, *stops.notes),
        findings=(*found, *held.findings, *stops.found),
    )


def spread(grips: Sequence[Grip], outlines: Outlines) -> tuple[Grip, ...]:
    """Return each grip of the row as the grips of its boards.

    A push or a contact across the row is handed on from board to board: every one of them has it, at the edge
    that looks to where it comes from. Wood slides on wood more easily than under a pad, and the check counts
    a pad's friction, so of a push that is handed on only as much counts as rubs alike. What presses from
    above holds the board under it.
    """
    found = []
    for grip in grips:
        at = shapely.Point(grip.at[:2])
        if grip.how in ("push", "carry") and abs(grip.way[1]) > abs(grip.way[0]):
            outer = list(outlines)[0 if grip.way[1] > 0 else -1]
            for name, outline in outlines.items():
                y = outline.bounds[1] if grip.way[1] > 0 else outline.bounds[3]
                own = replace(grip, board=name, at=(grip.at[0], float(y), grip.at[2]))
                found.append(own if name == outer or grip.how == "carry" else _handed_on(own))
        else:
            nearest = min(outlines, key=lambda name: outlines[name].distance(at))
            found.append(replace(grip, board=nearest))
    return tuple(found)


def _handed_on(grip: Grip) -> Grip:
    share = min(1.0, LOCKING_FRICTION / FRICTION)
    told = f"{grip.source}; through the row, {share:g} of it counts, for wood slides on wood sooner"
    return replace(grip, force=grip.force * share, source=told, whole=grip.force)


def rubs(grips: Sequence[Grip], outlines: Outlines) -> tuple[Grip, ...]:
    """Return the friction where a row squeezed from one side stands against what is firm, or a neighbour.

    The push is there whatever the cutter does, and so is half of what it rubs with on the other edge: the cut
    may take the rest. Where clamps push from both sides their own grips say it.
    """
    found = []
    for name, outline in outlines.items():
        own = [g for g in grips if g.board == name and abs(g.way[1]) > abs(g.way[0])]
        for way, y in ((1.0, outline.bounds[3]), (-1.0, outline.bounds[1])):
            pushes = [g for g in own if g.how == "push" and g.way[1] * way > 0]
            against = [g for g in own if g.way[1] * way < 0]
            if not pushes or not against or any(g.how == "push" for g in against):
                continue
            for push in pushes:
                force = KEPT * SHARED * LOCKING_FRICTION * push.force
                told = f"{KEPT:g} of what a push of {push.force:.0f} N rubs with ({push.source})"
                at = (push.at[0], float(y), push.at[2])
                felt = f"{push.name}, felt at the other edge"
                whole = push.whole or push.force
                found.append(Grip(felt, name, "shear", at, force, told, lifts=force, whole=whole))
    return tuple(found)


class _Stops:
    """Stops at the ends of a row: one long one for all, or one a board."""

    def __init__(self, c: Clamping, outlines: Outlines, standing: tuple[Solid, ...]) -> None:
        self.c, self.outlines, self.standing = c, outlines, standing
        self.solids: list[Solid] = []
        self.grips: list[Grip] = []
        self.notes: list[str] = []
        self.found: list[Finding] = []

    def stand(self, zone: Zone, side: Side) -> None:
        """Stand what is needed at one end of the row."""
        c = self.c
        nx, _ = c.place.looks(side)
        low = c.below(zone)
        every = [h for h in c.shop.hold_downs if isinstance(h, Stop)]
        kinds = [h for h in every if h.fits_under(low)]
        if not kinds:
            lowest = min((h.height for h in every), default=None)
            self.found.append(
                none_listed(c, zone, "stop", low)
                if lowest is None
                else none_low_enough(c, zone, "stop", lowest, low)
            )
            return
        ends = {name: o.bounds[2] if nx > 0 else o.bounds[0] for name, o in self.outlines.items()}
        y0, y1 = (
            min(o.bounds[1] for o in self.outlines.values()),
            max(o.bounds[3] for o in self.outlines.values()),
        )
        in_line = max(ends.values()) - min(ends.values()) <= IN_LINE
        longest = max(kinds, key=lambda h: (h.length, h.name))
        if in_line and longest.length >= y1 - y0 - SPARE and self._left(longest):
            end, whole = next(iter(ends.values())), y1 - y0
            # From the row's near edge on, or in its middle where it is shorter: a fence stands before it.
            middle = y0 + max(longest.length, whole) / 2
            self._one(longest, f"{longest.name} at {side}", nx, end, middle, list(self.outlines))
            return
        narrowest = min(o.bounds[3] - o.bounds[1] for o in self.outlines.values())
        pool = [h for h in kinds if h.length <= narrowest for _ in range(self._left(h))]
        if len(pool) < len(ends):
            self.found.append(self._too_few(side, len(pool), len(ends), y1 - y0))
            return
        for number, (h, (name, outline)) in enumerate(zip(pool, self.outlines.items(), strict=False), 1):
            middle = (outline.bounds[1] + outline.bounds[3]) / 2
            near = outline.intersection(
                shapely.box(-FAR, middle - h.length / 2, FAR, middle + h.length / 2)
            ).bounds
            end = near[2] if nx > 0 else near[0]
            self._one(h, f"{h.name} {number} at {side}", nx, end, middle, [name])

    def _left(self, h: Stop) -> int:
        taken = sum(
            s.kind == "stop" and s.name.startswith(f"{h.name} ") for s in (*self.standing, *self.solids)
        )
        return h.count - taken

    def _one(self, h: Stop, name: str, nx: float, end: float, middle: float, boards: list[str]) -> None:
        foot = box(
            min(end, end + nx * h.depth),
            middle - h.length / 2,
            max(end, end + nx * h.depth),
            middle + h.length / 2,
        )
        places = BoltPlaces.of(self.c.shop)
        x, y = foot.mean(axis=0)
        off = places.nearest(float(x), float(y))[0]
        if off > places.play + 1e-6:
            self.found.append(none_fits(self.c.index, h.name, "end", off, places.play))
            return
        self.solids.append(Solid(name, "stop", foot, 0.0, h.height))
        force = beside_force(h)
        for board in boards:  # one for all of them: no board may count on more than its share
            y0, y1 = self.outlines[board].bounds[1::2]
            at = (float(end), float((y0 + y1) / 2), min(h.height, self.c.face_height) / 2)
            share = force.newtons / len(boards)
            way, whole = (-nx + 0.0, 0.0), force.newtons if len(boards) > 1 else 0.0
            self.grips.append(Grip(name, board, "carry", at, share, force.source, way=way, whole=whole))
        if told := places.told(name, float(x), float(y)):
            self.notes.append(told)

    def _too_few(self, side: Side, there: int, wanted: int, deep: float) -> Finding:
        return Finding(
            rule="too-few-stops",
            level="refuse",
            message=f"{there} stops can stand at {side} of a row of {wanted} boards, one for each is wanted",
            remedy=f"list {wanted} stops no longer than a board is wide, or one that is {np.ceil(deep):.0f} "
            "mm long, in the shop's document; or leave that end out of the zone",
            measured=float(there),
            limit=float(wanted),
            setup=self.c.index,
        )


def _cannot(c: Clamping, zone: Zone) -> Finding:
    return Finding(
        rule="row-cannot-be-held-so",
        level="refuse",
        message=f"the zone {zone.name} is {zone.where}, and a row of boards is held from its sides",
        remedy="squeeze the row: ask for hold-downs at both edges, below the cut",
        measured=0.0,
        limit=1.0,
        setup=c.index,
    )
