"""Boards side by side in one clamping: where each lies, what cuts it, what holds it, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from example_jobs import EXAMPLES, bound
from stockwright.findings import Refused
from stockwright.hold_downs import Stop
from stockwright.job import EdgeStep, FaceStep
from stockwright.planning import plan
from stockwright.planning.setup import EdgeCut, FaceCut, PlaneGoal, WallGoal

if TYPE_CHECKING:
    from stockwright.board.surface import Board
    from stockwright.job import Job
    from stockwright.planning.plan import Plan

GATE = EXAMPLES / "garden-gate" / "job.yaml"
RAILS = EXAMPLES / "stool-rails" / "job.yaml"


@cache
def gate() -> tuple[Job, Plan]:
    """Return the four slats' job and its plan."""
    job = bound(GATE)[0]
    return job, plan(job)


@cache
def rails() -> tuple[Job, Plan]:
    """Return the four rails' job and its plan."""
    job = bound(RAILS)[0]
    return job, plan(job)


def refused(job: Job) -> dict[str, str]:
    """Return the messages of the rules that refuse a job."""
    with pytest.raises(Refused) as caught:
        plan(job)
    return {f.rule: f.message for f in caught.value.findings if f.level == "refuse"}


def with_board(job: Job, place: int, board: Board) -> Job:
    """Return the job with one board in place of another."""
    return replace(job, boards=(*job.boards[:place], board, *job.boards[place + 1 :]))


def test_four_slats_take_three_clampings() -> None:
    """Four slats take three setups, each with all four boards, every cut named for every board."""
    job, planned = gate()
    names = [b.name for b in job.boards]
    assert len(planned.setups) == 3
    for setup in planned.setups:
        assert [lie.board for lie in setup.lies] == names
        assert all(cut.of(name) for cut in setup.cuts for name in names)  # type: ignore[union-attr]
        assert {(goal.board, goal.cut) for goal in setup.goals} == {
            (name, cut.name) for name in names for cut in setup.cuts
        }


def test_neighbours_touch_and_never_overlap() -> None:
    """Seen from above each board of a row touches the one before it and shares no area with it."""
    for _, planned in (gate(), rails()):
        for setup in planned.setups:
            outlines = [shapely.Polygon(lie.outline) for lie in setup.lies]
            for one, other in pairwise(outlines):
                assert one.distance(other) < 0.01
                assert one.intersection(other).area < 0.1  # of 27,000 mm2


def test_ends_stand_in_one_line_and_one_pass_cuts_them() -> None:
    """Every board's end wall stands at the same x, on the one line that is cut."""
    for _, planned in (gate(), rails()):
        for setup in planned.setups:
            for cut in (c for c in setup.cuts if isinstance(c, EdgeCut)):
                walls = [g for g in setup.goals if isinstance(g, WallGoal) and g.cut == cut.name]
                assert len(walls) == 4
                for wall in walls:
                    assert wall.path[:, 0] == pytest.approx(cut.line[0, 0], abs=1e-9)
                ys = np.vstack([wall.path for wall in walls])[:, 1]
                assert cut.line[:, 1].min() <= ys.min()
                assert cut.line[:, 1].max() >= ys.max()


def test_second_faces_lie_at_the_finished_thickness_over_the_bed() -> None:
    """With the first faces on the bed, every slat's second face ends 14 mm over it."""
    heights = [goal.z for goal in gate()[1].setups[1].goals if isinstance(goal, PlaneGoal)]
    assert heights == [pytest.approx(14.0, abs=1e-9)] * 4


def test_first_faces_lie_at_one_height_that_cleans_and_spares_every_board() -> None:
    """One height for all first faces, under each slat's lowest top and 14 mm over its highest underside."""
    job, planned = gate()
    setup = planned.setups[0]
    (z,) = {round(goal.z, 9) for goal in setup.goals if isinstance(goal, PlaneGoal)}
    for board, lie in zip(job.boards, setup.lies, strict=True):
        points = board.critical_points()
        tops = np.column_stack([points, board.top_at(points), np.ones(len(points))]) @ lie.matrix[2]
        lows = np.column_stack([points, board.bottom_at(points), np.ones(len(points))]) @ lie.matrix[2]
        assert tops.min() > z
        assert z - lows.max() >= 14.0 + board.uncertainty


