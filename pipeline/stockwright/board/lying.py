"""How a board lies on shims. In: a `Board`, where shims may go, the shop's shims. Out: `Lie`s, one a choice.

Public:
    Lie(rest, slab, shims, gaps, loose, ideal)
    Bed.of(board, places, shop, region)     what does not change between the lies of one board
        .on(shims as gaps) .shimmed(demand) .thick_enough(wanted) -> Lie
        .rocking(lie) -> mm; .spans(lie, gaps) -> Spans
Promise: a lie is what the board does on shims that exist: it stands where its weight lets it stand, and the
slab is that of the tilt it then has.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.shims import LEAST, stacked
from stockwright.board.slab import Rest, Resting, Slab, Solid, least_shims, slab_at, thickest_slab
from stockwright.board.spans import find_spans
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.board.spans import Span
    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["TOUCH", "Bed", "Lie"]

TOUCH = 1e-6  # mm; how near counts as touching
_BEARS = 0.1  # mm; wood nearer to its support bears on it, by a sheet of paper: common practice, no source
_LARGE = 2000  # stations, beyond which sorting out double points costs more than having them: measured
_BIN = 25.0  # mm; of a face that touches all over, one place in so many is kept as a support
# Shares of the thinnest shim by which all shims are raised together, to round them otherwise: these four
# bring the mean cost of rounding from 0.03 to 0.01 mm on random boards; more bring nothing (measured).
_RAISED = (0.5, -0.5, 0.25, -0.25)
_ENOUGH = 0.01  # mm; a rounding that costs less is not worth another try


@frozen(eq=False)
class Lie:
    """How the board lies on given shims.

    At the places for shims (k,): `gaps` between support and underside, what of them is left `loose` over the
    shim, and the gaps `planned` for ideal shims, on which the slab would be `ideal` thick.
    """

    rest: Rest
    slab: Slab
    shims: Floats
    gaps: Floats
    loose: Floats
    planned: Floats
    ideal: float


@frozen(eq=False)
class Bed:
    """What does not change between the lies of one board."""

    board: Board
    whole: Solid
    solid: Solid
    best: Slab
    places: Floats
    under: Floats
    shop: tuple[float, ...]
    centre: tuple[float, float]

    @classmethod
    def of(cls, board: Board, places: Floats, shop: tuple[float, ...], region: Floats | None = None) -> Bed:
        """Return the bed of `board`; `region` (k, 2) limits the slab to a part of it."""
        whole = _solid(board, None)
        solid = whole if region is None else _solid(board, region)
        x, y = board.mass_centre()
        # Moved by a fixed trifle: above an edge of the contacts two answers tie.
        centre = (x + 0.0137, y + 0.0071)
        return cls(board, whole, solid, thickest_slab(solid), places, board.bottom_at(places), shop, centre)

    def thick_enough(self, wanted: float) -> Lie:
        """Return the lie with the least shims that gives `wanted` once they are rounded, or the thickest."""
        best = self.best
        enough = wanted if wanted < best.thickness else best.thickness - _ENOUGH
        demands = [wanted, (wanted + best.thickness) / 2.0] if wanted < best.thickness else []
        lies = []
        for demand in (*demands, best.thickness):
            lie = self.shimmed(demand * best.lean)
            if lie.slab.thickness >= enough:
                return lie
            lies.append(lie)
        for share in _RAISED if self.shop else ():
            lie = self.on(lies[-1].planned + share * min(self.shop), lies[-1].planned, lies[-1].ideal)
            if lie.slab.thickness >= enough:
                return lie
            lies.insert(0, lie)
        # Where rounding spoils it, shims that only stop the rocking may be the better ones.
        return max([*reversed(lies), self.shimmed(None)], key=lambda lie: lie.slab.thickness)

    def shimmed(self, demand: float | None) -> Lie:
        """Return the lie on the least shims whose slab is `demand` thick along z."""
        most = None if demand is None else min(demand, self.best.top - self.best.bottom) - 1e-7
        plane = least_shims(self.solid, self.whole, self.places, self.under, most)
        gaps = self._over(plane)
        return self.on(gaps, gaps, slab_at(self.solid, plane.a, plane.b).thickness)

    def as_it_lies(self) -> Lie:
        """Return the lie on no shims."""
        none = np.zeros(len(self.places))
        return self.on(none, none, None)

    def on(self, fill: Floats, planned: Floats, ideal: float | None) -> Lie:
        """Return the lie on shims stacked as near to `fill` as the shop's set allows.

        `planned` are the gaps of ideal shims, `ideal` the thickness that those give; None: no shims.
        """
        shims = np.where(fill < LEAST, 0.0, stacked(fill, self.shop)) if self.shop else fill * (fill >= LEAST)
        plane = self._stands(shims, [self.centre])[0]
        if ideal is not None and self.shop:
            # Where the rounding of the others lifted the board off a shim, the shim follows; it never lifts.
            fits = stacked(self._over(plane) + TOUCH, self.shop, above=False)
            shims = np.maximum(shims, fits)
        slab = slab_at(self.solid, plane.a, plane.b)
        gaps = self._over(plane)
        return Lie(
            plane, slab, shims, gaps, gaps - shims, planned, slab.thickness if ideal is None else ideal
        )

    def _over(self, plane: Rest) -> Floats:
        """Return how far the underside is above the support at the places for shims."""
        over: Floats = self.under - self.places @ np.array([plane.a, plane.b]) - plane.c
        return over

    @cached_property
    def resting(self) -> Resting:
        """The underside over the places for shims."""
        return Resting(self.whole, self.places)

    def _stands(self, shims: Floats, unders: Sequence[tuple[float, float]]) -> list[Rest]:
        return self.resting.stands(self.under - shims, unders)

    def rocking(self, lie: Lie) -> float:
        """Return how far the board drops where it is pressed hard at the worst corner of the two rails."""
        corners = self.places[sorted({0, 1, len(self.places) - 2, len(self.places) - 1})]
        tipped = self._stands(lie.shims, [(float(x), float(y)) for x, y in corners])
        drops = [
            (plane.a - lie.rest.a) * float(x) + (plane.b - lie.rest.b) * float(y) + plane.c - lie.rest.c
            for plane, (x, y) in zip(tipped, corners, strict=True)
        ]
        # Under a millionth it is the solver's last digit.
        return max(drops) if max(drops) > TOUCH else 0.0

    def spans(self, lie: Lie, gaps: Floats) -> tuple[Span, ...]:
        """Return the spans between the places that bear; `gaps` are those of all points of the underside."""
        bears = self.whole.xy[gaps <= _BEARS]
        if len(bears) > len(self.places):
            third = np.floor(3.0 * (bears[:, 1] - bears[:, 1].min()) / (np.ptp(bears[:, 1]) + TOUCH))
            cell = np.column_stack([np.floor(bears[:, 0] / _BIN), third])
            bears = bears[np.unique(cell, axis=0, return_index=True)[1]]
        return find_spans(self.board, lie.rest, np.vstack([self.places[lie.loose <= _BEARS], bears]))


def _solid(board: Board, region: Floats | None) -> Solid:
    """Return the points that decide for all; of a large grid the heights are taken as they are, not read."""
    if board.top.size <= _LARGE:
        xy = board.critical_points(region)
        return Solid(xy, board.top_at(xy), board.bottom_at(xy))
    rim, wanted = board.critical_parts(region)
    x, y = np.broadcast_to(board.x[:, None], wanted.shape), np.broadcast_to(board.y, wanted.shape)
    first = len(rim)
    columns = np.empty((4, first + np.count_nonzero(wanted)))
    columns[:2, :first] = rim.T
    columns[2, :first], columns[3, :first] = board.top_at(rim), board.bottom_at(rim)
    for column, grid in zip(columns, (x, y, board.top, board.bottom), strict=True):
        column[first:] = grid[wanted]
    return Solid(columns[:2].T, columns[2], columns[3])
