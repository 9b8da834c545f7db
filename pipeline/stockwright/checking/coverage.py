"""Whether everything that should be cut is cut, and nothing else.

In: a situation, not changed. Out: findings.
"""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.checking.swept import (
    Miss,
    deepest_lines,
    half_plane,
    level_lines,
    lines_of,
    miss_of,
    strip,
    swept,
)
from stockwright.checking.wording import shown, up
from stockwright.findings import Finding
from stockwright.planning.setup import BedCut, EdgeCut, FaceCut, WallGoal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.checking.situation import Run, Situation
    from stockwright.planning.setup import Setup

    Floats = NDArray[np.float64]

__all__ = ["edge_not_cleared", "face_not_covered", "loose_piece", "wall_cut_into", "wide_waste"]

STILL = 1e-9  # mm; a move down by less is level
WIDE = 3  # cutter diameters; common practice, no source
OTHER = {"left": "right", "right": "left"}


def face_not_covered(situation: Situation) -> tuple[Finding, ...]:
    """Some of a face or of the bed is passed over by no move at its final height.

    What the cutter misses stays standing as a ridge or an island, and the board rocks on it when it is
    turned over: every later cut is then wrong. The flat of the cutter is counted, its diameter less both
    corner radii, and its round ends as chords inside the circle, so nothing is called cut that is not. Cure:
    a smaller stepover, or passes that run further.
    """
    found = []
    for setup, cut in situation.cuts():
        if not isinstance(cut, FaceCut | BedCut):
            continue
        low, high = cut.z - situation.limits.level, cut.z + situation.limits.level
        chosen = partial(level_lines, low=low, high=high)
        runs = situation.runs_of(setup)
        area = swept(runs, chosen, lambda tool: tool.flat)
        region = shapely.Polygon(cut.region)
        left = region.difference(area)
        if left.area <= situation.limits.left:
            continue
        miss = miss_of(left, area, lines_of(runs, chosen), cut.tool.flat)
        run = situation.run_for(setup, cut.tool)
        found.append(
            Finding(
                rule="face-not-covered",
                level="refuse",
                message=f"{shown(left.area)} mm2 of {cut.name} are not cut at {shown(cut.z)} mm "
                f"({100 * left.area / region.area:.3f} % of it)",
                remedy=f"let the passes run {up(miss.further, 0.01)} mm further"
                if miss.further
                else f"make the stepover {up(2 * miss.nearer, 0.01)} mm smaller",
                measured=float(left.area),
                limit=situation.limits.left,
                setup=setup.index,
                program=run.program.stem if run else None,
                at=(*miss.at, cut.z),
            )
        )
    return tuple(found)


def edge_not_cleared(situation: Situation) -> tuple[Finding, ...]:
    """Wood is left beside a wall somewhere at full depth.

    A step or a skin at the foot of an edge keeps the board off the fence, or off its neighbour in a joint,
    and throws the next width out. Judged along the whole wall and as far out as the setup wants it clear.
    Cure: let the full-depth pass run further past the wall's ends, or further out.
    """
    found = []
    limits = situation.limits
    for setup, cut in situation.cuts():
        if not isinstance(cut, EdgeCut):
            continue
        area, lines = _full_depth(situation, setup, cut)
        beside = strip(cut.line, OTHER[cut.inside], limits.level, max(limits.level, _clear(setup, cut)))
        wood = [shapely.Polygon(each) for each in cut.waste]
        if cut.board is not None:
            wood += [shapely.Polygon(setup.outline_of(board)) for board in (cut.board, *cut.also)]
        beyond = beside.union(_hollow(cut, limits.level))
        left = _pieces(shapely.union_all(wood).intersection(beyond).difference(area), limits.film)
        if left.is_empty:
            continue
        miss = miss_of(left, area, lines, cut.tool.radius)
        run = situation.run_for(setup, cut.tool)
        found.append(
            Finding(
                rule="edge-not-cleared",
                level="refuse",
                message=f"{shown(left.area)} mm2 of wood are left beside {cut.name} at "
                f"{shown(cut.bottom)} mm",
                remedy=_run_on(miss),
                measured=float(left.area),
                limit=limits.left,
                setup=setup.index,
                program=run.program.stem if run else None,
                at=(*miss.at, cut.bottom),
            )
        )
    return tuple(found)


