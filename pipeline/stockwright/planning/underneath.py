"""What holds a board from underneath: vacuum and tape. In: a clamping, a zone. Out: grips, and why this one.

Work frame, mm. Promise: only what is sealed or stuck wholly under the board counts, away from walls that are
cut through it and from marks of earlier cuts; tape is never used on a rough face.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.hold_downs import Tape, Vacuum
from stockwright.planning.bed_marks import marks_of
from stockwright.planning.clamping import refusal
from stockwright.planning.grips import drawn_by, stuck_by
from stockwright.planning.setup import Grip
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from stockwright.job import Zone
    from stockwright.machine import Shop
    from stockwright.planning.beside import Placed
    from stockwright.planning.clamping import Clamping

__all__ = ["hold_underneath", "over_vacuum", "wants_vacuum"]

INSET = 2.0  # mm a seal keeps from the board's edge: how well a board is laid; common practice, no source
TAPE_INSET = 10.0  # mm tape keeps from the board's edge, where dust creeps in; common practice, no source
FOLLOWS = 0.3  # mm a seal follows where the shop does not say; common practice, no source
LEAST_TAPE = 100.0  # mm2: a scrap of tape smaller than this is not counted; common practice, no source
# Woods whose rings of wide pores let air through along the board; common practice, no source.
OPEN_PORED = ("oak-northern-red", "ash-white", "elm-american", "hackberry", "hickory-pecan")


def wants_vacuum(shop: Shop) -> bool:
    """Say whether the shop has a vacuum to lay a board over."""
    return any(isinstance(h, Vacuum) for h in shop.hold_downs)


def over_vacuum(
    shop: Shop,
    outline: shapely.Polygon,
    shift: tuple[float, float],
    room: tuple[tuple[float, float], tuple[float, float]],
) -> tuple[float, float]:
    """Return the shift of `outline` that covers most sealed area; ties: nearest to `shift`, then the lower.

    `room` are the shifts in x and in y that keep the board on the bed; a `room` of no width keeps that shift.
    """
    marks = marks_of(shop)
    areas = [
        (outer, inner)
        for h in shop.hold_downs
        if isinstance(h, Vacuum)
        for outer, inner in _areas(shop, h)
        if not any(outer.difference(inner).intersects(m) for m in marks)
    ]
    x0, y0, x1, y1 = outline.bounds
    in_x, in_y = {shift[0]}, {shift[1]}
    for outer, _ in areas:
        a0, b0, a1, b1 = outer.bounds
        in_x |= {float(np.floor(a0 - INSET - x0)), float(np.ceil(a1 + INSET - x1)), _middle(a0, a1, x0, x1)}
        in_y |= {float(np.floor(b0 - INSET - y0)), float(np.ceil(b1 + INSET - y1)), _middle(b0, b1, y0, y1)}
    best = (0.0, 0.0, *shift)
    for x in sorted(in_x):
        for y in sorted(in_y):
            inside = room[0][0] <= x <= room[0][1] and room[1][0] <= y <= room[1][1]
            if not inside and (x, y) != shift:
                continue
            covered = shapely.affinity.translate(outline, x, y).buffer(-INSET)
            area = sum(inner.area for outer, inner in areas if covered.contains(outer))
            away = abs(x - shift[0]) + abs(y - shift[1])
            best = min(best, (-round(area, 3), round(away, 3), x, y))
    return best[2], best[3]


def hold_underneath(c: Clamping, zone: Zone, placed: Placed) -> None:
    """Hold by vacuum where an area lies wholly under the board, else by tape; say why in a note."""
    vacuums = [h for h in c.shop.hold_downs if isinstance(h, Vacuum)]
    tapes = sorted((h for h in c.shop.hold_downs if isinstance(h, Tape)), key=_by_shear)
    if not vacuums and not tapes:
        placed.found.append(
            refusal(
                c,
                "no-hold-down",
                f"zone {zone.name} asks for something that holds underneath, and the shop lists neither tape "
                "nor vacuum",
                "add a hold-down of kind `tape` or `vacuum` to the shop, or hold this board from its sides",
                0.0,
                1.0,
            )
        )
        return
    against: list[Finding] = []
    for vacuum in vacuums:
        why = _vacuum(c, zone, vacuum, placed)
        if why is None:
            return
        against.append(why)
    for tape in tapes:
        why = _tape(c, zone, tape, placed)
        if why is None:
            tried = [*(h.name for h in vacuums), *(h.name for h in tapes)]
            passed_over = zip(tried, against, strict=False)  # those after it were not tried
            placed.notes.extend(f"Not {name}: {f.message}." for name, f in passed_over)
            return
        against.append(why)
    placed.found.extend(against)


def _vacuum(c: Clamping, zone: Zone, h: Vacuum, placed: Placed) -> Finding | None:
    follows = h.follows if h.follows is not None else FOLLOWS
    rough = _out_of_flat(c)
    if rough > follows:
        return refusal(
            c,
            "rough-face-on-vacuum",
            f"face {c.under}, which lies on {h.name}, is out of flat by {rough:.2f} mm, and its seal follows "
            f"{follows:.2f} mm",
            f"cut face {c.under} flat first, held from its sides",
            rough,
            follows,
        )
    areas = _sealed(c, h)
    if not areas.counted:
        return _none_sealed(c, zone, h, areas)
    forces = []
    for number, (outer, inner) in areas.counted.items():
        force = drawn_by(h, inner.area)
        forces.append(force)
        placed.grips.append(
            Grip(
                f"{h.name} area {number}",
                c.wood.board.name,
                "draw",
                (inner.centroid.x, inner.centroid.y, 0.0),
                force.newtons,
                force.source,
                area=float(inner.area),
                outline=_corners(outer),
            )
        )
    total = sum(force.newtons for force in forces)
    placed.notes.append(
        f"{h.name}: open {_listed(list(areas.counted))}, which draw with {total:.0f} N together "
        f"(the first: {forces[0].source})"
        + (f"; shut {_listed(list(areas.shut))}, not wholly under the board" if areas.shut else "")
        + (
            f"; shut {_listed(areas.across)}: a mark of an earlier cut runs under the seal"
            if areas.across
            else ""
        )
        + ". Read the gauge with this board on it before the spindle starts, and let no one shut the pump."
    )
    if c.wood.board.species in OPEN_PORED:
        placed.found.append(
            Finding(
                rule="wood-lets-air-through",
                level="warn",
                message=f"{c.wood.board.species} has open pores: under {h.name} the vacuum may be less than "
                f"what {total:.0f} N were worked out from",
                remedy="read the gauge with this board on it; where it reads less, enter that as `pressure`, "
                "or seal the lower face and the ends",
                measured=round(total, 1),
                setup=c.index,
            )
        )
    return None


@frozen(eq=False)
class _Areas:
    """A vacuum's areas by number, over the seal and inside it: those that draw, and those that must be shut.

    `shut` are not wholly under the board; marks of earlier cuts run under the seals of those `across`.
    """

    counted: dict[int, tuple[shapely.Polygon, shapely.Polygon]]
    shut: dict[int, shapely.Polygon]
    across: list[int]


def _sealed(c: Clamping, h: Vacuum) -> _Areas:
    """Return which areas are sealed under the board."""
    under, marks = _inside(c, INSET), marks_of(c.shop)
    areas = _Areas({}, {}, [])
    for number, (outer, inner) in enumerate(_areas(c.shop, h), 1):
        lip = outer.difference(inner)
        if any(lip.intersects(m) for m in marks):
            areas.across.append(number)
        elif not under.contains(outer):
            areas.shut[number] = outer
        else:
            areas.counted[number] = (outer, inner)
    return areas


def _none_sealed(c: Clamping, zone: Zone, h: Vacuum, areas: _Areas) -> Finding:
    under = _inside(c, INSET)
    most = max((under.intersection(outer).area / outer.area for outer in areas.shut.values()), default=0.0)
    return refusal(
        c,
        "no-vacuum-under-board",
        f"no area of {h.name} is sealed under the board"
        + (f": at most {most * 100:.0f} % of one lies under it" if areas.shut else "")
        + (f", and {len(areas.across)} lie across marks of earlier cuts" if areas.across else ""),
        f"{_lies_over(c)}, or hold zone {zone.name} by tape",
        round(most * 100, 1),
        100.0,
    )


def _tape(c: Clamping, zone: Zone, h: Tape, placed: Placed) -> Finding | None:
    rough = _out_of_flat(c)
    if c.under not in c.wood.faced or rough > h.thickness:
        return refusal(
            c,
            "tape-on-rough-face",
            f"face {c.under}, which would lie on {h.name}, is "
            f"{'rough' if c.under not in c.wood.faced else 'flat no more'}: it stands off by up to "
            f"{rough:.2f} mm, and the tape is {h.thickness:.2f} mm thick",
            f"cut face {c.under} flat first, held from its sides; tape holds on planed, dust-free faces only",
            rough,
            h.thickness,
        )
    strips = _strips(c, h)
    if not strips:
        x0, y0, x1, y1 = c.lying.bounds
        least = 2 * TAPE_INSET + 5.0
        return refusal(
            c,
            "no-room-for-tape",
            f"{h.name} finds no room under the board for zone {zone.name}: it is "
            f"{min(x1 - x0, y1 - y0):.1f} mm at its narrowest, and tape keeps {TAPE_INSET:g} mm "
            "from every edge",
            "hold this board another way",
            round(min(x1 - x0, y1 - y0), 3),
            least,
        )
    total = 0.0
    for number, strip in enumerate(strips, 1):
        force = stuck_by(h, strip.area)
        total += force.newtons
        x, y = strip.centroid.x, strip.centroid.y
        name = f"{h.name} strip {number}"
        placed.grips.append(
            Grip(
                name,
                c.wood.board.name,
                "shear",
                (x, y, 0.0),
                force.newtons,
                force.source,
                area=float(strip.area),
                lifts=(h.lift or 0.0) * float(strip.area),
                outline=_corners(strip),
            )
        )
        a, b, far_a, far_b = (format_length(v, c.shop.units, 0) for v in strip.bounds)
        placed.notes.append(
            f"{name}: on the bed from x {a}, y {b} to x {far_a}, y {far_b}, seen from the mark."
        )
    placed.on_tape = h.thickness
    placed.taken[h.name] = len(strips)
    placed.notes.append(
        f"{h.name} carries {total:.0f} N in the plane ({stuck_by(h, strips[0].area).source} for the first "
        f"strip), and {_upwards(h, strips)}: it peels."
    )
    placed.notes.append(
        "Wipe bed and board free of dust; press the board down over every strip; a block slid under the "
        "cutter lies on the same tape. Lift the board off with a slow twist, no lever under a corner."
    )
    return None


def _strips(c: Clamping, h: Tape) -> list[shapely.Polygon]:
    """Return where strips are stuck: side by side along the board, clear of edges, walls and marks."""
    room = _inside(c, TAPE_INSET)
    if room.is_empty:
        return []
    x0, y0, x1, y1 = room.bounds
    along_x = x1 - x0 >= y1 - y0
    lo, hi = (y0, y1) if along_x else (x0, x1)
    count = min(h.count, max(1, int((hi - lo) // h.width)))
    half = min(h.width, hi - lo) / 2
    middles = np.linspace(lo + half, hi - half, count) if count > 1 else [(lo + hi) / 2]
    strips = []
    for m in middles:
        strip = (
            shapely.box(x0, m - half, x1, m + half) if along_x else shapely.box(m - half, y0, m + half, y1)
        )
        shape = strip.intersection(room).difference(shapely.union_all(marks_of(c.shop)))
        pieces = sorted(getattr(shape, "geoms", [shape]), key=lambda g: -g.area)
        if pieces and isinstance(pieces[0], shapely.Polygon) and pieces[0].area >= LEAST_TAPE:
            strips.append(pieces[0])
    return strips


def _corners(shape: shapely.Polygon) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1])


def _inside(c: Clamping, inset: float) -> BaseGeometry:
    """Return where something may lie under the board: inside its edges and the walls cut through it."""
    return c.lying.buffer(-inset).intersection(c.inside_walls(inset, 0.0))


def _out_of_flat(c: Clamping) -> float:
    """Return how far the face underneath may stand off a flat bed, mm: as measured, or as it has moved."""
    if c.under in c.wood.faced:
        return float(c.wood.moved.get(c.under, 0.0))
    board = c.wood.board
    points = board.critical_points()
    read = board.bottom_at if c.under == "B" else board.top_at
    z = np.column_stack([points, read(points), np.ones(len(points))]) @ c.wood.matrix(c.place)[2]
    return float(z.max() - z.min())


def _areas(shop: Shop, h: Vacuum) -> list[tuple[shapely.Polygon, shapely.Polygon]]:
    """Return each area over its seal and inside it, work frame."""
    mark_x, mark_y = shop.bed.mark
    found = []
    for (x0, x1), (y0, y1) in h.areas:
        outer = shapely.box(x0 - mark_x, y0 - mark_y, x1 - mark_x, y1 - mark_y)
        found.append((outer, outer.buffer(-h.seal, join_style="mitre")))
    return found


def _middle(a0: float, a1: float, x0: float, x1: float) -> float:
    return float(np.round((a0 + a1) / 2 - (x0 + x1) / 2))


def _upwards(h: Tape, strips: list[shapely.Polygon]) -> str:
    if h.lift is None:
        return "nothing is counted upwards"
    return f"{h.lift * sum(s.area for s in strips):.0f} N upwards, by the shop's pull test, if nothing pries"


def _lies_over(c: Clamping) -> str:
    """Say where on the bed an area would have to lie, seal and all."""
    room = _inside(c, INSET)
    if room.is_empty:
        return "take a wider board"
    mark_x, mark_y = c.shop.bed.mark
    a, b, far_a, far_b = room.bounds
    low_x, high_x = np.ceil(a + mark_x), np.floor(far_a + mark_x)
    low_y, high_y = np.ceil(b + mark_y), np.floor(far_b + mark_y)
    return (
        f"let an area lie within x {low_x:.0f} mm to {high_x:.0f} mm and y {low_y:.0f} mm to {high_y:.0f} mm "
        "of the bed, under the board"
    )


def _by_shear(h: Tape) -> tuple[bool, float, str]:
    force = stuck_by(h, 1.0)
    return (force.guessed, -force.newtons, h.name)


def _listed(numbers: Sequence[int]) -> str:
    return ("area " if len(numbers) == 1 else "areas ") + ", ".join(str(n) for n in numbers)
