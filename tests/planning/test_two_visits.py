"""Flatten, rest, flatten again: faces at several heights, and a board that may have moved meanwhile."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from example_jobs import EXAMPLES, ROOT, bound
from made_packets import proven_job
from rough_boards import rough
from stockwright.findings import Refused
from stockwright.job import PauseStep
from stockwright.planning import Plan, plan
from stockwright.planning.setup import FaceCut, PlaneGoal
from stockwright.run import Request

if TYPE_CHECKING:
    from pathlib import Path

SHELF = EXAMPLES / "alcove-shelf"
ALLOWANCE = 1.6
MOVED = 1.1


@pytest.fixture(scope="module")
def planned() -> Plan:
    """Plan the example shelf once."""
    return plan(bound(SHELF / "job.yaml")[0])


def _faces(made: Plan) -> list[FaceCut]:
    return [c for s in made.setups for c in s.cuts if isinstance(c, FaceCut)]


def test_every_face_is_cut_twice_and_the_edges_once(planned: Plan) -> None:
    """Faces A, B, A, B, then edge-1, then both ends and edge-2."""
    assert [tuple(c.name for c in s.cuts) for s in planned.setups] == [
        ("face A",),
        ("face B",),
        ("face A",),
        ("face B",),
        ("edge-1",),
        ("end-1", "end-2", "edge-2"),
    ]


def test_each_later_face_lies_its_thickness_over_the_support(planned: Plan) -> None:
    """Over what the board rests on, the goals lie 25.2, 23.6 and 22 mm high."""
    goals = [g for s in planned.setups[1:4] for g in s.goals]
    assert [g.z for g in goals if isinstance(g, PlaneGoal)] == pytest.approx([25.2, 23.6, 22.0])


def test_all_clampings_carry_one_piece(planned: Plan) -> None:
    """Taken back through its own matrix, each face's plane stands where it should in the finished piece."""
    to_piece = planned.pieces[0].wood.to_piece
    found = []
    for setup in planned.setups[:4]:
        [goal] = setup.goals
        assert isinstance(goal, PlaneGoal)
        x, y = goal.region.mean(axis=0)
        back = to_piece @ np.linalg.inv(setup.lies[0].matrix) @ np.array([x, y, goal.z, 1.0])
        found.append(back[2])
    assert found == pytest.approx([22 + ALLOWANCE, -ALLOWANCE, 22.0, 0.0], abs=1e-9)


def test_the_first_visit_takes_about_as_much_off_both_faces(planned: Plan) -> None:
    """The slab of the first visit, allowance and all, lies in the middle of the thickest one there is."""
    piece = planned.pieces[0]
    board = piece.wood.board
    points = board.critical_points()
    ones = np.ones(len(points))
    top = np.column_stack([points, board.top_at(points), ones]) @ piece.wood.to_piece[2]
    bottom = np.column_stack([points, board.bottom_at(points), ones]) @ piece.wood.to_piece[2]
    over, under = top.min() - (22 + ALLOWANCE), -ALLOWANCE - bottom.max()
    assert over > 0
    assert over == pytest.approx(under, abs=0.01)


def test_a_rested_board_is_entered_as_high_as_it_may_have_moved(planned: Plan) -> None:
    """After the rest face A may stand 1.1 mm above its 25.2; face B, over the new face A, hangs on it."""
    third, fourth = _faces(planned)[2:]
    assert third.ceiling == pytest.approx(25.2 + MOVED)
    assert third.wood[np.isfinite(third.wood)].min() == pytest.approx(25.2 + MOVED)
    assert fourth.ceiling == pytest.approx(23.6)
    assert [s.lies[0].moved for s in planned.setups] == pytest.approx([0, 0, MOVED, 0, 0, 0])
    assert planned.setups[2].wood_top == pytest.approx(25.2 + MOVED)


def test_the_sheet_says_how_to_lay_a_rested_board(planned: Plan) -> None:
    """The clamping after the rest speaks of the rest, of shims, and of what the face is referenced to."""
    notes = " ".join(planned.setups[2].notes)
    for words in ("stickers", "8.5 %", "1.1 mm", "shims", "as flat as what the board rests on", "anew"):
        assert words in notes
    assert all("rested" not in note for s in planned.setups if s.index != 3 for note in s.notes)


