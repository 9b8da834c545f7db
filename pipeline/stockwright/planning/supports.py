"""Whether the seated board is supported where it is pressed. In: a board, its seating. Out: findings.

Promise: how far the board would spring is given in millimetres beside what its flatness may be out by, with
the places where more shims would cure it; a span longer than the shop allows is always reported.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stockwright.board.spring import PUSH, more_shims, springs, stiffness_of
from stockwright.findings import Finding

if TYPE_CHECKING:
    from stockwright.board.seating import Seating
    from stockwright.board.spans import Place, Span
    from stockwright.board.spring import Spring
    from stockwright.board.surface import Board

__all__ = ["badly_supported"]

FLAT = 0.2  # mm, where the recipe asks for no flatness; common practice, no source
_LISTED = 8  # spans told with their places; the others are counted
_ONE_SHIM = 15.0  # mm: places nearer than this are one; a shim is wider, common practice, no source
_EXACT = 0.5  # mm a span may be longer: places are told to a millimetre


def badly_supported(
    board: Board, seating: Seating, thickness: float, longest: float, flatness: float | None
) -> list[Finding]:
    """Return what is wrong with the supports of `board`, `thickness` mm thick once its first face is cut.

    `longest` is the longest span the shop allows, `flatness` what the finished face may be out by.
    """
    allowed = FLAT if flatness is None else flatness
    found = [] if seating.policy == "as-it-lies" else _too_long(board, seating, longest)
    pressed = springs(board, seating.spans, thickness=thickness) if thickness > 0 else ()
    over = [s for s in pressed if s.sag > allowed]
    if over:
        found.append(_springs(board, over, thickness, allowed))
    return found


def _springs(board: Board, over: list[Spring], thickness: float, allowed: float) -> Finding:
    worst, wood = over[0], stiffness_of(board.species)
    if worst.force < 1.0:
        down = "its own weight lays it down on what is under it"
    elif worst.force <= PUSH:
        down = f"{worst.force:.0f} N press it down on what is under it"
    else:
        down = f"{PUSH:.0f} N bend it so far"
    further = [place for s in over[:_LISTED] for place in more_shims(s, allowed)]
    places = "; ".join(f"at {_at(place)}" for place in _apart(further))
    more = f"; and in {len(over) - _LISTED} more spans" if len(over) > _LISTED else ""
    return Finding(
        rule="springs-when-pressed",
        level="warn",
        message=(
            f"{board.name}, {thickness:.1f} mm thick once face A is cut, springs by up to {worst.sag:.2f} mm "
            f"where it is pressed at {_at(worst.span.at)}, in a {_named(worst.span)} of "
            f"{worst.span.length:.0f} mm, and springs back after: {down}; "
            f"flatness allows {allowed:.2f} mm (reckoned for {wood.said}, {wood.along:.0f} N/mm2)"
        ),
        remedy=f"put further shims, pushed in until they just touch, {places}{more}; press only over shims",
        measured=round(worst.sag, 3),
        limit=round(allowed, 3),
    )


def _too_long(board: Board, seating: Seating, longest: float) -> list[Finding]:
    over = [s for s in seating.spans if s.kind == "span" and s.length > longest + _EXACT]
    if not over:
        return []
    worst = max(over, key=lambda s: s.length)
    return [
        Finding(
            rule="span-too-long",
            level="warn",
            message=(
                f"{board.name} bears on nothing for {worst.length:.0f} mm about {_at(worst.at)}: the shop's "
                f"shims leave it {worst.gap:.2f} mm off its support"
            ),
            remedy="list thinner shims, or put paper in the gaps until every shim is snug",
            measured=round(worst.length, 3),
            limit=round(longest, 3),
        )
    ]


def _named(span: Span) -> str:
    words = {"span": "span", "overhang": "free end", "span across": "span across the grain"}
    return words.get(span.kind, "free edge")


def _apart(places: list[Place]) -> list[Place]:
    """Return the places, without those where one shim serves two spans."""
    kept: list[Place] = []
    for x, y in places:
        if all(math.hypot(x - a, y - b) > _ONE_SHIM for a, b in kept):
            kept.append((x, y))
    return kept


def _at(place: Place) -> str:
    """Return a place on the board, as it was measured."""
    return f"{place[0]:.0f} mm along, {place[1]:.0f} mm across"