def wall_cut_into(situation: Situation) -> tuple[Finding, ...]:
    """The cutter comes nearer than its radius to wood that is to stay.

    A gouge in a finished wall cannot be put back: the piece is too narrow there, or the edge must be cut
    anew all along. What stays is the board inside all walls of the setup, below its lowest finished face.
    Cure: keep the cutter's centre its radius away from the wall.
    """
    found = []
    for setup in situation.setups:
        edges = [cut for cut in setup.cuts if isinstance(cut, EdgeCut)]
        if not edges:
            continue
        kept = _kept(setup, edges)
        if kept.is_empty:
            continue
        shapely.prepare(kept)
        top = min([cut.z for cut in setup.cuts if isinstance(cut, FaceCut)] + [cut.ceiling for cut in edges])
        for run in situation.runs_of(setup):
            hit = _nearest(run, kept, top - situation.limits.film)
            short = run.program.tool.radius - hit[0]
            if short <= situation.limits.level:
                continue
            distance, at = hit
            wall = min(edges, key=lambda cut: shapely.LineString(cut.line).distance(shapely.Point(at)))
            found.append(
                Finding(
                    rule="wall-cut-into",
                    level="refuse",
                    message=f"the centre of {run.program.tool.name} comes within {shown(distance)} mm of "
                    "wood kept "
                    f"by {wall.name}, its radius is {shown(run.program.tool.radius)} mm",
                    remedy=f"keep the cutter's centre {up(short, 0.01)} mm further out",
                    measured=distance,
                    limit=run.program.tool.radius,
                    setup=setup.index,
                    program=run.program.stem,
                    at=at,
                )
            )
    return tuple(found)


def loose_piece(situation: Situation) -> tuple[Finding, ...]:
    """A piece of waste would come free beside the running cutter.

    Waste that is cut off whole is caught between cutter and board and thrown, or it jams the cutter; nobody
    can hold it. All waste is milled to chips: the full-depth moves must pass over all of it. Cure: let
    the passes begin further out, or saw the waste off first and measure the board anew.
    """
    found = []
    for setup, cut in situation.cuts():
        if not isinstance(cut, EdgeCut):
            continue
        area, lines = _full_depth(situation, setup, cut)
        waste = shapely.union_all([shapely.Polygon(each) for each in cut.waste])
        left = _pieces(waste.difference(area), situation.limits.film)
        # What hangs on the wall itself is a skin, not a piece: half a post's last digit may leave one.
        left = _pieces(
            left.difference(strip(cut.line, OTHER[cut.inside], -1.0, situation.limits.film)),
            situation.limits.film,
        )
        if left.is_empty:
            continue
        miss = miss_of(left, area, lines, cut.tool.radius)
        run = situation.run_for(setup, cut.tool)
        found.append(
            Finding(
                rule="loose-piece",
                level="refuse",
                message=f"{shown(left.area)} mm2 of the waste of {cut.name} are not milled away and would "
                "come free",
                remedy=f"{_run_on(miss)}, or saw this waste off first and measure the board anew",
                measured=float(left.area),
                limit=situation.limits.left,
                setup=setup.index,
                program=run.program.stem if run else None,
                at=(*miss.at, cut.bottom),
            )
        )
    return tuple(found)


def wide_waste(situation: Situation) -> tuple[Finding, ...]:
    """The waste beside an edge is wider than three cutter diameters.

    All of it is milled to chips, which takes time, dulls the cutter and fills the dust bin. Nothing is
    wrong with it. Cure, where time matters: saw the waste off to a few millimetres first, and measure the
    board anew.
    """
    found = []
    for setup, cut in situation.cuts():
        if not isinstance(cut, EdgeCut) or not cut.waste or cut.board is None:
            continue
        along = (cut.line[1] - cut.line[0]) / np.hypot(*(cut.line[1] - cut.line[0]))
        out = np.array([-along[1], along[0]]) * (-1 if cut.inside == "left" else 1)
        points = np.vstack(cut.waste)
        away = (points - cut.line[0]) @ out
        width, limit = float(away.max()), WIDE * cut.tool.diameter
        if width <= limit:
            continue
        x, y = points[int(away.argmax())]
        found.append(
            Finding(
                rule="wide-waste",
                level="note",
                message=f"up to {shown(width)} mm beside {cut.name} are milled to chips, more than {WIDE} "
                "times the "
                f"diameter of {cut.tool.name} ({shown(limit)} mm)",
                remedy=f"saw off at least {up(width - limit)} mm of it first, where time matters, and "
                "measure the "
                "board anew",
                measured=width,
                limit=limit,
                setup=setup.index,
                at=(float(x), float(y), cut.bottom),
            )
        )
    return tuple(found)


