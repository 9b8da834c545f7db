"""A board longer than the machine: where it lies, what is cut there, and what is said of it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from example_jobs import EXAMPLES, bound
from stockwright.findings import Refused
from stockwright.job import EdgeStep, FaceStep, Job, Zone
from stockwright.planning import Plan, plan
from stockwright.planning.setup import EdgeCut, FaceCut, PlaneGoal, Setup, WallGoal
from stockwright.run import Request, check

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.planning.setup import Slid

BENCH = EXAMPLES / "hall-bench" / "job.yaml"
BED = (-80.0, 760.0)  # of the example's shop, seen from its mark
COUNTS = (3, 2, 3, 2)  # positions of face A, face B, edge-1, and of the ends with edge-2


@pytest.fixture(scope="module")
def job() -> Job:
    """Bind the example once."""
    return bound(BENCH)[0]


@pytest.fixture(scope="module")
def planned(job: Job) -> Plan:
    """Plan the example once."""
    return plan(job)


def _slid(setup: Setup) -> Slid:
    assert setup.slid is not None
    return setup.slid


def _clampings(made: Plan) -> list[list[Setup]]:
    """Give the positions of each clamping."""
    found: list[list[Setup]] = []
    for setup in made.setups:
        if _slid(setup).number == 1:
            found.append([])
        found[-1].append(setup)
    return found


def _on_the_board(setup: Setup, xy: np.ndarray) -> np.ndarray:
    """Take points of the work frame to the board frame, seen along z."""
    points = np.column_stack([xy, np.zeros(len(xy)), np.ones(len(xy))])
    return np.asarray((points @ np.linalg.inv(setup.lies[0].matrix).T)[:, :2])


def test_the_example_is_as_much_too_long_as_it_says(job: Job) -> None:
    """The finished board is 1.9 times as long as the machine's travel along x."""
    low, high = job.shop.machine.x
    assert job.wanted.length == pytest.approx(1.9 * (high - low))


def test_positions_come_in_order(planned: Plan) -> None:
    """Where fresh wood is the only reference half of the reach is shared, so more positions are taken."""
    assert tuple(len(c) for c in _clampings(planned)) == COUNTS
    for clamping in _clampings(planned):
        assert [(_slid(s).number, _slid(s).count) for s in clamping] == [
            (n, len(clamping)) for n in range(1, len(clamping) + 1)
        ]
    assert [_slid(c[0]).on for c in _clampings(planned)] == ["fresh face", "bed", "fresh edge", "fence"]


def test_a_slide_only_moves_the_board_along_x_by_what_is_said(planned: Plan) -> None:
    """Between two positions the matrix changes by whole millimetres along x, and in nothing else."""
    for clamping in _clampings(planned):
        for before, after in pairwise(clamping):
            change = after.lies[0].matrix - before.lies[0].matrix
            by = _slid(after).by
            assert by == round(by) > 0
            change[0, 3] -= by
            assert np.abs(change).max() < 1e-9


def test_the_parts_of_a_face_cover_the_board_and_overlap(job: Job, planned: Plan) -> None:
    """Put together on the board, the goals of a face leave nothing, and neighbours share what is stated."""
    for clamping in _clampings(planned)[:2]:
        parts = [
            shapely.Polygon(_on_the_board(setup, goal.region))
            for setup in clamping
            for goal in setup.goals
            if isinstance(goal, PlaneGoal)
        ]
        board = shapely.Polygon(job.boards[0].outline)
        assert board.difference(shapely.union_all(parts)).buffer(-0.6).is_empty
        for one, other in pairwise(parts):
            x0, _, x1, _ = one.intersection(other).bounds
            assert x1 - x0 >= 25.0 - 1e-6  # the recipe's overlap


def test_the_parts_of_an_edge_cover_it_and_overlap(planned: Plan) -> None:
    """Along the finished piece, the spans of an edge's goals leave no gap, and share a cutter's width."""
    for clamping, side in ((_clampings(planned)[2], "edge-1"), (_clampings(planned)[3], "edge-2")):
        spans = []
        for setup in clamping:
            [goal] = [g for g in setup.goals if isinstance(g, WallGoal) and g.cut == side]
            x = _on_the_board(setup, goal.path)[:, 0]
            spans.append((float(x.min()), float(x.max())))
        spans.sort()
        assert spans[-1][1] - spans[0][0] >= 1519.9
        for (_, high), (low, _) in pairwise(spans):
            assert high - low >= 12.0 - 1e-6


