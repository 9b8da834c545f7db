"""Wood as points, cut move by move.

In: one setup and its programs. Out: what touched wood and should not have. Promise: no false alarm: wood is
known at points a few millimetres apart, each of them exact, and what has been cut already is gone. A sliver
between the points is left to the proof, which works from the text.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from stockwright.checking.parts import Part, parts_of
from stockwright.checking.paths import Paths, paths_of
from stockwright.frozen import frozen
from stockwright.planning.setup import BedCut, FaceCut, PlaneGoal

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from stockwright.checking.situation import Limits, Run
    from stockwright.machine import Machine
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = ["Eaten", "Touch", "Wood", "touches_in", "wood_of"]

POINTS = 12_000  # of wood in a setup: keeps a whole job under half a second
FINEST = 2.0  # mm between points; a cutter of 3 mm still cannot fall between them
SKIN = 0.01  # mm: a footprint is taken so much smaller, so that grazing is not touching
AIR = -np.inf

Kind = Literal["shank", "nut", "nose", "attached", "plunge", "rapid"]


@frozen
class Touch:
    """The worst contact of one kind in one program: `part` is at `height` where wood stands up to `wood`."""

    kind: Kind
    setup: int
    program: str
    tool: Tool
    part: str
    at: tuple[float, float, float]
    height: float
    wood: float
    slope: float = 0.0

    @property
    def depth(self) -> float:
        """How far the part is below the top of the wood, mm."""
        return self.wood - self.height


@frozen
class Eaten:
    """What one feed move took, as far as the points tell: `width` across its way and `depth`, mm, never less.

    `row` counts the moves that `paths_of` keeps; `left`: most of the wood stood on the left of the way.
    """

    row: int
    width: float
    depth: float
    left: bool


@dataclass(eq=False)
class Wood:
    """Heights of wood, `height` (n, m) at (`x`[i], `y`[j]); minus infinity is air. Changes as it is cut.

    Neighbouring points are `apart` mm; `scrap` (n, m): it is no board's and no bed's.
    """

    x: Floats
    y: Floats
    height: Floats
    scrap: NDArray[np.bool_]
    apart: float

    def window(self, x0: float, y0: float, x1: float, y1: float) -> tuple[slice, slice]:
        """Return the slices of the points within a rectangle."""
        return (
            slice(int(self.x.searchsorted(x0)), int(self.x.searchsorted(x1, side="right"))),
            slice(int(self.y.searchsorted(y0)), int(self.y.searchsorted(y1, side="right"))),
        )


def wood_of(setup: Setup) -> Wood | None:
    """Return the wood a setup begins with: its board or bed as planned, and scrap that may be cut."""
    own = [lie.outline for lie in setup.lies if lie.outline is not None]
    boards = [(outline, setup.wood_top) for outline in own or [setup.wood_outline]]
    boards += [(cut.region, cut.ceiling) for cut in setup.cuts if isinstance(cut, BedCut)]
    boards = [shape for shape in boards if len(shape[0]) >= 3]
    shapes = [*boards, *((s.outline, s.top) for s in setup.solids if s.may_cut_to is not None)]
    shapes = [shape for shape in shapes if len(shape[0]) >= 3]
    if not shapes:
        return None
    corners = np.vstack([outline for outline, _ in shapes])
    low, high = corners.min(axis=0), corners.max(axis=0)
    apart = max(FINEST, math.sqrt(float(np.prod(high - low)) / POINTS))
    x = np.arange(low[0] + apart / 2, high[0], apart)
    y = np.arange(low[1] + apart / 2, high[1], apart)
    height = np.full((len(x), len(y)), AIR)
    for outline, top in shapes:
        inside = _within(outline, x, y)
        height[inside] = np.maximum(height[inside], top)
    for outline, top in setup.lowered:
        inside = _within(outline, x, y)
        height[inside] = np.minimum(height[inside], top)
    known = np.zeros_like(height, dtype=bool)
    for cut in setup.cuts:
        if isinstance(cut, FaceCut):
            here = _within(_reached(setup, cut), x, y) & ~known & np.isfinite(height)
            near = cut.wood[np.ix_(_nearest(cut.grid_x, x), _nearest(cut.grid_y, y))]
            height[here] = np.minimum(height[here], near[here])
            known |= here
    scrap = np.isfinite(height)
    for outline, _ in boards:
        scrap &= ~_within(outline, x, y)
    return Wood(x, y, height, scrap, apart)


def _reached(setup: Setup, cut: FaceCut) -> Floats:
    """Return the outline (n, 2) in which a cut's heights are known: of a part, as far as the rim comes.

    Those beyond its region are no higher than the nearest in it: planning sees to that.
    """
    goals = [g.region for g in setup.goals if isinstance(g, PlaneGoal) and g.cut == cut.name]
    return goals[0] if cut.to_rim and len(goals) == 1 else cut.region


def touches_in(
    setup: Setup,
    runs: tuple[Run, ...],
    machine: Machine,
    limits: Limits,
    eaten: dict[str, list[Eaten]] | None = None,
) -> tuple[Touch, ...]:
    """Return what the programs of a setup, run in order, touch that they should not.

    `eaten`, where given, takes by stem what each program's feed moves take on the way.
    """
    wood = wood_of(setup)
    if wood is None or not np.isfinite(wood.height).any():
        return ()
    found: list[Touch] = []
    for run in runs:
        if run.program.purpose == "probe":
            continue  # touching is its purpose
        worst: dict[Kind, Touch] = {}
        taken = None if eaten is None else eaten.setdefault(run.program.stem, [])
        _cut(run, wood, machine, limits, worst, taken)
        found += worst.values()
    return tuple(found)


def _cut(
    run: Run,
    wood: Wood,
    machine: Machine,
    limits: Limits,
    worst: dict[Kind, Touch],
    eaten: list[Eaten] | None,
) -> None:
    tool, origin = run.program.tool, run.setup.work_origin
    paths = paths_of(run.moves, machine, origin)
    parts = parts_of(tool, machine, origin[2])
    wide = tuple(p for p in parts[1:] if not p.soft and (p.radius > tool.radius or p.outline is not None))
    top = float(wood.height[np.isfinite(wood.height)].max())
    steep = _steep(paths, tool)
    slope = np.degrees(np.arctan2(paths.a[:, 2] - paths.b[:, 2], np.hypot(*(paths.b - paths.a)[:, :2].T)))

    def note(
        kind: Kind, part: str, at: tuple[float, float, float], height: float, top: float, row: int
    ) -> None:
        touch = Touch(kind, run.setup.index, run.program.stem, tool, part, at, height, top, float(slope[row]))
        if kind not in worst or touch.depth > worst[kind].depth:
            worst[kind] = touch

    low = paths.low
    under = {part: np.full(len(low), part.bottom) if part.fixed else low + part.bottom for part in wide}
    reaching = {part: heights < top + limits.wood_gap for part, heights in under.items()}
    some = np.any(list(reaching.values()), axis=0) if wide else np.zeros(len(low), dtype=bool)
    for row in np.flatnonzero((low < top) | some):
        for part in wide:
            if reaching[part][row]:
                _part(paths, int(row), part, float(under[part][row]), wood, limits, note)
        if low[row] >= top:
            continue
        found = _footprint(paths, int(row), tool.radius, wood)
        if found is None:
            continue
        block, deep, tip, where = found
        above = block - tip
        above[~deep] = AIR
        most = float(above.max())
        if most > limits.film:
            at = np.unravel_index(int(above.argmax()), above.shape)
            place = where(at)
            stands = float(block[at])
            height = stands - most
            if paths.rapid[row]:
                note("rapid", "cutter", (*place, height), height, stands, int(row))
            elif steep[row]:
                note("plunge", "cutter", (*place, height), height, stands, int(row))
            if most > tool.cutting_length + limits.film:
                note("shank", "shank", (*place, height), height + tool.cutting_length, stands, int(row))
        if not paths.rapid[row]:
            if eaten is not None and most > limits.film:
                _eat(eaten, paths, int(row), wood, above, limits.film, tool.diameter)
            np.minimum(block, tip, out=block, where=deep)


def _eat(
    eaten: list[Eaten], paths: Paths, row: int, wood: Wood, above: Floats, film: float, widest: float
) -> None:
    """Measure across the way the points of the board that a move takes, a point's distance wider.

    Scrap is fastened by itself, and what is taken of it asks nothing of what holds the board.
    """
    a, b = paths.a[row, :2], paths.b[row, :2]
    i, j = wood.window(*(np.minimum(a, b) - widest / 2), *(np.maximum(a, b) + widest / 2))
    gone = (above > film) & ~wood.scrap[i, j]
    if not gone.any():
        return
    depth = float(above[gone].max())
    at = np.nonzero(gone)
    way = b - a
    far = float(np.hypot(*way))
    if far == 0.0:  # straight down: all of the cutter
        eaten.append(Eaten(row, widest, depth, left=True))
        return
    across = (way[0] * (wood.y[j][at[1]] - a[1]) - way[1] * (wood.x[i][at[0]] - a[0])) / far
    wide = float(across.max() - across.min()) + wood.apart
    eaten.append(Eaten(row, min(wide, widest), depth, left=bool(across.mean() > 0)))


def _steep(paths: Paths, tool: Tool) -> NDArray[np.bool_]:
    """Which feed moves descend more steeply than the cutter may."""
    if tool.centre_cutting:
        return np.zeros(len(paths), dtype=bool)
    fall = paths.a[:, 2] - paths.b[:, 2]
    run = np.hypot(*(paths.b - paths.a)[:, :2].T)
    allowed = run * math.tan(math.radians(tool.ramp))
    steep: NDArray[np.bool_] = ~paths.rapid & (fall > allowed + 1e-3)  # a post's last digit is no slope
    return steep


def _footprint(
    paths: Paths, row: int, radius: float, wood: Wood
) -> tuple[Floats, NDArray[np.bool_], Floats | float, Callable[..., tuple[float, float]]] | None:
    """Return a view of the heights near a move, which of them it passes over, and the tip's height there."""
    a, b = paths.a[row], paths.b[row]
    (x0, x1), (y0, y1) = sorted((a[0], b[0])), sorted((a[1], b[1]))
    i, j = wood.window(x0 - radius, y0 - radius, x1 + radius, y1 + radius)
    block = wood.height[i, j]
    if block.size == 0 or block.max() <= min(a[2], b[2]):
        return None
    x, y = wood.x[i], wood.y[j]
    tip: Floats | float = float(min(a[2], b[2]))
    along = b[:2] - a[:2]
    if paths.boxed[row] or (along == 0).any():
        # A box, or a move along one axis: its nearest point is found axis by axis.
        dx = np.maximum(0.0, np.maximum(x0 - x, x - x1))
        dy = np.maximum(0.0, np.maximum(y0 - y, y - y1))
        apart = (dx * dx)[:, None] + (dy * dy)[None, :]
        sloped = not paths.boxed[row] and a[2] != b[2] and along.any()
    else:
        sloped = a[2] != b[2]
        apart = None
    if apart is None or sloped:
        t = ((x - a[0]) * along[0])[:, None] + ((y - a[1]) * along[1])[None, :]
        t = np.clip(t / float(along @ along), 0.0, 1.0)
        apart = (x[:, None] - a[0] - t * along[0]) ** 2 + (y[None, :] - a[1] - t * along[1]) ** 2
        if sloped:
            tip = a[2] + t * (b[2] - a[2])
    deep = apart <= (radius - SKIN) ** 2
    return block, deep, tip, lambda at: (float(x[at[0]]), float(y[at[1]]))


