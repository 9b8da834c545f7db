"""The example's board through the plan stage: references, hold-downs, goals."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from example_jobs import STAIR_TREAD, bound
from stockwright import run
from stockwright.findings import Refused
from stockwright.planning import Plan, plan
from stockwright.planning.setup import EdgeCut, PlaneGoal, Setup, WallGoal

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(scope="module")
def planned() -> Plan:
    """Plan the example job once."""
    job, _ = bound()
    return plan(job)


def _walls(setup: Setup) -> dict[str, EdgeCut]:
    return {c.name: c for c in setup.cuts if isinstance(c, EdgeCut)}


def test_the_order_is_face_flip_face_edge_turn_ends_edge(planned: Plan) -> None:
    """Four clampings: face A, face B, edge-1, then both ends and edge-2 against the fence."""
    assert [tuple(c.name for c in s.cuts) for s in planned.setups] == [
        ("face A",),
        ("face B",),
        ("edge-1",),
        ("end-1", "end-2", "edge-2"),
    ]


def test_every_clamping_carries_the_same_wood(planned: Plan) -> None:
    """Each setup's matrix is a rigid motion of the board, and the tilt of seating is in all of them."""
    for setup in planned.setups:
        m = setup.lies[0].matrix
        assert np.allclose(m[:3, :3] @ m[:3, :3].T, np.eye(3), atol=1e-12)
        assert np.linalg.det(m[:3, :3]) == pytest.approx(1.0)
    first, second = (s.lies[0].matrix[:3, :3] for s in planned.setups[:2])
    assert np.allclose(second, np.diag([1.0, -1.0, -1.0]) @ first, atol=1e-12)


def test_the_second_face_is_cut_to_thickness_over_the_support(planned: Plan) -> None:
    """Face B's plane lies the finished thickness above what face A rests on, and z is taken there."""
    goal = planned.setups[1].goals[0]
    assert isinstance(goal, PlaneGoal)
    assert goal.z == pytest.approx(27.0)
    assert planned.setups[1].zero_z == "support"


def test_about_as_much_comes_off_both_faces(planned: Plan) -> None:
    """The finished slab lies in the middle of the thickest slab that the seating gives."""
    piece = planned.pieces[0]
    board = piece.wood.board
    points = board.critical_points()
    ones = np.ones(len(points))
    top = np.column_stack([points, board.top_at(points), ones]) @ piece.wood.to_piece[2]
    bottom = np.column_stack([points, board.bottom_at(points), ones]) @ piece.wood.to_piece[2]
    over, under = top.min() - 27.0, -bottom.max()
    assert over > 0
    assert over == pytest.approx(under, abs=0.01)


def test_the_ends_stand_the_finished_length_apart(planned: Plan) -> None:
    """The two end walls are 1150 mm apart and the last edge 200 mm from the fence."""
    walls = _walls(planned.setups[3])
    assert abs(walls["end-1"].line[0, 0] - walls["end-2"].line[0, 0]) == pytest.approx(1150.0)
    assert walls["edge-2"].line[0, 1] == pytest.approx(200.0)


def test_the_trued_edge_stands_against_the_fence(planned: Plan) -> None:
    """In the last clamping the near edge lies on the working face of the fence, y = 0 in the work frame."""
    assert planned.setups[3].wood_outline[:, 1].min() == pytest.approx(0.0, abs=1e-9)


def test_no_fence_stands_where_an_end_is_cut(planned: Plan) -> None:
    """Both end walls, and the cutter's width beside them are clear of the fence."""
    setup = planned.setups[3]
    walls = _walls(setup)
    for name, outward in (("end-1", 1.0), ("end-2", -1.0)):
        x = walls[name].line[0, 0]
        path = shapely.box(min(x, x + outward * 24), -20, max(x, x + outward * 24), 0)
        for solid in setup.solids:
            if solid.kind == "fence":
                assert shapely.Polygon(solid.outline).distance(path) >= 3.0


