"""A face cut under clamps that stand on it: regions, places, heights, and what does not fit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from example_jobs import EXAMPLES, bound
from stockwright.findings import Finding, Refused
from stockwright.hold_downs import Places, TopClamp
from stockwright.job import FaceStep, Zone
from stockwright.machine import Errors, Figure
from stockwright.planning import plan
from stockwright.planning.clamp_places import rims
from stockwright.planning.setup import FaceCut, Setup, Solid

if TYPE_CHECKING:
    from typing import Literal

    from stockwright.job import Job

LECTERN = EXAMPLES / "lectern-top" / "job.yaml"
ON_TOP = (Zone("on-top", "face", None, ()),)


def job_with(
    passes: Literal["along", "across"] = "across", overlap: float = 25.0, hold: tuple[Zone, ...] = ON_TOP
) -> Job:
    """Return the example's job with its passes turned and its steps changed."""
    job, _ = bound(LECTERN)
    steps = tuple(
        replace(s, passes=passes, overlap=overlap, hold=hold) if isinstance(s, FaceStep) else s
        for s in job.steps
    )
    return replace(job, steps=steps)


def with_clamps(job: Job, count: int) -> Job:
    """Return the job in a shop that has `count` of its clamps."""
    kinds = tuple(replace(h, count=count) if isinstance(h, TopClamp) else h for h in job.shop.hold_downs)
    return replace(job, shop=replace(job.shop, hold_downs=kinds))


def face_cuts(setup: Setup) -> tuple[FaceCut, ...]:
    """Return the regions of a setup."""
    return tuple(cut for cut in setup.cuts if isinstance(cut, FaceCut))


def stood(setup: Setup, place: str, part: str) -> list[Solid]:
    """Return the arms or bodies of one place."""
    return [s for s in setup.solids if f", {place} place {part}" in s.name]


def refusal(job: Job) -> Finding:
    """Return the first refusal of a job."""
    with pytest.raises(Refused) as refused:
        plan(job)
    return refused.value.findings[0]


@pytest.mark.parametrize("passes", ["along", "across"])
def test_regions_cover_the_board_and_overlap_as_asked(passes: Literal["along", "across"]) -> None:
    """Together the regions leave nothing of the board, and what both states share is as wide as asked."""
    for setup in plan(job_with(passes)).setups:
        cuts = face_cuts(setup)
        board = shapely.Polygon(setup.wood_outline)
        regions = [shapely.Polygon(cut.region) for cut in cuts]
        assert board.difference(shapely.union_all(regions)).area == pytest.approx(0.0, abs=1e-6)
        first = shapely.union_all(
            [r for r, c in zip(regions, cuts, strict=True) if c.standing == cuts[0].standing]
        )
        for region, cut in zip(regions, cuts, strict=True):
            if cut.standing != cuts[0].standing:
                for shared in shapely.get_parts(first.intersection(region)):
                    x0, y0, x1, y1 = shared.bounds
                    assert (x1 - x0 if passes == "across" else y1 - y0) == pytest.approx(25.0, abs=1e-6)


@pytest.mark.parametrize("passes", ["along", "across"])
def test_every_goal_is_a_region(passes: Literal["along", "across"]) -> None:
    """Each region has its own flat goal at the face's one height, and there is no other goal."""
    for setup in plan(job_with(passes)).setups:
        cuts = face_cuts(setup)
        assert [(g.cut, g.z) for g in setup.goals] == [(c.name, c.z) for c in cuts]
        assert len({c.z for c in cuts}) == 1


@pytest.mark.parametrize("passes", ["along", "across"])
def test_arms_stand_on_wood_as_high_as_it_is(passes: Literal["along", "across"]) -> None:
    """In its first place an arm lies on the rough wood under it, in its second on the fresh face."""
    planned = plan(job_with(passes))
    setup, wood = planned.setups[0], planned.pieces[0].wood
    m = setup.lies[0].matrix
    (x0, y0), (x1, y1) = wood.board.outline.min(axis=0), wood.board.outline.max(axis=0)
    gx, gy = np.meshgrid(np.arange(x0, x1, 0.5), np.arange(y0, y1, 0.5))
    points = np.column_stack([gx.ravel(), gy.ravel()])
    points = points[shapely.contains_xy(shapely.Polygon(wood.board.outline), points)]
    tops = np.column_stack([points, wood.board.top_at(points), np.ones(len(points))]) @ m[:3].T
    z = face_cuts(setup)[0].z
    assert stood(setup, "first", "arm")
    for arm in stood(setup, "first", "arm"):
        under = tops[shapely.contains_xy(shapely.Polygon(arm.outline), tops[:, :2])]
        assert arm.bottom > z + 1.0
        assert arm.bottom == pytest.approx(under[:, 2].max(), abs=0.02)
    assert {arm.bottom for arm in stood(setup, "second", "arm")} == {z}


