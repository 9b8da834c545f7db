"""What holds a board: hold-downs chosen, placed and told, in shipped examples with their shops changed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
import shapely

from example_jobs import EXAMPLES, bound
from stockwright.findings import Finding, Refused
from stockwright.hold_downs import (
    Bolt,
    Channel,
    LeverStop,
    Places,
    Screw,
    SideClamp,
    Stop,
    Tape,
    TopClamp,
    Vacuum,
    Wedge,
)
from stockwright.job import EdgeStep, FaceStep, FlipStep, Zone
from stockwright.planning.grips import GUESSED, press_of
from stockwright.planning.plan import plan

if TYPE_CHECKING:
    from stockwright.hold_downs import HoldDown
    from stockwright.job import Job
    from stockwright.planning.plan import Plan
    from stockwright.planning.setup import Setup

TAPED, CLAMPED, DRAWN = (EXAMPLES / name / "job.yaml" for name in ("drawer-front", "bench-apron", "box-side"))
BELOW = Zone("below", "underneath", None, ())
WASTE = Zone("screws", "waste", None, ())
SCREW = Screw("wood-screw", 4, 9.0, 5.0, 12.0, sunk=11.0, shear=350.0, pull=400.0)
LOW_STOP = Stop("low-stop", 4, 40.0, 30.0, 12.0, 600.0)


def shop_with(job: Job, *hold_downs: HoldDown, **bed: object) -> Job:
    """Give the job in a shop with these hold-downs instead, and its bed changed."""
    shop = replace(job.shop, bed=replace(job.shop.bed, **bed))  # type: ignore[arg-type]
    return replace(job, shop=replace(shop, hold_downs=hold_downs) if hold_downs else shop)


def held_by(job: Job, *zones: Zone) -> Job:
    """Give the job with these zones at every step that holds anything."""
    steps = tuple(
        replace(s, hold=zones) if isinstance(s, FaceStep | EdgeStep) and s.hold else s for s in job.steps
    )
    return replace(job, steps=steps)


def refusals(job: Job) -> list[Finding]:
    """Give every finding of a job that cannot be planned."""
    with pytest.raises(Refused) as caught:
        plan(job)
    return list(caught.value.findings)


def rules(found: list[Finding] | tuple[Finding, ...]) -> set[str]:
    """Give the findings' rules."""
    return {f.rule for f in found}


def numbers(found: Finding) -> tuple[float, float]:
    """Give the two numbers that a finding compares."""
    assert found.measured is not None
    assert found.limit is not None
    return found.measured, found.limit


def told(setup: Setup) -> str:
    """Give all of a setup's notes as one text."""
    return "\n".join(setup.notes)


def screwed(screw: Screw = SCREW, length: str = "1000 mm", width: str = "190 mm") -> Job:
    """Give the stair tread with every face, and edge-1, held by screws in the waste."""
    job, _ = bound(values={"length": length, "width": width})
    steps = tuple(
        replace(s, hold=(WASTE,))
        if isinstance(s, FaceStep) or (isinstance(s, EdgeStep) and s.side == "edge-1")
        else s
        for s in job.steps
    )
    return shop_with(replace(job, steps=steps), *job.shop.hold_downs, screw)


@pytest.fixture(scope="module")
def taped() -> Plan:
    """Plan the drawer front: first face from its sides, second on tape."""
    return plan(bound(TAPED)[0])


@pytest.fixture(scope="module")
def drawn() -> Plan:
    """Plan the box side: first face from its sides, second on vacuum."""
    return plan(bound(DRAWN)[0])


@pytest.mark.parametrize("path", [TAPED, CLAMPED, DRAWN, EXAMPLES / "stair-tread" / "job.yaml"])
def test_everything_that_holds_says_how_hard_and_why(path: object) -> None:
    """Every hold-down among the solids has a grip of its name, and every grip a force and a source."""
    for setup in plan(bound(path)[0]).setups:  # type: ignore[arg-type]
        grips = {g.name for g in setup.grips}
        for solid in setup.solids:
            if solid.kind not in {"fence", "backing"}:
                assert solid.name.removesuffix(" arm").removesuffix(" body") in grips
        assert setup.grips
        assert all(g.force > 0 and g.source for g in setup.grips)


