"""How the rough board lies for its first face. In: `Board`, policy, what is needed. Out: `Seating`.

Public:
    Policy = Literal["thickest", "no-rocking", "as-it-lies"]
    Shim(x, y, thickness, wanted, stack)  board frame; `thickness` as stacked from the shop's set
    Limit(side, x, y, z)                side "top" or "bottom": a place that stops the slab from growing
    Seating(policy, a, b, top, bottom, thickness, best, rest, shims, contacts, rocking, limiting, why, notes)
        planes are z = a x + b y + c in the board frame: face A can be as high as c = top, face B as low as
        c = bottom, what the board is supported on (bed, riser) is c = rest; `thickness` is perpendicular,
        before allowances and uncertainty, with the shims as rounded; `best` is LP1's, none can give more;
        .height(above_bottom) -> c of the parallel plane that far (perpendicular) above `bottom`
        .below_top(depth)     -> c of the parallel plane that far (perpendicular) below `top`
    seat(board, *, policy="thickest", required=None, allow_a=0.0, allow_b=0.0, shop_shims=(), region=None,
         places=None) -> Seating
        `required` is the finished thickness (None: as thick as can be); `allow_a`, `allow_b` are what each
        face must lose at least (uncertainty and skin); `region` (k, 2) limits the slab to that part of the
        board (None: all of it); `shop_shims` are the thicknesses the shop stacks (empty: any thickness);
        `places` (k, 2) are where shims may go (None: `shims.shim_places`).
Promise: no plane bound is broken anywhere on the bilinear board, not only at the readings; and what is
reported is what the board does on shims that exist, not on ideal ones.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.shims import LEAST, shim_places, stack
from stockwright.board.slab import Rest, Slab, Solid, least_shims, rest, slab_at, thickest_slab

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["Limit", "Policy", "Seating", "Shim", "seat"]

_TOUCH = 1e-6  # mm; how near counts as touching

Policy = Literal["thickest", "no-rocking", "as-it-lies"]


@dataclass(frozen=True)
class Shim:
    """A shim under the board at (x, y), board frame: `thickness` as stacked, `wanted` the gap it fills.

    `stack` are the shop's pieces, thickest first; empty where any thickness can be had.
    """

    x: float
    y: float
    thickness: float
    wanted: float
    stack: tuple[float, ...] = ()


@dataclass(frozen=True)
class Limit:
    """A place of the measured board that stops the slab from growing; board frame."""

    side: Literal["top", "bottom"]
    x: float
    y: float
    z: float


@dataclass(frozen=True)
class Seating:
    """How the board lies: planes z = a x + b y + c of the board frame become level.

    `top`, `bottom`, `rest` are the c of the highest possible face A, the lowest possible face B and the
    support; `thickness` is perpendicular, before allowances; `best` is the most any tilt gives; `contacts`
    are where the board touches the support without a shim; `rocking` is how far the board drops when
    pressed at its worst place.
    """

    policy: Policy
    a: float
    b: float
    top: float
    bottom: float
    thickness: float
    best: float
    rest: float
    shims: tuple[Shim, ...]
    contacts: tuple[tuple[float, float], ...]
    rocking: float
    limiting: tuple[Limit, ...]
    why: str
    notes: tuple[str, ...] = ()

    def height(self, above_bottom: float) -> float:
        """Return c of the parallel plane `above_bottom` mm, perpendicular, above the lowest face B."""
        return self.bottom + above_bottom * float(np.sqrt(1.0 + self.a**2 + self.b**2))

    def below_top(self, depth: float) -> float:
        """Return c of the parallel plane `depth` mm, perpendicular, below the highest face A."""
        return self.top - depth * float(np.sqrt(1.0 + self.a**2 + self.b**2))


def seat(
    board: Board,
    *,
    policy: Policy = "thickest",
    required: float | None = None,
    allow_a: float = 0.0,
    allow_b: float = 0.0,
    shop_shims: Sequence[float] = (),
    region: Floats | None = None,
    places: Floats | None = None,
) -> Seating:
    """Seat `board` by `policy`; see the module docstring for the arguments.

    Where `required` cannot be had, the seating is the thickest there is and `thickness` says how thick.
    """
    whole, part = _solid(board, None), None if region is None else _solid(board, region)
    solid = whole if part is None else part
    best = thickest_slab(solid)
    spots = shim_places(board) if places is None else np.asarray(places, dtype=float)
    bed = _Bed(board, whole, solid, best, spots, tuple(shop_shims), _shifted(board.mass_centre()))
    if policy == "as-it-lies":
        chosen = bed.on(np.zeros(len(spots)))
    elif policy == "no-rocking":
        chosen = bed.shimmed(None)
    else:
        wanted = best.thickness if required is None else required + allow_a + allow_b
        chosen = _thick_enough(bed, wanted)
    return bed.seating(policy, chosen)


def _thick_enough(bed: _Bed, wanted: float) -> _Lie:
    """Return the lie with the least shims that gives `wanted` once they are rounded, or the thickest."""
    best = bed.best
    demands = [wanted, (wanted + best.thickness) / 2.0, best.thickness] if wanted < best.thickness else []
    lies = []
    for demand in demands or [best.thickness]:
        lie = bed.shimmed(demand * best.lean)
        if lie.slab.thickness >= wanted:
            return lie
        lies.append(lie)
    return max(lies, key=lambda lie: lie.slab.thickness)


@dataclass(frozen=True, eq=False)
class _Lie:
    """How the board lies on given shims."""

    rest: Rest
    slab: Slab
    shims: Floats
    gaps: Floats
    ideal: float


@dataclass(frozen=True, eq=False)
class _Bed:
    """What does not change between the lies of one board."""

    board: Board
    whole: Solid
    solid: Solid
    best: Slab
    places: Floats
    shop: tuple[float, ...]
    centre: tuple[float, float]

    def shimmed(self, demand: float | None) -> _Lie:
        """Return the lie on the least shims whose slab is `demand` thick along z."""
        under = self.board.bottom_at(self.places)
        most = None if demand is None else min(demand, self.best.top - self.best.bottom) - 1e-7
        plane = least_shims(self.solid, self.whole.xy, self.whole.bottom, self.places, under, most)
        gaps = under - self.places @ np.array([plane.a, plane.b]) - plane.c
        return self.on(gaps, slab_at(self.solid, plane.a, plane.b).thickness)

    def on(self, gaps: Floats, ideal: float | None = None) -> _Lie:
        """Return the lie on shims that fill `gaps` as nearly as the shop's set can."""
        shims = np.array([_stacked(float(gap), self.shop) for gap in gaps])
        plane = self._stands(shims, self.centre)
        slab = slab_at(self.solid, plane.a, plane.b)
        return _Lie(plane, slab, shims, gaps, slab.thickness if ideal is None else ideal)

    def _stands(self, shims: Floats, under: tuple[float, float]) -> Rest:
        xy = np.vstack([self.whole.xy, self.places])
        z = np.concatenate([self.whole.bottom, self.board.bottom_at(self.places) - shims])
        return rest(xy, z, under)

    def rocking(self, lie: _Lie) -> float:
        """Return how far the board drops where it is pressed hard at the worst corner of the two rails."""
        drops = [0.0]
        for i in sorted({0, 1, len(self.places) - 2, len(self.places) - 1}):
            x, y = (float(v) for v in self.places[i])
            tipped = self._stands(lie.shims, (x, y))
            before = lie.rest.a * x + lie.rest.b * y + lie.rest.c
            drops.append(tipped.a * x + tipped.b * y + tipped.c - before)
        # Under a millionth it is the solver's last digit.
        return max(drops) if max(drops) > _TOUCH else 0.0

    def seating(self, policy: Policy, lie: _Lie) -> Seating:
        """Return `lie` as a `Seating`, with the places that limit it and the sentences about it."""
        slope = np.array([lie.slab.a, lie.slab.b])
        shims = tuple(
            Shim(float(x), float(y), float(shim), float(gap), stack(float(gap), self.shop))
            for (x, y), shim, gap in zip(self.places, lie.shims, lie.gaps, strict=True)
            if shim > 0.0
        )
        above = self.solid.top - self.solid.xy @ slope - lie.slab.top
        below = lie.slab.bottom - self.solid.bottom + self.solid.xy @ slope
        sides: tuple[tuple[Literal["top", "bottom"], Floats, Floats], ...] = (
            ("top", self.solid.top, above),
            ("bottom", self.solid.bottom, below),
        )
        limiting = tuple(
            Limit(side, float(x), float(y), float(z))
            for side, heights, room in sides
            for (x, y), z in zip(self.solid.xy[room <= _TOUCH], heights[room <= _TOUCH], strict=True)
        )
        gaps = self.whole.bottom - self.whole.xy @ slope - lie.rest.c
        return Seating(
            policy=policy,
            a=lie.slab.a,
            b=lie.slab.b,
            top=lie.slab.top,
            bottom=lie.slab.bottom,
            thickness=lie.slab.thickness,
            best=self.best.thickness,
            rest=lie.rest.c,
            shims=shims,
            contacts=tuple((float(x), float(y)) for x, y in self.whole.xy[gaps <= _TOUCH]),
            rocking=self.rocking(lie),
            limiting=limiting,
            why=_why(self.board, limiting),
            notes=_notes(lie, self.best),
        )


