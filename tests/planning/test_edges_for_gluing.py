"""Edges for a glue-up: neighbours lean alike, the piece is as long as its board, the wall may be hollow."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely

from example_jobs import EXAMPLES, bound
from stockwright.findings import Refused
from stockwright.planning.hollow import CHORD, hollow_wall
from stockwright.planning.plan import Plan, plan
from stockwright.planning.setup import EdgeCut, WallGoal

SHELF = EXAMPLES / "glue-room" / "shelf-boards.yaml"
LEAN = 0.004  # rise of y with z of a spindle that does not stand upright


def _planned(count: int = 3) -> Plan:
    """Plan the shelf with as many boards, all like the first."""
    job, _ = bound(SHELF)
    boards = tuple(replace(job.boards[0], name=f"maple {n}") for n in range(1, count + 1))
    return plan(replace(job, boards=boards))


def _leans(made: Plan) -> dict[tuple[str, str], float]:
    """Give how much each wall leans in its board, face A up: its rise of y with z, as the spindle leans."""
    found = {}
    for setup in made.setups:
        for cut in setup.cuts:
            assert isinstance(cut, EdgeCut)
            x, y, z = np.linalg.inv(setup.lies[0].matrix[:3, :3]) @ np.array([0.0, LEAN, 1.0])
            found[setup.lies[0].board, cut.name] = y / z
            assert abs(x / z) < 1e-3
    return found


def test_what_the_spindle_leans_cancels_at_each_joint() -> None:
    """Where two boards meet both walls lean alike, so that faces come level; on one board they do not."""
    leans = _leans(_planned())
    for one, other in pairwise(("maple 1", "maple 2", "maple 3")):
        assert leans[one, "edge-2"] == pytest.approx(leans[other, "edge-1"], abs=1e-4)
        assert leans[one, "edge-1"] == pytest.approx(-leans[one, "edge-2"], abs=1e-4)
    assert abs(leans["maple 1", "edge-1"]) == pytest.approx(LEAN, abs=1e-4)


def test_neighbours_lie_with_opposite_faces_up() -> None:
    """The first and the third board lie with face B up, the second with face A."""
    made = _planned()
    lying = [(s.lies[0].board[-1], s.lies[0].up) for s in made.setups]
    assert sorted(lying) == [(board, "A" if board == "2" else "B") for board in "123" for _ in range(2)]


def test_without_a_length_the_piece_is_as_long_as_its_board() -> None:
    """The longest rectangle of the wanted width is cut, and touches the skew ends."""
    job, _ = bound(SHELF)
    for board, piece in zip(job.boards, plan(job).pieces, strict=True):
        outline = shapely.Polygon(board.outline)
        placed = shapely.Polygon(piece.placement.corners())
        assert outline.buffer(0.05).covers(placed)
        assert piece.placement.width == 110.0
        assert 957.0 - 3.0 < piece.placement.length < 960.0


def test_a_board_too_narrow_is_refused_with_what_it_gives() -> None:
    """The refusal says the widest that the board can be."""
    job, _ = bound(SHELF)
    with pytest.raises(Refused) as refused:
        plan(replace(job, wanted=replace(job.wanted, width=140.0)))
    assert {f.rule for f in refused.value.findings if f.level == "refuse"} == {"board-too-narrow"}


def test_a_hollow_wall_lies_on_the_arc() -> None:
    """Its ends lie on the line, its middle 0.4 mm inside, and its chords within the arc's tolerance."""
    wall = hollow_wall(np.array([[900.0, 50.0], [0.0, 50.0]]), "left", 0.4)
    assert wall[0].tolist() == [900.0, 50.0]
    assert wall[-1].tolist() == [0.0, 50.0]
    assert wall[:, 1].min() == pytest.approx(49.6)
    radius = (450.0**2 + 0.4**2) / (2 * 0.4)
    x = np.linspace(0.0, 900.0, 2001)
    arc = 49.6 + radius - np.sqrt(radius**2 - (x - 450.0) ** 2)
    chords = np.interp(x, wall[::-1, 0], wall[::-1, 1])
    assert np.abs(chords - arc).max() <= CHORD + 1e-6
    assert (chords >= arc - 1e-6).all()


def test_the_goal_of_a_hollow_edge_is_its_arc() -> None:
    """What the proof holds an edge to is the hollow wall itself, and the notes say that it is meant."""
    job, _ = bound(SHELF, {"hollow": "0.3 mm"})
    for setup in plan(job).setups:
        [goal] = setup.goals
        assert isinstance(goal, WallGoal)
        away = np.abs(goal.path[:, 1] - goal.path[0, 1])
        assert away.max() == pytest.approx(0.3)
        assert any("hollow by 0.3 mm in its middle on purpose" in note for note in setup.notes)
