"""How far a board springs when it is pressed where nothing is under it. In: spans, a push. Out: `Spring`s.

Public:
    second_moment(width, thickness) -> mm4
    sag_between(force, span, stiffness, moment), sag_beyond(force, overhang, beside, stiffness, moment),
    sag_of_own_weight(load, span, stiffness, moment) -> mm
    Stiffness(along, across, density, said), stiffness_of(species) -> Stiffness
    Spring(span, sag, force), springs(board, spans, *, thickness, push) -> tuple[Spring, ...]
    more_shims(spring, allowed) -> tuple of places
Sources: straight slender beam of one material on two supports or overhanging, load at the middle or the free
end: textbook mechanics. Stiffness at 12 % moisture: Wood Handbook, FPL-GTR-190, Table 5-3a (ponderosa pine
and walnut as read there, sugar maple in a secondary text); across the grain 0.065 of that along it, the
tangential value of maple, the lowest of its ratios. Promise: cautious; a real board bends less, since it also
carries sideways, and it never springs farther than to what is under it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.moisture import density
from stockwright.board.shims import reach_at
from stockwright.board.species import SPECIES
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.board.spans import Place, Span
    from stockwright.board.surface import Board

__all__ = [
    "PUSH",
    "Spring",
    "Stiffness",
    "more_shims",
    "sag_between",
    "sag_beyond",
    "sag_of_own_weight",
    "second_moment",
    "springs",
    "stiffness_of",
]

PUSH = 100.0  # N; a hand that presses, a cutter that pulls: common practice, no source
ACROSS = 0.065  # of the stiffness along the grain: see the sources above
_READ = {"maple-sugar": 12600.0, "pine-ponderosa": 8900.0, "walnut-black": 11600.0}  # N/mm2, see above
_UNKNOWN = 12000.0  # N/mm2, a hardwood of middle weight: common practice, no source
_LIGHT = 0.5  # specific gravity below which a wood of no stiffness read is taken as the softest one read
_GRAVITY = 9.81e-9  # N per mm3 of a density of 1 kg/m3
_MIDDLE = 700.0  # kg/m3, a hardwood of middle weight: common practice, no source
_INSET = 10.0  # mm from a free end to the middle of a shim; common practice, no source


def second_moment(width: float, thickness: float) -> float:
    """Return the second moment of area of a board bent over its face, mm4."""
    return width * thickness**3 / 12.0


def sag_between(force: float, span: float, stiffness: float, moment: float) -> float:
    """Return how far the middle of a span goes down under `force` there: F L^3 / (48 E I), mm."""
    return force * span**3 / (48.0 * stiffness * moment)


def sag_beyond(force: float, overhang: float, beside: float, stiffness: float, moment: float) -> float:
    """Return how far a free end goes down under `force` there: F a^2 (L + a) / (3 E I), mm.

    `beside` is the span L that the end is the end of; 0 for an end held fast: F a^3 / (3 E I).
    """
    return force * overhang**2 * (beside + overhang) / (3.0 * stiffness * moment)


def sag_of_own_weight(load: float, span: float, stiffness: float, moment: float) -> float:
    """Return how far a span sags by its own `load` N/mm: 5 q L^4 / (384 E I), mm."""
    return 5.0 * load * span**4 / (384.0 * stiffness * moment)


@frozen
class Stiffness:
    """Young's modulus along and across the grain, N/mm2, `density`, kg/m3; `said`: of which wood."""

    along: float
    across: float
    density: float
    said: str


def stiffness_of(species: str | None) -> Stiffness:
    """Return the stiffness of a species of the shipped table, or a cautious one."""
    if species in _READ:
        along, said = _READ[species], species
    elif species in SPECIES and SPECIES[species].gravity < _LIGHT:
        along, said = min(_READ.values()), f"{species}, taken as soft as ponderosa pine"
    else:
        along, said = _UNKNOWN, "a wood of middle stiffness"
    weighs = density(SPECIES[species].gravity, 12.0) if species in SPECIES else _MIDDLE
    return Stiffness(along, ACROSS * along, weighs, said)


@frozen
class Spring:
    """How far a span springs: `sag` mm, where `force` N would press it on to what is under it."""

    span: Span
    sag: float
    force: float


def springs(
    board: Board, spans: Iterable[Span], *, thickness: float, push: float = PUSH
) -> tuple[Spring, ...]:
    """Return how far each span springs under `push` N and its own weight, farthest first.

    `thickness` is how thin the board is at its thinnest while it is held so, mm. Along the grain the whole
    width bends, across it a strip as wide as the span is long, with the span that an overhang is the end of
    (common practice, no source).
    """
    wood = stiffness_of(board.species)
    x_low, _, x_high, _ = board.bounds
    found = []
    for span in spans:
        if span.kind.endswith("across"):
            modulus, width = wood.across, min(span.length + span.beside, x_high - x_low)
        else:
            low, high = reach_at(board.outline, np.array([span.at[0]]))
            modulus, width = wood.along, float(high[0] - low[0])
        moment = second_moment(max(width, 1.0), thickness)
        own = 0.0
        if span.kind.startswith("span"):
            free = sag_between(push, span.length, modulus, moment)
            load = wood.density * _GRAVITY * width * thickness
            own = sag_of_own_weight(load, span.length, modulus, moment)
        else:
            free = sag_beyond(push, span.length, span.beside, modulus, moment)
        force = push * max(0.0, span.gap - own) / free
        found.append(Spring(span, min(free + own, span.gap), force))
    return tuple(sorted(found, key=lambda s: (-s.sag, s.span.at)))


def more_shims(spring: Spring, allowed: float) -> tuple[Place, ...]:
    """Return where further shims would leave no more than `allowed` mm of spring."""
    span = spring.span
    start, end = np.array(span.start), np.array(span.end)
    if span.kind.startswith("overhang"):
        back = min(1.0, _INSET / span.length)
        places = [end + (start - end) * back]
    else:
        parts = max(2, math.ceil((spring.sag / allowed) ** (1.0 / 3.0)))
        places = [start + (end - start) * k / parts for k in range(1, parts)]
    return tuple((float(x), float(y)) for x, y in places)
