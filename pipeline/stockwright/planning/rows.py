"""Boards laid side by side in one row.

In: boards on their way, how each lies. Out: `Row`, or why there is none. Work frame, mm, not yet shifted to
the bed. Promise: the ends that are cut stand in one line and the edges touch; what keeps them from touching
or from lying square is measured, and refused where it is too much.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import affinity

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.job import EdgeStep
from stockwright.planning.lay import wall_at
from stockwright.planning.wood import Place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.board.surface import Board
    from stockwright.planning.groups import Group
    from stockwright.planning.piece import Piece
    from stockwright.planning.wood import Wood

    Floats = NDArray[np.float64]

__all__ = ["Member", "Row", "closed", "row_of"]

# mm two boards of a row may stand apart anywhere: no squeeze closes more; common practice, no source
LOOSE = 1.0
SQUARE = 0.3  # mm an end may be out of square where nothing is asked; common practice, no source
SHARE = 0.5  # of what is asked may go into how the row lies; our own choice
STATIONS = 61  # along two neighbours


@frozen(eq=False)
class Member:
    """A board on its way: its piece, the wood it now is, and the clampings that its steps come to."""

    board: Board
    piece: Piece
    wood: Wood
    groups: tuple[Group, ...]


@frozen(eq=False)
class Row:
    """Boards side by side, the first one nearest to the operator.

    `lying` says how each lies and where, x and y against the first; `wood` stands for all of them when
    hold-downs are placed: the first one's, with the outline of the whole row.
    """

    members: tuple[Member, ...]
    groups: tuple[Group, ...]
    lying: tuple[Place, ...]
    wood: Wood

    def places(self, first: Place) -> tuple[Place, ...]:
        """Return where each board lies once the first one lies at `first`."""
        x, y, _ = first.shift
        return tuple(
            replace(place, shift=(place.shift[0] + x, place.shift[1] + y, m.wood.rests_at(place.up)))
            for place, m in zip(self.lying, self.members, strict=True)
        )


def row_of(
    members: Sequence[Member], groups: Sequence[Group], index: int, squareness: float | None
) -> Row | Finding:
    """Lay boards side by side, their ends in line; `groups` is each one's own clamping."""
    lying = [Place(g.place.up, g.place.quarter_turns) for g in groups]
    names = [m.board.name for m in members]
    if any(place.quarter_turns % 2 for place in lying):
        return _finding(
            "row-lies-crosswise",
            "a row of boards is squeezed across the grain, and the grain of these runs along it",
            "turn no end to the fence before this step",
            90.0,
            0.0,
            index,
        )
    sides = [s.side for s in groups[0].steps if isinstance(s, EdgeStep)]
    for place, name in zip(lying, names, strict=True):
        if any(place.looks(side) != lying[0].looks(side) for side in sides):
            return _finding(
                "row-lies-both-ways",
                f"{name} lies with its ends the other way round than {names[0]}, and one pass cuts both",
                "flip every second board edge over edge, so that its ends stay where they are",
                180.0,
                0.0,
                index,
            )
    laid, outlines = [lying[0]], [members[0].wood.plan(lying[0])]
    line = _left_wall(members[0], lying[0])
    lean = 0.0
    for m, place, before in zip(members[1:], lying[1:], names, strict=False):
        outline = affinity.translate(m.wood.plan(place), line - _left_wall(m, place))
        low, high, reach = _facing(outlines[-1], outline)
        away = float((high - low).max())
        apart = away - (high - low)
        if float(apart.max()) > LOOSE:
            return _finding(
                "row-does-not-close",
                f"{before} and {m.board.name} touch each other and stand {apart.max():.1f} mm apart "
                "elsewhere: no squeeze holds them",
                "cut their edges straight before this step, each board alone",
                float(apart.max()),
                LOOSE,
                index,
            )
        lean += float(apart.max()) / reach
        most = SHARE * (SQUARE if squareness is None else squareness)
        out = lean * float(np.ptp(outline.bounds[1::2]))
        if sides and out > most:
            return _finding(
                "row-leans",
                f"pushed against the boards before it {m.board.name} may lie so far askew that its end is "
                f"{out:.2f} mm out of square",
                "lay fewer boards side by side, those with parallel edges first",
                out,
                most,
                index,
            )
        laid.append(replace(place, shift=(line - _left_wall(m, place), away, 0.0)))
        outlines.append(affinity.translate(outline, 0.0, away))
    first = replace(members[0].wood, outline=_back(lying[0], closed(outlines)))
    return Row(tuple(members), tuple(groups), tuple(laid), first)


def closed(outlines: Sequence[shapely.Polygon]) -> shapely.Polygon:
    """Return one outline around boards that touch each other, the slits between them filled."""
    grown = shapely.union_all([o.buffer(LOOSE, join_style="mitre") for o in outlines])
    whole = grown.buffer(-LOOSE, join_style="mitre")
    return whole if isinstance(whole, shapely.Polygon) else shapely.union_all(list(outlines)).convex_hull


def _left_wall(m: Member, place: Place) -> float:
    return wall_at(m.piece, place, place.side_looking(-1.0, 0.0))


def _facing(near: shapely.Polygon, far: shapely.Polygon) -> tuple[Floats, Floats, float]:
    """Return the far board's low and the near one's high side (y) where they face, and over what length."""
    x0 = max(near.bounds[0], far.bounds[0])
    x1 = min(near.bounds[2], far.bounds[2])
    inset = 0.02 * (x1 - x0)
    corners = np.concatenate([np.asarray(o.exterior.coords)[:, 0] for o in (near, far)])
    x0, x1 = x0 + inset, x1 - inset
    at = np.unique(np.r_[np.linspace(x0, x1, STATIONS), corners[(corners > x0) & (corners < x1)]])
    y0, y1 = min(near.bounds[1], far.bounds[1]) - 1, max(near.bounds[3], far.bounds[3]) + 1
    lines = shapely.linestrings([[(x, y0), (x, y1)] for x in at])
    high = np.asarray(shapely.bounds(shapely.intersection(lines, near)))[:, 3]
    low = np.asarray(shapely.bounds(shapely.intersection(lines, far)))[:, 1]
    return low, high, float(x1 - x0)


def _back(place: Place, shape: shapely.Polygon) -> shapely.Polygon:
    """Return a shape of the work frame in the piece frame of a board lying at `place`, not shifted."""
    m = np.linalg.inv(place.matrix())
    back = affinity.affine_transform(shape, [m[0, 0], m[0, 1], m[1, 0], m[1, 1], m[0, 3], m[1, 3]])
    assert isinstance(back, shapely.Polygon)
    return back


def _finding(rule: str, message: str, remedy: str, measured: float, limit: float, index: int) -> Finding:
    return Finding(
        rule=rule,
        level="refuse",
        message=message,
        remedy=remedy,
        measured=round(measured, 3),
        limit=round(limit, 3),
        setup=index,
    )