def test_fence_carries_only_the_board_that_lies_against_it() -> None:
    """A fence's pieces carry in the setup that pushes the trued edge against them, and in no other."""
    carried = [
        [g.name for g in s.grips if g.name.startswith("fence")]
        for s in plan(bound(EXAMPLES / "stair-tread" / "job.yaml")[0]).setups
    ]
    assert carried[0] == carried[1] == []
    assert carried[-1]


def test_forces_not_stated_are_told_as_guesses(taped: Plan) -> None:
    """The shop says what its clamps push with and not what its stops carry: the sheet says which is which."""
    first = taped.setups[0]
    sources = {g.name.split(" ")[0]: g.source for g in first.grips}
    assert GUESSED in sources["end-stop"]
    assert GUESSED not in sources["side-clamp"]
    assert GUESSED in told(first)


def test_tape_is_under_the_board_and_the_zero_is_taken_on_it(taped: Plan) -> None:
    """Strips lie 10 mm inside the board, nothing else stands, and z is taken on a strip of the same tape."""
    setup = taped.setups[1]
    assert setup.solids == ()
    assert {g.how for g in setup.grips} == {"shear"}
    assert len(setup.grips) == 3
    under = shapely.Polygon(setup.wood_outline).buffer(-9.9)
    assert all(under.contains(shapely.Point(g.at[:2])) for g in setup.grips)
    assert sum(g.area for g in setup.grips) < under.area
    assert "strip of the same tape" in setup.zero_how


def test_tape_is_refused_on_a_rough_face() -> None:
    """Tape under a rough face is refused, with how far the face stands off and how thick the tape is."""
    job, _ = bound(TAPED)
    (found,) = [f for f in refusals(held_by(job, BELOW)) if f.rule == "tape-on-rough-face"]
    assert found.setup == 1
    stands_off, thick = numbers(found)
    assert stands_off > thick == 0.2


def test_vacuum_is_refused_on_a_rough_face() -> None:
    """A seal that follows 0.3 mm does not close on a rough face; one that follows what it measures does."""
    job, _ = bound(DRAWN)
    vacuum = next(h for h in job.shop.hold_downs if isinstance(h, Vacuum))
    rough = shop_with(held_by(job, BELOW), vacuum)
    (found,) = [f for f in refusals(rough) if f.rule == "rough-face-on-vacuum"]
    stands_off, follows = numbers(found)
    assert stands_off > follows == 0.3
    assert plan(shop_with(held_by(job, BELOW), replace(vacuum, follows=stands_off + 0.01))).setups


def test_only_areas_wholly_under_the_board_and_off_the_marks_draw(drawn: Plan) -> None:
    """Three of four areas lie whole under the board; it is laid away from the one across a mark of a cut."""
    setup = drawn.setups[1]
    assert [g.name for g in setup.grips] == [f"bed-vacuum area {n}" for n in (1, 2, 3)]
    assert {g.how for g in setup.grips} == {"draw"}
    board = shapely.Polygon(setup.wood_outline)
    job, _ = bound(DRAWN)
    mark_x, mark_y = job.shop.bed.mark
    vacuum = next(h for h in job.shop.hold_downs if isinstance(h, Vacuum))
    for grip, ((x0, x1), (y0, y1)) in zip(setup.grips, vacuum.areas[:3], strict=True):
        assert board.contains(shapely.box(x0 - mark_x, y0 - mark_y, x1 - mark_x, y1 - mark_y))
        assert grip.area == pytest.approx((x1 - x0 - 12) * (y1 - y0 - 12))
        assert grip.force == pytest.approx(grip.area * 0.06)


def test_marks_under_every_seal_leave_nothing_to_draw() -> None:
    """A channel along the bed under all the seals lets the air in: refused, though the board covers them."""
    job, _ = bound(DRAWN)
    kept = tuple(h for h in job.shop.hold_downs if not isinstance(h, Tape))
    leaky = shop_with(job, *kept, marks=(Channel((60.0, 1100.0), (222.0, 224.0), 0.3),))
    (found,) = [f for f in refusals(leaky) if f.rule == "no-vacuum-under-board"]
    assert "marks of earlier cuts" in found.message


