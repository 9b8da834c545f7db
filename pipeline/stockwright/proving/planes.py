"""Flat goals: whether a face ends at its height. In: goals, the cut board, the setup's trail. Out: reasons.

Promise: wood left standing is judged on `hi`, wood missing or cut too deep on `lo`; a cell at a rim never
excuses wood left standing, and is never blamed for a cut that is too deep.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.packet.model import PlaneGoal, Reason
from stockwright.proving.contact import TOUCH
from stockwright.proving.outlines import area_of
from stockwright.proving.run import HAIR
from stockwright.proving.sweep import polygon_cells
from stockwright.proving.walls import swept_area
from stockwright.proving.wood import rings

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Setup, Wanted
    from stockwright.proving.contact import Lying, Trail

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["KEEP_OFF", "SLIVER", "FlatJudge", "tolerance"]

DEFAULT_TOLERANCE = 0.15  # mm; common practice, no source
SLIVER = 0.6  # mm: outlines of one board drawn twice may differ by the lean of its rough sides
MOST_SEAM = 20_000  # cells looked at one by one: more is no seam
THIN = 0.005  # mm, half the width of what counts as left standing: as for walls
NEAR = 50.0  # mm: parts of a seam that share a square of this size are looked at together
KEEP_OFF = 0.05  # mm a cell must lie inside an outline to be blamed for what was cut outside it


def tolerance(wanted: Wanted | None) -> float:
    """Give how far a face may stand off its goal: half the thickness tolerance, and no more than flatness."""
    if wanted is None:
        return DEFAULT_TOLERANCE
    asked = [value for value in (wanted.tolerance.flatness,) if value]
    if wanted.tolerance.thickness:
        asked.append(wanted.tolerance.thickness / 2)
    return min(asked, default=DEFAULT_TOLERANCE)


def _reaching(a: Floats, b: Floats, radius: Floats, left: BaseGeometry) -> Mask:
    """Which moves a-b (n, 2) come near a part of `left`, a part at a time: areas of all would be costly."""
    low, high = np.minimum(a, b) - radius[:, None], np.maximum(a, b) + radius[:, None]
    found: Mask = np.zeros(len(a), dtype=np.bool_)
    boxes = np.unique(np.floor(np.asarray(shapely.bounds(shapely.get_parts(left))) / NEAR), axis=0) * NEAR
    for x0, y0, x1, y1 in boxes.tolist():
        found |= (low[:, 0] <= x1 + NEAR) & (high[:, 0] >= x0) & (low[:, 1] <= y1 + NEAR) & (high[:, 1] >= y0)
    return found


@frozen(eq=False)
class FlatJudge:
    """One board at the end of a setup. `before`: its `lo` on the upper side when the setup began.

    `kept` is the outline (work frame) that the setup's walls leave.
    """

    setup: Setup
    lying: Lying
    before: Floats
    kept: BaseGeometry
    trail: Trail
    tolerance: float

    def judge(self) -> list[Reason]:
        """Apply the rules spots-left and cut-too-deep to every flat goal, then to all else."""
        found: list[Reason] = []
        regions: list[BaseGeometry] = []
        for goal in self.setup.goals:
            if isinstance(goal, PlaneGoal) and goal.board == self.lying.wood.name:
                regions.append(area_of(goal.region))
                found += self.goal(goal, regions[-1])
        return found + self.elsewhere(regions)

    def goal(self, goal: PlaneGoal, region: BaseGeometry) -> list[Reason]:
        """Judge one goal: wood above it, wood missing below it, wood cut below it."""
        wood, lay = self.lying.wood, self.lying.lay
        x, y = wood.grid.centres()
        plane = np.asarray(lay.height(goal.z, x[None, :], y[:, None]))
        may = self.lying.may
        if wood.name is None:
            judged, _ = self._cells(region)  # the bed's own rim is where the skim was told to end
        else:
            _, judged = self._cells(may)
            rest = may.difference(region)
            beyond = rest.buffer(-SLIVER)
            if not beyond.is_empty:
                # Sharp corners come back sharp: a cell that only a corner's tip reaches is beyond, too.
                whole = beyond.buffer(SLIVER, join_style="mitre").intersection(rest)
                judged &= ~self._cells(whole)[1]
        self._seams(goal.z, judged)
        found: list[Reason] = []
        over = wood.hi[lay.side] - plane
        if self._beyond(over, judged := judged & wood.stands()):
            found.append(self._left(np.where(judged, over, -np.inf), goal))
        del over  # a field of a wide board is 24 MB, and here three of them would stand at once
        firm = self._cells(self.kept.intersection(region).buffer(-KEEP_OFF))[0]
        # A slanting rim drawn twice may cross a cell's corner once: of such a cell nothing is known.
        firm &= np.isfinite(self.before)
        lacking = firm & (plane - self.before > self.tolerance)
        under = plane - wood.lo[lay.side]
        if self._beyond(under, lacking):
            found.append(self._missing(np.where(lacking, under, -np.inf), goal))
        if self._beyond(under, firm := firm & ~lacking):
            found.append(self._deep(np.where(firm, under, -np.inf), f"the {goal.cut} goal at z {goal.z:g}"))
        return found

    def _beyond(self, field: Floats, where: Mask) -> bool:
        return bool(np.max(field, where=where, initial=-np.inf) > self.tolerance)

    def elsewhere(self, regions: list[BaseGeometry]) -> list[Reason]:
        """Judge the face outside every flat goal: nothing of the kept board is cut there."""
        wood, lay = self.lying.wood, self.lying.lay
        if wood.name is None:
            return []
        rest: BaseGeometry = self.kept.buffer(-KEEP_OFF)
        if regions:
            rest = rest.difference(shapely.union_all(regions).buffer(SLIVER, join_style="mitre"))
        if rest.is_empty:
            return []
        firm = self._cells(rest)[0]
        with np.errstate(invalid="ignore"):
            fallen = self.before - wood.lo[lay.side]
        firm &= np.isfinite(fallen)
        if not self._beyond(fallen, firm):
            return []
        deep = np.where(firm, fallen, -np.inf)
        return [self._deep(deep, "wood that no goal of this setup asks to be cut")]

    def _seams(self, z: float, judged: Mask) -> None:
        """Lower cells that several moves clear together: there, plane geometry decides, not cells.

        A cell across the seam of two passes lies wholly in neither, though both together cover it.
        """
        wood, lay = self.lying.wood, self.lying.lay
        x, y = wood.grid.centres()
        a, b, radius, _, high = self.trail.columns()
        for level in (z + HAIR, z + self.tolerance):
            field = wood.hi[lay.side]
            flat = np.asarray(lay.height(level, x[None, :], y[:, None])) + lay.wobble
            row, column = np.nonzero(judged & wood.stands() & (field > flat + HAIR))
            points = wood.to_work_xy(lay, x[column], y[row], level)
            alone = np.asarray(shapely.contains_xy(self.lying.may, points), dtype=np.bool_)
            alone &= ~self.trail.swept(points, level - TOUCH)
            row, column = row[~alone], column[~alone]
            if len(row) == 0 or len(row) > MOST_SEAM:
                continue
            half = wood.grid.cell / 2
            corners = [
                wood.to_work_xy(lay, x[column] + i * half, y[row] + j * half, level)
                for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
            ]
            boxes = np.asarray(shapely.polygons(np.stack(corners, axis=1)), dtype=np.object_)
            left = shapely.union_all(boxes).intersection(self.lying.may)
            deep = np.flatnonzero(high <= level)
            deep = deep[_reaching(a[deep], b[deep], radius[deep], left)]
            areas = swept_area(a[deep], b[deep], radius[deep])
            areas = areas[np.asarray(shapely.intersects(areas, left))]
            left = left.difference(shapely.union_all(areas))
            parts = [part for part in shapely.get_parts(left) if not part.buffer(-THIN).is_empty]
            clear = ~np.asarray(shapely.intersects(boxes, shapely.union_all(parts)), dtype=np.bool_)
            row, column = row[clear], column[clear]
            field[row, column] = np.broadcast_to(flat, field.shape)[row, column]

    def _cells(self, outline: BaseGeometry) -> tuple[Mask, Mask]:
        """Give the cells inside and touched by an outline of the work frame."""
        wood, lay = self.lying.wood, self.lying.lay
        z = float(np.asarray(lay.work_z(0.0, 0.0, 0.0)))
        moved = [self._to_grid(ring, z) for ring in rings(outline)]
        return polygon_cells(wood.grid, moved)

    def _to_grid(self, points: Floats, z: float) -> Floats:
        m = self.lying.lay.to_grid
        found: Floats = points @ m[:2, :2].T + (m[:2, 2] * z + m[:2, 3])
        return found

    def _place(self, worst: Floats, z: float) -> tuple[float, float, float]:
        wood = self.lying.wood
        row, column = np.unravel_index(int(worst.argmax()), worst.shape)
        x, y = wood.grid.centres()
        at = wood.to_work_xy(self.lying.lay, x[column], y[row], z)
        return (round(float(at[0]), 1) + 0.0, round(float(at[1]), 1) + 0.0, round(z, 3) + 0.0)

    def _reason(self, rule: str, worst: Floats, z: float, below: float, message: str) -> Reason:
        at = self._place(worst, z)
        said = self.trail.nearest(at[:2], below) or self.trail.nearest(at[:2], np.inf) or self.trail.last
        last = self.setup.programs[-1].file if self.setup.programs else None
        return Reason(
            rule=rule,
            setup=self.setup.index,
            program=said[0] if said else last,
            line=said[1] if said else None,
            at=at,
            measured=round(float(worst.max()), 3),
            limit=self.tolerance,
            message=message,
        )

    def _area(self, worst: Floats) -> float:
        return float((worst > self.tolerance).sum()) * self.lying.wood.grid.cell**2

    def _left(self, over: Floats, goal: PlaneGoal) -> Reason:
        text = (
            f"wood may be left up to {over.max():.3f} mm above the {goal.cut} goal, "
            f"over {self._area(over):.0f} mm2; the line is the nearest pass"
        )
        return self._reason("spots-left", over, goal.z, goal.z + self.tolerance, text)

    def _missing(self, missing: Floats, goal: PlaneGoal) -> Reason:
        text = (
            f"the wood is up to {missing.max():.3f} mm too low for the {goal.cut} goal before any cut, "
            f"over {self._area(missing):.0f} mm2: no pass cleans it; lower the goal or seat the board anew"
        )
        return self._reason("spots-left", missing, goal.z, np.inf, text)

    def _deep(self, deep: Floats, what: str) -> Reason:
        z = self.trail_z(deep)
        text = f"the cut goes up to {deep.max():.3f} mm below {what}, over {self._area(deep):.0f} mm2"
        asked = z + float(deep.max()) - self.tolerance  # a pass that stays above it, however near, is not it
        return self._reason("cut-too-deep", deep, z, asked, text)

    def trail_z(self, worst: Floats) -> float:
        """Give the work z of the surely standing wood at the worst cell (the tip's, if all is gone)."""
        wood, lay = self.lying.wood, self.lying.lay
        row, column = np.unravel_index(int(worst.argmax()), worst.shape)
        x, y = wood.grid.centres()
        return float(np.asarray(lay.work_z(wood.lo[lay.side][row, column], x[column], y[row])))