@pytest.mark.parametrize("passes", ["along", "across"])
def test_second_places_are_on_what_was_cut_first(passes: Literal["along", "across"]) -> None:
    """No arm of the second state stands on wood that the first state left rough."""
    for setup in plan(job_with(passes)).setups:
        cuts = face_cuts(setup)
        fresh = shapely.union_all([shapely.Polygon(c.region) for c in cuts if c.standing == cuts[0].standing])
        board = shapely.Polygon(setup.wood_outline)
        for arm in stood(setup, "second", "arm"):
            assert shapely.Polygon(arm.outline).intersection(board).difference(fresh).area == 0.0


@pytest.mark.parametrize("passes", ["along", "across"])
def test_arms_keep_off_the_rim_of_the_cutter(passes: Literal["along", "across"]) -> None:
    """From where the cutter's rim comes beyond a region's border an arm keeps the machine's margin."""
    job = job_with(passes)
    for setup in plan(job).setups:
        for cut in face_cuts(setup):
            assert cut.standing is not None
            beyond = rims(cut.tool, cut.stepover)[0 if cut.seam and passes == "across" else 1]
            swept = shapely.Polygon(cut.region).buffer(beyond)
            for arm in (s for s in setup.solids if s.name in cut.standing and s.name.endswith(" arm")):
                gap = swept.distance(shapely.Polygon(arm.outline))
                assert gap >= job.shop.machine.margin - 1e-9


def test_only_the_second_state_has_a_seam() -> None:
    """What is cut after the clamps moved may stand off; what is cut before has nothing to stand off from."""
    job = job_with()
    rough, flat = (face_cuts(s) for s in plan(job).setups)
    assert [c.seam for c in rough] == [0.0, 0.0, min(job.shop.shims)]
    assert [c.seam for c in flat] == [0.0, 0.0, 0.05]
    errors = Errors(seating=Figure(0.08, 0.02))
    told = plan(replace(job, shop=replace(job.shop, errors=errors)))
    assert face_cuts(told.setups[0])[-1].seam == pytest.approx(0.1)


def test_something_carries_the_board_under_every_arm() -> None:
    """A rough board has a shim within 30 mm of the middle of each arm, or touches the bed there."""
    planned = plan(job_with())
    setup, wood = planned.setups[0], planned.pieces[0].wood
    back = np.linalg.inv(setup.lies[0].matrix)
    board = shapely.Polygon(setup.wood_outline)
    for arm in (s for s in setup.solids if s.name.endswith(" arm")):
        at = shapely.Polygon(arm.outline).intersection(board).centroid
        near = min(float(np.hypot(s.x - at.x, s.y - at.y)) for s in setup.shims)
        there = back @ np.array([at.x, at.y, 0.0, 1.0])
        low = float(wood.board.bottom_at(there[None, :2])[0])
        gap = float(setup.lies[0].matrix[2] @ np.array([there[0], there[1], low, 1.0]))
        assert near <= 30.0 or gap < 0.15
    assert not planned.setups[1].shims


def test_every_clamp_grips_in_both_places() -> None:
    """Each place of each clamp presses on the wood, with the shop's own force, at the arm's height."""
    setup = plan(job_with()).setups[0]
    arms = {s.name.removesuffix(" arm"): s for s in setup.solids if s.name.endswith(" arm")}
    assert {g.name for g in setup.grips} == set(arms)
    for grip in setup.grips:
        assert (grip.how, grip.force) == ("press", 400.0)
        assert grip.at[2] == arms[grip.name].bottom


