"""Seating a board for its first face."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockwright.board.seating import Policy, Seating, seat
from stockwright.board.slab import Solid, slab_at, thickest_slab
from stockwright.board.surface import Board

SHOP = (0.1, 0.2, 0.5, 1.0, 2.0, 3.0)


def warped(seed: int) -> Board:
    """Return a board with random bow, cup, twist, wedge and noise."""
    rng = np.random.default_rng(seed)
    length, width = rng.uniform(500, 2000), rng.uniform(80, 280)
    x, y = np.linspace(12, length - 12, int(rng.integers(3, 8))), np.linspace(10, width - 10, 3)
    u, v = np.meshgrid(np.linspace(-1, 1, len(x)), np.linspace(-1, 1, 3), indexing="ij")
    bow, cup, twist, wedge = rng.normal(0, (1.5, 0.8, 1.0, 0.3))
    low = bow * u**2 + cup * v**2 + twist * u * v + rng.normal(0, 0.1, u.shape)
    top = low + 30 + wedge * v + rng.normal(0, 0.1, u.shape)
    outline = np.array(
        [(0, 0), (length, 3), (length - 4, width), (length / 2, width + 4), (2, width)], dtype=float
    )
    return Board("warped", outline, x, y, top, low, 0.2)


def off_the_support(board: Board, found: Seating) -> np.ndarray:
    """Return the gaps between support and underside at the critical points."""
    xy = board.critical_points()
    gaps: np.ndarray = board.bottom_at(xy) - xy @ np.array([found.a, found.b]) - found.rest
    return gaps


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.sampled_from(["thickest", "no-rocking", "as-it-lies"]))
def test_the_board_lies_on_its_support_and_holds_its_slab(seed: int, policy: Policy) -> None:
    """No wood is below the support, no shim stands higher than its gap, and the slab is inside the wood."""
    board = warped(seed)
    found = seat(board, policy=policy, shop_shims=SHOP)
    slope = np.array([found.a, found.b])
    assert off_the_support(board, found).min() >= -1e-9
    for shim in found.shims:
        at = np.array([(shim.x, shim.y)])
        assert board.bottom_at(at)[0] - float((at @ slope)[0]) - found.rest >= shim.thickness - 1e-6
    xy = board.critical_points()
    assert (board.top_at(xy) - xy @ slope).min() == pytest.approx(found.top, abs=1e-9)
    assert (board.bottom_at(xy) - xy @ slope).max() == pytest.approx(found.bottom, abs=1e-9)
    assert found.thickness <= found.best + 1e-6
    assert found.limiting
    assert found.why


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(0, 10_000))
def test_no_tilt_beats_the_thickest(seed: int) -> None:
    """Of a thousand tilts tried, none holds a thicker slab."""
    board = warped(seed)
    xy = board.critical_points()
    solid = Solid(xy, board.top_at(xy), board.bottom_at(xy))
    best = thickest_slab(solid).thickness
    rng = np.random.default_rng(seed + 1)
    tried = [
        slab_at(solid, float(a), float(b)).thickness for a, b in rng.normal(0, (0.004, 0.015), (1000, 2))
    ]
    assert max(tried) <= best + 1e-7


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(0, 10_000))
def test_ideal_shims_lose_nothing(seed: int) -> None:
    """On shims of any thickness the board holds what the best tilt holds, but for paper-thin shims."""
    found = seat(warped(seed))
    assert found.thickness >= found.best - 0.08


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.floats(0.1, 1.5))
def test_what_is_needed_is_kept_after_rounding(seed: int, below: float) -> None:
    """Where the need is well below the best, the rounded shims still give it."""
    board = warped(seed)
    best = seat(board, policy="as-it-lies").best
    need = best - 0.15 - below
    found = seat(board, required=need, shop_shims=SHOP)
    assert found.thickness >= need


def test_less_need_never_asks_for_a_thicker_shim() -> None:
    """The largest shim for 2 mm less than the best is no larger than that for the best."""
    for seed in range(12):
        board = warped(seed)
        best = seat(board)
        eased = seat(board, required=best.best - 2.0)
        largest = max((shim.wanted for shim in best.shims), default=0.0)
        assert max((shim.wanted for shim in eased.shims), default=0.0) <= largest + 1e-6


def test_shims_stop_the_rocking() -> None:
    """Shimmed, no corner drops more than a rounding; as it lies, some board drops a millimetre."""
    lying, shimmed = [], []
    for seed in range(12):
        board = warped(seed)
        lying.append(seat(board, policy="as-it-lies").rocking)
        shimmed.append(seat(board, policy="no-rocking", shop_shims=SHOP).rocking)
    assert max(lying) > 1.0
    assert max(shimmed) < 0.25


def test_a_flat_board_wants_no_shims() -> None:
    """A flat parallel board lies as it is, and holds all of its thickness."""
    outline = np.array([(0.0, 0.0), (800.0, 0.0), (800.0, 150.0), (0.0, 150.0)])
    flat = np.zeros((3, 3))
    board = Board(
        "flat", outline, np.array([10.0, 400.0, 790.0]), np.array([10.0, 75.0, 140.0]), flat + 30, flat, 0.1
    )
    policies: tuple[Policy, ...] = ("thickest", "no-rocking", "as-it-lies")
    for policy in policies:
        found = seat(board, policy=policy, shop_shims=SHOP)
        assert (found.shims, found.rocking) == ((), 0.0)
        assert (found.a, found.b, found.thickness) == pytest.approx((0.0, 0.0, 30.0), abs=1e-6)


def test_only_the_region_asked_for_limits_the_slab() -> None:
    """A board that dips at one end holds more where the dip is left out."""
    outline = np.array([(0.0, 0.0), (800.0, 0.0), (800.0, 150.0), (0.0, 150.0)])
    low = np.zeros((4, 2))
    top = np.array([[30.0, 30.0], [30.0, 30.0], [30.0, 30.0], [24.0, 24.0]])
    board = Board("dip", outline, np.array([0.0, 300.0, 600.0, 800.0]), np.array([0.0, 150.0]), top, low, 0.1)
    region = np.array([(0.0, 0.0), (600.0, 0.0), (600.0, 150.0), (0.0, 150.0)])
    # A region that only touches the next cell's side is not stopped by that cell.
    inner = region - np.array([[0, 0], [1, 0], [1, 0], [0, 0]])
    assert seat(board, region=inner).best == pytest.approx(30.0)
    assert seat(board).best < 29.0


def test_the_same_board_is_seated_the_same() -> None:
    """Twice the same call gives the same seating, to the last bit."""
    board = warped(5)
    assert seat(board, shop_shims=SHOP) == seat(board, shop_shims=SHOP)


def test_heights_of_parallel_planes_are_perpendicular() -> None:
    """`height` and `below_top` count across the planes: together they span the thickness."""
    found = seat(warped(7))
    assert found.height(found.thickness) == pytest.approx(found.top)
    assert found.below_top(found.thickness) == pytest.approx(found.bottom)


def test_the_solver_prints_nothing() -> None:
    """Seating in a fresh process leaves standard output and standard error empty, C code included."""
    code = (
        "import numpy as np\n"
        "from stockwright.board.slab import Solid, thickest_slab\n"
        "xy = np.array([(0., 0.), (9., 0.), (9., 9.), (0., 9.)])\n"
        "thickest_slab(Solid(xy, np.full(4, 20.), np.zeros(4)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("", "")


def test_importing_the_seating_imports_no_solver() -> None:
    """The solver is imported when a board is seated, not before."""
    code = "import sys, stockwright.board.seating; print('highspy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"
