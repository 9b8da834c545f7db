"""How a board lies and what slab it holds, against values that a person or another solver found.

Sources: Twist4 by hand (statics of a rigid body on its supports; least potential energy) and confirmed by two
independent linear-programming solvers; B9 by hand where said, else by those two solvers. No published table.
"""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.board.flatness import zone
from stockwright.board.seating import Policy, seat
from stockwright.board.slab import Solid, least_shims, pressed, rest, slab_at, thickest_slab
from stockwright.board.surface import Board

TWIST_XY = np.array([(x, y) for x in (-500.0, 500.0) for y in (-100.0, 100.0)])
TWIST_Z = np.where(TWIST_XY[:, 0] * TWIST_XY[:, 1] > 0, 1.0, -1.0)
TWIST = Solid(TWIST_XY, TWIST_Z + 25.0, TWIST_Z)

B9_XY = np.array([(x, y) for y in (0.0, 100.0, 200.0) for x in (0.0, 500.0, 1000.0)])
B9_LOW = np.array([0, 900, 2600, 300, 400, 1500, 1300, 200, 100]) / 1000.0
B9_HIGH = np.array([28000, 29100, 30700, 28200, 28000, 29500, 29600, 28000, 27800]) / 1000.0
B9 = Solid(B9_XY, B9_HIGH, B9_LOW)
B9_CORNERS = np.array([0, 2, 6, 8])


