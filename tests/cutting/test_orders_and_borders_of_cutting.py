"""Orders and borders of cutting that show only where they are met: few steps, no room, hollow walls."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from cutters import end_mill
from setups import edge_setup, face, face_setup, shop
from stockwright.cutting import cut
from stockwright.cutting.edges import rough_rims
from stockwright.cutting.faces import _Layer
from stockwright.cutting.ground import ground
from stockwright.cutting.path import Path
from stockwright.cutting.steps import Steps, high_levels, levels
from stockwright.motion.moves import moves
from stockwright.motion.nodes import Feed, Rapid
from stockwright.planning.hollow import hollow_wall
from stockwright.planning.setup import EdgeCut, FaceCut
from sweeps import MM


def test_levels_are_as_fine_as_one_step() -> None:
    """A stepdown of one step, or of less, takes a level for every step; two take half as many."""
    fine = Steps(0.01)
    for stepdown, depths in ((0.01, (99, 98, 97)), (0.004, (99, 98, 97)), (0.02, (99, 97)), (0.03, (97,))):
        assert levels(fine, 1.0, 0.97, stepdown) == depths
    assert high_levels(fine, 1.0, 0.97, 0.01) == (99, 98, 97)
    assert high_levels(fine, 1.0, 0.97, 0.02, 0.01) == (98, 97)
    assert levels(fine, 0.97, 0.97, 0.5) == levels(fine, 0.9, 0.97, 0.5) == (97,)


def test_roughing_lines_lie_evenly_from_the_rim_to_what_is_left() -> None:
    """As few as the bite allows; none where the last pass takes all."""
    assert rough_rims(10.0, 0.5, 4.0) == pytest.approx((0.5 + 9.5 * 2 / 3, 0.5 + 9.5 / 3, 0.5))
    assert rough_rims(8.5, 0.5, 4.0) == pytest.approx((4.5, 0.5))
    assert rough_rims(0.5, 0.5, 4.0) == rough_rims(0.2, 0.5, 4.0) == ()
    assert rough_rims(0.6, 0.5, 4.0) == pytest.approx((0.5,))
    assert rough_rims(0.2, 0.5, 4.0, 0.3) == ()
    assert rough_rims(0.2, 0.5, 4.0, 0.4, 2) == pytest.approx((0.5, 0.5))
    assert rough_rims(1.5, 0.5, 4.0, 0.4, 2) == pytest.approx((1.0, 0.5))


def test_a_strip_narrower_than_the_cutter_is_lowered_into_straight() -> None:
    """A line of no length leaves no way to and fro for a slanting descent: it goes straight down."""
    tool = end_mill(does=("face",), centre_cutting=False, ramp=3.0)
    # The travel begins at x -200 mm: no room to be lowered beside a strip from there to x -196 mm.
    made: Any = {
        "light": 0.0,
        "tool": tool,
        "direction": "conventional",
        "z": 30.0,
        "ceiling": 31.0,
        "stepover": 4.8,
    }
    for wide, straight in ((4.0, True), (100.0, False)):
        program = cut(face_setup(size=(wide, 60.0), at=(-200.0, 0.0), **made), shop(), MM)[1]
        down = [n for n in program.nodes if isinstance(n, Feed) and n.feed == tool.plunge_feed]
        assert down
        assert all((len(n.points) == 1) is straight for n in down)
        assert {float(n.points[-1, 2]) for n in down} == {30.0}


@pytest.mark.parametrize("side", ["far", "near", "left", "right"])
def test_a_hollow_wall_is_followed_in_order_both_ways(side: str) -> None:
    """The last two lines run one against the other, and neither ever turns back on its way along."""
    setup = edge_setup(sides=(side,), light=0.5)  # type: ignore[arg-type]
    [plain] = setup.cuts
    assert isinstance(plain, EdgeCut)
    bent = replace(plain, wall=hollow_wall(plain.line, plain.inside, 0.4))
    program = cut(replace(setup, cuts=(bent,)), shop(), MM)[1]
    axis = 0 if side in ("far", "near") else 1
    lines = [n.points for n in program.nodes if isinstance(n, Feed) and len(n.points) > 5]
    assert len(lines) >= 2
    ways = []
    for points in lines:
        along = np.diff(points[1:, axis])
        along = along[along != 0]
        assert (np.sign(along) == np.sign(along[0])).all()
        ways.append(np.sign(along[0]))
    assert ways[-1] == -ways[-2]


@pytest.mark.parametrize(
    ("hollow", "stepover", "waste"),
    [
        (0.4, 4.8, 6.0),
        (0.4, 0.9, 6.0),
        (0.4, 0.5, 6.0),
        (0.4, 0.42, 2.0),
        (0.4, 0.3, 2.0),
        (1.0, 0.25, 1.0),
        (0.4, 0.3, 0.3),
        (0.3, 4.8, 0.1),
        (0.0, 0.002, 0.6),
        (0.0, 12.0, 6.0),
    ],
)
def test_along_a_hollow_wall_no_bite_is_wider_than_asked(
    hollow: float, stepover: float, waste: float
) -> None:
    """Whatever the hollow and the stepover: nowhere along the edge, at no depth, and the last takes `light`.

    The hollow counts to what is taken as well as the waste; all of it is gone at the end, and no more.
    """
    setup = edge_setup(light=0.5, stepover=stepover, waste=waste, stepdown=16.0)
    [plain] = setup.cuts
    assert isinstance(plain, EdgeCut)
    wall = hollow_wall(plain.line, plain.inside, hollow) if hollow else None
    program = cut(replace(setup, cuts=(replace(plain, wall=wall),)), shop(), MM)[1]
    columns = moves(program)
    level = ~columns.rapid & (columns.start[:, 2] == columns.end[:, 2]) & (columns.end[:, 2] < 30.0)
    a, b = columns.start[level], columns.end[level]
    (x0, y), (x1, _) = plain.line
    for share in (-0.9, -0.5, 0.0, 0.31):
        x, deep = (x0 + x1 + share * (x1 - x0)) / 2, hollow * (1 - share**2)
        here = np.flatnonzero((np.minimum(a[:, 0], b[:, 0]) < x) & (np.maximum(a[:, 0], b[:, 0]) >= x))
        stands: dict[float, float] = {}
        for k in here:
            at = a[k] + (b[k] - a[k]) * (x - a[k, 0]) / (b[k, 0] - a[k, 0])
            rim, z = float(at[1]) - plain.tool.radius - y, float(at[2])
            # The last pass takes no more than is left for it, also where the stepover is less.
            widest = 0.5 if k == here[-1] else min(stepover, 0.9 * plain.tool.radius)
            assert stands.get(z, waste) - rim <= widest + 2 * MM
            stands[z] = min(rim, stands.get(z, waste))
        assert stands[min(stands)] == pytest.approx(-deep, abs=0.01)
        assert all(rim <= 0.5 - deep + 0.01 for rim in stands.values())


def test_only_a_setup_whose_clamps_move_says_which_place() -> None:
    """One state has no number in its title; two have."""
    assert "clamps in place" not in cut(face_setup(), shop(), MM)[1].title
    setup = face_setup()
    [whole] = setup.cuts
    assert isinstance(whole, FaceCut)
    one, two = (replace(whole, standing=(name,)) for name in ("a", "b"))
    titles = [p.title for p in cut(replace(setup, cuts=(one, two)), shop(), MM)]
    assert [title.rpartition(", ")[2] for title in titles] == [
        f"clamps in place {n} of 2" for n in (1, 1, 2, 2)
    ]
    same = cut(replace(setup, cuts=(one, one, two, two)), shop(), MM)
    assert [(p.standing, p.purpose) for p in same] == [
        (name, purpose) for name in (("a",), ("b",)) for purpose in ("outline", "cut")
    ]


@pytest.mark.parametrize(("here", "first"), [((260.0, 400.0), 353.0), ((260.0, -100.0), 167.0)])
def test_the_nearest_high_place_is_cut_first(here: tuple[float, float], first: float) -> None:
    """Of two high places of a level the one that is nearer to where the cutter is; then the other."""
    wood = np.full((41, 31), 30.0)
    wood[3:7, 5] = wood[20:24, 8] = 35.0  # about (100, 100) and (440, 160)
    own = face(size=(800.0, 600.0), at=(0.0, 0.0), wood=wood, z=28.0)
    around = ground(face_setup(), shop(), MM)
    path = Path(around.steps, around.clear)
    path.over(around.steps.nearest(here[0]), around.steps.nearest(here[1]))
    layer = _Layer(path, own, around)
    depth, surface = around.steps.up(33.0), around.steps.up(35.0)
    layer.level(own, depth, surface, layer.whole(around.steps.up(28.0), surface))
    x = [n.x for n in path.nodes() if isinstance(n, Rapid) and n.x is not None]
    assert x[:2] == [260.0, first]
    assert min(abs(at - (520.0 - first)) for at in x[2:]) < 160.0


def test_a_descent_is_quick_down_to_two_millimetres_over_what_stands() -> None:
    """And slow from there; from lower than that it is slow all the way."""
    own = Steps(MM)
    path = Path(own, own.up(50.0))
    path.over(0, 0)
    path.lower(own.up(10.0), own.up(12.0), 300.0)
    quick, slow = list(path.nodes())[1:3]
    assert isinstance(quick, Rapid)
    assert isinstance(slow, Feed)
    assert (quick.z, slow.points[:, 2].tolist(), slow.feed) == (14.0, [10.0], 300.0)