def test_ends_are_cut_where_they_lie_before_the_edge_beside_them(planned: Plan) -> None:
    """Each end is cut at the one position that has it, and the edge takes its breakout with it."""
    assert [[c.name for c in s.cuts] for s in _clampings(planned)[3]] == [
        ["end-1", "edge-2"],
        ["end-2", "edge-2"],
    ]


def test_nothing_stands_beyond_the_bed(planned: Plan) -> None:
    """Every clamp and stop stands over the bed, though the board reaches far beyond it on both sides."""
    for setup in planned.setups:
        for solid in setup.solids:
            if solid.kind != "fence":
                assert solid.outline[:, 0].min() >= BED[0] - 1e-6
                assert solid.outline[:, 0].max() <= BED[1] + 1e-6
    reach = [(s.wood_outline[:, 0].min(), s.wood_outline[:, 0].max()) for s in planned.setups]
    assert min(low for low, _ in reach) < BED[0] - 700
    assert max(high for _, high in reach) > BED[1] + 700


def test_only_an_end_on_the_bed_has_stops(planned: Plan) -> None:
    """In the middle position of face A neither end is on the bed, and no stop is planned."""
    stops = [{s.name.rpartition(" ")[2] for s in p.solids if s.kind == "stop"} for p in planned.setups[:3]]
    assert stops == [{"end-2"}, set(), {"end-1"}]


def test_shims_stay_at_the_same_places_of_the_board(planned: Plan) -> None:
    """The first face's shims are slid along with the board: same places, same thicknesses."""
    first, *rest = _clampings(planned)[0]
    wanted = _on_the_board(first, np.array([(s.x, s.y) for s in first.shims]))
    for setup in rest:
        places = _on_the_board(setup, np.array([(s.x, s.y) for s in setup.shims]))
        assert places == pytest.approx(wanted, abs=0.11)
        assert [s.thickness for s in setup.shims] == [s.thickness for s in first.shims]


def test_fresh_wood_is_read_after_every_slide(job: Job, planned: Plan) -> None:
    """From the second position on, three places of the fresh face on the bed must read what it was cut to."""
    first, *rest = _clampings(planned)[0]
    assert {check[3] for check in first.seat_check} == {0.5}
    for setup in rest:
        [cut] = setup.cuts
        assert isinstance(cut, FaceCut)
        [(fresh, height)] = setup.lowered
        area = shapely.Polygon(fresh)
        assert len(setup.seat_check) == 3
        for x, y, reads, within in setup.seat_check:
            assert area.contains(shapely.Point(x, y))
            assert BED[0] < x < BED[1]
            assert reads == pytest.approx(cut.z, abs=0.005)
            assert within == job.shop.slide.reads
        assert height == cut.z


def test_rough_wood_is_read_where_no_position_before_has_cut_it(planned: Plan) -> None:
    """A height to read is that of wood as it then stands: the second face's too, which lies on the first."""
    read = 0
    for before, after in (pair for positions in _clampings(planned)[:2] for pair in pairwise(positions)):
        cuts = [np.array(goal.region) for goal in before.goals if isinstance(goal, PlaneGoal)]
        matrix = np.array(after.lies[0].matrix) @ np.linalg.inv(np.array(before.lies[0].matrix))
        gone = shapely.union_all([shapely.Polygon(c @ matrix[:2, :2].T + matrix[:2, 3]) for c in cuts])
        heights = [goal.z for goal in before.goals if isinstance(goal, PlaneGoal)]
        for x, y, reads, _ in after.seat_check:
            read += 1
            assert not gone.contains(shapely.Point(x, y)) or reads == pytest.approx(heights[0], abs=0.01)
    assert read > 6


def test_a_position_begins_where_the_one_before_is_clear(planned: Plan) -> None:
    """No pass begins in uncut wood: faces come from the cut side, a wall begins where its waste is gone."""
    for setup in planned.setups[:5]:
        [cut] = setup.cuts
        assert isinstance(cut, FaceCut)
        assert (cut.passes, cut.begin, cut.perimeter) == ("across", "high", "none")
        assert cut.to_rim == (_slid(setup).number < _slid(setup).count)
    for setup in planned.setups[5:]:
        cut = setup.cuts[-1]
        assert isinstance(cut, EdgeCut)
        right = max(float(w[:, 0].max()) for w in cut.waste)
        if _slid(setup).number > 1:
            assert float(cut.line[:, 0].max()) >= right + cut.tool.diameter - 1e-6


def test_the_overhang_is_weighed(planned: Plan) -> None:
    """725.9 x 184 x 32.6 mm of ash at 0.60 g/cm3 ovendry and 12 % of water are 2.9 kg; stands are placed."""
    weight = 0.7259 * 0.184 * 0.0326 * 600 * 1.12
    [note] = [n for n in planned.setups[0].notes if "hang over" in n]
    assert f"{weight:.1f} kg" in note
    assert "a stand under it at x -413 mm and -746 mm" in note


