"""What is said of walls is said of every side of a board alike: turned round, it is the same finding."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import pytest

from cutters import end_mill
from setups import edge_setup, shop
from situations import found, hand, situation
from stockwright.checking import burning, coverage
from stockwright.planning.setup import EdgeCut, WallGoal

if TYPE_CHECKING:
    from situations import Stop
    from stockwright.checking import Situation

Side = Literal["far", "near", "left", "right"]
# Each side's wall, 6 mm inside a board from (100, 80) to (400, 180): where it begins, the way along it that
# has the board on its right, and its length.
WALLS: dict[Side, tuple[tuple[float, float], tuple[float, float], float]] = {
    "far": ((100.0, 174.0), (1.0, 0.0), 300.0),
    "near": ((400.0, 86.0), (-1.0, 0.0), 300.0),
    "left": ((106.0, 80.0), (0.0, 1.0), 100.0),
    "right": ((394.0, 180.0), (0.0, -1.0), 100.0),
}


def along(side: Side, *passes: tuple[float, float, float, float], clear: float = 12.0) -> Situation:
    """Drive along a side: each pass from and to so far past its wall's ends, so far out, at a height."""
    setup = edge_setup(sides=(side,), waste=6.0)
    goals = tuple(replace(goal, clear=clear) for goal in setup.goals if isinstance(goal, WallGoal))
    begin, way, length = WALLS[side]
    stops: list[Stop] = []
    for before, after, out, z in passes:
        ends = [
            (begin[0] + s * way[0] - out * way[1], begin[1] + s * way[1] + out * way[0])
            for s in (-before, length + after)
        ]
        stops += [("rapid", None, None, 60.0), ("rapid", *ends[0], None)]
        stops += [("feed", *ends[0], z), ("feed", *ends[1], z)]
    program = hand(setup, end_mill(), *stops, ("rapid", None, None, 60.0))
    return situation(replace(setup, goals=goals), shop(), (program,))


@pytest.mark.parametrize("side", WALLS)
def test_walls_of_every_side_are_judged_alike(side: Side) -> None:
    """Too near, too far out, too short, too high, with the same numbers; and just right, nothing."""
    length = WALLS[side][2]
    assert found(coverage.wall_cut_into, along(side, (20.0, 20.0, 6.0, -1.0))) == ()
    assert found(coverage.edge_not_cleared, along(side, (20.0, 20.0, 6.0, -1.0))) == ()
    assert found(coverage.loose_piece, along(side, (20.0, 20.0, 6.0, -1.0))) == ()
    [near] = found(coverage.wall_cut_into, along(side, (20.0, 20.0, 5.75, -1.0)))
    assert near.measured == pytest.approx(5.75)
    assert near.limit == 6.0
    assert near.remedy == "keep the cutter's centre 0.25 mm further out"
    [skin] = found(coverage.edge_not_cleared, along(side, (20.0, 20.0, 6.25, -1.0)))
    assert skin.measured == pytest.approx(length * (0.25 - 0.013), rel=1e-6)
    assert skin.remedy == "lay a full-depth pass 0.24 mm nearer to this place"
    [short] = found(coverage.edge_not_cleared, along(side, (20.0, -10.0, 6.0, -1.0)))
    further = 10.0 - (36.0 - 5.987**2) ** 0.5
    assert float(short.remedy.split()[5]) == pytest.approx(further + 0.06, abs=0.02)
    [high] = found(coverage.edge_not_cleared, along(side, (20.0, 20.0, 6.0, -0.75)))
    assert high.measured == pytest.approx(length * (6.0 - 0.013), rel=1e-6)
    assert high.at is not None
    assert high.at[2] == -1.0


@pytest.mark.parametrize("side", WALLS)
def test_waste_on_every_side_is_measured_outwards(side: Side) -> None:
    """Three cutters wide it is told, with its width and a corner of the board; narrower it is not."""
    assert found(coverage.wide_waste, situation(edge_setup(sides=(side,), waste=36.0), shop(), ())) == ()
    [wide] = found(coverage.wide_waste, situation(edge_setup(sides=(side,), waste=37.5), shop(), ()))
    assert (wide.measured, wide.limit) == (37.5, 36.0)
    corner = {"far": (None, 180.0), "near": (None, 80.0), "left": (100.0, None), "right": (400.0, None)}[side]
    assert wide.at is not None
    assert all(c is None or c == a for c, a in zip(corner, wide.at, strict=False))


@pytest.mark.parametrize("side", WALLS)
def test_a_pass_with_the_board_on_its_right_climbs_on_every_side(side: Side) -> None:
    """6 mm wide it is refused, driven the other way it is not; up to half a millimetre it may climb."""
    [finding] = found(burning.climbs_too_heavily, along(side, (20.0, 20.0, 6.0, -1.0)))
    assert (finding.measured, finding.limit) == (6.0, 0.5)
    length = WALLS[side][2]
    back = (-length - 20.0, -length - 20.0, 6.0, -1.0)
    assert found(burning.climbs_too_heavily, along(side, back)) == ()
    assert found(burning.climbs_too_heavily, along(side, (20.0, 20.0, 11.49, -1.0))) == ()
    [least] = found(burning.climbs_too_heavily, along(side, (20.0, 20.0, 11.45, -1.0)))
    assert least.measured == 0.55


@pytest.mark.parametrize("side", WALLS)
def test_wood_must_be_clear_as_far_out_as_the_setup_wants(side: Side) -> None:
    """A neighbour 9 to 12 mm off the wall is in the way of a goal of 12 mm, and not of one of 9 mm."""
    for clear, many in ((12.0, 1), (9.0, 0)):
        own = along(side, (20.0, 20.0, 1.0, -1.0), clear=clear)
        [setup] = own.setups
        [cut] = setup.cuts
        assert isinstance(cut, EdgeCut)
        begin, way, length = WALLS[side]
        ends = [(begin[0] + s * way[0], begin[1] + s * way[1]) for s in (0.0, length)]
        off = [[(x - d * way[1], y + d * way[0]) for x, y in ends] for d in (9.0, 12.0)]
        band = np.array([*off[0], *off[1][::-1]])
        wider = replace(setup, cuts=(replace(cut, waste=(*cut.waste, band)),))
        wide = replace(own, setups=(wider,))
        assert len(found(coverage.edge_not_cleared, wide)) == many
        assert len(found(coverage.loose_piece, wide)) == 1