def test_a_stated_movement_stands_for_the_estimate() -> None:
    """Where the recipe says 0.4 mm the plan takes 0.4 mm, whatever the moisture would make of it."""
    job, _ = bound(SHELF / "job.yaml")
    steps = tuple(replace(s, moved=0.4) if isinstance(s, PauseStep) else s for s in job.steps)
    assert _faces(plan(replace(job, steps=steps)))[2].ceiling == pytest.approx(25.6)


def test_a_rest_that_uses_up_the_allowance_is_refused_and_cured_by_its_remedy() -> None:
    """0.9 mm a side is less than the 1.2 mm the board may warp; with what the remedy asks it is planned."""
    with pytest.raises(Refused) as refused:
        plan(bound(SHELF / "thin-allowance.yaml")[0])
    [finding] = [f for f in refused.value.findings if f.level == "refuse"]
    assert finding.rule == "moves-more-than-allowance"
    assert (finding.measured, finding.limit) == (1.2, 0.9)
    assert "leave 1.2 mm or more" in finding.remedy
    plan(bound(SHELF / "thin-allowance.yaml", values={"allowance": "1.2 mm"})[0])


def test_a_rest_before_one_last_face_only_is_refused() -> None:
    """If only face B is cut after the rest, face A stays warped: there is no allowance on it at all."""
    job, _ = bound(SHELF / "job.yaml")
    steps = list(job.steps)
    rest = next(i for i, s in enumerate(steps) if isinstance(s, PauseStep))
    # flip, face A of the second visit and the flip after it are left out.
    short = (*steps[: rest + 1], *steps[rest + 4 :])
    with pytest.raises(Refused) as refused:
        plan(replace(job, steps=short))
    [finding] = [f for f in refused.value.findings if f.level == "refuse"]
    assert (finding.rule, finding.limit) == ("moves-more-than-allowance", 0.0)


def test_a_board_too_thin_for_two_visits_says_what_it_can_be_after_both() -> None:
    """26.5 mm and twice 1.6 mm are more than the board gives; the remedy counts the second visit off."""
    with pytest.raises(Refused) as refused:
        plan(bound(SHELF / "job.yaml", values={"thickness": "26.5 mm"})[0])
    [finding] = [f for f in refused.value.findings if f.rule == "board-too-thin"]
    assert finding.limit == pytest.approx(29.7)
    assert finding.measured is not None
    best = np.floor((finding.measured - 2 * ALLOWANCE) * 10) / 10
    assert f"ask for {best:.1f} mm or less" in finding.remedy
    assert "once it has rested" in finding.message
    plan(bound(SHELF / "job.yaml", values={"thickness": f"{best:.1f} mm"})[0])


@pytest.mark.parametrize("how", ["edge-over-edge", pytest.param("end-over-end", marks=pytest.mark.wide)])
@pytest.mark.parametrize("seed", [0, *(pytest.param(n, marks=pytest.mark.wide) for n in (1, 4))])
def test_rough_boards_are_proven_in_two_visits(seed: int, how: str, tmp_path: Path) -> None:
    """Seeded rough boards that this shop can hold are proven at every height, flipped either way."""
    board = rough(seed)
    (tmp_path / "board.yaml").write_text(board.text)
    (tmp_path / "shop.yaml").write_text((SHELF / "shop.yaml").read_text())
    recipe = (ROOT / "recipes" / "two-visits.yaml").read_text()
    (tmp_path / "own.yaml").write_text(recipe.replace("flip: edge-over-edge", f"flip: {how}"))
    (tmp_path / "job.yaml").write_text(
        "stockwright: job/1\nname: own\nrecipe: own.yaml\nshop: shop.yaml\nboards: [board.yaml]\n"
        f"set: {{length: {board.length:g} mm, width: {board.width:g} mm, "
        f"thickness: {max(board.thickness - 2 * ALLOWANCE, 6):g} mm}}\n"
    )
    packet = proven_job(Request(tmp_path / "job.yaml")).packet
    assert packet.proof is not None
    assert packet.proof.verdict == "proven"
    # Nothing is said of its moisture: the stated least is allowed for.
    assert packet.setups[2].lies[0].moved == 0.8
