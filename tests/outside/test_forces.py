"""Holding, lifting and bowing against worked values of textbook statics, by hand beside each check.

Sources: Coulomb friction and the balance of forces and moments of a rigid body, any textbook of statics;
beams bent by a moment at both ends, any textbook of strength of materials. Friction of 0.2 lies
within 0.10 to 0.25 for dry spruce pine on steel (Lemoine et al. 1970, Wood Science, abstract). The pull of a
helix is the tangent of its angle (from memory). Stiffness across the grain: 0.065 of 12600 N/mm2 of sugar
maple (Wood Handbook, FPL-GTR-190, in a secondary text).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from stockwright.forces.mechanics import lift, torque
from stockwright.forces.statics import Resistance, bow_from_edge

MIDDLE = (0.0, 0.0)
# A polygon of eight corners inside the circle of friction: at worst cos(22.5 degrees) of it.
OCTAGON = math.cos(math.pi / 8)


def held(body: Resistance, x: float, y: float) -> float:
    """Return what is held at a place, N."""
    return float(body.held(np.array([[x, y]]))[0])


def test_a_board_squeezed_off_its_middle_bows() -> None:
    """500 N 3 mm off the middle of 300 x 12, 200 mm wide, 819 N/mm2: M w2 / 8EI = 0.2120 mm (by hand)."""
    assert bow_from_edge(500.0, 3.0, 200.0, 300.0, 12.0, 0.065 * 12600.0) == pytest.approx(0.2120, abs=1e-3)


def test_a_squeezed_board_bows_as_its_curvature_adds_up() -> None:
    """Mechanics, by brute force: a constant moment over 200 mm, its curvature added up twice."""
    curve = 500.0 * 3.0 / (819.0 * 300.0 * 12.0**3 / 12)
    x = np.linspace(0.0, 200.0, 20_001)
    down = curve * x * (200.0 - x) / 2
    assert bow_from_edge(500.0, 3.0, 200.0, 300.0, 12.0, 819.0) == pytest.approx(float(down.max()), rel=1e-6)


def test_a_helix_lifts_by_its_tangent() -> None:
    """30.52 N at 30 degrees pull 17.62 N along the axis (from memory; tan 30 = 0.57735)."""
    assert lift(30.52, 30.0) == pytest.approx(17.62, abs=0.01)


def test_torque_is_power_over_angular_speed() -> None:
    """Mechanics: 60 W at 16000 rpm is 60 / 1675.5 = 0.03581 N m; and that times the radius' force is back."""
    assert torque(60.0, 16000.0) == pytest.approx(0.03581, abs=1e-5)
    assert torque(60.0, 16000.0) / 0.0125 == pytest.approx(60.0 / 20.944, rel=1e-3)


def test_a_vacuum_holds_by_friction() -> None:
    """Coulomb: 0.8 bar on 100 x 100 is 800 N, and 0.2 of it 160 N sideways, any way, at its middle."""
    body = Resistance.of(MIDDLE, 100.0, [(x, y, 40.0) for x in (-25, 25) for y in (-25, 25)], [], [])
    assert OCTAGON * 160.0 - 1e-6 <= held(body, 0.0, 0.0) <= 160.0


def test_two_clamps_hold_a_push_beyond_them_as_a_beam() -> None:
    """Statics: clamps at -150 and 150 that rub with 200 N; at 450 the nearer one bears F (450 + 150) / 300.

    Pushed across, the nearer reaches its 200 N first, so F is 100 N; along their line all 400 N would hold.
    """
    body = Resistance.of(MIDDLE, 150.0, [(-150.0, 0.0, 200.0), (150.0, 0.0, 200.0)], [], [])
    assert OCTAGON * 100.0 - 1e-6 <= held(body, 450.0, 0.0) <= 100.0
    assert OCTAGON * 400.0 - 1e-6 <= held(body, 0.0, 0.0) <= 400.0


def test_one_clamp_alone_holds_no_push_beside_it() -> None:
    """Statics: friction at one place answers no moment about it."""
    body = Resistance.of(MIDDLE, 100.0, [(0.0, 0.0, 1000.0)], [], [])
    assert held(body, 50.0, 0.0) == 0.0


def test_four_stops_hold_a_push_at_the_middle_by_contact() -> None:
    """Statics: stops on all four sides, no friction: the weakest side has one of 300 N."""
    stops = [(-100.0, 0.0, 1.0, 0.0, 300.0), (100.0, 0.0, -1.0, 0.0, 300.0)]
    stops += [(0.0, -50.0, 0.0, 1.0, 300.0), (0.0, 50.0, 0.0, -1.0, 300.0)]
    # Two more a little off the middle, so that a turn is answered too.
    stops += [(-100.0, 1.0, 1.0, 0.0, 300.0), (100.0, -1.0, -1.0, 0.0, 300.0)]
    stops += [(-100.0, -1.0, 1.0, 0.0, 300.0), (100.0, 1.0, -1.0, 0.0, 300.0)]
    body = Resistance.of(MIDDLE, 100.0, [], stops, [])
    assert held(body, 0.0, 0.0) == pytest.approx(300.0)


def test_a_clamp_holds_no_harder_against_itself_than_it_squeezes() -> None:
    """Statics: 400 N against a fence that bears 2000 N: away from the fence 400 N, however strong it is."""
    fence = [(x, -50.0, 0.0, 1.0, 2000.0) for x in (-100.0, 100.0)]
    clamps = [(x, 50.0, 0.0, -1.0, 200.0) for x in (-100.0, 100.0)]
    ends = [(-150.0, 0.0, 1.0, 0.0, 5000.0), (150.0, 0.0, -1.0, 0.0, 5000.0)]
    body = Resistance.of(MIDDLE, 100.0, [], [*fence, *ends], clamps)
    assert held(body, 0.0, 0.0) == pytest.approx(400.0)


def test_two_stops_make_no_friction_out_of_nothing() -> None:
    """Statics: stops that face one another could be wedged without end; unpressed, they rub with nothing."""
    stops = [(-100.0, 0.0, 1.0, 0.0, 5000.0), (100.0, 0.0, -1.0, 0.0, 5000.0)]
    assert held(Resistance.of(MIDDLE, 100.0, [], stops, []), 0.0, 0.0) == 0.0


def test_a_push_that_nothing_meets_moves_the_board() -> None:
    """Statics: 500 N on one edge and 100 N of friction do not balance."""
    rubs = [(-100.0, 0.0, 50.0), (100.0, 0.0, 50.0)]
    assert Resistance.of(MIDDLE, 100.0, rubs, [], [(0.0, -50.0, 0.0, 1.0, 500.0)]).loose
    assert not Resistance.of(MIDDLE, 100.0, rubs, [], [(0.0, -50.0, 0.0, 1.0, 50.0)]).loose
