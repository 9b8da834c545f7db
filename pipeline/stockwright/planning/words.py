"""What the sheet will say of a clamping. In: the wood as it lies. Out: titles, distances, heights, notes.

Promise: all of it can be done with a tape, a straightedge and eyes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.job import FaceStep, MateStep
from stockwright.planning.clamping import FAR
from stockwright.planning.setup import Placing, ShimPlace
from stockwright.units import format_length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.surface import Board
    from stockwright.hold_downs import Riser
    from stockwright.machine import Shop
    from stockwright.planning.groups import Group
    from stockwright.planning.piece import Piece
    from stockwright.planning.wood import Place, Wood

    Floats = NDArray[np.float64]

__all__ = ["notes_of", "placing_of", "seat_check", "shims_under", "title_of", "touched_with", "zero_how"]

SEAT_WITHIN = 0.5  # mm a height may differ from the plan once held; common practice, no source


def title_of(board: Board, g: Group, named: bool) -> str:
    """Return a clamping's title."""
    steps = [s for s in g.steps if not isinstance(s, MateStep)]
    parts = [f"face {s.face}" if isinstance(s, FaceStep) else s.side for s in steps]
    what = parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]
    where = ", against the fence" if g.against_fence else ""
    lies = "" if what == f"face {g.place.up}" else f", with face {g.place.up} up"
    title = f"{what}{lies}{where}"
    title = title[0].upper() + title[1:]
    return f"{board.name}: {title}" if named else title


def zero_how(wood: Wood, place: Place, on_tape: float = 0.0, riser: Riser | None = None) -> str:
    """Return how the zero is taken; `on_tape` is how thick the tape under the board is, mm."""
    under = place.under
    if riser is not None:
        return (
            f"z on the upper side of a piece as high as {riser.name}, {riser.height:g} mm, planed together "
            f"with them, set on the bed beside the board and taken away again (face {under} rests on the "
            "risers), never on the bare bed and never on the board; x and y at the mark on the bed"
        )
    if on_tape:
        return (
            f"z on a strip of the same tape, stuck on the bed beside the board with its paper off (face "
            f"{under} rests on tape {on_tape:g} mm thick), never on the bare bed and never on the board; x "
            "and y at the mark on the bed"
        )
    why = f"face {under} rests on it" if under in wood.faced else "the shims stand on it"
    return f"z on the bed beside the board ({why}), never on the board; x and y at the mark on the bed"


def touched_with(shop: Shop) -> str:
    """Return what z is touched with and what it is set to there, to follow `zero_how`; or nothing."""
    touch = shop.z_touch
    if touch is None:
        return ""
    thick = format_length(touch.thickness, shop.units, 2)
    if touch.by == "paper":
        return f"; lower until paper {thick} thick just drags under the tip, and set z to {thick} there"
    return f"; lower onto the touch plate, {thick} thick, set z to {thick} there, and take the plate away"


def shims_under(piece: Piece, wood: Wood, place: Place) -> tuple[ShimPlace, ...]:
    """Return the shims under a board whose lower face is still rough, work frame."""
    if place.up == "B" or "B" in wood.faced:
        return ()
    board, matrix = wood.board, wood.matrix(place)
    found = []
    for shim in piece.seating.shims:
        under = float(board.bottom_at(np.array([[shim.x, shim.y]]))[0])
        x, y, *_ = matrix @ np.array([shim.x, shim.y, under, 1.0])
        found.append(ShimPlace(board.name, round(float(x), 1), round(float(y), 1), shim.thickness))
    return tuple(found)


def placing_of(
    shop: Shop,
    wood: Wood,
    place: Place,
    *,
    against_fence: bool,
    bed: tuple[float, float] = (-FAR, FAR),
) -> tuple[Placing, ...]:
    """Two distances from a line on the bed, and one along it: enough to lay a board without a reference.

    `bed`: between which x there is a bed to measure from.
    """
    units, outline = shop.units, wood.plan(place)
    x0, _, x1, _ = outline.bounds
    mark_y = shop.bed.mark[1]
    line_y = shop.fence.face - mark_y if shop.fence else 0.0
    line = "the fence's face" if shop.fence else "the line through the mark, along x"
    side = "right" if x0 >= 0 else "left"
    lengthwise = Placing(
        x0,
        round(abs(x0), 1),
        f"{format_length(round(abs(x0), 1), units)} along x from the mark to the board's left end, "
        f"which lies {side} of it",
    )
    if against_fence:
        return (lengthwise,)
    found = []
    x0, x1 = max(x0, bed[0]), min(x1, bed[1])
    for x in (x0 + 0.1 * (x1 - x0), x1 - 0.1 * (x1 - x0)):
        near = outline.intersection(shapely.LineString([(x, -FAR), (x, FAR)])).bounds[1]
        far = format_length(round(float(near - line_y), 1), units)
        text = f"{far} from {line} to the board's near edge, at x = {format_length(round(float(x)), units)}"
        found.append(Placing(round(float(x), 1), round(float(near - line_y), 1), text))
    return (*found, lengthwise)


def seat_check(
    wood: Wood, place: Place, g: Group, bed: tuple[float, float] = (-FAR, FAR)
) -> tuple[tuple[float, float, float, float], ...]:
    """Three heights above the bed to read once the board is held: they must be what was planned from."""
    if not isinstance(g.steps[0], FaceStep) or place.up in wood.faced:
        return ()
    board, matrix = wood.board, wood.matrix(place)
    inside = shapely.Polygon(board.outline).buffer(-1.0)
    knots = np.array([(x, y) for x in board.x for y in board.y if inside.contains(shapely.Point(x, y))])
    if len(knots):
        at_x = np.column_stack([knots, np.zeros(len(knots)), np.ones(len(knots))]) @ matrix[0]
        knots = knots[(at_x >= bed[0]) & (at_x <= bed[1])]
    if len(knots) < 3:
        return ()
    x_lo, x_hi = knots[:, 0].min(), knots[:, 0].max()
    y_lo, y_hi = knots[:, 1].min(), knots[:, 1].max()
    targets = ((x_lo, y_lo), (x_lo, y_hi), (x_hi, (y_lo + y_hi) / 2))
    at = np.array([knots[int(np.argmin(np.hypot(*(knots - target).T)))] for target in targets])
    read = board.top_at if place.up == "A" else board.bottom_at
    points = np.column_stack([at, read(at), np.ones(len(at))]) @ matrix.T
    return tuple(
        (round(float(p[0]), 1), round(float(p[1]), 1), round(float(p[2]), 2), SEAT_WITHIN) for p in points
    )


def notes_of(g: Group) -> tuple[str, ...]:
    """Return what else the sheet must say of a clamping."""
    notes = list(g.before)
    if g.against_fence:
        notes.append(
            "Push the trued edge hard against every piece of the fence while the clamps are tightened."
        )
    return tuple(notes)
