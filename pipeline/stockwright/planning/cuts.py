"""The cuts of one clamping. In: the wood as it lies, a bound step. Out: cuts and their goals.

Work frame, mm. Promise: a cut carries the wood that stands in its way, uncertainty included, and every cut
has the goal by which the proof will judge it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.forces.mechanics import FACTOR, PRESSURE, depth_for_power
from stockwright.planning.clamping import FAR
from stockwright.planning.creases import upper_heights
from stockwright.planning.hollow import hollow_wall
from stockwright.planning.lay import wall_at
from stockwright.planning.setup import EdgeCut, FaceCut, WallGoal

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.job import EdgeStep, FaceStep, Side
    from stockwright.planning.piece import Piece
    from stockwright.planning.wood import Place, Wood

    Floats = NDArray[np.float64]

__all__ = ["LEAN", "edge_cut", "face_cut", "ring", "wood_over"]

GRID = 10.0  # mm between the heights handed to the cut stage
SHALLOWEST = 0.5  # mm: a spindle too weak for so much is refused, not spared; common practice, no source
ASIDE = 1.0  # mm a board may lie off its place: it is set with a tape; common practice, no source
LEAN = 0.5  # mm a region is grown by: the board's sides lean by height times tilt, less than this at 1 in 100
# mm: how far from a rough edge a wall's goal ends: the board's sides lean; common practice, no source
SHY = 0.5
SAME = 0.05  # mm that wood may end short of the piece and still reach it, as the proof of walls takes it


def _aside(heights: Floats, grid_x: Floats, grid_y: Floats, wood: Wood, place: Place) -> float:
    """Return how much higher the wood may be anywhere, lying `ASIDE` off its place along both axes, mm.

    Between two stations a few millimetres apart the readings may be steeper than the grid shows: a step of
    glued boards, or doubtful readings. So the stations themselves are asked too.
    """
    steepest = [
        float(np.abs(np.diff(heights, axis=axis)).max()) / float(grid[1] - grid[0])
        for axis, grid in ((0, grid_x), (1, grid_y))
    ]
    if place.up not in wood.faced:
        board = wood.board
        read = board.top if place.up == "A" else board.bottom
        tilt = float(np.abs(wood.matrix(place)[2, :2]).sum())
        between = [
            float(np.abs(np.diff(read, axis=axis) / np.expand_dims(np.diff(at), 1 - axis)).max(initial=0.0))
            for axis, at in ((0, board.x), (1, board.y))
        ]
        # A board's axes lie along the bed's but for its small swivel: the sum of both hardly changes.
        return max(sum(steepest), sum(between) + tilt) * ASIDE
    return sum(steepest) * ASIDE


def face_cut(wood: Wood, place: Place, step: FaceStep, power: float, pressure: float = PRESSURE) -> FaceCut:
    """Return the cut that flattens a face of `wood` lying at `place`; its region covers the whole board.

    A level is as deep as the step allows, but no deeper than a spindle of `power` W bears at the cutting
    `pressure` of the wood, N/mm2.
    """
    outline = wood.plan(place)
    region = shapely.geometry.polygon.orient(outline.buffer(LEAN, join_style="mitre"))
    grid_x, grid_y, heights = wood_over(wood, place, region)
    z = float(place.matrix()[2] @ np.array([0.0, 0.0, wood.cut_to(step), 1.0]))
    borne = depth_for_power(power, FACTOR, pressure, step.stepover, step.tool.feed)
    return FaceCut(
        board=wood.board.name,
        name="face A" if step.face == "A" else "face B",
        tool=step.tool,
        z=z,
        region=ring(region),
        grid_x=grid_x,
        grid_y=grid_y,
        wood=heights,
        ceiling=max(wood.highest(place) + wood.doubt(place.up), z),
        passes=step.passes,
        direction=step.direction,
        perimeter=step.perimeter,
        stepover=step.stepover,
        stepdown=min(step.stepdown, max(borne, SHALLOWEST)),
        light=step.light,
    )


def wood_over(wood: Wood, place: Place, region: shapely.Polygon) -> tuple[Floats, Floats, Floats]:
    """Return an even grid over a region, x (n,) and y (m,), and how high wood may stand there (n, m)."""
    x0, y0, x1, y1 = region.bounds
    grid_x = np.linspace(x0, x1, max(2, int(np.ceil((x1 - x0) / GRID)) + 1))
    grid_y = np.linspace(y0, y1, max(2, int(np.ceil((y1 - y0) / GRID)) + 1))
    heights = upper_heights(wood, place, grid_x, grid_y)
    heights += wood.doubt(place.up) + _aside(heights, grid_x, grid_y, wood, place)
    gx, gy = np.meshgrid(grid_x, grid_y, indexing="ij")
    near = shapely.contains_xy(region.buffer(1.5 * GRID), gx, gy)
    return grid_x, grid_y, np.where(near, heights, -np.inf)


def edge_cut(
    piece: Piece, wood: Wood, place: Place, step: EdgeStep, ceiling: float
) -> tuple[EdgeCut, WallGoal, shapely.Polygon]:
    """Return the cut of one side, its goal, and the half plane that stays (piece frame)."""
    length, width = piece.placement.length, piece.placement.width
    kept = {
        "edge-1": shapely.box(-FAR, 0.0, FAR, FAR),
        "edge-2": shapely.box(-FAR, -FAR, FAR, width),
        "end-1": shapely.box(0.0, -FAR, FAR, FAR),
        "end-2": shapely.box(-FAR, -FAR, length, FAR),
    }[step.side]
    wall = wall_at(piece, place, step.side)
    nx, ny = place.looks(step.side)
    outline = wood.plan(place)
    waste = outline.difference(place.plan(kept))
    polygons = tuple(
        ring(p) for p in shapely.get_parts(waste) if isinstance(p, shapely.Polygon) and p.area > 0
    )
    x0, y0, x1, y1 = outline.bounds
    across = abs(nx) > 0.5
    # The wood that stays is on the left of the line, whichever way the side looks.
    d = np.array([-ny, nx])
    ends = np.array([[wall, y0], [wall, y1]]) if across else np.array([[x0, wall], [x1, wall]])
    line = ends[np.argsort(ends @ d)]
    corners = np.asarray(place.plan(_held_to(piece, wood, step.side)).bounds)
    span = (
        np.array([[wall, corners[1]], [wall, corners[3]]])
        if across
        else (np.array([[corners[0], wall], [corners[2], wall]]))
    )
    path = span[np.argsort(span @ d)]
    hollow = hollow_wall(path, "left", step.hollow) if step.hollow else None
    n = np.array([nx, ny])
    widest = max((float(((p - line[0]) @ n).max()) for p in polygons), default=0.0)
    bottom = -step.below
    cut = EdgeCut(
        board=wood.board.name,
        name=step.side,
        side=step.side,
        tool=step.tool,
        line=line,
        inside="left",
        waste=polygons,
        ceiling=ceiling,
        bottom=bottom,
        stepover=step.stepover,
        stepdown=step.stepdown,
        light=step.light,
        wall=hollow,
    )
    goal = WallGoal(
        wood.board.name,
        step.side,
        path if hollow is None else hollow,
        "left",
        (0.0, ceiling),
        float(np.ceil(widest + step.tool.diameter)),
    )
    return cut, goal, kept


def _held_to(piece: Piece, wood: Wood, side: Side) -> shapely.Polygon:
    """Return the box whose side a wall's goal spans: the piece's, as far as there is wood on the wall.

    Where an edge stays as it grew, wood ends there sooner than the piece is wide.
    """
    length, width = piece.placement.length, piece.placement.width
    x = {"end-1": 0.0, "end-2": length}.get(side)
    if x is None:
        return shapely.box(0.0, 0.0, length, width)
    on_wall = shapely.LineString([(x, 0.0), (x, width)]).intersection(wood.outline)
    if on_wall.is_empty:
        return shapely.box(0.0, 0.0, length, width)
    _, low, _, high = on_wall.bounds
    short = SHY + wood.board.uncertainty
    low = low + short if low > SAME else 0.0
    high = high - short if high < width - SAME else width
    return shapely.box(0.0, low, length, high) if low < high else shapely.box(0.0, 0.0, length, width)


def ring(shape: shapely.Polygon) -> Floats:
    """Return the outer corners (n, 2), not closed."""
    return np.asarray(shape.exterior.coords, dtype=float)[:-1].copy()
