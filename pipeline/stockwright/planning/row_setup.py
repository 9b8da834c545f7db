"""One clamping of several boards side by side.

In: a job, a row of boards. Out: the setup, the wood of each board. Work frame, mm. Promise: every board has
its own place, goals, shims and grips; one pass goes over all of them, and is planned for the highest wood of
any.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding, Refused
from stockwright.job import EdgeStep, FaceStep
from stockwright.planning.bed_marks import over_marks, shims_over_marks
from stockwright.planning.clamping import clear_height
from stockwright.planning.cuts import LEAN, edge_cut, face_cut, ring, wood_over
from stockwright.planning.grips import fence_grips
from stockwright.planning.holding import backings, fence_solids
from stockwright.planning.lay import fence_too_little, finished_at, lowest_face_cut, placed
from stockwright.planning.long_cutters import bending_notes, for_its_cutter
from stockwright.planning.movement import after_rest, rest_moves
from stockwright.planning.on_bolts import clamping_at, onto_bolts
from stockwright.planning.one_pass import lowest_zones, one_height, one_line
from stockwright.planning.row_holding import hold_row, rubs, spread
from stockwright.planning.row_words import row_notes, row_placing, row_title
from stockwright.planning.rows import closed, row_of
from stockwright.planning.setup import EdgeCut, FaceCut, Lies, PlaneGoal, Setup
from stockwright.planning.words import notes_of, seat_check, shims_under, touched_with, zero_how

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.job import Job
    from stockwright.machine import Shop
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.grips import Held
    from stockwright.planning.groups import Group
    from stockwright.planning.rows import Member, Row
    from stockwright.planning.setup import Cut, Goal, Solid
    from stockwright.planning.wood import Place, Wood

__all__ = ["row_setup"]


def row_setup(
    job: Job, members: Sequence[Member], at: int, index: int
) -> tuple[Setup, list[Wood], list[Finding]]:
    """Plan clamping `at` of every member's groups as one, and return it with the wood each hands on.

    Raises `Refused` where the boards make no row.
    """
    shop = job.shop
    groups = [m.groups[at] for m in members]
    moved = [
        0.0 if g.moved is None else rest_moves(job.of(m.board.name), m.board, g.moved)
        for m, g in zip(members, groups, strict=True)
    ]
    members = [
        replace(m, wood=m.wood.after_rest(by)) if by else m for m, by in zip(members, moved, strict=True)
    ]
    row = row_of(members, groups, index, job.wanted.tolerance.squareness)
    if isinstance(row, Finding):
        raise Refused((row,))
    g = replace(groups[0], hold=lowest_zones([each.hold for each in groups]))
    c, places, keep_out = _lying(shop, row, g, index)
    outlines = {m.board.name: m.wood.plan(p) for m, p in zip(members, places, strict=True)}
    whole = row.wood.plan(c.place)
    solids, held, found = _standing(c, row, g, outlines, keep_out)
    top = max(m.wood.highest(p) + m.wood.doubt(p.up) for m, p in zip(members, places, strict=True))
    cuts, goals, woods = _cuts(job, row, places, top, index)
    each = list(zip(members, places, groups, strict=True))
    shims = tuple(s for m, p, _ in each for s in shims_under(m.piece, m.wood, p))
    found.extend(shims_over_marks(shop, shims, index))
    pressure = shop.pressure_in(m.board.species for m in members)
    setup = Setup(
        index=index,
        title=row_title(members, g),
        cuts=cuts,
        lies=tuple(
            Lies(m.board.name, p.up, p.quarter_turns, m.wood.matrix(p), by, ring(outlines[m.board.name]))
            for (m, p, _), by in zip(each, moved, strict=True)
        ),
        work_origin=(*shop.bed.mark, 0.0),
        zero_z="support",
        zero_how=zero_how(members[0].wood, places[0]) + touched_with(shop),
        goals=goals,
        solids=solids,
        shims=shims,
        placing=row_placing(shop, members, places, against_fence=g.against_fence),
        wood_outline=ring(whole),
        wood_top=top,
        clear_z=clear_height(shop, top, solids),
        seat_check=tuple(check for m, p, own in each for check in seat_check(m.wood, p, own)),
        notes=(
            *notes_of(g),
            *row_notes(members, against_fence=g.against_fence, on_shims=bool(shims)),
            *held.notes,
            *over_marks(shop, whole),
            *(after_rest(job, max(moved)) if any(moved) else ()),
            *bending_notes(cuts, tuple(s for s in g.steps if isinstance(s, EdgeStep)), shop.units, pressure),
        ),
        grips=held.grips,
    )
    return setup, woods, found


def _lying(
    shop: Shop, row: Row, g: Group, index: int
) -> tuple[Clamping, tuple[Place, ...], tuple[tuple[float, float], ...]]:
    """Return how the row lies on the bed, where each board lies in it, and what the fence leaves free."""
    members = row.members
    place, keep_out = placed(shop, row.wood, members[0].piece, g)
    c = clamping_at(index, shop, row.wood, members[0].piece, g, place)
    c = onto_bolts(c, members[0].piece, g, g.hold)
    places = row.places(c.place)
    c = replace(
        c,
        face_height=max(m.wood.highest(p) for m, p in zip(members, places, strict=True)),
        cut_low=min(
            lowest_face_cut(m.wood, p, own) for m, p, own in zip(members, places, row.groups, strict=True)
        ),
        finished=closed([finished_at(m.piece, p) for m, p in zip(members, places, strict=True)]),
    )
    return c, places, keep_out


def _standing(
    c: Clamping,
    row: Row,
    g: Group,
    outlines: dict[str, shapely.Polygon],
    keep_out: tuple[tuple[float, float], ...],
) -> tuple[tuple[Solid, ...], Held, list[Finding]]:
    """Return all that stands round the row, how the whole of it holds, and what could not be placed."""
    shop, first = c.shop, row.members[0]
    found: list[Finding] = []
    standing: list[Solid] = []
    if shop.fence is not None:
        standing.extend(fence_solids(shop, shop.fence, keep_out))
        every = fence_solids(shop, shop.fence, ())
        found.extend(fence_too_little(g, standing, row.wood.plan(c.place), c.index, every))
    standing.extend(backings(c, first.groups))
    faced = any(isinstance(s, FaceStep) for s in g.steps)
    held = hold_row(c, g.hold, outlines, tuple(standing), faced=faced)
    found.extend(held.findings)
    grips = held.grips
    if shop.fence is not None and g.against_fence:
        whole = row.wood.plan(c.place)
        against = fence_grips(shop.fence, standing, whole, first.board.name, c.face_height)
        grips = (*spread(against, outlines), *grips)
    grips = (*grips, *rubs(grips, outlines))
    return (*standing, *held.solids), replace(held, grips=grips), found


def _cuts(
    job: Job, row: Row, places: tuple[Place, ...], top: float, index: int
) -> tuple[tuple[Cut, ...], tuple[Goal, ...], list[Wood]]:
    """Return the cuts over all the boards, every board's own goals, and the wood that each then is.

    Raises `Refused` where one pass does not make each of them right.
    """
    pressure = job.shop.pressure_in(m.board.species for m in row.members)
    cuts: list[Cut] = []
    goals: list[Goal] = []
    woods = [m.wood for m in row.members]
    for number, step in enumerate(row.groups[0].steps):
        if isinstance(step, FaceStep):
            steps = [own for g in row.groups if isinstance(own := g.steps[number], FaceStep)]
            cut, planes = _face(job, row, woods, places, steps, index)
            cuts.append(cut)
            goals.extend(planes)
            woods = [w.after_face(own.face, w.cut_to(own)) for w, own in zip(woods, steps, strict=True)]
            top = min(top, cut.z)  # sides cut in the same clamping begin there
            continue
        assert isinstance(step, EdgeStep)
        edges, walls = [], []
        for i, (m, place) in enumerate(zip(row.members, places, strict=True)):
            own = row.groups[i].steps[number]
            assert isinstance(own, EdgeStep)
            edge, wall, kept = edge_cut(m.piece, woods[i], place, own, top)
            woods[i] = woods[i].after_wall(own.side, kept)
            edges.append(edge)
            walls.append(wall)
        one_line(edges, {m.board.name: job.of(m.board.name).wanted.length for m in row.members}, index)
        cuts.append(for_its_cutter(_one_edge(edges), step, job.wanted.tolerance, pressure))
        clear = max(wall.clear for wall in walls)
        goals.extend(replace(wall, clear=clear) for wall in walls)
    return tuple(cuts), tuple(goals), woods


def _face(
    job: Job,
    row: Row,
    woods: list[Wood],
    places: tuple[Place, ...],
    steps: Sequence[FaceStep],
    index: int,
) -> tuple[FaceCut, list[PlaneGoal]]:
    """Return one face cut over the whole row, with the highest wood of any board at each place."""
    pressure = job.shop.pressure_in(m.board.species for m in row.members)
    own = [
        face_cut(wood, place, step, job.shop.machine.power, pressure)
        for m, wood, place, step in zip(row.members, woods, places, steps, strict=True)
    ]
    one_height(own, index)
    region = closed([w.plan(p) for w, p in zip(woods, places, strict=True)]).buffer(LEAN, join_style="mitre")
    region = shapely.geometry.polygon.orient(region)
    heights = None
    for wood, place, cut in zip(woods, places, own, strict=True):
        grid_x, grid_y, over = wood_over(wood, place, region)
        gx, gy = np.meshgrid(grid_x, grid_y, indexing="ij")
        spread = max(float(grid_x[1] - grid_x[0]), float(grid_y[1] - grid_y[0]))
        near = shapely.contains_xy(shapely.Polygon(cut.region).buffer(1.5 * spread), gx, gy)
        over = np.where(near, over, -np.inf)
        heights = over if heights is None else np.maximum(heights, over)
    assert heights is not None
    whole = replace(
        own[0],
        region=ring(region),
        grid_x=grid_x,
        grid_y=grid_y,
        wood=heights,
        ceiling=max(cut.ceiling for cut in own),
        also=tuple(cut.board for cut in own[1:]),
    )
    return whole, [PlaneGoal(cut.board, cut.name, cut.z, cut.region) for cut in own]


def _one_edge(edges: list[EdgeCut]) -> EdgeCut:
    """Return one wall along all of them; they stand in line."""
    way = edges[0].line[1] - edges[0].line[0]
    way = way / float(np.hypot(*way))
    ends = np.vstack([edge.line for edge in edges])
    along = ends @ way
    return replace(
        edges[0],
        line=ends[[int(along.argmin()), int(along.argmax())]],
        waste=tuple(waste for edge in edges for waste in edge.waste),
        also=tuple(edge.board for edge in edges[1:] if edge.board is not None),
    )