def test_regions_begin_at_the_rim_of_the_board() -> None:
    """The far end and the far half begin at their outer side, so that no pass runs between uncut wood."""
    across, along = (face_cuts(plan(job_with(p)).setups[0]) for p in ("across", "along"))
    assert [c.begin for c in across] == ["low", "high", "low"]
    assert [c.begin for c in along] == ["high", "low"]


def test_feet_stand_on_slots_where_the_bed_has_them() -> None:
    """With slots every 40 mm along y each foot's middle is on one, within the play."""
    job = job_with()
    slots = tuple(("y", float(x)) for x in range(25, 880, 40))
    bed = replace(job.shop.bed, places=Places(slots, (), 2.0))
    setup = plan(replace(job, shop=replace(job.shop, bed=bed))).setups[0]
    for body in (s for s in setup.solids if s.name.endswith(" body")):
        middle = float(body.outline[:, 0].mean()) + job.shop.bed.mark[0]
        assert min(abs(middle - x) for _, x in slots) <= 2.0 + 1e-6


def test_slots_too_far_apart_are_refused() -> None:
    """Where no slot lies within reach of a clamp's place the job is refused, with both numbers."""
    job = job_with()
    bed = replace(job.shop.bed, places=Places((("y", 30.0),), (), 2.0))
    found = refusal(replace(job, shop=replace(job.shop, bed=bed)))
    assert found.rule == "no-place-for-hold-down"
    assert found.measured is not None
    assert found.limit is not None
    assert found.measured > found.limit == 2.0


@pytest.mark.parametrize(("passes", "count", "need"), [("across", 3, 4), ("along", 2, 3)])
def test_too_few_clamps_are_refused(passes: Literal["along", "across"], count: int, need: int) -> None:
    """While one clamp is moved two others hold: with fewer the job is refused, saying how many it needs."""
    found = refusal(with_clamps(job_with(passes), count))
    assert (found.rule, found.measured, found.limit) == ("no-room-for-clamps", count, need)


def test_three_clamps_will_do_along() -> None:
    """Passes along need three clamps and take them."""
    setup = plan(with_clamps(job_with("along"), 3)).setups[0]
    assert len(stood(setup, "first", "arm")) == 3


def test_no_clamps_at_all_are_refused() -> None:
    """A shop without a clamp for the face is told so."""
    job = job_with()
    found = refusal(replace(job, shop=replace(job.shop, hold_downs=())))
    assert found.rule == "no-hold-down"


@pytest.mark.parametrize(("passes", "overlap"), [("across", 260.0), ("along", 170.0)])
def test_too_wide_an_overlap_is_refused(passes: Literal["along", "across"], overlap: float) -> None:
    """Regions that cannot overlap so far beside the clamps are refused; the numbers say by how much."""
    found = refusal(job_with(passes, overlap=overlap))
    assert found.rule == "no-room-for-clamps"
    assert found.measured is not None
    assert found.limit is not None
    assert found.measured < found.limit
    enough = overlap - (found.limit - found.measured) / (2 if passes == "across" else 1) - 1.0
    assert plan(job_with(passes, overlap=enough)).setups


def test_an_edge_that_is_kept_clear_leaves_too_few_places() -> None:
    """A zone that keeps clear of one edge leaves no two clamps at each: refused, in either way of passes."""
    hold = (Zone("on-top", "face", None, ("edge-1",)),)
    assert refusal(job_with("across", hold=hold)).rule == "no-room-for-clamps"
    assert refusal(job_with("along", hold=hold)).rule == "no-room-for-clamps"


def test_long_free_spans_are_told() -> None:
    """A board held only far apart is planned with a warning that says how far, and that 400 mm are usual."""
    job = job_with()
    board = job.boards[0]
    assert not [f for f in plan(job).findings if f.rule == "held-far-apart"]
    stretched = replace(board, x=board.x * 1.3, outline=board.outline * np.array([1.3, 1.0]))
    found = [f for f in plan(replace(job, boards=(stretched,))).findings if f.rule == "held-far-apart"]
    assert found
    assert {(f.level, f.limit) for f in found} == {("warn", 400.0)}
    assert min(f.measured or 0.0 for f in found) > 400.0
