"""Screws through waste. In: a clamping, a zone, what stands. Out: screw heads as solids, grips.

Work frame, mm. Promise: a screw goes outside the finished piece, where no wall is cut in this clamping, and
under a face cut only with its head sunk below the cutter's reach; what does not fit is a finding.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.hold_downs import Screw
from stockwright.planning.clamping import box, none_listed, refusal
from stockwright.planning.grips import screwed_by
from stockwright.planning.setup import Grip, Solid
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.findings import Finding
    from stockwright.job import Zone
    from stockwright.planning.beside import Placed
    from stockwright.planning.clamping import Clamping

    Floats = NDArray[np.float64]

__all__ = ["hold_in_waste"]

WOOD_ROUND = 3.0  # mm of wood left round a head, else it splits out; common practice, no source
LEAST_UNDER = 4.0  # mm of wood that a head bears on, else it pulls through; common practice, no source
STEP = 4.0  # mm between the places tried
FEWEST = 2  # one screw lets a board turn about it


def hold_in_waste(c: Clamping, zone: Zone, standing: Sequence[Solid], placed: Placed) -> None:
    """Put up to as many screws as the shop has where they hold furthest apart."""
    kinds = sorted((h for h in c.shop.hold_downs if isinstance(h, Screw)), key=_rank)
    if not kinds:
        placed.found.append(none_listed(c, zone, "screw"))
        return
    why = [_screws(c, zone, h, standing, placed) for h in kinds[:1]]
    for h in kinds[1:]:
        if why[-1] is None:
            break
        why.append(_screws(c, zone, h, standing, placed))
    if why[-1] is not None:
        placed.found.extend(f for f in why if f is not None)


def _screws(c: Clamping, zone: Zone, h: Screw, standing: Sequence[Solid], placed: Placed) -> Finding | None:
    needed = max(0.0, c.face_height - c.cut_low + c.shop.machine.margin) if np.isfinite(c.cut_low) else 0.0
    if h.sunk < needed:
        return refusal(
            c,
            "screw-stands-too-high",
            f"{h.name} is sunk {h.sunk:.1f} mm, and a face cut comes down to {c.cut_low:.1f} mm over it, "
            f"{needed:.1f} mm below the highest wood with the margin kept",
            f"sink it {np.ceil(needed * 2) / 2:.1f} mm deep, or hold this face from its sides",
            h.sunk,
            needed,
        )
    least = c.face_height - h.sunk - h.head_height
    if least < LEAST_UNDER:
        return refusal(
            c,
            "screw-bears-on-too-little",
            f"under the head of {h.name} {least:.1f} mm of wood would be left",
            f"sink it at most {max(0.0, np.floor((h.sunk + least - LEAST_UNDER) * 10) / 10):.1f} mm deep, or "
            "hold this board another way",
            least,
            LEAST_UNDER,
        )
    spots = _spread(_free(c, h, (*standing, *placed.solids)), h.count)
    if len(spots) < FEWEST:
        outline = c.wood.plan(c.place)
        most = _widest_waste(c, outline)
        return refusal(
            c,
            "no-waste-for-screws",
            f"{h.name} finds room for {len(spots)} of at least {FEWEST} in the waste of zone {zone.name}: "
            f"the waste that stays is at most {most:.1f} mm wide, and a head with wood round it wants "
            f"{h.head + 2 * WOOD_ROUND:.1f} mm",
            _waste_wanted(h, most),
            most,
            h.head + 2 * WOOD_ROUND,
        )
    force = screwed_by(h)
    tops = c.wood.top_heights(c.place, np.array(spots))
    for number, ((x, y), top) in enumerate(zip(spots, tops, strict=True), 1):
        half, name = h.head / 2, f"{h.name} {number}"
        head = float(top) - h.sunk + (h.head_height if h.sunk == 0 else 0.0)
        placed.solids.append(Solid(name, "screw", box(x - half, y - half, x + half, y + half), 0.0, head))
        placed.grips.append(
            Grip(
                name,
                c.wood.board.name,
                "shear",
                (x, y, 0.0),
                force.newtons,
                force.source,
                lifts=h.pull or 0.0,
            )
        )
        seen_x, seen_y = (format_length(v, c.shop.units, 0) for v in (x, y))
        placed.notes.append(
            f"{name}: in the waste at x {seen_x}, y {seen_y} from the mark, "
            f"{format_length(h.depth, c.shop.units)} into the bed"
            + (f", its head sunk {format_length(h.sunk, c.shop.units)} below the wood." if h.sunk else ".")
        )
    placed.taken[h.name] = len(spots)
    placed.notes.append(
        f"{h.name}: each carries {force.newtons:.0f} N sideways ({force.source}). Drill through the board so "
        "that the thread bites in the bed only, and mark every screw on the waste: no later cut may meet one."
    )
    return None


def _free(c: Clamping, h: Screw, standing: Sequence[Solid]) -> list[tuple[float, float]]:
    """Return every place tried at which a whole head, with wood round it, lies in waste that stays."""
    around = h.head / 2 + WOOD_ROUND
    room: BaseGeometry = c.wood.plan(c.place).buffer(-around)
    if c.finished is not None:
        room = room.difference(c.finished.buffer(around))
    room = room.intersection(c.inside_walls(around, c.face_height + h.head_height))
    for solid in standing:
        room = room.difference(shapely.Polygon(solid.outline).buffer(around))
    if room.is_empty:
        return []
    x0, y0, x1, y1 = room.bounds
    grid = [
        (float(x), float(y))
        for x in np.linspace(x0, x1, max(2, int((x1 - x0) // STEP) + 1))
        for y in np.linspace(y0, y1, max(2, int((y1 - y0) // STEP) + 1))
    ]
    near = room.buffer(1e-6)
    inside = shapely.contains_xy(near, np.array(grid))
    return [spot for spot, ok in zip(grid, inside, strict=True) if ok]


def _spread(spots: list[tuple[float, float]], count: int) -> list[tuple[float, float]]:
    """Return up to `count` of the spots, each as far as can be from those before; the low corner is first."""
    if not spots:
        return []
    chosen = [min(spots, key=lambda s: (s[0] + s[1], s))]
    while len(chosen) < count:
        best = max(spots, key=lambda s: (min(np.hypot(s[0] - a, s[1] - b) for a, b in chosen), s))
        if min(np.hypot(best[0] - a, best[1] - b) for a, b in chosen) < 2 * WOOD_ROUND + 10.0:
            break
        chosen.append(best)
    return sorted(chosen)


def _waste_wanted(h: Screw, most: float) -> str:
    """Say how much more waste there must be, or how small a head would find room in what there is."""
    wanted = h.head + 2 * WOOD_ROUND
    smaller = np.floor((most - 2 * WOOD_ROUND) * 10) / 10
    if most >= wanted:  # wide enough at one side, and two screws want it at two places
        return f"take a board at least {2 * wanted:.1f} mm longer, or hold this one another way"
    return (
        f"take a board at least {2 * (wanted - most):.1f} mm longer"
        + (f", or a screw with a head at most {smaller:.1f} mm across" if smaller > 0 else "")
        + ", or hold this one another way"
    )


def _widest_waste(c: Clamping, outline: shapely.Polygon) -> float:
    """Return how wide the waste outside the finished piece is at its widest side, mm."""
    if c.finished is None:
        return 0.0
    x0, y0, x1, y1 = outline.bounds
    a, b, far_a, far_b = c.finished.bounds
    return float(max(0.0, a - x0, b - y0, x1 - far_a, y1 - far_b))


def _rank(h: Screw) -> tuple[bool, float, str]:
    force = screwed_by(h)
    return (force.guessed, -force.newtons, h.name)