def test_board_is_laid_over_the_areas(drawn: Plan) -> None:
    """Areas that lie elsewhere on the bed draw the board's place with them."""
    job, _ = bound(DRAWN)
    far = Vacuum("far-vacuum", (((700.0, 900.0), (400.0, 520.0)),), 6.0, None, 0.05)
    sides = tuple(h for h in job.shop.hold_downs if isinstance(h, SideClamp | Stop))
    moved = plan(shop_with(job, *sides, far, marks=())).setups[1]
    assert [g.name for g in moved.grips] == ["far-vacuum area 1"]
    assert moved.wood_outline[:, 1].min() > drawn.setups[1].wood_outline[:, 1].min() + 50


def test_vacuum_that_no_board_covers_is_refused_or_taped_instead() -> None:
    """An area wider than the board seals nowhere: refused with how much is covered, or tape, saying why."""
    job, _ = bound(DRAWN)
    sides = tuple(h for h in job.shop.hold_downs if isinstance(h, SideClamp | Stop))
    wide = Vacuum("wide-vacuum", (((200.0, 800.0), (200.0, 500.0)),), 6.0, None, 0.06)
    (found,) = [
        f for f in refusals(shop_with(job, *sides, wide, marks=())) if f.rule == "no-vacuum-under-board"
    ]
    covered, wanted = numbers(found)
    assert 0 < covered < wanted == 100
    tape = Tape("thin-tape", 2, 25.0, 0.15, 0.02)
    setup = plan(shop_with(job, *sides, wide, tape, marks=())).setups[1]
    assert {g.how for g in setup.grips} == {"shear"}
    assert "Not wide-vacuum" in told(setup)


def test_open_pored_wood_on_vacuum_is_warned_of() -> None:
    """Ash lets air through: the vacuum worked out may not be reached, and a warning says so."""
    job, _ = bound(DRAWN)
    ash = replace(job, boards=tuple(replace(b, species="ash-white") for b in job.boards))
    assert "wood-lets-air-through" in rules(plan(ash).findings)
    assert "wood-lets-air-through" not in rules(plan(job).findings)


def test_feet_stand_on_the_slots_within_their_play() -> None:
    """On a bed with slots every 100 mm each foot's middle is within 30 mm of one, and the sheet names it."""
    job, _ = bound(CLAMPED)
    places = job.shop.bed.places
    assert places is not None
    for setup in plan(job).setups:
        for solid in setup.solids:
            x = solid.outline[:, 0].mean() + job.shop.bed.mark[0]
            assert min(abs(x - at) for _, at in places.slots) <= places.play + 1e-6
            assert f"{solid.name}: bolt in slot" in told(setup)


def test_feet_that_no_slot_reaches_are_refused_until_there_is_play_enough() -> None:
    """Without play the end stops fit no slot; with the play that the finding measured, they do."""
    job, _ = bound(CLAMPED)
    slots = tuple(("y", at) for at in (150.0, 550.0, 950.0))
    tight = shop_with(job, *job.shop.hold_downs, places=Places(slots, (), 2.0))
    found = [f for f in refusals(tight) if f.rule == "no-place-for-hold-down"]
    assert found
    assert all(off > play == 2.0 for off, play in map(numbers, found))
    play = max(off for off, _ in map(numbers, found)) + 0.1
    assert plan(shop_with(job, *job.shop.hold_downs, places=Places(slots, (), play))).setups


def test_feet_stand_on_threaded_holes() -> None:
    """On a grid of holes every foot is within its play of one both along and across."""
    job, _ = bound(CLAMPED)
    holes = tuple((float(x), float(y)) for x in range(60, 1160, 75) for y in range(60, 660, 75))
    bolted = shop_with(job, *job.shop.hold_downs, places=Places((), holes, 30.0))
    for setup in plan(bolted).setups:
        for solid in setup.solids:
            x, y = solid.outline.mean(axis=0) + job.shop.bed.mark
            assert min(max(abs(x - a), abs(y - b)) for a, b in holes) <= 30.0 + 1e-6