def _full_depth(situation: Situation, setup: Setup, cut: EdgeCut) -> tuple[BaseGeometry, Floats]:
    """Return what the setup clears down to the bottom of an edge, and the lines that clear it."""
    chosen = partial(deepest_lines, high=cut.bottom + situation.limits.level)
    runs = situation.runs_of(setup)
    key = (setup.index, cut.bottom)
    if key not in situation.cleared:
        situation.cleared[key] = swept(runs, chosen, lambda tool: tool.radius)
    return situation.cleared[key], lines_of(runs, chosen)


def _run_on(miss: Miss) -> str:
    """Say what clears the foot of a wall."""
    if miss.further:
        return f"let the full-depth pass run {up(miss.further, 0.01)} mm further"
    return f"lay a full-depth pass {up(miss.nearer, 0.01)} mm nearer to this place"


def _clear(setup: Setup, cut: EdgeCut) -> float:
    """Return how far beside a wall the setup wants no wood left, mm."""
    for goal in setup.goals:
        if isinstance(goal, WallGoal) and goal.board == cut.board and goal.cut == cut.name:
            return goal.clear
    return cut.tool.diameter


def _kept(setup: Setup, edges: list[EdgeCut]) -> BaseGeometry:
    """Return the wood that no wall of the setup lets go."""
    if edges[0].board is None:
        return shapely.union_all([strip(c.line, c.inside, 0.0, 4 * c.tool.diameter) for c in edges])
    kept = []
    for lie in setup.lies:
        own: BaseGeometry = shapely.Polygon(setup.outline_of(lie.board))
        for cut in (each for each in edges if each.of(lie.board)):
            own = own.intersection(half_plane(cut.line, cut.inside)).difference(_hollow(cut, 0.0))
        kept.append(own)
    return shapely.union_all(kept)


def _hollow(cut: EdgeCut, off: float) -> BaseGeometry:
    """Return what a hollow wall leaves out inside its line, but for `off` mm at the wall itself."""
    if cut.wall is None:
        return shapely.Polygon()
    whole = shapely.Polygon(cut.wall)
    return whole.difference(shapely.LineString(cut.wall).buffer(off)) if off > 0 else whole


def _nearest(run: Run, kept: BaseGeometry, below: float) -> tuple[float, tuple[float, float, float]]:
    """Return how near a run's centre comes to kept wood with its tip below a height, and where."""
    moves = run.moves
    rows = np.flatnonzero(moves.known & (np.minimum(moves.start[:, 2], moves.end[:, 2]) < below))
    if not len(rows) or run.program.purpose == "probe":
        return np.inf, (0.0, 0.0, 0.0)
    a, b = moves.start[rows], moves.end[rows]
    # Only the part of a slanting move that is below the height counts.
    fall = b[:, 2] - a[:, 2]
    t = (below - a[:, 2]) / np.where(np.abs(fall) < STILL, 1.0, fall)
    start = np.where((a[:, 2] > below)[:, None], a + t[:, None] * (b - a), a)
    end = np.where((b[:, 2] > below)[:, None], a + t[:, None] * (b - a), b)
    lines = np.asarray(shapely.linestrings(np.stack([start[:, :2], end[:, :2]], axis=1)))
    apart = np.asarray(shapely.distance(lines, kept))
    row = int(apart.argmin())
    x, y = shapely.get_coordinates(shapely.shortest_line(lines[row], kept))[0]
    return float(apart[row]), (float(x), float(y), float(min(start[row, 2], end[row, 2])))


def _pieces(shape: BaseGeometry, film: float) -> BaseGeometry:
    """Return the parts of a shape that are thicker than a film."""
    return shapely.union_all([part for part in _polygons(shape) if not part.buffer(-film / 2).is_empty])


def _polygons(shape: BaseGeometry) -> Iterator[shapely.Polygon]:
    return (part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon) and part.area > 0)
