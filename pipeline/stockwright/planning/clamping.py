"""What is known of one clamping when its hold-downs are placed.

In: values of the plan stage. Out: `Clamping`. Work frame, mm. Also the clear height, and how a zone is
refused for which nothing fits.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stockwright.job import Side, Zone
    from stockwright.machine import Shop
    from stockwright.planning.setup import Solid
    from stockwright.planning.wood import Place, Up, Wood
    from stockwright.tooling import Tool

__all__ = [
    "CLEAR",
    "FAR",
    "GAP",
    "Clamping",
    "beside_wall",
    "box",
    "clear_height",
    "none_listed",
    "none_low_enough",
    "refusal",
    "told_apart",
]

FAR = 1e5  # mm: beyond every board
GAP = 6.0  # between a clamp's body and what it stands beside; common practice, no source
CLEAR = 10.0  # how far above everything programs travel, mm; common practice, no source


@frozen(eq=False)
class Clamping:
    """What one setup knows when its hold-downs are placed.

    `face_height` is the highest wood, `tip` how low a cutter's tip comes, `walls` the sides cut here.
    """

    index: int
    shop: Shop
    wood: Wood
    place: Place
    face_height: float
    tip: float = 0.0
    walls: dict[Side, Tool] = field(default_factory=dict)
    stop_lines: dict[Side, float] = field(default_factory=dict)
    """Where a side that is cut in this setup will stand: its work x or y."""
    cut_low: float = np.inf
    """How low the lowest face cut of this setup comes."""
    finished: shapely.Polygon | None = None
    """Where the finished piece lies."""
    bed: tuple[float, float] = (-FAR, FAR)
    """Between which x anything can stand: a board that is slid along lies beyond the bed too."""

    asked: tuple[float, float] = (0.0, 0.0)
    """How hard the edges cut here may push sideways and pull upwards, N."""

    @property
    def lying(self) -> shapely.Polygon:
        """Where the board lies over the bed."""
        outline = self.wood.plan(self.place)
        x0, _, x1, _ = outline.bounds
        if self.bed[0] <= x0 and x1 <= self.bed[1]:
            return outline
        parts = shapely.get_parts(outline.intersection(shapely.box(self.bed[0], -FAR, self.bed[1], FAR)))
        return shapely.geometry.polygon.orient(max(parts, key=lambda part: part.area))

    @property
    def under(self) -> Up:
        """The face that lies underneath."""
        return self.place.under

    def below(self, zone: Zone) -> float:
        """Return how high what holds a side may be, mm: as the zone says, and under each face that is cut."""
        asked = np.inf if zone.below is None else zone.below
        return float(min(asked, self.cut_low - self.shop.machine.margin))

    def inside_walls(self, off: float, top: float) -> shapely.Polygon:
        """Return where something of height `top` clears every wall cut here by `off` and the assembly."""
        x0, y0, x1, y1 = -FAR, -FAR, FAR, FAR
        for side, tool in self.walls.items():
            keep = beside_wall(tool, self.tip, top, self.shop.machine.margin) + off
            nx, ny = self.place.looks(side)
            line = self.stop_lines[side]
            if nx > 0.5:
                x1 = min(x1, line - keep)
            elif nx < -0.5:
                x0 = max(x0, line + keep)
            elif ny > 0.5:
                y1 = min(y1, line - keep)
            else:
                y0 = max(y0, line + keep)
        return shapely.box(x0, y0, max(x0, x1), max(y0, y1))


def beside_wall(tool: Tool, tip: float, top: float, margin: float) -> float:
    """Return how far a solid of height `top` keeps from a wall cut by `tool` with its tip at `tip`, mm.

    The cutter's own edge runs on the wall; whatever of the assembly is wider and comes as low reaches over.
    """
    over = [c.radius - tool.radius for c in tool.assembly if tip + c.bottom < top + margin]
    return max([0.0, *over]) + margin


def clear_height(shop: Shop, wood: float, solids: Iterable[Solid]) -> float:
    """Return a whole height of the tip that is clear of wood up to `wood` and of everything that stands."""
    return float(np.ceil(max([wood, *(s.top for s in solids)]) + shop.machine.margin + CLEAR))


def told_apart(one: float, other: float) -> tuple[str, str]:
    """Return two unlike numbers as a message says them: to a tenth, or as fine as tells them apart."""
    texts = f"{one:.1f}", f"{other:.1f}"
    for places in (2, 3):
        if texts[0] == texts[1]:
            texts = f"{one:.{places}f}", f"{other:.{places}f}"
    return texts


def none_listed(
    c: Clamping, zone: Zone, what: str, low: float = np.inf, taken: Sequence[str] = ()
) -> Finding:
    """Return the refusal of a zone for which the shop lists nothing; `low`: how high it may be, mm.

    `taken`: what could stand there too, and stands elsewhere already.
    """
    so_low = f", at most {low:.1f} mm high" if np.isfinite(low) else ""
    elsewhere = f"; every {' and '.join(taken)} that could stand there is at other sides" if taken else ""
    return refusal(
        c,
        "no-hold-down",
        f"the zone {zone.name} asks for a {what}, and the shop lists none{elsewhere}",
        f"add one to the shop's hold-downs{so_low}, or take a recipe that holds the board another way",
        0.0,
        low if np.isfinite(low) else 1.0,
    )


def none_low_enough(c: Clamping, zone: Zone, what: str, lowest: float, low: float) -> Finding:
    """Return the refusal of a zone at sides where the shop's `lowest` hold-down is higher than `low`, mm."""
    least, most = told_apart(lowest, low)
    fits, thicker = np.floor(low * 10 + 1e-6) / 10, np.ceil((lowest - low) * 10 - 1e-6) / 10
    return refusal(
        c,
        "no-hold-down",
        f"zone {zone.name} asks for a {what} of at most {most} mm, the lowest is {least} mm",
        f"add a {what} at most {fits:.1f} mm high to the shop's hold-downs, or make the piece at least "
        f"{thicker:.1f} mm thicker",
        lowest,
        low,
    )


def box(x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
    """Return a rectangle's corners (4, 2), anticlockwise."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)


def refusal(c: Clamping, rule: str, message: str, remedy: str, measured: float, limit: float) -> Finding:
    """Return why nothing can stand or hold in this clamping, the two numbers rounded as they are told."""
    return Finding(
        rule=rule,
        level="refuse",
        message=message,
        remedy=remedy,
        measured=round(measured, 3),
        limit=round(limit, 3),
        setup=c.index,
    )
