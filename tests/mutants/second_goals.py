"""Whether a setup's goals hold, before the second judge. In: wood, goals, kerfs. Out: harms.

Flat goals and walls as polygons, chorded so finely that no chord counts; pieces that come off, kerf by kerf.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mutants.second_harm import FACE, NOTHING, RIM, SLIVER, WALL, Harm, Kerf
from mutants.second_wood import FAR, Piece, outside_of
from stockwright.packet.model import PlaneGoal, WallGoal

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Packet, Setup

    Areas = list[BaseGeometry]

__all__ = ["goals"]


def _within(packet: Packet, name: str) -> float:
    """Give how far a face may end off its goal: half the thickness's tolerance, which two faces share."""
    wanted = packet.wanted.get(name)
    asked = [] if wanted is None else [wanted.tolerance.flatness, (wanted.tolerance.thickness or 0) / 2]
    return min((value for value in asked if value), default=0.15)


def goals(packet: Packet, setup: Setup, wood: list[Piece], kerfs: list[Kerf]) -> list[Harm]:
    """Judge every goal of a setup once its last program has run, and what came loose meanwhile."""
    last = setup.programs[-1].file
    found: list[Harm] = []
    for piece in wood:
        walls = [g for g in setup.goals if isinstance(g, WallGoal) and g.board == piece.name]
        planes = [g for g in setup.goals if isinstance(g, PlaneGoal) and (g.board or "") == piece.name]
        keep = {True: piece.sure, False: piece.may}
        for wall in walls:
            strip = outside_of(wall, FAR, endless=True)
            keep = {sure: area.difference(strip) for sure, area in keep.items()}
        within = _within(packet, piece.name)
        asked: list[BaseGeometry] = []
        for plane in planes:
            region = shapely.Polygon(plane.region)
            asked.append(region)
            found += _plane(piece, plane, region, keep, within, kerfs, last)
        if not piece.name:  # the bed: what is beside the skim, the spoilboard's depth judges
            continue
        found += _elsewhere(piece, asked, keep, within, kerfs)
        for wall in walls:
            found += _wall(piece, wall, keep, kerfs, last)
        found += _loose(setup, piece, kerfs)
    return found + _fence(setup, kerfs, last)


def _fence(setup: Setup, kerfs: list[Kerf], last: str) -> list[Harm]:
    """Judge walls that are no board's: the wood is what stands and may be cut."""
    walls = [g for g in setup.goals if isinstance(g, WallGoal) and g.board is None]
    stands = [shapely.Polygon(s.outline) for s in setup.solids if s.may_cut_to is not None]
    if not walls or not stands:
        return []
    area = shapely.union_all(stands)
    piece = Piece("", area, area, None, np.empty((0, 3, 3)), 0.0, (0.0, 0.0))
    keep = {True: area, False: area}
    for wall in walls:
        strip = outside_of(wall, FAR, endless=True)
        keep = {sure: part.difference(strip) for sure, part in keep.items()}
    return [harm for wall in walls for harm in _wall(piece, wall, keep, kerfs, last)]


def _told(spots: dict[bool, BaseGeometry], file: str, cut: str) -> list[Harm]:
    """Tell of wood left: surely, if what surely stands is no empty place."""
    if spots[False].is_empty:
        return []
    sure = not spots[True].is_empty
    return [Harm("left", file, 0, sure, cut, spots[sure])]


def _plane(
    piece: Piece,
    goal: PlaneGoal,
    region: BaseGeometry,
    keep: dict[bool, BaseGeometry],
    within: float,
    kerfs: list[Kerf],
    last: str,
) -> list[Harm]:
    found: list[Harm] = []
    spots: dict[bool, BaseGeometry] = {}
    # What perhaps stands includes what surely does: where nothing perhaps stands, that is all.
    for sure, limit, width in ((False, within - FACE, RIM[0] / 4), (True, within + FACE, RIM[0])):
        stands = piece.above(goal.z + limit, surely=sure).intersection(region)
        gone = [kerf.fine for kerf in kerfs if kerf.high <= goal.z + limit]
        left = stands.difference(shapely.union_all(gone)) if gone else stands
        spots[sure] = left.buffer(-width)
        if spots[sure].is_empty:
            break
    found += _told(spots, last, goal.cut)
    for kerf in kerfs:
        below = goal.z - within - kerf.low
        if below > -FACE and kerf.area.intersects(keep[False].intersection(region)):
            surely = kerf.area.intersection(keep[True].intersection(region)).buffer(-RIM[1])
            found.append(
                Harm("deep", kerf.file, kerf.line, below > FACE and not surely.is_empty, what=goal.cut)
            )
    return found