def test_clamps_on_the_face_stand_on_slots_too() -> None:
    """The bodies of clamps on top stand on slots along x, further out where their arms are long enough."""
    job, _ = bound(EXAMPLES / "stair-tread" / "job.yaml")
    places = Places(tuple(("y", float(at)) for at in range(60, 1340, 20)), (), 10.0)
    setup = plan(shop_with(job, *job.shop.hold_downs, places=places)).setups[2]
    bodies = [s for s in setup.solids if s.name.endswith(" body")]
    assert bodies
    for body in bodies:
        x = body.outline[:, 0].mean() + job.shop.bed.mark[0]
        assert min(abs(x - at) for _, at in places.slots) <= 10.0 + 1e-6


def test_strongest_known_that_is_low_enough_is_taken() -> None:
    """Of four kinds that push the strongest low one is taken, and the sheet says why not the others."""
    setup = plan(bound(CLAMPED)[0]).setups[0]
    assert {s.kind for s in setup.solids} == {"side-clamp", "stop"}
    notes = told(setup)
    assert "not high-clamp: 40 mm high" in notes
    assert "not oak-wedge: 123 N" in notes
    assert "not cam-lever: 90 N" in notes


def test_wedges_push_from_the_near_side_against_stops() -> None:
    """Where only wedges push, they stand at the operator's side, and stops stand firm opposite them."""
    job, _ = bound(CLAMPED)
    wedge = Wedge("oak-wedge", 3, 70.0, 60.0, 14.0, 8.0, drive=120.0)
    setup = plan(shop_with(job, wedge, replace(LOW_STOP, count=5), places=None)).setups[0]
    middle = setup.wood_outline[:, 1].mean()
    for grip in setup.grips:
        if grip.how == "push":
            assert grip.at[1] < middle
            assert grip.way == (0.0, 1.0)
    assert [g for g in setup.grips if g.how == "carry" and g.way == (0.0, -1.0)]
    # 1 / (tan(8 deg + atan 0.4) + 0.4), times 120 N
    assert {round(g.force, 1) for g in setup.grips if g.how == "push"} == {123.4}


def test_steep_wedges_are_warned_of() -> None:
    """A wedge of 15 degrees can slide back where pine's least friction holds only 13.7; one of 8 does not."""
    job, _ = bound(CLAMPED)
    steep = Wedge("oak-wedge", 3, 70.0, 60.0, 14.0, 15.0)
    flat = replace(steep, angle=8.0)
    (found, *_) = [f for f in plan(shop_with(job, steep, LOW_STOP, places=None)).findings if f.setup]
    assert (found.rule, found.measured) == ("wedge-slips-back", 15.0)
    assert found.limit == pytest.approx(13.69, abs=0.01)
    assert "wedge-slips-back" not in rules(plan(shop_with(job, flat, LOW_STOP, places=None)).findings)


def test_lever_stops_push_where_there_is_nothing_else() -> None:
    """Cams push an edge of a shop that has no side clamps, against stops."""
    job, _ = bound(CLAMPED)
    cam = LeverStop("cam", 2, 40.0, 45.0, 14.0)
    setup = plan(shop_with(job, cam, LOW_STOP, places=None)).setups[0]
    assert [s.kind for s in setup.solids if s.name.startswith("cam ")] == ["lever-stop", "lever-stop"]


def test_too_few_for_the_sides_asked_is_refused() -> None:
    """One clamp does not hold two edges: refused with how many there are and how many are asked."""
    job, _ = bound(CLAMPED)
    one = SideClamp("only-clamp", 1, 60.0, 50.0, 14.0)
    ends = replace(LOW_STOP, count=2)
    (found, *_) = [f for f in refusals(shop_with(job, one, ends, places=None)) if f.rule == "no-hold-down"]
    assert (found.measured, found.limit) == (1.0, 2.0)


def test_nothing_stands_higher_than_a_face_cut_comes() -> None:
    """Without a height in its zone a clamp still stays the machine's margin under the cut of the face."""
    job, _ = bound(CLAMPED)
    open_zones = (
        Zone("sides", ("edge-1", "edge-2"), None, ()),
        Zone("ends", ("end-1", "end-2"), None, ()),
    )
    for setup in plan(held_by(job, *open_zones)).setups:
        lowest = min(cut.z for cut in setup.cuts)  # type: ignore[union-attr]
        assert all(s.top <= lowest - job.shop.machine.margin for s in setup.solids)