def _solid(board: Board, region: Floats | None) -> Solid:
    xy = board.critical_points(region)
    return Solid(xy, board.top_at(xy), board.bottom_at(xy))


def _shifted(centre: tuple[float, float]) -> tuple[float, float]:
    """Return the centre moved by a fixed trifle: above an edge of the contacts two answers tie."""
    return centre[0] + 0.0137, centre[1] + 0.0071


def _stacked(gap: float, shop: tuple[float, ...]) -> float:
    if gap < LEAST:
        return 0.0
    return round(math.fsum(stack(gap, shop)), 6) if shop else gap


def _why(board: Board, limiting: tuple[Limit, ...]) -> str:
    parts = []
    for side, words in (("top", "face A can be no higher than"), ("bottom", "face B no lower than")):
        found = [limit for limit in limiting if limit.side == side]
        if not found:
            continue
        at = "; ".join(f"x {limit.x:.0f}, y {limit.y:.0f} ({limit.z:.2f} mm)" for limit in found[:3])
        read = any(
            np.abs(board.x - limit.x).min() < _TOUCH and np.abs(board.y - limit.y).min() < _TOUCH
            for limit in found[:3]
        )
        what = "the reading" if read else "the surface between or beyond the readings"
        parts.append(f"{words} {what} at {at}")
    return ", ".join(parts)


def _notes(lie: _Lie, best: Slab) -> tuple[str, ...]:
    notes = []
    lost = lie.ideal - lie.slab.thickness
    if abs(lost) >= 0.005:
        word = "costs" if lost > 0 else "gains"
        notes.append(f"Rounding the shims to the shop's set {word} {abs(lost):.2f} mm of thickness.")
    less = best.thickness - lie.slab.thickness
    if less >= 0.005:
        notes.append(f"The best tilt would give {less:.2f} mm more than this seating.")
    return tuple(notes)