def test_a_shop_without_stands_is_warned(job: Job) -> None:
    """Where nothing is said of stands, each clamping warns once, with the overhang in millimetres."""
    bare = replace(job, shop=replace(job.shop, slide=replace(job.shop.slide, supports=False)))
    found = [f for f in plan(bare).findings if f.rule == "nothing-carries-overhang"]
    assert len(found) == len(COUNTS)
    assert {f.level for f in found} == {"warn"}
    assert found[0].measured == pytest.approx(725.9, abs=0.1)


@pytest.mark.parametrize(
    ("register", "said"),
    [("line", "scribe a fine line"), ("stop", "clamp a block to the board"), ("pins", "bore a second hole")],
)
def test_the_register_is_on_the_sheet(job: Job, register: str, said: str) -> None:
    """Before it is loosened the board is marked as the shop does it; the slide is said to the millimetre."""
    shop = replace(job.shop, slide=replace(job.shop.slide, register=register))  # type: ignore[arg-type]
    first, second, last = _clampings(plan(replace(job, shop=shop)))[0]
    for setup in (first, second):
        assert said in _slid(setup).then
        assert "exactly 381 mm to the left" in _slid(setup).then
    assert _slid(last).then == ""
    assert "slide the board 381 mm to the right" in second.notes[0]


def test_a_board_that_fits_is_not_slid(job: Job) -> None:
    """On a machine with room for it, the same recipe plans four clampings and no position."""
    machine = replace(job.shop.machine, x=(0.0, 2000.0), park=(1900.0, 530.0))
    shop = replace(job.shop, machine=machine, bed=replace(job.shop.bed, x=(0.0, 2000.0)))
    setups = plan(replace(job, shop=shop)).setups
    assert [s.slid for s in setups] == [None] * 4


def test_nothing_is_slid_unasked(tmp_path: Path) -> None:
    """By a recipe without the word the same job is refused: the moves leave the machine's travel."""
    for name in ("shop.yaml", "board.yaml", "job.yaml"):
        text = (BENCH.parent / name).read_text()
        (tmp_path / name).write_text(text.replace("longer-than-the-machine", "four-sides-square"))
    with pytest.raises(Refused) as refused:
        check(Request(tmp_path / "job.yaml"))
    assert "leaves-the-travel" in {f.rule for f in refused.value.findings if f.level == "refuse"}


def _refusal(job: Job) -> str:
    with pytest.raises(Refused) as refused:
        plan(job)
    [found] = [f for f in refused.value.findings if f.rule == "cannot-be-slid"]
    return found.message


def test_clamps_on_the_face_cannot_be_slid(job: Job) -> None:
    """A face cut under clamps that move is not cut in positions as well: it is refused with a remedy."""
    steps = tuple(
        replace(s, hold=(Zone("on-top", "face", None, ()),)) if isinstance(s, FaceStep) else s
        for s in job.steps
    )
    assert "clamps move on the face" in _refusal(replace(job, steps=steps))


def test_both_edges_in_one_clamping_cannot_be_slid(job: Job) -> None:
    """The near edge wants to be cut from the left and the far one from the right: they want two clampings."""
    first = next(s for s in job.steps if isinstance(s, EdgeStep))
    at = job.steps.index(first)
    other = replace(first, side="edge-2", hold=())
    steps = (*job.steps[: at + 1], other)
    assert "both edges are cut in one clamping" in _refusal(replace(job, steps=steps))


def test_a_hollow_edge_cannot_be_slid(job: Job) -> None:
    """A hollow runs all along an edge and is not made in parts."""
    steps = tuple(replace(s, hollow=0.3) if isinstance(s, EdgeStep) else s for s in job.steps)
    assert "hollow all along" in _refusal(replace(job, steps=steps))


def test_a_near_edge_is_cut_from_the_left(job: Job) -> None:
    """Where the near wall alone is cut, its roughing begins at the left: positions go the other way."""
    first = next(s for s in job.steps if isinstance(s, EdgeStep))
    at = job.steps.index(first)
    zone = Zone("near-clamps", "face", None, ("edge-2", "end-1", "end-2"))
    steps = (*job.steps[:at], replace(first, side="edge-2", hold=(zone,)))
    last = _clampings(plan(replace(job, steps=steps)))[-1]
    assert all(_slid(s).by < 0 for s in last[1:])
    spans = [
        max(float(w[:, 0].min()) for w in s.cuts[0].waste) for s in last if isinstance(s.cuts[0], EdgeCut)
    ]
    assert len(spans) == 3
