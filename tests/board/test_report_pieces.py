"""What a board gives as a whole, in pieces and with skips."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawn import drawn
from stockwright.board.pieces import parts, solid_in, whole
from stockwright.board.skips import Skips, with_skips
from stockwright.board.slab import thickest_slab
from stockwright.board.surface import Board


def warped(seed: int) -> Board:
    """Return a board with random bow, cup, twist, wedge, noise and a crooked outline."""
    rng = np.random.default_rng(seed)
    length, width = rng.uniform(500, 2000), rng.uniform(80, 280)
    across = int(rng.integers(2, 6))
    x, y = np.linspace(12, length - 12, int(rng.integers(3, 8))), np.linspace(10, width - 10, across)
    u, v = np.meshgrid(np.linspace(-1, 1, len(x)), np.linspace(-1, 1, across), indexing="ij")
    bow, cup, twist, wedge = rng.normal(0, (1.5, 0.8, 1.0, 0.3))
    low = bow * u**2 + cup * v**2 + twist * u * v + rng.normal(0, 0.1, u.shape)
    top = low + 30 + wedge * v + rng.normal(0, 0.1, u.shape)
    outline = np.array(
        [(0, 0), (length / 2, 3), (length, 1), (length - 4, width), (length / 2, width + 4), (2, width)],
        dtype=float,
    )
    return Board("warped", outline, x, y, top, low, 0.2)


def inside(region: np.ndarray, count: int, seed: int) -> np.ndarray:
    """Return random places of a rectangle, evenly spread."""
    share = np.random.default_rng(seed).uniform(0, 1, (count, 2))
    placed: np.ndarray = (
        region[0] + share[:, :1] * (region[1] - region[0]) + share[:, 1:] * (region[3] - region[0])
    )
    return placed


@drawn(10, 40)
@given(st.integers(0, 10_000), st.integers(1, 4), st.integers(1, 4))
def test_a_piece_never_gives_less_than_the_whole(seed: int, lengthwise: int, crosswise: int) -> None:
    """Every piece is at least as thick as the whole it is cut from, and as what it is cut from in turn."""
    board = warped(seed)
    all_of_it = whole(board)
    cut = parts(board, all_of_it, lengthwise, crosswise)
    assert len(cut.each) == lengthwise * crosswise
    assert cut.size.thickness == min(cut.each) >= all_of_it.size.thickness - 1e-6
    again = parts(board, all_of_it, 2 * lengthwise, crosswise)
    assert again.size.thickness >= cut.size.thickness - 1e-6


@drawn(7, 30)
@given(st.integers(0, 10_000))
def test_the_slab_lies_in_the_wood_of_its_region(seed: int) -> None:
    """At none of 5000 places of a rotated region, between stations too, is the slab outside the wood."""
    board = warped(seed)
    region = whole(board).squared.parts(2, 2)[seed % 4]
    slab = thickest_slab(solid_in(board, region))
    xy = inside(region, 5000, seed)
    tilt = xy @ np.array([slab.a, slab.b])
    assert (board.top_at(xy) - tilt).min() >= slab.top - 1e-9
    assert (board.bottom_at(xy) - tilt).max() <= slab.bottom + 1e-9


@drawn(6, 25)
@given(st.integers(0, 10_000))
def test_without_skips_it_is_the_plain_seating(seed: int) -> None:
    """A share of nothing gives what the thickest slab gives, whichever face is the hidden one."""
    board = warped(seed)
    all_of_it = whole(board)
    for found in (with_skips(board, all_of_it, 0.0, "A"), with_skips(board, all_of_it, 0.0, "B")):
        assert found.thickness == pytest.approx(all_of_it.size.thickness, abs=1e-9)
        assert (found.kept, found.deepest) == pytest.approx((0.0, 0.0), abs=1e-6)


@drawn(3, 15)
@given(st.integers(0, 10_000))
def test_more_skips_never_give_less(seed: int) -> None:
    """The thickness rises with the share of skips, but for the search's few micrometres."""
    board = warped(seed)
    all_of_it = whole(board)
    for face in ("A", "B"):
        found = [with_skips(board, all_of_it, share, face).thickness for share in (0.0, 0.02, 0.05, 0.1, 0.3)]
        assert all(more >= less - 0.003 for less, more in pairwise(found))


def skipped(board: Board, found: Skips, xy: np.ndarray) -> tuple[float, float]:
    """Return the share of places that the hidden face misses, and how much the clean face lacks, mm."""
    tilt = xy @ np.array([found.slab.a, found.slab.b])
    over = board.top_at(xy) - tilt - found.slab.top
    under = found.slab.bottom - (board.bottom_at(xy) - tilt)
    hidden, clean = (over, under) if found.face == "A" else (under, over)
    return float((hidden < 0).mean()), -float(clean.min())


@drawn(3, 15)
@given(st.integers(0, 10_000), st.sampled_from([0.02, 0.05, 0.2]))
def test_the_share_is_kept_on_the_surface(seed: int, share: float) -> None:
    """Of 50000 random places no more than the share are skips, beyond chance, and the other face is clean."""
    board = warped(seed)
    all_of_it = whole(board)
    xy = inside(all_of_it.region, 50_000, seed)
    for face in ("A", "B"):
        found = with_skips(board, all_of_it, share, face)
        missed, lacks = skipped(board, found, xy)
        assert missed <= share + 4 * np.sqrt(share / len(xy))
        assert found.kept <= share
        assert lacks <= 1e-9


@drawn(3, 4)
@given(st.integers(0, 10_000), st.sampled_from([0.02, 0.1]))
def test_no_tilt_tried_keeps_more(seed: int, share: float) -> None:
    """Of 900 tilts, near and far, none gives noticeably more with the same share, by a count of its own."""
    board = warped(seed)
    all_of_it = whole(board)
    found = with_skips(board, all_of_it, share, "B")
    xy = inside(all_of_it.region, 4000, seed)
    rng = np.random.default_rng(seed + 1)
    best = -np.inf
    for spread in (1e-4, 1e-3, 5e-3):
        for a, b in rng.normal((found.slab.a, found.slab.b), (spread, 5 * spread), (300, 2)):
            tilt = xy @ np.array([a, b])
            over = (
                all_of_it.solid.top - all_of_it.solid.xy @ np.array([a, b])
            ).min()  # the clean face, strictly
            best = max(best, over - np.quantile(board.bottom_at(xy) - tilt, 1 - share))
    # 4000 random places tell a quantile to about 0.03 mm on boards that warp by a few.
    assert best <= found.thickness + 0.1


def test_skips_on_a_cupped_underside_are_what_geometry_says() -> None:
    """An underside 2 mm hollow, a parabola, 10 % skips along both edges: 2 (1 - 0.1)^2 = 1.62 mm is lost."""
    v = np.linspace(-1, 1, 41)
    low = np.tile(2.0 * v**2, (3, 1))
    outline = np.array([(0, 0), (800, 0), (800, 200), (0, 200)], dtype=float)
    board = Board(
        "cup", outline, np.array([0.0, 400.0, 800.0]), 100 * (v + 1), np.full((3, 41), 30.0), low, 0.1
    )
    found = with_skips(board, whole(board), 0.1, "B")
    assert found.thickness == pytest.approx(30 - 2 * 0.9**2, abs=0.06)
    assert found.thickness <= 30 - 2 * 0.9**2 + 1e-3
    assert found.deepest == pytest.approx(2 - 1.62, abs=0.06)