def _elsewhere(
    piece: Piece,
    asked: list[BaseGeometry],
    keep: dict[bool, BaseGeometry],
    within: float,
    kerfs: list[Kerf],
) -> list[Harm]:
    """Nothing of the board is cut where no goal asks for it."""
    found = []
    covered = shapely.union_all(asked) if asked else shapely.Polygon()
    rest = keep[False].difference(covered)
    if rest.is_empty:
        return []
    sure_rest = keep[True].difference(covered.buffer(1.0))
    for kerf in kerfs:
        if kerf.low >= piece.top - within + FACE:
            continue
        area = kerf.area
        cut = area.intersection(rest).intersection(piece.above(kerf.low + within - FACE))
        if cut.buffer(-RIM[0]).is_empty:
            continue
        surely = area.intersection(sure_rest).intersection(piece.above(kerf.low + within + FACE, surely=True))
        found.append(
            Harm("deep", kerf.file, kerf.line, not surely.buffer(-RIM[1]).is_empty, what="elsewhere")
        )
    return found


def _wall(
    piece: Piece, goal: WallGoal, keep: dict[bool, BaseGeometry], kerfs: list[Kerf], last: str
) -> list[Harm]:
    found: list[Harm] = []
    strip = outside_of(goal, goal.clear, endless=False)
    through = [kerf.fine for kerf in kerfs if kerf.high <= goal.z[0] + NOTHING]
    gone = shapely.union_all(through) if through else shapely.Polygon()
    spots: dict[bool, BaseGeometry] = {}
    for sure, outline, half in ((False, piece.may, WALL[0]), (True, piece.sure, WALL[1])):
        spots[sure] = outline.intersection(strip).difference(gone).buffer(-half)
        if spots[sure].is_empty:
            break
    found += _told(spots, last, goal.cut)
    beside = {
        sure: area.intersection(outside_of(goal, FAR, endless=False, inside=True))
        for sure, area in keep.items()
    }
    for kerf in kerfs:
        if kerf.low >= goal.z[1] - 0.005:
            continue
        axis = shapely.Point(kerf.a) if kerf.a == kerf.b else shapely.LineString([kerf.a, kerf.b])
        into = {
            sure: kerf.radius - float(axis.distance(area)) if not area.is_empty else -1.0
            for sure, area in beside.items()
        }
        if into[False] > 2 * WALL[0]:
            sure = into[True] > 2 * WALL[1] and kerf.low < goal.z[1] - 0.02
            found.append(Harm("deep", kerf.file, kerf.line, sure, what=goal.cut))
    return found


def _loose(setup: Setup, piece: Piece, kerfs: list[Kerf]) -> list[Harm]:
    """Take away what is cut right through, move by move, and see what no longer hangs together."""
    found: list[Harm] = []
    known: Areas = []
    whole = piece.may
    for kerf in kerfs:
        area = kerf.area if kerf.high <= piece.low[0] + NOTHING else None
        if area is None or not area.intersects(whole):
            continue
        whole = whole.difference(area)
        parts = [p for p in shapely.get_parts(whole) if not p.buffer(-SLIVER[0]).is_empty]
        main = max(parts, key=lambda p: p.area, default=None)
        for part in parts:
            if part is main or any(part.intersects(old) for old in known):
                continue
            known.append(part)
            held = any(
                offcut.board == piece.name
                and isinstance(offcut.held_by, list)
                and shapely.Polygon(offcut.outline).buffer(1.0).covers(part)
                for offcut in setup.offcuts
            )
            if not held:
                sure = not part.buffer(-SLIVER[1]).is_empty
                found.append(Harm("loose", kerf.file, kerf.line, sure))
    return found