def _part(
    paths: Paths, row: int, part: Part, bottom: float, wood: Wood, limits: Limits, note: Callable[..., None]
) -> None:
    """Judge a part wider than the cutter against the wood before the move: it gets there first."""
    gap = 0.0 if part.kind == "shank" else limits.wood_gap
    found = _footprint_of(paths, row, part, wood, bottom - gap)
    if found is None:
        return
    stands, place = found
    if stands > bottom - gap + limits.film:
        note(part.kind, part.name, (*place, float(paths.low[row])), bottom, stands, row)


def _footprint_of(
    paths: Paths, row: int, part: Part, wood: Wood, above: float
) -> tuple[float, tuple[float, float]] | None:
    """Return the highest wood under a part, and where; the part is taken at its lowest."""
    a, b = paths.a[row, :2], paths.b[row, :2]
    low, high = np.minimum(a, b) - part.radius, np.maximum(a, b) + part.radius
    i, j = wood.window(low[0], low[1], high[0], high[1])
    block = wood.height[i, j]
    if block.size == 0 or block.max() <= above:
        return None
    x, y = wood.x[i], wood.y[j]
    if part.outline is not None:
        swept = shapely.MultiPoint(np.vstack([part.outline + a, part.outline + b])).convex_hull
        under = shapely.contains_xy(swept.buffer(-SKIN), *np.meshgrid(x, y, indexing="ij"))
    else:
        path = shapely.box(*np.minimum(a, b), *np.maximum(a, b)) if paths.boxed[row] else None
        shape = path if path is not None and path.area > 0 else shapely.LineString([a, b])
        points = shapely.points(*np.meshgrid(x, y, indexing="ij"))
        under = np.asarray(shapely.distance(points, shape)) < part.radius - SKIN
    heights = np.where(under, block, AIR)
    at = np.unravel_index(int(heights.argmax()), heights.shape)
    return float(heights[at]), (float(x[at[0]]), float(y[at[1]]))


def _within(outline: Floats, x: Floats, y: Floats) -> NDArray[np.bool_]:
    inside = np.zeros((len(x), len(y)), dtype=np.bool_)
    (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
    i, j = slice(*x.searchsorted((x0, x1))), slice(*y.searchsorted((y0, y1)))  # most outlines are small
    shape = shapely.Polygon(outline)
    shapely.prepare(shape)
    inside[i, j] = shapely.contains_xy(shape, *np.meshgrid(x[i], y[j], indexing="ij"))
    return inside


def _nearest(grid: Floats, at: Floats) -> NDArray[np.intp]:
    middle = (grid[1:] + grid[:-1]) / 2
    return np.searchsorted(middle, at)
