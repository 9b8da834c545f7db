"""What holds a board: hold-downs chosen, placed and told, in shipped examples with their shops changed."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from example_jobs import EXAMPLES, bound
from held_jobs import CLAMPED, DRAWN, LOW_STOP, TAPED, held_by, numbers, refusals, rules, shop_with, told
from stockwright.hold_downs import Bolt, Channel, LeverStop, Places, Screw, SideClamp, TopClamp, Wedge
from stockwright.job import EdgeStep, FaceStep, Job, Zone
from stockwright.planning.grips import press_of
from stockwright.planning.plan import plan

WASTE = Zone("screws", "waste", None, ())
SCREW = Screw("wood-screw", 4, 9.0, 5.0, 12.0, sunk=11.0, shear=350.0, pull=400.0)


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


@pytest.mark.wide
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
