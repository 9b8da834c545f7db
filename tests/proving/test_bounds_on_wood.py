"""What may stand and what surely stands: of a leaning board, of one that warped, of a path's buffer."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from small_packet import LENGTH, WIDTH, small_document, small_packet, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import prove
from stockwright.proving.ceiling import Ceiling
from stockwright.proving.frames import Lay
from stockwright.proving.measure import INSET, _line, _stations
from stockwright.proving.walls import GROWN, QUADRANT
from stockwright.proving.wood import plank, slab

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.proving.sweep import Grid

    Floats = NDArray[np.float64]

# setup of the rest, how far it warped, thickness (least, greatest), flatness of A and of B, all mm
RESTED = [
    (0, 0.5, (26.0, 26.0), 0.0, 0.0),  # rough on both sides yet: all of it is cut away
    (1, 0.2, (25.8, 26.0), 0.2, 0.0),  # face A is done and lies below: it may stand farther in
    (2, 0.2, (25.6, 26.2), 0.2, 0.4),  # both are done: the upper one may stand farther out as well
]


@pytest.mark.parametrize(("setup", "moved", "thickness", "flat_a", "flat_b"), RESTED)
def test_a_warp_counts_on_the_faces_that_are_done(
    setup: int, moved: float, thickness: tuple[float, float], flat_a: float, flat_b: float
) -> None:
    """A face cut after the rest is as flat as it was cut; one cut before it may be out by the warp."""
    document = small_document()
    document["setups"][setup]["lies"][0]["moved"] = moved
    [finished] = prove(Packet.model_validate(document), small_texts()).finished.values()
    assert finished.thickness == pytest.approx(thickness)
    assert finished.flatness == pytest.approx({"A": flat_a, "B": flat_b})


def test_a_leaning_board_surely_stands_only_where_its_sides_do_at_every_height() -> None:
    """Seen from above, what may stand is in any of its outlines, and what surely stands in all of them."""
    board = small_packet().boards["plank"]
    tilt = 0.1
    c, s = math.cos(tilt), math.sin(tilt)
    matrix = np.eye(4)
    matrix[:3, :3] = np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])
    wood = plank("plank", board, matrix)
    low, high = (float(pick) for pick in (np.min(board.bottom), np.max(board.top)))
    for z in (low, (low + high) / 2, high):
        seen = shapely.box(s * z, 0.0, c * LENGTH + s * z, WIDTH)
        assert wood.may.buffer(1e-9).covers(seen)
        assert seen.buffer(1e-9).covers(wood.sure)
    both = c * LENGTH - s * (high - low)
    assert both - 0.01 <= wood.sure.bounds[2] - wood.sure.bounds[0] <= both + 1e-9
    assert wood.may.bounds[2] - wood.may.bounds[0] == pytest.approx(c * LENGTH + s * (high - low), abs=1e-6)


def test_the_underside_is_that_of_wood_that_surely_stands() -> None:
    """Where a cut from above may have gone through to one from below, the underside is asked elsewhere."""
    level = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)
    wood = slab(shapely.box(0.0, 0.0, 20.0, 10.0), 10.0, 0.0)
    wood.lo[-1][5, 5:9] = -4.0
    assert (wood.bottom(level, sure=True), wood.bottom(level, sure=False)) == (4.0, 0.0)
    for top in (4.0, 3.5):
        wood.lo[1][5, 5:9] = top
        assert (wood.bottom(level, sure=True), wood.bottom(level, sure=False)) == (0.0, 0.0)
    wood.lo[1][:] = -np.inf
    assert wood.bottom(level, sure=True) == np.inf


def test_a_grown_buffer_holds_all_that_a_cutter_sweeps() -> None:
    """Whichever way a move goes, the round ends of its buffer are nowhere inside the cutter's own."""
    radius = 6.0
    around = np.linspace(0.0, 2 * math.pi, 3001)
    rim = np.column_stack([np.cos(around), np.sin(around)]) * radius
    for degrees in np.linspace(0.0, 90.0, 41):
        end = 10.0 * np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
        grown = shapely.LineString(np.stack([np.zeros(2), end])).buffer(radius * GROWN, quad_segs=QUADRANT)
        for centre in (np.zeros(2), end):
            assert shapely.contains_xy(grown.buffer(1e-9), *(rim + centre).T).all()
    assert GROWN < 1.001


