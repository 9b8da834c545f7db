"""A program's moves, one after the other, before the second judge. In: a `Run`, a script. Out: harms, kerfs.

Where a move is, what it meets on its way, how it goes down, how much it takes at once.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mutants.second_harm import (
    CLEAR,
    CRAWL,
    HEIGHT,
    NOTHING,
    QUADRANT,
    RIM,
    THICK,
    WIDE,
    Kerf,
    Run,
    slices,
    swept,
)
from mutants.second_text import Script, Step
from mutants.second_wood import BESIDE

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from mutants.second_wood import Piece

__all__ = ["follow"]


def _clear(run: Run) -> float:
    """Give the height of the tip at which nothing that moves can meet anything that stands."""
    tops = [piece.top for piece in run.wood] + [-run.setup.work_origin[2]]
    standing = [s for s in run.setup.solids if s.name in run.program.standing]
    tops += [solid.top + run.machine.margin for solid in standing]
    nose = run.tool.assembly[-1].bottom
    hangs = [nose + thing.bottom for thing in run.machine.attached if not thing.soft]
    return max(tops) - min([0.0, *hangs])


def follow(run: Run, read: Script, *, judged: bool) -> None:
    """Go through a program, cutting; tell of harm only where it is to be `judged`."""
    clear = _clear(run)
    rpm, last, stopped = 0.0, (math.nan,) * 3, run.program.purpose != "outline"
    highest = min(run.machine.max_rpm, run.tool.marked_max_rpm or run.machine.max_rpm)
    for item in read.items:
        line = item.line
        if isinstance(item, Step):
            if not stopped:  # hands are near an outline: that the spindle stands still must be said
                stopped = True
                if judged:
                    run.tell("left-over", line, sure=True, what="spindle")
            if judged:
                _place(run, item, clear)
                if item.feed > run.machine.max_feed * (1 + 1e-6):
                    run.tell("feed", line, sure=item.feed > run.machine.max_feed * 1.0001)
            _wood_met(run, item, judged=judged)
            raised = item.start[:2] == item.end[:2] and item.end[2] >= item.start[2]
            if judged and not item.rapid and not raised and item.rpm > 0 and item.feed < CRAWL:
                _rest(run, line, item.start, item.end)
            last = item.end
            continue
        stopped = stopped or item.what == "spindle"
        if not judged:
            continue
        if item.what == "spindle" and (item.said == "on") != (rpm > 0):
            _rest(run, line, last, last)
        if item.what == "first":
            run.tell("left-over", line, sure=True, what=item.said)
        elif item.what == "changed" or (item.what == "tool" and item.value != run.tool.number):
            run.tell("tool", line, sure=True)
        elif item.what == "rounding":
            run.tell("rounding", line, sure=True)
        elif item.what == "spindle":
            rpm = item.value if item.said == "on" else 0.0
            if item.said == "on":
                allowed = run.machine.min_rpm <= item.value <= highest and item.value > 0
                if not allowed or run.program.purpose == "outline":
                    run.tell("spindle", line, sure=True)
                rpm = item.value or 1.0
        elif item.what in {"stop", "end"} and rpm:
            run.tell("spindle", line, sure=True, what="turning")
        if item.what == "end" and not (last[2] >= clear + CLEAR):
            moved = any(isinstance(one, Step) for one in read.items)
            if moved:
                run.tell("end", line, sure=not last[2] >= clear - CLEAR)


def _rest(run: Run, line: int, a: tuple[float, ...], b: tuple[float, ...]) -> None:
    """Judge standing still, or as good as that, at a depth where this program met wood."""
    if any(map(math.isnan, (*a, *b))) or run.program.purpose != "cut":
        return
    before = replace(run, kerfs=[kerf for kerf in run.kerfs if kerf.file != run.program.file])
    radius = run.tool.assembly[0].diameter / 2
    for piece in run.wood:
        sure = _meets(before, piece, a, b, min(a[2], b[2]), radius, boxed=False)
        if sure is not None:
            run.tell("rest", line, sure=sure, what=piece.name)


def _place(run: Run, step: Step, clear: float) -> None:
    """Judge a move by where it is: known, inside the travel, above the spoilboard's depth."""
    a, b = step.start, step.end
    if any(map(math.isnan, a)):
        named = [k for k in (0, 1) if not math.isnan(b[k]) and b[k] != a[k]]
        if math.isnan(a[2]) and (named or math.isnan(b[2])):
            run.tell("start", step.line, sure=True)
        else:
            lowest = b[2] if math.isnan(a[2]) else min(a[2], b[2])
            if lowest < clear + CLEAR:
                run.tell("start", step.line, sure=lowest < clear - CLEAR)
    nose = run.tool.assembly[-1].bottom
    travel = run.machine.travel
    for k, (low, high) in enumerate((travel.x, travel.y, travel.z)):
        at = b[k] + run.setup.work_origin[k] + (nose if k == 2 else 0.0)
        out = max(low - at, at - high)
        if out > NOTHING / 2:
            run.tell("travel", step.line, sure=out > CLEAR)
    out = -run.machine.spoilboard - (b[2] + run.setup.work_origin[2])
    if out > NOTHING / 2:
        run.tell("travel", step.line, sure=out > CLEAR)


