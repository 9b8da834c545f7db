"""What each rule says and advises on either side of its border."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from checking.at_borders import (
    edge_with,
    face_with,
    lowered,
    plate,
    powered,
    short,
    turning,
)
from checking.cases_of_accuracy import LEANS, flat_within
from cutters import end_mill, facer
from setups import edge_setup, face_setup, rectangle, shop, solid
from situations import found, hand, situation
from stockwright.budget.sums import budget
from stockwright.budget.work import work_of
from stockwright.checking import accuracy, reach, running, standing, trust
from stockwright.checking.too_large import far_too_large
from stockwright.checking.too_long import shorter
from stockwright.job import BedStep, FaceStep

if TYPE_CHECKING:
    from situations import Stop

CHIPS = (  # feed, level, and what cures, of a cutter with two teeth at 16000 rpm and a chip of feed / 32000
    (3200.0, None, ""),
    (3184.0, "warn", "set its feed to 3200 mm/min or set its speed to 15900 rpm"),
    (1067.0, "warn", "set its feed to 3200 mm/min"),
    (1066.0, "refuse", "set its feed to 3200 mm/min"),
)


@pytest.mark.parametrize(("feed", "level", "cure"), CHIPS)
def test_a_chip_below_a_third_of_a_proper_one_is_refused(feed: float, level: str | None, cure: str) -> None:
    """Too thin a chip warns down to a third, and is refused below it; a speed out of range is no cure."""
    told = [(f.level, f.remedy) for f in found(running.chip_too_thin, turning(end_mill(feed=feed)))]
    assert told == ([] if level is None else [(level, cure)])


def test_thin_chips_of_a_slow_machine_want_fewer_flutes() -> None:
    """Where neither feed nor speed can cure, at most as many teeth as make a proper chip of the feed."""
    cases = {
        (3200.0, 3200.0, 6): "take a cutter with at most 2 flutes",
        (3200.0, 3200.0, 3): "take a cutter with at most 2 flutes",
        (1600.0, 1600.0, 3): "take a cutter with at most 1 flute",
        (1280.0, 1280.0, 2): "run it on a machine that feeds 1.3 times as fast with one flute",
        (3200.0, 4800.0, 3): "set its feed to 4800 mm/min",
    }
    for (feed, most, flutes), cure in cases.items():
        own = turning(end_mill(feed=feed, flutes=flutes), max_feed=most, min_rpm=15900.0)
        [finding] = found(running.chip_too_thin, own)
        assert finding.remedy == cure, (feed, most, flutes)


POWERS = (
    (150.0, None, None),
    (149.0, "warn", 74.5),
    (75.0, "warn", 37.5),
    (74.5, "refuse", 74.5),
)


@pytest.mark.parametrize(("watts", "level", "limit"), POWERS)
def test_power_within_the_design_factor_warns(watts: float, level: str | None, limit: float | None) -> None:
    """75 W warn on a spindle of less than twice that, and are refused on one of less than that."""
    told = [(f.level, f.measured, f.limit) for f in found(running.power_exceeded, powered(watts))]
    assert told == ([] if level is None else [(level, 75.0, limit)])


def test_a_soft_thing_is_not_judged_over_the_bed() -> None:
    """Bristles may come down to it, riding with the spindle or with the gantry."""
    for bottom, way in ((1.5, "gantry"), (-60.0, "z")):
        assert len(found(reach.attached_meets_wood, lowered(-4.0, plate(bottom, way)))) == 1  # type: ignore[arg-type]
        assert found(reach.attached_meets_wood, lowered(-4.0, plate(bottom, way, soft=True))) == ()  # type: ignore[arg-type]


KINDS = {
    **dict.fromkeys(("side-clamp", "stop", "top-clamp", "wedge", "lever-stop", "screw"), 0),
    **dict.fromkeys(("fence", "backing", "riser"), 1),
}


def test_what_holds_is_a_clamp_a_stop_a_wedge_or_a_screw() -> None:
    """A fence, scrap and risers hold nothing."""
    for kind, many in KINDS.items():
        thing = solid("thing 1", rectangle(600.0, 600.0, 640.0, 640.0), kind=kind)
        assert len(found(standing.held_by_nothing, face_with(solids=(thing,)))) == many, kind


def test_the_shops_own_cutter_is_named_where_it_would_reach() -> None:
    """One that cuts edges, cuts as deep, and is another is named with its length; else there is none."""
    bad = edge_with(end_mill(cutting_length=30.0))
    for length, does, name, said in (
        (31.0, ("edge",), "other", "at least 31 mm long; the shop's other has 31 mm"),
        (36.5, ("face", "edge"), "other", "at least 31 mm long; the shop's other has 36.5 mm"),
        (30.5, ("edge",), "other", "at least 31 mm long; the shop lists none"),
        (36.5, ("face",), "other", "at least 31 mm long; the shop lists none"),
        (36.5, ("edge",), "long-end-mill", "at least 31 mm long; the shop lists none"),
    ):
        tool = replace(end_mill(cutting_length=length), name=name, does=does)
        own = replace(bad, job=replace(bad.job, shop=shop(tools=(facer(cutting_length=99.0), tool))))
        [finding] = found(reach.cutter_too_short, own)
        assert finding.remedy.endswith(said)


def test_how_far_it_may_stick_out_is_what_its_length_leaves() -> None:
    """Exactly as far as its shank allows it is let out; a hair more, and a longer cutter is asked for."""
    for length, said in (
        (60.0, "let long-end-mill stick out 31.5 mm; 26 mm then stay gripped"),
        (57.5, "let long-end-mill stick out 31.5 mm; 26 mm then stay gripped"),
        (
            57.0,
            (
                "take a cutter at least 57.5 mm long and let it stick out 31.5 mm "
                "(long-end-mill may stick out 31 mm at most)"
            ),
        ),
    ):
        [finding] = found(reach.nut_meets_wood, lowered(-33.75, tool=replace(short(), overall_length=length)))
        assert finding.remedy == said
    for length, said in (
        (68.0, "let it stick out 42 mm or more"),
        (67.5, "take a cutter with the same edges at least 68 mm long, and let it stick out 42 mm"),
    ):
        tool = replace(end_mill(), stickout=40.0, overall_length=length)
        [finding] = found(reach.flutes_in_the_collet, edge_with(tool))
        assert finding.remedy == said


def test_a_lower_thing_is_no_cure_where_it_would_be_none() -> None:
    """Down to a millimetre over its own foot something lower is named, and a fence's piece may be lifted."""
    for z, kind, said in (
        (4.5, "side-clamp", ", or use one no higher than 1.5 mm above the bed"),
        (4.0, "side-clamp", ""),
        (4.5, "fence", f", or use one no higher than 1.5 mm above the bed{LIFT}"),
        (4.0, "fence", LIFT),
    ):
        thing = solid("thing 1", rectangle(600.0, 500.0, 640.0, 540.0), kind=kind)
        setup = edge_setup(solids=(thing,))
        path: tuple[Stop, ...] = (("feed", 575.0, 510.0, 60.0), ("feed", 592.0, 510.0, z))
        own = situation(setup, shop(), (hand(setup, end_mill(), *path, ("feed", 592.0, 510.0, 60.0)),))
        [finding] = found(standing.hold_down_in_the_way, own)
        assert finding.remedy == f"move it 1 mm to the right{said}"
        assert finding.measured == pytest.approx(2.0)


