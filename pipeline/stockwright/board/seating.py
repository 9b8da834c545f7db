"""How the rough board lies for its first face. In: `Board`, policy, what is needed. Out: `Seating`.

Public:
    Policy = Literal["thickest", "no-rocking", "as-it-lies"]
    Shim(x, y, thickness, wanted, stack)  board frame; `thickness` as stacked from the shop's set
    Limit(side, x, y, z)                side "top" or "bottom": a place that stops the slab from growing
    Seating(policy, a, b, top, bottom, thickness, best, rest, shims, rocking, limiting, why,
            rounding, spans, notes)
        planes are z = a x + b y + c in the board frame: face A can be as high as c = top, face B as low as
        c = bottom, what the board is supported on (bed, riser) is c = rest; `thickness` is perpendicular,
        before allowances and uncertainty, with the shims as rounded; `best` is LP1's, none can give more;
        `rounding` is what rounding the shims to the shop's set costs, mm of thickness (negative: it gains);
        `spans` are the stretches between supports, shims and places that touch, and what hangs over
        .height(above_bottom) -> c of the parallel plane that far (perpendicular) above `bottom`
        .below_top(depth)     -> c of the parallel plane that far (perpendicular) below `top`
    seat(board, *, policy="thickest", required=None, allow_a=0.0, allow_b=0.0, shop_shims=(), region=None,
         places=None, longest_span=400.0) -> Seating
        `required` is the finished thickness (None: as thick as can be); `allow_a`, `allow_b` are what each
        face must lose at least (uncertainty and skin); `region` (k, 2) limits the slab to that part of the
        board (None: all of it); `shop_shims` are the thicknesses the shop stacks (empty: any thickness);
        `places` (k, 2) are where shims may go (None: `shims.shim_places`, along the board no further from one
        another than `longest_span`).
Promise: no plane bound is broken anywhere on the bilinear board, not only at the readings; and what is
reported is what the board does on shims that exist, not on ideal ones.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.lying import TOUCH, Bed, Lie
from stockwright.board.shims import LONGEST, shim_places, stack
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.board.slab import Slab
    from stockwright.board.spans import Span
    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["Limit", "Policy", "Seating", "Shim", "seat"]

Policy = Literal["thickest", "no-rocking", "as-it-lies"]


@frozen
class Shim:
    """A shim under the board at (x, y), board frame: `thickness` as stacked, `wanted` the gap it fills.

    `stack` are the shop's pieces, thickest first; empty where any thickness can be had.
    """

    x: float
    y: float
    thickness: float
    wanted: float
    stack: tuple[float, ...] = ()


@frozen
class Limit:
    """A place of the measured board that stops the slab from growing; board frame."""

    side: Literal["top", "bottom"]
    x: float
    y: float
    z: float


@frozen
class Seating:
    """How the board lies: planes z = a x + b y + c of the board frame become level.

    `top`, `bottom`, `rest` are the c of the highest possible face A, the lowest possible face B and the
    support; `thickness` is perpendicular, before allowances; `best` is the most any tilt gives; `rocking`
    is how far the board drops when pressed at its worst place; `rounding` is the thickness that the shop's
    shims cost against ideal ones.
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
    rocking: float
    limiting: tuple[Limit, ...]
    why: str
    rounding: float = 0.0
    spans: tuple[Span, ...] = ()
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
    longest_span: float = LONGEST,
) -> Seating:
    """Seat `board` by `policy`; see the module docstring for the arguments.

    Where `required` cannot be had, the seating is the thickest there is and `thickness` says how thick.
    """
    spots = shim_places(board, longest_span) if places is None else np.asarray(places, dtype=float)
    bed = Bed.of(board, spots, tuple(shop_shims), region)
    if policy == "as-it-lies":
        return _seating(bed, policy, bed.as_it_lies())
    if policy == "no-rocking":
        return _seating(bed, policy, bed.shimmed(None))
    wanted = bed.best.thickness if required is None else required + allow_a + allow_b
    return _seating(bed, policy, bed.thick_enough(wanted))


def _seating(bed: Bed, policy: Policy, lie: Lie) -> Seating:
    """Return `lie` as a `Seating`, with the places that limit it and the sentences about it."""
    slope = (lie.slab.a, lie.slab.b)
    shims = tuple(
        Shim(float(x), float(y), float(shim), float(gap), stack(float(shim), bed.shop))
        for (x, y), shim, gap in zip(bed.places, lie.shims, lie.gaps, strict=True)
        if shim > 0.0
    )
    above = bed.solid.tops.off(*slope) - lie.slab.top
    below = lie.slab.bottom - bed.solid.bottoms.off(*slope)
    sides: tuple[tuple[Literal["top", "bottom"], Floats, Floats], ...] = (
        ("top", bed.solid.top, above),
        ("bottom", bed.solid.bottom, below),
    )
    limiting = tuple(
        Limit(side, x, y, float(z))
        for side, heights, room in sides
        for (x, y), z in _places(bed.solid.xy, room <= TOUCH, heights)
    )
    gaps = bed.whole.bottoms.off(*slope) - lie.rest.c
    return Seating(
        policy=policy,
        a=lie.slab.a,
        b=lie.slab.b,
        top=lie.slab.top,
        bottom=lie.slab.bottom,
        thickness=lie.slab.thickness,
        best=bed.best.thickness,
        rest=lie.rest.c,
        shims=shims,
        rocking=bed.rocking(lie),
        limiting=limiting,
        why=_why(bed.board, limiting),
        rounding=lie.ideal - lie.slab.thickness,
        spans=bed.spans(lie, gaps),
        notes=_notes(lie, bed.best),
    )


def _places(xy: Floats, which: NDArray[np.bool_], z: Floats) -> list[tuple[tuple[float, float], float]]:
    """Return the places of some points, each once, with their heights."""
    found = zip(xy[which].tolist(), z[which].tolist(), strict=True)
    return list({(x, y): ((x, y), height) for (x, y), height in found}.values())


def _why(board: Board, limiting: tuple[Limit, ...]) -> str:
    parts = []
    for side, words in (("top", "face A can be no higher than"), ("bottom", "face B no lower than")):
        found = [limit for limit in limiting if limit.side == side]
        if not found:
            continue
        at = "; ".join(f"x {limit.x:.0f}, y {limit.y:.0f} ({limit.z:.2f} mm)" for limit in found[:3])
        read = any(
            np.abs(board.x - limit.x).min() < TOUCH and np.abs(board.y - limit.y).min() < TOUCH
            for limit in found[:3]
        )
        what = "the reading" if read else "the surface between or beyond the readings"
        parts.append(f"{words} {what} at {at}")
    return ", ".join(parts)


def _notes(lie: Lie, best: Slab) -> tuple[str, ...]:
    notes = []
    lost = lie.ideal - lie.slab.thickness
    if abs(lost) >= 0.005:
        word = "costs" if lost > 0 else "gains"
        notes.append(f"Rounding the shims to the shop's set {word} {abs(lost):.2f} mm of thickness.")
    less = best.thickness - lie.slab.thickness
    if less >= 0.005:
        notes.append(f"The best tilt would give {less:.2f} mm more than this seating.")
    return tuple(notes)
