"""How far wood bends, against worked values of textbook mechanics and the handbook's stiffness.

Sources: straight slender beams on two supports, held at one end, or hanging over: any textbook of strength of
materials (Euler-Bernoulli; the closed forms are re-derived below by adding up the curvature). Moduli at 12 %
moisture: Wood Handbook, FPL-GTR-190: ponderosa pine 8900, walnut 11600 N/mm2 as read there, sugar maple 12600
N/mm2 in a secondary text; across the grain 0.065 of it (maple, tangential, in a secondary text).
"""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.board.spring import (
    sag_between,
    sag_beyond,
    sag_of_own_weight,
    second_moment,
    stiffness_of,
)

PINE, MAPLE = 8900.0, 12600.0


def bent(moments: np.ndarray, x: np.ndarray, stiffness: float, moment: float) -> np.ndarray:
    """Return the deflection from the bending moments (N mm) by adding up curvature twice, from y = y' = 0."""
    step = np.diff(x)
    slope = np.concatenate([[0.0], np.cumsum((moments[1:] + moments[:-1]) / 2.0 * step)])
    down = np.concatenate([[0.0], np.cumsum((slope[1:] + slope[:-1]) / 2.0 * step)])
    return np.asarray(down / (stiffness * moment))


def test_a_pine_board_between_two_supports() -> None:
    """50 N in the middle of 400 mm of ponderosa pine 150 x 20 bend it 0.0749 mm (48 E I, by hand)."""
    moment = second_moment(150.0, 20.0)
    assert moment == pytest.approx(100_000.0)
    assert sag_between(50.0, 400.0, PINE, moment) == pytest.approx(0.0749, abs=1e-4)


def test_the_same_board_under_its_own_weight() -> None:
    """At 448 kg/m3 the board weighs 0.01318 N/mm and sags 0.0049 mm (5 q L^4 / 384 E I, by hand)."""
    load = 448.0 * 9.81e-9 * 150.0 * 20.0
    sag = sag_of_own_weight(load, 400.0, PINE, second_moment(150.0, 20.0))
    assert sag == pytest.approx(0.0049, abs=1e-4)


def test_the_force_that_flattens_a_maple_board() -> None:
    """2 mm of bow in sugar maple 900 x 150 x 22 go flat under 220.8 N (48 E I d / L^3, by hand)."""
    assert sag_between(220.8, 900.0, MAPLE, second_moment(150.0, 22.0)) == pytest.approx(2.0, abs=1e-3)


def test_an_end_held_fast() -> None:
    """100 N at the free end of 300 mm, 12000 N/mm2, 100 x 20: F a^3 / (3 E I) = 1.125 mm (by hand)."""
    assert sag_beyond(100.0, 300.0, 0.0, 12000.0, second_moment(100.0, 20.0)) == pytest.approx(1.125)


@pytest.mark.parametrize(("overhang", "beside"), [(120.0, 0.0), (120.0, 400.0), (300.0, 290.0)])
def test_an_end_that_hangs_over_by_adding_up_curvature(overhang: float, beside: float) -> None:
    """The closed form of a free end, with a span beside it or held fast, is what its moments add up to."""
    force, moment = 100.0, second_moment(200.0, 25.0)
    x = np.linspace(0.0, beside + overhang, 40_001)
    at = beside + overhang - x
    moments = force * np.minimum(at, x * overhang / beside if beside else at)
    down = bent(moments, x, 12000.0, moment)
    # Turned so that it rests on both supports; an end held fast starts level.
    turned = down - x * np.interp(beside, x, down) / beside if beside else down
    assert sag_beyond(force, overhang, beside, 12000.0, moment) == pytest.approx(turned[-1], rel=1e-4)


def test_a_span_by_adding_up_curvature() -> None:
    """The closed forms of a span, under a load or its own weight, are what its moments add up to."""
    span, force, load, moment = 400.0, 50.0, 0.013, second_moment(150.0, 20.0)
    x = np.linspace(0.0, span / 2.0, 20_001)
    for moments, sag in (
        (force * x / 2.0, sag_between(force, span, PINE, moment)),
        (load * x * (span - x) / 2.0, sag_of_own_weight(load, span, PINE, moment)),
    ):
        # Level in the middle: the support is higher by the sag.
        assert sag == pytest.approx(bent(moments[::-1], x, PINE, moment)[-1], rel=1e-4)


@pytest.mark.parametrize(
    ("species", "along"), [("pine-ponderosa", 8900.0), ("walnut-black", 11600.0), ("maple-sugar", 12600.0)]
)
def test_the_stiffness_of_species(species: str, along: float) -> None:
    """The moduli are the handbook's, and across the grain 0.065 of them."""
    wood = stiffness_of(species)
    assert (wood.along, wood.across) == pytest.approx((along, 0.065 * along))


def test_the_stiffness_of_other_wood_is_cautious() -> None:
    """Light wood of no modulus read is taken as soft as the softest read (common practice, no source)."""
    assert stiffness_of("basswood").along == PINE
    assert stiffness_of(None).along < MAPLE