def test_a_row_of_first_faces_names_the_slats_that_cannot_share_a_height() -> None:
    """A slat bowed by 3 mm needs a height that a slat 15 mm thin does not reach: both are named."""
    job, _ = gate()
    bow = 3.0 * np.array([0.0, 1.0, 0.0])[:, None]
    bent, flat = job.boards[1], job.boards[0]
    assert len(bent.x) == 3
    bent = replace(bent, top=bent.top + bow + 1.0, bottom=bent.bottom + bow)
    thin = replace(flat, top=flat.bottom + 15.0)
    with_both = with_board(with_board(job, 0, thin), 1, bent)
    message = refused(with_both)["no-common-face"]
    assert "slat 2 keeps its thickness" in message
    assert "slat 1 is cleaned" in message


def test_a_crooked_neighbour_is_refused() -> None:
    """A board whose edges bow by 3 mm is not what `already` says, and the job is refused for it."""
    job, _ = rails()
    outline = job.boards[2].outline.copy()
    middle = np.abs(outline[:, 0] - outline[:, 0].mean()) < 5
    outline[middle, 1] += 3.0
    found = refused(with_board(job, 2, replace(job.boards[2], outline=outline)))
    assert "edge-1 of rail 3" in found["edge-not-true"] or "edge-2 of rail 3" in found["edge-not-true"]


def test_boards_whose_own_edges_are_crooked_make_no_row() -> None:
    """Where nobody says that edges are straight, boards that stand apart by more than 1 mm make no row."""
    job, _ = rails()
    bowed = job.boards[2].outline.copy()
    bowed[np.abs(bowed[:, 0] - bowed[:, 0].mean()) < 5, 1] += 3.0
    loose = with_board(job, 2, replace(job.boards[2], outline=bowed))
    steps = tuple(s for s in loose.steps if getattr(s, "together", 1) > 1)[:1]
    found = refused(replace(loose, already=frozenset({"faces"}), steps=steps))
    assert "no squeeze holds them" in found["row-does-not-close"]


def test_wedge_shaped_neighbours_lean() -> None:
    """Parts that taper turn the boards behind them: an end would be out of square, and it is refused."""
    job, _ = rails()

    def tapered(board: Board) -> Board:
        outline = board.outline.copy()
        far = outline[:, 1] > outline[:, 1].mean()
        outline[far, 1] -= 0.28 * outline[far, 0] / outline[:, 0].max()
        return replace(board, outline=outline)

    wedges = replace(
        job,
        boards=tuple(tapered(b) for b in job.boards),
        wanted=replace(job.wanted, tolerance=replace(job.wanted.tolerance, squareness=0.1)),
    )
    found = refused(wedges)
    assert "out of square" in found["row-leans"]


def test_a_squeeze_goes_through_the_row_and_is_counted_low() -> None:
    """Every rail has the push at its far edge; handed on from wood to wood, 0.6 of it counts."""
    job, planned = rails()
    setup = planned.setups[0]
    for place, board in enumerate(job.boards):
        pushes = [g for g in setup.grips if g.board == board.name and g.how == "push"]
        assert pushes
        outer = place == len(job.boards) - 1
        for grip in pushes:
            assert grip.force == pytest.approx(900.0 if outer else 540.0)
            assert grip.at[1] == pytest.approx(setup.outline_of(board.name)[:, 1].max(), abs=1e-6)


def test_one_long_stop_serves_the_row_and_each_board_counts_its_share() -> None:
    """A stop as long as the row stands once; each of four rails counts a quarter of what it carries."""
    setup = rails()[1].setups[1]
    stops = [s for s in setup.solids if s.kind == "stop"]
    assert len(stops) == 1
    grips = [g for g in setup.grips if g.name == stops[0].name]
    assert [g.force for g in grips] == [pytest.approx(500.0)] * 4
    for lie in setup.lies:
        assert shapely.Polygon(lie.outline).distance(shapely.Polygon(stops[0].outline)) < 0.01


def test_without_stops_enough_the_row_is_refused() -> None:
    """Where the only stop is shorter than the row and one board, the finding says how many are wanted."""
    job, _ = rails()
    short = tuple(replace(h, length=50.0) if isinstance(h, Stop) else h for h in job.shop.hold_downs)
    found = refused(replace(job, shop=replace(job.shop, hold_downs=short)))
    assert "one for each is wanted" in found["too-few-stops"]


def test_a_count_makes_rows_of_so_many() -> None:
    """`together: 2` makes rows of two: four slats then take twice as many clampings."""
    job, _ = gate()
    steps = tuple(
        replace(s, together=2) if isinstance(s, FaceStep | EdgeStep) and s.together > 1 else s
        for s in job.steps
    )
    planned = plan(replace(job, steps=steps))
    assert [len(setup.lies) for setup in planned.setups] == [2] * 6
    assert [cut.name for s in planned.setups for cut in s.cuts if isinstance(cut, FaceCut)] == [
        "face A",
        "face A",
        "face B",
        "face B",
    ]
