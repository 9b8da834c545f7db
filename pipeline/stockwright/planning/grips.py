"""How hard each hold-down holds. In: hold-downs, where they stand. Out: grips with their sources.

Work frame, mm, N. Promise: a force is the shop's own figure, or follows by a formula from the shop's own
figures, or is a guess that is called one; there is no grip without a source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from stockwright.forces import holding_force
from stockwright.frozen import frozen
from stockwright.hold_downs import ARM, BODY, Stop, TopClamp, Wedge
from stockwright.planning.places import BoltPlaces
from stockwright.planning.setup import GUESSED, Grip

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.findings import Finding
    from stockwright.hold_downs import Beside, Screw, Tape, Vacuum
    from stockwright.machine import Fence
    from stockwright.planning.clamping import Clamping
    from stockwright.planning.setup import Solid

__all__ = [
    "SHOPS_OWN",
    "UNSAID",
    "Force",
    "Held",
    "bears_at",
    "beside_force",
    "bolts_of",
    "drawn_by",
    "fence_grips",
    "press_grip",
    "press_grips",
    "press_of",
    "screwed_by",
    "stuck_by",
]

UNSAID = f"{GUESSED}, the shop's document does not say"
SHOPS_OWN = "the shop's own figure"

# N that each is taken to hold with where the shop does not say; all common practice, no source, and low.
PUSH = 150.0
CARRIES = 500.0
PRESS = 300.0
SHEAR = 300.0
DRIVE = 50.0


@frozen
class Held:
    """What holds a board in one clamping.

    `solids` stand; `grips` say how everything holds; `notes` are for the sheet: what was chosen and why;
    `findings` say what could not be placed. `on_tape` is the thickness under the board, mm, 0 for none.
    """

    solids: tuple[Solid, ...] = ()
    grips: tuple[Grip, ...] = ()
    notes: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    on_tape: float = 0.0


@frozen
class Force:
    """A force, N, where it comes from, and whether it is a guess."""

    newtons: float
    source: str
    guessed: bool = False


def _stated(value: float | None, instead: float) -> Force:
    if value is None:
        return Force(instead, UNSAID, guessed=True)
    return Force(value, SHOPS_OWN)


def beside_force(h: Beside) -> Force:
    """Return how hard one hold-down pushes on a side, or how much of a push it carries."""
    if isinstance(h, Stop):
        return _stated(h.carries, CARRIES)
    if not isinstance(h, Wedge) or h.push is not None:
        return _stated(h.push, PUSH)
    drive = _stated(h.drive, DRIVE)
    gain = holding_force.wedge_gain(h.angle, holding_force.WEDGE_FRICTION)
    source = (
        f"a {h.angle:g} degree wedge driven with {drive.newtons:g} N ({drive.source}), "
        f"friction {holding_force.WEDGE_FRICTION:g}"
    )
    return Force(drive.newtons * gain, source, drive.guessed)


def press_of(h: TopClamp) -> Force:
    """Return how hard one clamp presses on the face: as stated, or what its bolt and lever come to."""
    bolt = h.bolt
    if h.press is not None or bolt is None:
        return _stated(h.press, PRESS)
    factor = bolt.nut_factor if bolt.nut_factor is not None else holding_force.NUT_FACTOR
    tension = holding_force.bolt_tension(bolt.torque, bolt.diameter, factor)
    told = "stated" if bolt.nut_factor is not None else "taken: dry, the least"
    source = (
        f"a bolt of {bolt.diameter:g} mm at {bolt.torque / 1000:g} N m, nut factor {factor:g} ({told}), "
        f"{bolt.from_heel:g} mm from the heel and {bolt.from_work:g} mm from the work"
    )
    return Force(holding_force.strap_press(tension, bolt.from_heel, bolt.from_work), source)


def stuck_by(h: Tape, area: float) -> Force:
    """Return what a strip of tape carries in the plane; `area` in mm2."""
    per_area = h.shear if h.shear is not None else holding_force.TAPE_SHEAR
    told = SHOPS_OWN if h.shear is not None else UNSAID
    source = f"{area:.0f} mm2 of tape at {per_area:g} N/mm2 ({told})"
    return Force(holding_force.tape_shear(per_area, area), source, h.shear is None)


def drawn_by(h: Vacuum, area: float) -> Force:
    """Return how hard an area, mm2 inside its seal, draws a board down."""
    pressure = h.pressure if h.pressure is not None else holding_force.LOW_VACUUM
    told = SHOPS_OWN if h.pressure is not None else UNSAID
    source = f"{area:.0f} mm2 inside the seal at {pressure * 10:g} bar below the air's ({told})"
    return Force(holding_force.vacuum_force(pressure, area), source, h.pressure is None)


def screwed_by(h: Screw) -> Force:
    """Return what one screw carries sideways."""
    return _stated(h.shear, SHEAR)


def fence_grips(
    fence: Fence, pieces: Sequence[Solid], outline: shapely.Polygon, board: str, top: float
) -> tuple[Grip, ...]:
    """Return what the fence's pieces carry, those that a board lies against."""
    force = _stated(fence.carries, CARRIES)
    x0, y0, x1, _ = outline.bounds
    grips = []
    for piece in pieces:
        lo, hi = max(x0, float(piece.outline[:, 0].min())), min(x1, float(piece.outline[:, 0].max()))
        face = float(piece.outline[:, 1].max())
        if hi - lo < 1.0 or abs(y0 - face) > 1.0:
            continue
        at = ((lo + hi) / 2, face, min(piece.top, top) / 2)
        grips.append(Grip(piece.name, board, "carry", at, force.newtons, force.source, way=(0.0, 1.0)))
    return tuple(grips)


def press_grips(c: Clamping, solids: Sequence[Solid]) -> tuple[Grip, ...]:
    """Return how the clamps among `solids` press on the upper face: one grip for each arm, under its tip."""
    kinds = [h for h in c.shop.hold_downs if isinstance(h, TopClamp)]
    grips = []
    for solid in solids:
        if solid.kind == "top-clamp" and solid.name.endswith(ARM):
            h = next(k for k in kinds if solid.name.removesuffix(ARM).rpartition(" ")[0] == k.name)
            grips.append(press_grip(c, h, solid))
    return tuple(grips)


def press_grip(c: Clamping, h: TopClamp, arm: Solid) -> Grip:
    """Return how one clamp presses: in the middle of what its arm has of the board."""
    force, (x, y) = press_of(h), bears_at(c, arm)
    name = arm.name.removesuffix(ARM)
    return Grip(name, c.wood.board.name, "press", (x, y, arm.bottom), force.newtons, force.source)


def bears_at(c: Clamping, arm: Solid) -> tuple[float, float]:
    """Return the middle (x, y) of what an arm has of the board."""
    middle = shapely.Polygon(arm.outline).intersection(c.wood.plan(c.place)).centroid
    return float(middle.x), float(middle.y)


def bolts_of(c: Clamping, solids: Sequence[Solid]) -> tuple[str, ...]:
    """Return the sentences for the sheet that say in which slot or hole each clamp's bolt stands."""
    places = BoltPlaces.of(c.shop)
    told = []
    for solid in solids:
        if solid.name.endswith(BODY):
            x, y = solid.outline.mean(axis=0)
            told.append(places.told(solid.name.removesuffix(BODY), float(x), float(y)))
    return tuple(text for text in told if text)