LIFT = ", or lift this piece off the fence"
TOO_LARGE = (  # a face's size and depth, the axes along which no travel of 200, 100 and 40 mm is enough
    ((350.0, 200.0), 60.0, ()),
    ((350.5, 200.0), 60.0, (("x", 300.5, 200.0, "100.5"),)),
    ((350.0, 200.5), 60.0, (("y", 150.5, 100.0, "50.5"),)),
    ((350.0, 200.0), 60.5, (("z", 60.5, 40.0, "20.5"),)),
)


@pytest.mark.parametrize(("size", "deep", "along"), TOO_LARGE)
def test_what_is_half_as_large_again_as_the_travel_is_refused_at_once(
    size: tuple[float, float], deep: float, along: tuple[tuple[str, float, float, str], ...]
) -> None:
    """The cutter's own width counts for it; up to half as much again it is cut first, and then told."""
    setup = face_setup(size=size, z=10.0, ceiling=10.0 + deep)
    machine = shop(travel=((50.0, 250.0), (30.0, 130.0), (20.0, 60.0))).machine
    findings = far_too_large((setup,), machine)
    assert [(f.measured, f.limit, f.setup) for f in findings] == [(a[1], a[2], 1) for a in along]
    for finding, (axis, _, _, smaller) in zip(findings, along, strict=True):
        sawn = shorter(setup, "xyz".index(axis), (setup,), machine, slides=False)
        assert finding.remedy == f"take work at least {smaller} mm smaller along {axis}{sawn}"
    assert far_too_large((edge_setup(size=(9000.0, 9000.0)),), machine) == ()


def test_a_tolerance_is_reached_that_is_met_exactly() -> None:
    """Asked for what can be expected nothing is said; of known errors alone, a hair less refuses."""
    own = flat_within(0.2, LEANS)
    [flat] = [
        s
        for s in budget(own.job.shop, work_of(own.job, own.setups, own.job.boards[0]))
        if s.name == "flatness"
    ]
    assert flat.known < flat.expected
    for asked, level in (
        (flat.expected, None),
        (flat.expected - 1e-6, "warn"),
        (flat.known, "warn"),
        (flat.known - 1e-6, "refuse"),
    ):
        told = [f.level for f in found(accuracy.tolerance_not_reachable, flat_within(asked, LEANS))]
        assert told == ([] if level is None else [level])


def test_only_a_face_cut_to_a_thickness_trusts_a_bed_that_the_job_does_not_skim() -> None:
    """One that is cut to its thickness does, behind any other step; a fence jointed is no bed skimmed."""
    first = FaceStep(
        "A", facer(), "as-it-lies", "least", None, "along", "both-ways", "none", 35.0, 2.0, 0.5, ()
    )
    second = replace(first, face="B", to=30.0)
    bed = BedStep("surface", facer(), 0.5, 35.0, 2.0)
    fence = replace(bed, what="fence")
    for job_steps, many in (
        ((), 0),
        ((first,), 0),
        ((first, second), 1),
        ((second, first), 1),
        ((bed, first, second), 0),
        ((first, second, bed), 0),
        ((fence, first, second), 1),
        ((fence, bed, second), 0),
    ):
        own = situation(face_setup(), shop(), (), job_steps)
        assert len(found(trust.bed_not_skimmed, own)) == many
        assert found(trust.bed_skimmed, own) == ()
        skimmed = replace(own.job.shop, bed=replace(own.job.shop.bed, skimmed="2026-01-02"))
        dated = replace(own, job=replace(own.job, shop=skimmed))
        assert len(found(trust.bed_skimmed, dated)) == many
        assert found(trust.bed_not_skimmed, dated) == ()