def test_scrap_backs_the_left_end_at_the_trued_edge(planned: Plan) -> None:
    """Teeth leave the wood at the near corner of the left end: scrap stands there, flush with the fence."""
    setup = planned.setups[3]
    left = min(_walls(setup).values(), key=lambda c: c.line[:, 0].min() if c.name != "edge-2" else np.inf)
    block = next(s for s in setup.solids if s.kind == "backing")
    assert block.outline[:, 1].max() == pytest.approx(0.0)
    assert block.outline[:, 0].min() < left.line[0, 0] < block.outline[:, 0].max()
    assert block.may_cut_to == min(c.bottom for c in _walls(setup).values())


def test_hold_downs_for_faces_lie_under_the_finished_height(planned: Plan) -> None:
    """Whatever touches the board while a face is cut stays at least 3 mm under the finished thickness."""
    for setup in planned.setups[:2]:
        assert max(s.top for s in setup.solids if s.kind in {"side-clamp", "stop"}) <= 24.0


def test_clamps_on_top_come_from_the_side_that_is_not_cut(planned: Plan) -> None:
    """While edge-1 is cut at the far side, no clamp reaches past the middle of the board towards it."""
    setup = planned.setups[2]
    wall = _walls(setup)["edge-1"].line[0, 1]
    arms = [s for s in setup.solids if s.name.endswith("arm")]
    assert len(arms) >= 2
    assert all(s.outline[:, 1].max() < wall - 40 for s in arms)


def test_every_cut_has_a_goal_and_face_goals_cover_the_board(planned: Plan) -> None:
    """No cut is without something the proof holds it to; a face's region holds the whole outline."""
    for setup in planned.setups:
        assert [g.cut for g in setup.goals] == [c.name for c in setup.cuts]
        for goal in setup.goals:
            if isinstance(goal, PlaneGoal):
                outline = shapely.Polygon(setup.wood_outline)
                assert shapely.Polygon(goal.region).covers(outline)
            else:
                assert isinstance(goal, WallGoal)
                assert goal.inside == "left"


def test_a_board_without_a_reference_gets_two_distances_from_a_line(planned: Plan) -> None:
    """Before edge-1 come two distances from the fence's face to the near edge, and one along it."""
    assert len(planned.setups[2].placing) == 3
    assert sum("fence's face" in p.text for p in planned.setups[2].placing) == 2


def test_a_size_the_board_cannot_give_is_refused_in_every_way_at_once() -> None:
    """Too thick, and too long for the width: both are said, each with what the board can give."""
    job, _ = bound(values={"thickness": "38 mm", "length": "1300 mm"})
    with pytest.raises(Refused) as refused:
        plan(job)
    rules = [f.rule for f in refused.value.findings]
    assert "board-too-thin" in rules
    assert "board-too-short" in rules
    for finding in refused.value.findings:
        assert finding.measured is not None
        assert finding.limit is not None
        assert finding.remedy


def test_a_thin_plank_says_how_thick_it_can_be_and_what_limits_it() -> None:
    """The thin plank is refused with its greatest thickness and the reading that limits it."""
    job, _ = bound(STAIR_TREAD.with_name("too-thin.yaml"))
    with pytest.raises(Refused) as refused:
        plan(job)
    [finding] = [f for f in refused.value.findings if f.level == "refuse"]
    assert finding.rule == "board-too-thin"
    assert finding.measured is not None
    assert finding.measured < 27.0
    assert "reading at x" in finding.message
    sure = re.findall(r"([\d.]+) mm or less", finding.remedy)[1]
    job, _ = bound(STAIR_TREAD.with_name("too-thin.yaml"), {"thickness": f"{sure} mm"})
    assert "board-barely-thick-enough" not in {f.rule for f in plan(job).findings}


def test_a_missing_fence_does_not_hide_what_planning_finds(tmp_path: Path) -> None:
    """With the fence comes what is found up to it: the board's thickness; or it comes alone."""
    text = STAIR_TREAD.with_name("shop.yaml").read_text(encoding="utf-8")
    shop = tmp_path / "shop.yaml"
    shop.write_text(re.sub(r"(?ms)^fence:.*?(?=^\w)", "", text), encoding="utf-8")
    for name, rules in (("too-thin", ["no-fence", "board-too-thin"]), ("job", ["no-fence"])):
        with pytest.raises(Refused) as refused:
            run.check(run.Request(STAIR_TREAD.with_name(f"{name}.yaml"), shop=shop))
        assert [f.rule for f in refused.value.findings if f.level == "refuse"] == rules