def test_a_side_that_is_cut_is_not_held_there() -> None:
    """A zone at the edge that its own step cuts is refused, with how low the tip comes there."""
    job, _ = bound(EXAMPLES / "stair-tread" / "job.yaml")
    zone = Zone("wrong", ("edge-1", "edge-2"), None, ())
    steps = tuple(
        replace(s, hold=(zone,)) if isinstance(s, EdgeStep) and s.side == "edge-1" else s for s in job.steps
    )
    (found,) = [f for f in refusals(replace(job, steps=steps)) if f.rule == "hold-down-where-cut"]
    high, tip = numbers(found)
    assert high > 0 > tip


def test_screws_stand_in_waste_and_under_the_cutter() -> None:
    """Heads lie outside the finished piece with wood round them, and the margin below every face cut."""
    job = screwed()
    made = plan(job)
    for setup in made.setups[:2]:
        screws = [s for s in setup.solids if s.kind == "screw"]
        assert len(screws) == 4
        board = shapely.Polygon(setup.wood_outline)
        lowest = min(cut.z for cut in setup.cuts)  # type: ignore[union-attr]
        for screw in screws:
            assert board.contains(shapely.Polygon(screw.outline).buffer(2.0))
            assert screw.top <= lowest - job.shop.machine.margin + 1e-6
        apart = [s.outline[:, 0].mean() for s in screws]
        assert max(apart) - min(apart) > 1000.0  # at both ends: the finished piece is as long
    assert {g.lifts for g in made.setups[0].grips} == {400.0}


def test_screws_not_sunk_below_the_cut_are_refused_until_they_are() -> None:
    """A head on the face being cut is refused; sunk as deep as the finding says, it passes."""
    flush = replace(SCREW, sunk=0.0)
    found = [f for f in refusals(screwed(flush)) if f.rule == "screw-stands-too-high"]
    assert found
    assert all(sunk == 0.0 < needed for sunk, needed in map(numbers, found))
    assert plan(screwed(replace(SCREW, sunk=max(needed for _, needed in map(numbers, found)) + 0.01))).setups


def test_screws_without_waste_are_refused() -> None:
    """A board nearly as small as its piece has no room for a head: both widths are told."""
    (found, *_) = [
        f for f in refusals(screwed(length="1165 mm", width="218 mm")) if f.rule == "no-waste-for-screws"
    ]
    waste, head = numbers(found)
    assert waste < head == 15.0


def test_clamp_presses_with_what_its_bolt_and_lever_give() -> None:
    """10 N m on 8 mm, dry: 4167 N in the bolt, of which two thirds reach the work."""
    bolted = TopClamp("strap", 2, 30.0, 150.0, 18.0, 30.0, 45.0, bolt=Bolt(8.0, 10_000.0, 60.0, 30.0))
    force = press_of(bolted)
    assert force.newtons == pytest.approx(10_000 / (0.3 * 8) * 60 / 90)
    assert not force.guessed
    assert "nut factor 0.3 (taken: dry, the least)" in force.source


def test_shim_over_a_mark_of_the_bed_is_warned_of() -> None:
    """A shim that would stand in a channel carries nothing at its height: a warning gives the depth."""
    job, _ = bound(CLAMPED)
    shim, mark = plan(job).setups[0].shims[0], job.shop.bed.mark
    x, y = shim.x + mark[0], shim.y + mark[1]
    marked = shop_with(job, *job.shop.hold_downs, marks=(Channel((x - 10, x + 10), (y - 10, y + 10), 0.6),))
    made = plan(marked)
    (found,) = [f for f in made.findings if f.rule == "shim-over-a-mark"]
    assert (found.measured, found.setup) == (0.6, 1)
    assert "marks of earlier cuts" in told(made.setups[0])


def test_the_same_job_is_held_the_same_way_twice(drawn: Plan) -> None:
    """Nothing about the placing changes from one run to the next."""
    again = plan(bound(DRAWN)[0])
    assert [s.grips for s in again.setups] == [s.grips for s in drawn.setups]
    assert [s.notes for s in again.setups] == [s.notes for s in drawn.setups]
    assert any(isinstance(s, FlipStep) for s in bound(DRAWN)[0].steps)
