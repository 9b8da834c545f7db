"""Each rule at its border: a number that is just enough, and one that is not. In: nothing. Out: `BORDERS`."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from checking.at_borders import (
    backed,
    bent,
    beside_one_another,
    edge_with,
    face_with,
    known_within,
    lowered,
    over_bed,
    plate,
    powered,
    short,
    sloped,
    spanning,
    trimmed,
    turning,
    waiting,
)
from cutters import end_mill, facer
from setups import edge_setup, shop
from situations import situation
from stockwright.board.nominal import measured_within
from stockwright.checking import (
    bowing,
    burning,
    coverage,
    entry,
    reach,
    running,
    standing,
    steps,
    travel,
    trust,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.checking import Situation
    from stockwright.findings import Finding, Level


__all__ = ["BORDERS", "Border"]


@dataclass(frozen=True)
class Border:
    """A rule, a situation by one number of it, the number that is just enough, and one that is not."""

    rule: Callable[[Situation], tuple[Finding, ...]]
    make: Callable[[float], Situation]
    enough: float
    beyond: float
    measured: float | None
    limit: float | None
    level: Level = "refuse"


# 2000 N on a span of 200 mm, 100 mm wide, 29 mm thick: F L3 / 48 E I, twice that being the flatness.
BENT = 2000.0 * 200.0**3 / (48.0 * 12000.0 * (100.0 * 29.0**3 / 12.0))

BORDERS = (
    Border(reach.cutter_too_short, lambda v: edge_with(end_mill(cutting_length=v)), 31.0, 30.5, 30.5, 31.0),
    Border(
        reach.shank_gripped_too_little,
        lambda v: edge_with(replace(end_mill(), gripped=v, grip_wanted=26.0)),
        26.0,
        25.5,
        25.5,
        26.0,
    ),
    Border(
        reach.shank_gripped_too_little,
        lambda v: edge_with(replace(end_mill(), overall_length=v)),
        86.0,
        85.5,
        25.5,
        26.0,
    ),
    Border(
        reach.flutes_in_the_collet,
        lambda v: edge_with(replace(end_mill(), stickout=v)),
        42.0,
        41.5,
        41.5,
        42.0,
    ),
    Border(reach.nut_meets_wood, lowered, -33.25, -33.75, 1.5, 2.0),
    Border(
        reach.nose_meets_wood,
        lambda v: lowered(v, tool=short(nut=0.5)),
        -33.75,
        -34.25,
        1.5,
        2.0,
    ),
    Border(reach.attached_meets_wood, lambda v: lowered(v, plate(-40.0, "z")), -15.25, -15.75, 1.5, 2.0),
    Border(reach.attached_meets_wood, lambda v: lowered(40.0, plate(v, "gantry")), 2.0, 1.5, 1.5, 2.0),
    Border(steps.depth_beyond_cutter, lambda v: face_with(stepdown=v), 12.0, 12.5, 12.5, 12.0),
    Border(
        steps.depth_beyond_cutter,
        lambda v: face_with(facer(corner_radius=1.5), stepover=v),
        47.0,
        47.5,
        47.5,
        47.0,
    ),
    Border(
        steps.depth_beyond_cutter,
        lambda v: edge_with(end_mill(corner_radius=1.5), stepover=v),
        12.0,
        12.5,
        12.5,
        12.0,
    ),
    Border(steps.trim_too_wide, lambda v: edge_with(end_mill(), stepover=v), 5.5, 6.0, 6.0, 6.0),
    Border(steps.corner_left_round, lambda v: edge_with(end_mill(corner_radius=v)), 1.0, 1.5, 1.5, 1.0),
    Border(
        running.speed_above_mark,
        lambda v: turning(end_mill(rpm=v, marked_max_rpm=15000.0)),
        15000.0,
        15000.5,
        15000.5,
        15000.0,
    ),
    Border(
        running.spindle_cannot_turn_so, lambda v: turning(end_mill(rpm=v)), 24000.0, 24000.5, 24000.5, 24000.0
    ),
    Border(
        running.spindle_cannot_turn_so, lambda v: turning(end_mill(rpm=v)), 8000.0, 7999.5, 7999.5, 8000.0
    ),
    Border(running.feed_above_machine, lambda v: turning(end_mill(feed=v)), 5000.0, 5000.5, 5000.5, 5000.0),
    Border(running.chip_too_thin, lambda v: turning(end_mill(feed=v)), 3200.0, 3184.0, 0.0995, 0.1, "warn"),
    Border(
        running.chip_too_thick, lambda v: turning(end_mill(feed=v)), 11520.0, 11552.0, 0.361, 0.36, "warn"
    ),
    Border(
        running.chip_too_thick,
        lambda v: turning(end_mill(diameter=40.0, feed=v), stepover=20.0),
        16000.0,
        16032.0,
        0.501,
        0.5,
        "warn",
    ),
    Border(running.power_exceeded, powered, 150.0, 149.5, 75.0, 74.75, "warn"),
    Border(travel.leaves_the_travel, lambda v: spanning(x=(v, 1400.0)), 650.0, 650.5, 650.0, 650.5),
    Border(travel.leaves_the_travel, lambda v: spanning(x=(0.0, v)), 850.0, 849.5, 850.0, 849.5),
    Border(travel.leaves_the_travel, lambda v: spanning(y=(v, 900.0)), 640.0, 640.5, 640.0, 640.5),
    Border(travel.leaves_the_travel, lambda v: spanning(y=(0.0, v)), 740.0, 739.5, 740.0, 739.5),
    Border(travel.leaves_the_travel, lambda v: spanning(z=(v, 180.0)), 92.0, 92.5, 92.0, 92.5),
    Border(travel.leaves_the_travel, lambda v: spanning(z=(40.0, v)), 142.0, 141.5, 142.0, 141.5),
    Border(travel.cut_below_bed, lambda v: lowered(v, spoilboard=2.5), -4.25, -6.25, 2.0, 0.0),
    Border(
        travel.cut_below_bed,
        lambda v: situation(edge_setup(bottom=v), shop(spoilboard=2.5)),
        -2.5,
        -3.0,
        3.0,
        2.5,
    ),
    Border(entry.rapid_into_wood, lambda v: over_bed("rapid", v), -0.03, -0.031, -0.031, 0.0),
    Border(
        reach.cutter_too_short,
        lambda v: over_bed("feed", v, facer(cutting_length=0.5, nut=(60.0, 40.0))),
        -0.53,
        -0.535,
        0.5,
        0.535,
    ),
    Border(
        entry.plunge_without_centre_edges, sloped, 0.0005, 0.002, float(np.degrees(np.arctan(1.001))), 45.0
    ),
    Border(coverage.wall_cut_into, trimmed, 5.9875, 5.984375, 5.984375, 6.0),
    Border(coverage.wide_waste, lambda v: edge_with(end_mill(), waste=v), 36.0, 36.5, 36.5, 36.0, "note"),
    Border(standing.solids_overlap, lambda v: beside_one_another(z=v), 0.1, 0.125, 1.0, 0.1),
    Border(standing.solids_overlap, lambda v: beside_one_another(x=v), 0.1, 0.125, 0.125, 0.1),
    Border(standing.solids_overlap, lambda v: beside_one_another(y=v), 0.1, 0.125, 0.125, 0.1),
    Border(burning.dwells_in_the_wood, waiting, 0.1, 0.09, 0.09, 3.0),
    Border(burning.breakout_unbacked, backed, 78.41, 78.39, 0.0, 1.0, "warn"),
    Border(
        trust.known_too_little,
        known_within,
        2.0,
        2.1,
        round(2.1 * measured_within(500.0, 160.0), 2),
        round(2.0 * measured_within(500.0, 160.0), 2),
        "note",
    ),
    Border(
        bowing.board_bows_under_clamps,
        bent,
        2.001 * BENT,
        1.999 * BENT,
        round(BENT, 4),
        0.9995 * BENT,
        "warn",
    ),
)