def _wood_met(run: Run, step: Step, *, judged: bool) -> None:
    a, b = step.start, step.end
    if any(map(math.isnan, (*a, *b))):
        return
    tool, line = run.tool, step.line
    radius = tool.assembly[0].diameter / 2
    rising = a[:2] == b[:2] and b[2] >= a[2]
    turning = step.rpm > 0
    boxed = step.rapid and run.machine.rapids == "independent"
    tip = min(a[2], b[2])
    if judged and not rising:
        for piece in (*run.wood, *run.other):
            _bodies(run, step, piece, tip, boxed=boxed)
            if tip >= piece.top:
                continue
            if step.rapid:
                sure = _meets(run, piece, a, b, tip, radius, boxed=boxed)
                if sure is not None:
                    run.tell("contact", line, sure=sure, what=f"rapid, {piece.name}")
                continue
            if not turning or run.program.purpose == "outline":
                sure = _sloped(run, piece, a, b, radius)
                if sure is not None:
                    run.tell("contact", line, sure=sure, what=f"fed, {piece.name}")
            if a[2] - b[2] > 1e-4 and piece.name != BESIDE:
                _plunge(run, step, piece, radius)
    if not step.rapid and turning:
        if judged:
            _thick(run, step, radius)
        for p, q in slices(a, b):
            kerf = Kerf(
                (p[0], p[1]),
                (q[0], q[1]),
                radius,
                min(p[2], q[2]),
                max(p[2], q[2]),
                run.program.file,
                line,
            )
            run.kerfs.append(kerf)


def _bodies(run: Run, step: Step, piece: Piece, tip: float, *, boxed: bool) -> None:
    """Ask whether something above the cutter meets wood."""
    parts = [(part.diameter / 2, part.bottom, False) for part in run.tool.assembly[1:]]
    nose = run.tool.assembly[-1].bottom
    for thing in run.machine.attached:
        assert thing.moves_with == "z", "a gantry's beam is not judged here"
        if not thing.soft:
            reach = max(math.hypot(x, y) for x, y in thing.outline)
            parts.append((reach, nose + thing.bottom, True))
    for radius, low, rough in parts:
        if tip + low < piece.top:
            sure = _meets(run, piece, step.start, step.end, tip + low, radius, boxed=boxed)
            if sure is not None:
                run.tell("body", step.line, sure=sure and not rough, what=piece.name)


def _plunge(run: Run, step: Step, piece: Piece, radius: float) -> None:
    a, b = step.start, step.end
    level = math.dist(a[:2], b[:2])
    angle = math.degrees(math.atan2(a[2] - b[2], level))
    if level == 0:
        if run.tool.centre_cutting:
            return
        certain = True
    else:
        if angle < run.tool.ramp + 0.01:  # what writing in thousandths makes of a ramp
            return
        certain = angle > run.tool.ramp + 0.03
    sure = _sloped(run, piece, a, b, radius)
    if sure is not None:
        run.tell("plunge", step.line, sure=sure and certain, what=piece.name)


def _sloped(run: Run, piece: Piece, a: tuple[float, ...], b: tuple[float, ...], radius: float) -> bool | None:
    """Ask whether a fed move meets wood, slice by slice; None: no."""
    found: bool | None = None
    for p, q in slices(a, b):
        drop = abs(p[2] - q[2]) if p[:2] != q[:2] else 0.0
        met = _meets(run, piece, p, q, min(p[2], q[2]), radius, boxed=False, drop=drop)
        if met:
            return True
        found = met if met is not None else found
    return found


def _meets(
    run: Run,
    piece: Piece,
    a: tuple[float, ...],
    b: tuple[float, ...],
    z: float,
    radius: float,
    *,
    boxed: bool,
    drop: float = 0.0,
) -> bool | None:
    """Ask whether a disc on its way from a to b meets standing wood above z: surely, perhaps, or None."""
    if boxed and a[0] != b[0] and a[1] != b[1]:
        low, high = (min(a[0], b[0]), min(a[1], b[1])), (max(a[0], b[0]), max(a[1], b[1]))
        area: BaseGeometry = shapely.box(*low, *high).buffer(radius, quad_segs=QUADRANT)
    else:
        area = swept((a[0], a[1]), (b[0], b[1]), radius)
    possible = _standing(run, area.intersection(piece.above(z - HEIGHT)), z + 1e-4)
    if possible.buffer(-RIM[0]).is_empty:
        return None
    surely = area.intersection(piece.above(z + HEIGHT + drop, surely=True))
    surely = _standing(run, surely, z + HEIGHT + drop)
    return not surely.buffer(-RIM[1]).is_empty


def _standing(run: Run, area: BaseGeometry, z: float) -> BaseGeometry:
    """Take from an area all that has been cleared down to z."""
    if area.is_empty:
        return area
    gone = np.array([kerf.area for kerf in run.kerfs if kerf.high <= z], dtype=np.object_)
    shapely.prepare(area)
    gone = gone[np.asarray(shapely.intersects(area, gone), dtype=np.bool_)] if len(gone) else gone
    return area.difference(shapely.union_all(gone)) if len(gone) else area


def _thick(run: Run, step: Step, radius: float) -> None:
    """Ask whether a cut is thicker than the cutter may take at once, over more than a trim's width."""
    deepest = run.tool.deepest
    tip = min(step.start[2], step.end[2])
    if deepest is None:
        return
    for piece in run.wood:
        if piece.top <= tip + deepest:
            continue
        high = piece.above(tip + deepest + THICK[0])
        if high.is_empty:
            continue
        area = swept(step.start[:2], step.end[:2], radius)
        possible = _standing(run, area.intersection(high), tip + deepest + NOTHING)
        if possible.buffer(-run.tool.trim / 2 - RIM[0]).is_empty:
            continue
        limit = tip + deepest + THICK[1]
        surely = _standing(run, area.intersection(piece.above(limit, surely=True)), limit)
        wide = not surely.buffer(-max(run.tool.trim / 2, WIDE) - RIM[0]).is_empty
        run.tell("thick", step.line, sure=wide)