def b9_board() -> Board:
    """Return B9 as a board: its nine readings, its outline through the outer ones."""
    outline = np.array([(0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (0.0, 200.0)])
    stations = np.array([0.0, 500.0, 1000.0]), np.array([0.0, 100.0, 200.0])
    return Board("B9", outline, *stations, B9_HIGH.reshape(3, 3).T, B9_LOW.reshape(3, 3).T, 0.0)


def gaps(solid: Solid, plane: object, which: np.ndarray | slice = slice(None)) -> np.ndarray:
    """Return how far the underside stands off the plane, mm."""
    slope = np.array([plane.a, plane.b])  # type: ignore[attr-defined]
    off: np.ndarray = (solid.bottom - solid.xy @ slope - plane.c)[which]  # type: ignore[attr-defined]
    return off


def test_twisted_board_holds_its_thickness_less_half_the_gap() -> None:
    """25 thick, corners 1 up and 1 down: level it holds 25 - 4/2 = 23 (by hand)."""
    assert thickest_slab(TWIST).thickness == pytest.approx(23.0, abs=1e-6)


def test_twisted_board_at_rest_loses_the_whole_gap() -> None:
    """The same board on three corners holds 21, along z, and its fourth corner is 4 up (by hand)."""
    plane = rest(TWIST_XY, TWIST_Z, (20.0, 0.0))
    slab = slab_at(TWIST, plane.a, plane.b)
    assert slab.top - slab.bottom == pytest.approx(21.0, abs=1e-6)
    assert gaps(TWIST, plane) == pytest.approx([4.0, 0.0, 0.0, 0.0], abs=1e-9)


def test_shims_of_the_twisted_board() -> None:
    """Its least shims are 2 under both high corners, none under the low ones (by hand)."""
    plane = least_shims(TWIST, TWIST, TWIST_XY, TWIST_Z, 23.0 - 1e-7)
    assert gaps(TWIST, plane) == pytest.approx([2.0, 0.0, 0.0, 2.0], abs=1e-6)


def test_allowances_come_off_once_and_move_nothing() -> None:
    """Half a millimetre lost on each face leaves 22 of 23, at the same tilt (a constant in the program)."""
    worn = thickest_slab(Solid(TWIST_XY, TWIST.top - 0.5, TWIST.bottom + 0.5))
    whole = thickest_slab(TWIST)
    assert worn.thickness == pytest.approx(22.0, abs=1e-6)
    assert (worn.a, worn.b) == pytest.approx((whole.a, whole.b), abs=1e-12)


@pytest.mark.parametrize(("force", "tips"), [(1.19, False), (1.21, True)])
def test_the_force_that_tips_the_twisted_board(force: float, tips: bool) -> None:
    """60 N of board, centre at (20, 0), tips at the raised corner above 1.2 N (moments on the diagonal)."""
    under = pressed(60.0, (20.0, 0.0), force, (-500.0, -100.0))
    plane = rest(TWIST_XY, TWIST_Z, under)
    assert (gaps(TWIST, plane)[0] < 1.0) == tips


def test_b9_holds_what_its_crossing_diagonals_leave() -> None:
    """B9 holds (28000 + 27800)/2 - (2600 + 1300)/2 = 25950 micrometres: the diagonals cross (by hand)."""
    slab = thickest_slab(B9)
    assert slab.top - slab.bottom == pytest.approx(25.950, abs=1e-6)


def test_b9_shims_for_all_of_it() -> None:
    """For 25950 the corners of B9 want 0, 2050, 2050 and 300 micrometres (by hand)."""
    plane = least_shims(B9, B9, B9_XY[B9_CORNERS], B9_LOW[B9_CORNERS], 25.950 - 1e-7)
    assert gaps(B9, plane, B9_CORNERS) == pytest.approx([0.0, 2.05, 2.05, 0.3], abs=1e-6)


def test_b9_least_shims() -> None:
    """Without a demand on thickness the largest shim of B9 is 1900, and 25800 are left (two solvers)."""
    plane = least_shims(B9, B9, B9_XY[B9_CORNERS], B9_LOW[B9_CORNERS], None)
    assert gaps(B9, plane, B9_CORNERS).max() == pytest.approx(1.9, abs=1e-6)
    slab = slab_at(B9, plane.a, plane.b)
    assert slab.top - slab.bottom == pytest.approx(25.8, abs=1e-6)


def test_b9_needs_no_more_shim_where_less_is_asked() -> None:
    """For 25500 the shims of B9 stay 0, 1900, 1900, 0 (two solvers)."""
    plane = least_shims(B9, B9, B9_XY[B9_CORNERS], B9_LOW[B9_CORNERS], 25.5)
    assert gaps(B9, plane, B9_CORNERS) == pytest.approx([0.0, 1.9, 1.9, 0.0], abs=1e-6)


@pytest.mark.parametrize(
    ("centre", "contacts", "slab"),
    [((520.0, 90.0), [0, 1, 8], 24.7), ((480.0, 110.0), [0, 7, 8], 24.9)],
)
def test_b9_at_rest(centre: tuple[float, float], contacts: list[int], slab: float) -> None:
    """B9 stands on three places around its centre; moving the centre moves a foot (two solvers)."""
    plane = rest(B9_XY, B9_LOW, centre)
    assert np.flatnonzero(gaps(B9, plane) < 1e-9).tolist() == contacts
    found = slab_at(B9, plane.a, plane.b)
    assert found.top - found.bottom == pytest.approx(slab, abs=1e-6)


def test_b9_flatness_of_both_faces() -> None:
    """The underside of B9 is flat within 1900 micrometres, its upper side within 2250 (two solvers)."""
    for heights, expected in ((B9_LOW, 1.9), (B9_HIGH, 2.25)):
        found = zone(np.column_stack([B9_XY, heights]))
        along_z = found.value * np.sqrt(1 + found.a**2 + found.b**2)
        assert along_z == pytest.approx(expected, abs=1e-6)


def test_a_seat_for_b9_says_by_how_much_it_is_short() -> None:
    """Asked for 26500, B9 is seated as thick as it can be: 550 micrometres short (by hand)."""
    corners = np.array([(0.0, 0.0), (1000.0, 0.0), (0.0, 200.0), (1000.0, 200.0)])
    found = seat(b9_board(), required=26.5, places=corners)
    assert 26.5 - found.thickness == pytest.approx(0.55, abs=1e-3)
    assert found.thickness == pytest.approx(found.best, abs=1e-6)


def test_shimming_for_thickness_beats_shimming_for_rest() -> None:
    """On B9 the three policies give 25950, 25800 and less than 25000, in that order (two solvers)."""
    corners = np.array([(0.0, 0.0), (1000.0, 0.0), (0.0, 200.0), (1000.0, 200.0)])
    policies: tuple[Policy, ...] = ("thickest", "no-rocking", "as-it-lies")
    thick, quiet, lying = (seat(b9_board(), policy=policy, places=corners) for policy in policies)
    assert thick.thickness == pytest.approx(25.95, abs=1e-3)
    assert quiet.thickness == pytest.approx(25.80, abs=1e-3)
    assert lying.thickness < 25.0
    assert max(thick.rocking, quiet.rocking) < 1e-5
    assert lying.rocking > 1.0