@pytest.mark.parametrize(("about_x", "about_y"), [(0.0, 0.0), (0.08, 0.0), (0.0, -0.08), (0.05, 0.06)])
def test_the_quick_bound_on_height_is_never_too_low(about_x: float, about_y: float) -> None:
    """However a board leans: no wood is said to be below a height that it reaches, and air is seen as air."""
    wood = plank("plank", small_packet().boards["plank"], np.eye(4))
    lean = _leaning(about_x, about_y)
    slope = float(np.hypot(lean[2, 0], lean[2, 1]) / lean[2, 2])
    back: Floats = np.linalg.inv(lean).astype(np.float64)
    lies = Lay(lean, back, 1, flat=slope == 0.0, wobble=0.0, slope=slope)
    ceiling = Ceiling(wood, lies)
    x, y = wood.grid.centres()
    tops = np.array(wood.hi[1])
    rng = np.random.default_rng(1)
    for _ in range(12):
        row, column = np.nonzero(np.isfinite(tops))
        places = np.column_stack([x[column], y[row], tops[row, column], np.ones(len(row))]) @ lean.T
        middle = places[rng.integers(len(places)), :2]
        low, high = middle - rng.uniform(1.0, 30.0, 2), middle + rng.uniform(1.0, 30.0, 2)
        inside = ((places[:, :2] >= low) & (places[:, :2] <= high)).all(axis=1)
        top = float(places[inside, 2].max())
        assert not ceiling.below(low, high, top - 1e-6)
        # A tile and what the lean moves it by around the box: nothing further off counts.
        near = ((places[:, :2] >= low - 110.0) & (places[:, :2] <= high + 110.0)).all(axis=1)
        assert ceiling.below(low, high, float(places[near, 2].max()) + 1.0 + 64.0 * slope)
        cut = (slice(int(row[0]), int(row[0]) + 9), slice(int(column[0]), int(column[0]) + 40))
        wood.hi[1][cut] -= 0.5
        tops[cut] -= 0.5
        ceiling.cut(*_box_of(wood.grid, cut, lean))


def _leaning(about_x: float, about_y: float) -> Floats:
    """Give the matrix of a board that leans about both axes."""
    cx, sx, cy, sy = math.cos(about_x), math.sin(about_x), math.cos(about_y), math.sin(about_y)
    matrix: Floats = np.eye(4)
    matrix[:3, :3] = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]]) @ np.array(
        [[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]]
    )
    matrix[:3, 3] = (12.0, -7.0, 3.0)
    return matrix


def _box_of(grid: Grid, cut: tuple[slice, slice], lean: Floats) -> tuple[Floats, Floats]:
    """Give the box in the work frame that holds some cells, from face to face."""
    ys, xs = (np.array([s.start, s.stop]) * grid.cell for s in cut)
    corners = [[grid.x0 + a, grid.y0 + b, z, 1.0] for a in xs for b in ys for z in (0.0, 32.0)]
    seen = np.array(corners) @ lean.T
    return seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)


def test_an_edge_as_hollow_as_it_is_wanted_is_straight() -> None:
    """Its straightness is how far it stands off the arc that is wanted; off a line it is the whole hollow."""
    at = np.linspace(INSET, 300.0 - INSET, 41)
    arc = 0.4 * (1.0 - ((at - 150.0) / 150.0) ** 2)
    slope, off = _line(at, arc, arc, 0.4)
    assert (slope, off) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert _line(at, arc, arc)[1] == pytest.approx(np.ptp(arc), abs=1e-9)
    assert _line(at, arc + 0.01 * at, arc + 0.01 * at - 0.03, 0.4) == pytest.approx((0.01, 0.03), abs=1e-9)


@pytest.mark.parametrize(("about_x", "about_y"), [(0.08, 0.0), (-0.08, 0.0), (0.0, 0.08), (0.0, -0.08)])
def test_the_quick_bound_holds_at_the_rim_that_is_highest(about_x: float, about_y: float) -> None:
    """Where the wood ends nothing beside it is higher: the bound of its own tile alone has to do."""
    wood = slab(shapely.box(0.0, 0.0, 56.0, 56.0), 30.0, 0.0)
    lean = _leaning(about_x, about_y)
    slope = float(np.hypot(lean[2, 0], lean[2, 1]) / lean[2, 2])
    back: Floats = np.linalg.inv(lean).astype(np.float64)
    ceiling = Ceiling(wood, Lay(lean, back, 1, flat=False, wobble=0.0, slope=slope))
    x, y = wood.grid.centres()
    row, column = np.nonzero(np.isfinite(wood.hi[1]))
    places = np.column_stack([x[column], y[row], wood.hi[1][row, column], np.ones(len(row))]) @ lean.T
    highest = places[int(places[:, 2].argmax())]
    assert not ceiling.below(highest[:2] - 1.0, highest[:2] + 1.0, float(highest[2]) - 1e-6)


def test_what_is_narrower_than_its_rims_has_no_stations() -> None:
    """Nothing is measured so near to a corner; a little wider, and it is measured once from end to end."""
    assert _stations(0.0, INSET) is None
    assert _stations(0.0, 2 * INSET) is None
    found = _stations(0.0, 3 * INSET)
    assert found is not None
    assert (found[0], found[-1]) == pytest.approx((INSET, 2 * INSET))
