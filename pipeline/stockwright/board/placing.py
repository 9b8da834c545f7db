"""Where the finished piece lies in the crooked outline. In: outlines, size. Out: `Placement` or `TooSmall`.

Public:
    Margins(edge_1, edge_2, end_1, end_2)           least wood wanted beyond each side of the piece, mm
    Spare(edge_1, edge_2, end_1, end_2)             wood there is beyond each side, margins not taken off
    Placement(angle, x0, y0, length, width, spare)  .corners() -> (4, 2)
    TooSmall(length, width, largest_length, largest_width, limiting)
    place_piece(outlines, length, width, margins=Margins()) -> Placement | TooSmall
    largest_rectangle(outlines, *, length=None, width=None, margins=Margins()) -> (length, width)
    place_along(outlines, edge, length, take) -> Placement       one edge is cut, the other stays as it is
`outlines` is one (k, 2) array or several (see `frame.levelled_outlines`): the piece lies inside all of them.
Promise: a placement lies inside every outline with its margins, whatever the outline's shape.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.lp import minimise
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Margins", "Placement", "Spare", "TooSmall", "largest_rectangle", "place_along", "place_piece"]


@frozen
class Margins:
    """The least wood wanted beyond each side of the piece, mm."""

    edge_1: float = 0.0
    edge_2: float = 0.0
    end_1: float = 0.0
    end_2: float = 0.0


_NONE = Margins()
_ROUNDS = 20  # direction and window settle in two or three; the rest is for odd outlines
_STILL = 1e-12  # slope, or mm: a change of it is a float's own error
_NEAR = 1e-6  # mm; how near counts as fitting
_FINE = 0.01  # mm; how finely a largest length is searched


@frozen
class Spare:
    """The least wood there is beyond each side of the piece, mm; margins are part of it."""

    edge_1: float
    edge_2: float
    end_1: float
    end_2: float


@frozen
class Placement:
    """The piece in the plane: its corner (edge-1 meets end-1) at `x0`, `y0`, turned by `angle` degrees.

    `angle` is from the outline's x axis to edge-1, anticlockwise; `spare` is the wood beyond each side.
    """

    angle: float
    x0: float
    y0: float
    length: float
    width: float
    spare: Spare

    def corners(self) -> Floats:
        """Return the (4, 2) corners, anticlockwise from the origin corner."""
        c, s = np.cos(np.radians(self.angle)), np.sin(np.radians(self.angle))
        local = np.array([[0, 0], [self.length, 0], [self.length, self.width], [0, self.width]], dtype=float)
        placed: Floats = local @ np.array([[c, s], [-s, c]]) + np.array([self.x0, self.y0])
        return placed


@frozen
class TooSmall:
    """No place for the piece with its margins.

    `largest_width` is the widest piece of the wanted length, `largest_length` the longest of the wanted
    width (0 where there is none); `limiting` is the sentence that says which sides are short.
    """

    length: float
    width: float
    largest_length: float
    largest_width: float
    limiting: str


def place_piece(
    outlines: Floats | Sequence[Floats], length: float, width: float, margins: Margins = _NONE
) -> Placement | TooSmall:
    """Place the piece so that the smaller spare of its two edges is greatest, and the length is centred.

    The outline's sides within 45 degrees of the piece's length count as edges, the others as ends; each side
    is looked at only where the piece is, so a crooked end costs no width. Spares are compared after margins
    are taken off.
    """
    shapes = _shapes(outlines)
    found = _best(shapes, length, width, margins)
    short = _short(found.spare, margins)
    if max(short) <= _NEAR:
        return found
    widest = _widest(shapes, length, margins)
    longest = _longest(shapes, width, margins)
    names = ("edge-1", "edge-2", "end-1", "end-2")
    sides = [
        f"at {name} the piece with its margin is {lack:.1f} mm beyond the wood"
        for name, lack in zip(names, short, strict=True)
        if lack > _NEAR
    ]
    return TooSmall(length, width, longest, widest, "; ".join(sides))


def largest_rectangle(
    outlines: Floats | Sequence[Floats],
    *,
    length: float | None = None,
    width: float | None = None,
    margins: Margins = _NONE,
) -> tuple[float, float]:
    """Return (length, width): the widest piece of that `length`, or the longest of that `width`.

    One of the two is given. Zero for the other where there is no such piece. Found to 0.01 mm, low side.
    """
    shapes = _shapes(outlines)
    if length is not None and width is None:
        return length, _widest(shapes, length, margins)
    if width is not None and length is None:
        return _longest(shapes, width, margins), width
    raise ValueError("give either the length or the width")


def place_along(
    outlines: Floats | Sequence[Floats], edge: Literal["edge-1", "edge-2"], length: float | None, take: float
) -> Placement:
    """Place the piece along the one edge that is cut: as little off as takes at least `take` mm everywhere.

    The piece is as wide as the wood reaches from there, and `length` long, centred between its ends; None is
    as long as there is wood all across. A spare below zero at an end: the board is too short.
    """
    shapes = _shapes(outlines)
    if edge == "edge-2":  # seen in a mirror, and anticlockwise again
        shapes = tuple(shape[::-1] * np.array([1.0, -1.0]) for shape in shapes)
    angle = 0.0
    middle = float(shapes[0][:, 0].min() + shapes[0][:, 0].max()) / 2.0
    long = np.inf if length is None else length
    window = (middle - long / 2.0, middle + long / 2.0)
    for _ in range(_ROUNDS):
        under, _ = _Sides.of(shapes, angle).edges(*window)
        angle += float(np.degrees(np.arctan(_support(under))))
        sides = _Sides.of(shapes, angle)
        under, _ = sides.edges(*window)
        line = float(under[:, 1].max())
        y0 = line + take
        top = max(float(sides.upper[..., 1].max()), y0 + _NEAR)
        left, right = sides.ends(y0, top)
        long = right - left if length is None else length
        x0 = (left + right - long) / 2.0
        if length is None:
            continue  # the whole edge comes clean, ends or no ends
        before, window = window[0], (x0, x0 + long)
        if abs(before - x0) < _NEAR:
            break
    spare = Spare(y0 - line, 0.0, x0 - left, right - x0 - long)
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    x, y, width = float(c * x0 - s * y0), float(s * x0 + c * y0), top - y0
    if edge == "edge-1":
        return Placement(angle, x, y, long, width, spare)
    spare = Spare(0.0, spare.edge_1, spare.end_1, spare.end_2)
    # Back from the mirror: the line is edge-2's, and the corner a width below it.
    return Placement(-angle, x - float(s) * width, -y - float(c) * width, long, width, spare)


def _support(under: Floats) -> float:
    """Return the slope of the line over these points that leaves the least between it and them.

    The area between depends on the line's height in the middle alone; of lines as good, the one whose
    greatest distance is least.
    """
    low, high = float(under[:, 0].min()), float(under[:, 0].max())
    middle, half = (low + high) / 2.0, max((high - low) / 2.0, 1.0)
    along, one, zero = (under[:, 0] - middle) / half, np.ones(len(under)), np.zeros(len(under))
    # Columns: slope per half of the length, height in the middle, greatest distance.
    rows = np.vstack([np.column_stack([-along, -one, zero]), np.column_stack([along, one, -one])])
    most = np.concatenate([-under[:, 1], under[:, 1]])
    slope, _, _ = minimise([0.0, 1.0, 1e-3], rows, most, [-half, -np.inf, 0.0], [half, np.inf, np.inf])
    return float(slope / half)


def _shapes(outlines: Floats | Sequence[Floats]) -> tuple[Floats, ...]:
    if isinstance(outlines, np.ndarray) and outlines.ndim == 2:
        return (outlines,)
    return tuple(np.asarray(shape, dtype=float) for shape in outlines)


def _short(spare: Spare, margins: Margins) -> tuple[float, float, float, float]:
    """Return by how much each side lacks wood for its margin; negative: so much to spare."""
    return (
        margins.edge_1 - spare.edge_1,
        margins.edge_2 - spare.edge_2,
        margins.end_1 - spare.end_1,
        margins.end_2 - spare.end_2,
    )


def _best(shapes: tuple[Floats, ...], length: float, width: float, margins: Margins) -> Placement:
    """Return the best place found, whether or not it has room for the margins.

    Direction and window depend on each other: a linear program gives the direction for the window, the
    window follows the direction, until both stand still. Every step is judged by the spares it really has.
    """
    angle = 0.0
    low, high = shapes[0].min(axis=0), shapes[0].max(axis=0)
    window = ((low[0] + high[0] - length) / 2.0, (low[0] + high[0] + length) / 2.0)
    best: Placement | None = None
    least = np.inf
    for _ in range(_ROUNDS):
        sides = _Sides.of(shapes, angle)
        slope, y0 = _line(sides, window, width, margins)
        sides = _Sides.of(shapes, angle + float(np.degrees(np.arctan(slope))))
        _, y0 = _line(sides, window, width, margins, swivel=False)
        angle = sides.angle
        left, right = sides.ends(y0, y0 + width)
        x0 = left + margins.end_1 + (right - left - margins.end_1 - margins.end_2 - length) / 2.0
        spare = sides.spare(x0, y0, length, width)
        lack = max(_short(spare, margins))
        c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
        here = Placement(angle, float(c * x0 - s * y0), float(s * x0 + c * y0), length, width, spare)
        if best is None or lack < least - _STILL:
            best, least = here, lack
        if abs(slope) < _STILL and abs(window[0] - x0) < _NEAR:
            break
        window = (x0, x0 + length)
    assert best is not None
    return best


def _line(
    sides: _Sides, window: tuple[float, float], width: float, margins: Margins, *, swivel: bool = True
) -> tuple[float, float]:
    """Return slope and height at x = 0 of edge-1, turned coordinates, with the smaller spare greatest."""
    under, over = sides.edges(*window)
    middle, half = (window[0] + window[1]) / 2.0, max((window[1] - window[0]) / 2.0, 1.0)
    # Columns: slope per half window, height at the middle, spare beyond the margins.
    rows = np.vstack(
        [
            np.column_stack([-(under[:, 0] - middle) / half, -np.ones(len(under)), np.ones(len(under))]),
            np.column_stack([(over[:, 0] - middle) / half, np.ones(len(over)), np.ones(len(over))]),
        ]
    )
    most = np.concatenate([-under[:, 1] - margins.edge_1, over[:, 1] - width - margins.edge_2])
    turn = half if swivel else 0.0  # at most 45 degrees
    slope, height, _ = minimise(
        [0.0, 0.0, -1.0], rows, most, [-turn, -np.inf, -np.inf], [turn, np.inf, np.inf]
    )
    slope /= half
    return float(slope), float(height - slope * middle)


def _widest(shapes: tuple[Floats, ...], length: float, margins: Margins) -> float:
    """Return the greatest width at that length: what is spare at both edges could be width."""
    width = 0.0
    for _ in range(_ROUNDS):
        found = _best(shapes, length, width, margins)
        lack = _short(found.spare, margins)
        more = -2.0 * max(lack[0], lack[1])
        width = max(width + more, 0.0)
        if abs(more) < _NEAR:
            break
    # The ends may lean: a wider piece may be too long for them. Then narrow it until they allow it.
    low, high = 0.0, width
    while high - low > _FINE:
        if max(_short(_best(shapes, length, high, margins).spare, margins)) <= _NEAR:
            return high
        middle = (low + high) / 2.0
        if max(_short(_best(shapes, length, middle, margins).spare, margins)) <= _NEAR:
            low = middle
        else:
            high = middle
    return low


def _longest(shapes: tuple[Floats, ...], width: float, margins: Margins) -> float:
    """Return the greatest length at that width, by halving: where a piece fits, a shorter one does."""
    low = 0.0
    high = float(np.hypot(*np.ptp(shapes[0], axis=0)))
    while high - low > _FINE:
        middle = (low + high) / 2.0
        if max(_short(_best(shapes, middle, width, margins).spare, margins)) <= _NEAR:
            low = middle
        else:
            high = middle
    return low


@frozen(eq=False)
class _Sides:
    """The outlines turned by -`angle` degrees, their sides sorted: each (k, 2, 2), from point to point."""

    angle: float
    lower: Floats
    upper: Floats
    left: Floats
    right: Floats

    @classmethod
    def of(cls, shapes: tuple[Floats, ...], angle: float) -> _Sides:
        c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
        turn = np.array([[c, -s], [s, c]])
        sides = []
        for shape in shapes:
            turned = shape @ turn
            sides.append(np.stack([turned, np.roll(turned, -1, axis=0)], axis=1))
        segments = np.concatenate(sides)
        run = segments[:, 1] - segments[:, 0]
        along = np.abs(run[:, 0]) >= np.abs(run[:, 1])
        # Anticlockwise, so wood lies to the left of every side.
        return cls(
            angle,
            _or_tip(segments[along & (run[:, 0] > 0)], segments, 1, -1.0),
            _or_tip(segments[along & (run[:, 0] < 0)], segments, 1, 1.0),
            _or_tip(segments[~along & (run[:, 1] < 0)], segments, 0, -1.0),
            _or_tip(segments[~along & (run[:, 1] > 0)], segments, 0, 1.0),
        )

    def edges(self, x_low: float, x_high: float) -> tuple[Floats, Floats]:
        """Return the corners (k, 2) of the lower and upper sides between two x."""
        return _between(self.lower, 0, x_low, x_high), _between(self.upper, 0, x_low, x_high)

    def ends(self, y_low: float, y_high: float) -> tuple[float, float]:
        """Return how far right the left end reaches between two y, and how far left the right end."""
        left, right = _between(self.left, 1, y_low, y_high), _between(self.right, 1, y_low, y_high)
        return float(left[:, 0].max()), float(right[:, 0].min())

    def spare(self, x0: float, y0: float, length: float, width: float) -> Spare:
        """Return the wood beyond each side of the piece."""
        under, over = self.edges(x0, x0 + length)
        left, right = self.ends(y0, y0 + width)
        return Spare(
            edge_1=float(y0 - under[:, 1].max()),
            edge_2=float(over[:, 1].min() - y0 - width),
            end_1=float(x0 - left),
            end_2=float(right - x0 - length),
        )


def _or_tip(sides: Floats, segments: Floats, axis: int, sign: float) -> Floats:
    """Return the sides, or the outline's farthest point where a slant leaves none that looks this way."""
    if len(sides):
        return sides
    points = segments[:, 0]
    tip = points[np.argmax(sign * points[:, axis])]
    return np.stack([tip, tip])[None]


def _between(sides: Floats, axis: int, low: float, high: float) -> Floats:
    """Return the end points of the parts of `sides` with low <= coordinate <= high.

    Where no side reaches into the window, the corners nearest to it stand in: wood ends there.
    """
    a, b = sides[:, 0, axis], sides[:, 1, axis]
    hit = (np.minimum(a, b) <= high) & (np.maximum(a, b) >= low)
    if not hit.any():
        ends = sides.reshape(-1, 2)
        gap = np.maximum(low - ends[:, axis], ends[:, axis] - high)
        nearest: Floats = ends[gap <= gap.min() + _NEAR]
        return nearest
    some = sides[hit]
    first, run = some[:, 0], some[:, 1] - some[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (np.array([low, high])[None, :] - first[:, axis, None]) / run[:, axis, None]
    t = np.clip(np.where(np.isfinite(t), t, np.array([0.0, 1.0])), 0.0, 1.0)
    found: Floats = (first[:, None, :] + t[:, :, None] * run[:, None, :]).reshape(-1, 2)
    return found
