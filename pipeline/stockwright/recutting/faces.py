"""A face cut once more. In: the setup's programs as read, what is asked. Out: one program, and the new goals.

Deeper: the passes of the last level again, each step no deeper than the program itself has cut. Proud spots:
only the passes that come over them, at the same height, so that no step is left. Promise: entry from outside
the wood, in the passes' own direction.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.recutting.laying import Lines
from stockwright.recutting.passes import face_runs, greatest_bite, runs
from stockwright.tooling import LEAD
from stockwright.units import format_length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.packet.model import PlaneGoal
    from stockwright.recutting.laying import Source
    from stockwright.recutting.passes import Run
    from stockwright.recutting.room import Room

    Floats = NDArray[np.float64]
    Point = tuple[float, float]

__all__ = ["LastCut", "deeper", "face_of", "proud"]

HAIR = 1e-9  # mm: a float's own error
ASIDE = 0.1  # of the longest pass: a shorter move is a step to the next one; our own choice


@frozen(eq=False)
class LastCut:
    """How a face was cut last: its program, its last level's runs; `top` of the wood before it, work z."""

    source: Source
    runs: tuple[Run, ...]
    top: float

    def lines(self, remarks: tuple[str, ...]) -> Lines:
        """Begin a program that cuts it again."""
        return Lines(self.source, remarks, self.runs[0].first)


@frozen(eq=False)
class _Pass:
    """A straight level pass of a run: its ends (2, 3) and row."""

    run: Run
    points: Floats
    row: int


def face_of(sources: list[Source], goal: PlaneGoal, top: float) -> LastCut | None:
    """Find how a face was cut last; wood stood up to `top` before its setup (work z)."""
    for source in reversed(sources):
        found = face_runs(runs(source.moves), goal, source.tool.radius)
        if found:
            return LastCut(source, found, top)
    return None


def _steps_down(cut: LastCut, depth: float) -> list[float]:
    """Give how far below the last level each step lies, mm: as few as the program's greatest bite allows.

    A run that enters by a slope begins that slope a little over the wood it knew, so there its own last step
    is the greatest.
    """
    source = cut.source
    z = max(run.z for run in cut.runs)
    bite = greatest_bite(runs(source.moves), z, cut.top)
    if any(
        np.any(run.points[:-1, :2] != run.points[1:, :2], axis=1)[: run.entered - run.first].any()
        for run in cut.runs
    ):
        above = [run.z for run in runs(source.moves) if run.z > z + HAIR]
        bite = min(bite, min(above, default=cut.top) - z)
    count = max(1, math.ceil(depth / max(bite, source.post.resolution(source.packet.units)) - HAIR))
    return [depth * step / count for step in range(1, count + 1)]


def deeper(cut: LastCut, depth: float, remarks: tuple[str, ...]) -> Lines:
    """Lay down a whole face `depth` mm lower."""
    _stays_clear(cut, depth)
    lines = cut.lines(remarks)
    for below in _steps_down(cut, depth):
        for run in cut.runs:
            lines.run(run, -below)
    return lines


def proud(
    cut: LastCut, spots: tuple[Point, ...], height: float, room: Room, remarks: tuple[str, ...]
) -> Lines:
    """Lay down the last level's passes over the spots; `height` mm is the most that stands there."""
    radius = cut.source.tool.radius
    lines = cut.lines(remarks)
    steps = _steps_down(cut, height) if height > 0 else [0.0]
    passes = [each for run in cut.runs for each in _passes(run)]
    near = [each for each in passes if any(_touches(each.points, spot, radius) for spot in spots)]
    for below in steps:
        lift = height - below if height > 0 else 0.0
        for each in near:
            own = [spot for spot in spots if _touches(each.points, spot, radius)]
            _over_spots(lines, each, own, lift, room)
    return lines


def _passes(run: Run) -> list[_Pass]:
    """Give the straight level passes of a run, but no steps aside between them."""
    found = []
    for row in range(run.entered, run.last):
        points = np.vstack([run.moves.start[row], run.moves.end[row]])
        if abs(points[1, 2] - run.z) < HAIR:
            found.append((math.dist(points[0, :2], points[1, :2]), points, row))
    longest = max((length for length, _, _ in found), default=0.0)
    # A perimeter's short sides are passes too, so the longest decides.
    return [_Pass(run, points, row) for length, points, row in found if length > ASIDE * longest]


def _touches(points: Floats, spot: Point, radius: float) -> bool:
    """Say whether a pass clears a spot, or runs beside it so near that it blends what lies round it."""
    line = shapely.LineString(points[:, :2])
    return bool(line.distance(shapely.Point(spot)) < 1.5 * radius)


def _over_spots(lines: Lines, each: _Pass, spots: list[Point], lift: float, room: Room) -> None:
    """Lay down one pass from outside the wood to a cutter's width beyond the last of its spots."""
    source, run = lines.source, each.run
    a, b = each.points[0, :2], each.points[1, :2]
    length = math.dist(a, b)
    way = (b - a) / length
    reach = max(float((np.asarray(spot) - a) @ way) for spot in spots) + source.tool.diameter
    end = b if reach >= length else a + way * max(reach, 0.0)
    z = source.snap(run.z + lift)
    entry = room.before(a, b, z)
    if entry is None:  # no room before the pass: the run's own way in, in air until the pass begins
        x, y, start_z = run.points[0].tolist()
        lines.over(x, y, min(source.snap(start_z + lift), lines.clear))
        lines.rows(run.first, each.row, lift)
    else:
        low = source.tool.plunge_feed
        lines.over(source.snap(entry[0]), source.snap(entry[1]), min(source.snap(z + LEAD), lines.clear))
        lines.feed(np.array([[source.snap(entry[0]), source.snap(entry[1]), z]]), low)
    to = [source.snap(float(end[0])), source.snap(float(end[1])), z]
    lines.feed(np.array([to]), float(source.moves.feed[each.row]))
    lines.up()


def _stays_clear(cut: LastCut, depth: float) -> None:
    """Refuse a face so deep that the cutter would come nearer to what stands than the margin."""
    source = cut.source
    margin, radius = source.packet.machine.margin, source.tool.radius
    z = min(run.z for run in cut.runs) - depth
    lines = shapely.union_all([shapely.LineString(run.points[:, :2]) for run in cut.runs])
    found = []
    for solid in source.setup.solids:
        if solid.name not in source.program.standing or solid.may_cut_to is not None:
            continue
        away = shapely.Polygon(solid.outline).distance(lines)
        if away < radius + margin and z < solid.top + margin - HAIR:
            most = z + depth - solid.top - margin
            units = source.packet.units
            found.append(
                Finding(
                    rule="too-deep-for-what-stands",
                    level="refuse",
                    message=f"the cutter would come to z {format_length(z, units)}; the {solid.name} with "
                    f"its margin stands up to {format_length(solid.top + margin, units)}",
                    remedy=f"ask for {format_length(most, units)} or less"
                    if most > 0
                    else "set it lower, and say so in the job, then make the packet anew",
                    measured=round(z, 3),
                    limit=round(solid.top + margin, 3),
                    setup=source.setup.index,
                )
            )
    if found:
        raise Refused(tuple(found))
