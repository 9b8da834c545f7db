"""How far a piece of wood will move. In: species, sawing, size, moisture now and there. Out: `Movement`, mm.

Public:
    movement_of(species, sawn, width, thickness, now, there) -> Movement
    while_resting(moves) -> mm             how far a board may warp and change until it agrees with its place
    Movement(now, there, width, thickness, cup), each of the three a (low, high)
Promise: where the sawing is not known the answer is a range, from as if it were sawn one way to the other;
lengthwise movement is left out (0.1 to 0.2 % from green to dry, Wood Handbook).
Source unless said: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, ch. 4 and 13.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stockwright.board.moisture import gradient_cup, movement, movement_wide
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from stockwright.board.species import Species

__all__ = ["METERS_AGREE", "UNKNOWN_WARP", "Movement", "movement_of", "while_resting"]

Sawn = Literal["flat", "quarter", "unknown"]
Span = tuple[float, float]

METERS_AGREE = 1.0  # %: a batch read properly is within this of the truth (Wood Handbook, ch. 4)
UNKNOWN_WARP = 0.8  # mm a rested board may warp by stress, whatever its moisture; common practice, no source
_LINEAR = (6.0, 14.0)  # % between which eq. 13-2 holds
_FIBRE_SATURATION = 30.0  # %: wetter wood does not move


@frozen
class Movement:
    """What a piece does between the moisture `now` and `there`, %; spans are (low, high), mm.

    `width` and `thickness` are changes, negative where it shrinks, the nearer to nothing first. `cup` is the
    greatest it may stand hollow while one face is there already and the other as now; `cup_each` is that
    for each 1 % between its faces.
    """

    now: float
    there: float
    width: Span
    thickness: Span
    cup: Span
    cup_each: Span

    @property
    def shrinks(self) -> bool:
        """Whether it gets smaller."""
        return self.there < self.now


def movement_of(
    species: Species, sawn: Sawn, width: float, thickness: float, now: float, there: float
) -> Movement:
    """Return how a piece `width` x `thickness` mm moves from `now` to `there`, % of moisture.

    A flatsawn board's width moves tangentially and its thickness radially, a quartersawn one's the other way
    round. By eq. 13-2 where both moistures lie between 6 and 14 %, else by eq. 13-3; above 30 % nothing
    moves. Boards are rarely sawn perfectly either way: the handbook says that so reckoned the width's change
    is rather too great and the thickness's too small.
    """
    tangential = _change(species.tangential, species.shrinkage_tangential, now, there)
    radial = _change(species.radial, species.shrinkage_radial, now, there)
    across = {"flat": (tangential,), "quarter": (radial,), "unknown": (radial, tangential)}[sawn]
    through = {"flat": (radial,), "quarter": (tangential,), "unknown": (radial, tangential)}[sawn]
    wet, dry = (min(m, _FIBRE_SATURATION) for m in (now, there))
    each = _span(*(gradient_cup(width, thickness, c, 1.0) for c in _coefficients(species, sawn)))
    return Movement(
        now=now,
        there=there,
        width=_span(*(width * share for share in across)),
        thickness=_span(*(thickness * share for share in through)),
        cup=(each[0] * abs(wet - dry), each[1] * abs(wet - dry)),
        cup_each=each,
    )


def while_resting(moves: Movement | None) -> float:
    """Return how far, mm, a face of a board laid to rest may end from where it was cut.

    Its thickness changes, and it cups by as much as the two faces may still differ when the meter says that
    they agree. Stress sawn free warps it too, and no moisture tells how far: a stated least is kept for that.
    `None` where species or moisture is not known.
    """
    if moves is None:
        return UNKNOWN_WARP
    known = abs(moves.thickness[1]) + moves.cup_each[1] * min(METERS_AGREE, abs(moves.there - moves.now))
    return max(UNKNOWN_WARP, known)


def _coefficients(species: Species, sawn: Sawn) -> tuple[float, ...]:
    both = {"flat": (species.tangential,), "quarter": (species.radial,)}
    return both.get(sawn, (species.radial, species.tangential))


def _change(coefficient: float, shrinkage: float, now: float, there: float) -> float:
    """Return the change of each mm of size."""
    low, high = _LINEAR
    if low <= now <= high and low <= there <= high:
        return movement(1.0, coefficient, now, there)
    return movement_wide(1.0, shrinkage, min(now, _FIBRE_SATURATION), min(there, _FIBRE_SATURATION))


def _span(*values: float) -> Span:
    """Return the value nearest to nothing and the one farthest from it."""
    return min(values, key=abs), max(values, key=abs)
