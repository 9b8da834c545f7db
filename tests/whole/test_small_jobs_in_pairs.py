"""Small jobs in pairs: a bad one is found by exactly one rule, and the same job after its remedy is clean.

Every pair goes the way a user's documents go: read, bound, planned, cut, checked. The remedy is followed as
it is written: its own numbers are put into the documents, and nothing else is changed. Most of the bad ones
are refused; those that the rule only warns of stand by themselves at the end.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import pytest

from situations import numbers
from small_jobs import said_of, written
from stockwright.findings import severity

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

Values = dict[str, str]
Said = list[list[float]]


@dataclass(frozen=True)
class Pair:
    """What is changed for the worse, the one rule that must say so, and what its remedies' numbers change."""

    what: str
    rule: str
    bad: Values
    cure: Callable[[Said], Values]
    level: Literal["refuse", "warn"] = "refuse"


def most(at: int, key: str, as_written: str) -> Callable[[Said], Values]:
    """Follow the remedy that asks for most: its number `at` is written into the value of `key`."""
    return lambda said: {key: as_written.format(max(each[at] for each in said))}


def least(at: int, key: str, as_written: str) -> Callable[[Said], Values]:
    """Follow the remedy that allows least."""
    return lambda said: {key: as_written.format(min(each[at] for each in said))}


SIDE = {"steps": "side"}
FACES = {"steps": "faces"}
SHOE = (
    "attached: {{shoe: {{x: -60 mm to 60 mm, y: -60 mm to 60 mm, from: {:g} mm, to: 0 mm, moves-with: z}}}}"
)
TAPE = "tape: {{kind: tape, count: 3, width: 25 mm, thickness: 0.2 mm, shear: {} N/mm2, lift: 0.01 N/mm2}}"
PUMP = (
    "pump: {{kind: vacuum, areas: [{{x: {} mm to {} mm, y: {} mm to {} mm}}], seal: 6 mm, pressure: {} bar}}"
)
SCREWS = (
    "screw: {{kind: screw, count: 4, head: 9 mm, head-height: 5 mm, depth: 12 mm, sunk: {sunk} mm, "
    "shear: {shear} N, pull: {pull} N}}"
)
BELOW = {"steps": "below", "species": "maple-sugar"}
IN_WASTE = {"steps": "ends", "under": "below: {where: waste}"}
STEEP = {"face_more": "helix: 60 deg"}
FAST = SIDE | {"edge_feed": "4.8 m/min", "edge_speed": "8000 rpm"}
FIRM = FAST | {"press": "9000 N"}
TOUGH = SIDE | {"pressure": "64 N/mm2"}
BOWED = FACES | {
    "tolerance": "tolerance: {flatness: 0.3 mm}",
    "species": "maple-sugar",
    "board": "420 mm 140 mm 30 mm",
    "size": "390 mm 118 mm 18 mm",
    "pushed_at": "4 mm",
    "push": "3000 N",
}
STRIP = 9500.0  # mm2 that each strip of tape covers there
SEALED = (555 - 345 - 12) * (320 - 240 - 12)  # mm2 inside the seal

REFUSED = (
    Pair("weak clamps", "holding-too-weak", {"press": "300 N"}, most(0, "press", "{:g} N")),
    Pair("slippery wood", "holding-too-weak", SIDE | {"friction": "0.06"}, most(0, "press", "{:g} N")),
    Pair("tough wood", "holding-too-weak", TOUGH, most(0, "press", "{:g} N")),
    Pair("tough wood, cut slower", "holding-too-weak", TOUGH, least(1, "edge_feed", "{:g} mm/min")),
    Pair("a fast cut", "holding-too-weak", FAST, most(0, "press", "{:g} N")),
    Pair("a fast cut, cut slower", "holding-too-weak", FAST, least(1, "edge_feed", "{:g} mm/min")),
    Pair(
        "tape that hardly sticks",
        "holding-too-weak",
        BELOW | {"more_hold_downs": TAPE.format(0.002)},
        lambda said: {"more_hold_downs": TAPE.format(said[0][0] / STRIP)},
    ),
    Pair(
        "a pump that draws too little",
        "holding-too-weak",
        BELOW | {"more_hold_downs": PUMP.format(345, 555, 240, 320, 0.1)},
        lambda said: {"more_hold_downs": PUMP.format(345, 555, 240, 320, 10 * said[0][0] / SEALED)},
    ),
    Pair(
        "screws that hardly carry",
        "holding-too-weak",
        IN_WASTE | {"more_hold_downs": SCREWS.format(sunk=10, shear=30, pull=400)},
        lambda said: {"more_hold_downs": SCREWS.format(sunk=10, shear=said[0][0], pull=400)},
    ),
    Pair(
        "screws that pull out, and steep teeth",
        "lifts-off",
        IN_WASTE | STEEP | {"more_hold_downs": SCREWS.format(sunk=10, shear=350, pull=3)},
        lambda said: {"more_hold_downs": SCREWS.format(sunk=10, shear=350, pull=said[0][0])},
    ),
    Pair(
        "clamps that bear on the rim alone",
        "tips-over",
        SIDE | {"friction": "0.7", "on_board": "16 mm", "press": "300 N"},
        most(0, "press", "{:g} N"),
    ),
    Pair(
        "a rough board squeezed a little, and steep teeth",
        "tips-over",
        FACES | STEEP | {"push": "50 N"},
        most(0, "push", "{:g} N"),
    ),
    Pair("a thin board squeezed hard", "board-bows-under-clamps", BOWED, least(0, "push", "{:g} N")),
    Pair(
        "a thin board squeezed low",
        "board-bows-under-clamps",
        BOWED | {"push": "1700 N"},
        # It bears at half its height; the middle is 12 mm high under the first face, 9 mm under the second.
        lambda said: {"pushed_at": f"{max(2 * (12 - said[0][-1]), 2 * (9 - said[1][-1])):g} mm"},
    ),
    Pair(
        "a cutter shorter than the wall",
        "cutter-too-short",
        SIDE | {"edge_cuts": "25 mm", "reach": "=thickness"},
        most(0, "edge_cuts", "{:g} mm"),
    ),
    Pair(
        "a cutter shorter than the recipe asks",
        "no-tool-for-role",
        SIDE | {"edge_cuts": "26 mm"},
        lambda said: {"edge_cuts": f"{said[0][-1]:g} mm"},
    ),
    Pair(
        "a nut that comes down on the board",
        "nut-meets-wood",
        SIDE | {"edge_cuts": "27 mm", "edge_more": "stickout: 27 mm"},
        most(0, "edge_more", "stickout: {:g} mm"),
    ),
    Pair(
        "a cutter pulled out of its collet",
        "shank-gripped-too-little",
        SIDE | {"edge_more": "stickout: 70 mm"},
        least(0, "edge_more", "stickout: {:g} mm"),
    ),
    Pair(
        "a cutter pushed in to its flutes",
        "flutes-in-the-collet",
        SIDE | {"edge_more": "stickout: 40 mm"},
        most(0, "edge_more", "stickout: {:g} mm"),
    ),
    Pair(
        "a dust shoe on the board",
        "attached-meets-wood",
        FACES | {"riding": SHOE.format(-70)},
        lambda said: {"riding": SHOE.format(-70 + max(each[0] for each in said))},
    ),
    Pair(
        "a dust shoe beside high clamps",
        "hold-down-in-the-way",
        SIDE | {"riding": SHOE.format(-50)},
        # Its arm lies on wood that may stand up to 26.5 mm high.
        lambda said: {"arm_height": f"{min(each[-1] for each in said) - 26.5:g} mm"},
    ),
    Pair(
        "a board that lies too far left",
        "leaves-the-travel",
        SIDE | {"travel_x": "350 mm to 900 mm", "park_x": "400 mm"},
        most(-1, "bed_x", "{:g} mm to 840 mm"),
    ),
    Pair(
        "a cutter that sticks out too far",
        "leaves-the-travel",
        SIDE | {"edge_more": "stickout: 64 mm", "travel_z": "40 mm to 140 mm"},
        lambda said: {"edge_more": f"stickout: {64 - max(each[0] for each in said):g} mm"},
    ),
    Pair(
        "hold-downs that set the height",
        "leaves-the-travel",
        SIDE | {"travel_z": "40 mm to 146 mm", "arm_height": "26 mm"},
        lambda said: {"arm_height": f"{26 - max(each[1] for each in said):g} mm"},
    ),
    Pair(
        "deeper than the spoilboard is meant for",
        "cut-below-bed",
        SIDE | {"below": "0.5 mm", "spoilboard": "0.3 mm"},
        lambda said: {"below": f"{0.5 - said[0][0]:g} mm"},
    ),
    Pair(
        "deeper than the cutter cuts",
        "depth-beyond-cutter",
        SIDE | {"edge_stepdown": "45 mm", "press": "9000 N", "spindle": "torque: 5 N m"},
        least(0, "edge_stepdown", "{:g} mm"),
    ),
    Pair(
        "half a cutter at a time",
        "trim-too-wide",
        SIDE | {"edge_stepover": "50 %"},
        lambda said: {"edge_stepover": f"{said[0][1]:g} %"},
    ),
    Pair(
        "a heavy last pass",
        "climbs-too-heavily",
        SIDE | {"light": "1 mm"},
        lambda said: {"light": f"{said[0][1]:g} mm"},
    ),
    Pair(
        "a spindle too weak",
        "power-exceeded",
        FIRM | {"power": "75 W", "spindle": "torque: 5 N m"},
        least(0, "edge_feed", "{:g} mm/min"),
    ),
    Pair(
        "a spindle too weak at that speed",
        "torque-exceeded",
        FIRM | {"spindle": "power-at: {8000 rpm: 46 W, 24000 rpm: 900 W}"},
        least(0, "edge_feed", "{:g} mm/min"),
    ),
    Pair(
        "faster than the cutter's mark",
        "speed-above-mark",
        FACES | {"face_mark": "11800 rpm"},
        least(0, "face_speed", "{:g} rpm"),
    ),
    Pair(
        "no mark on the cutter",
        "speed-not-marked",
        SIDE | {"edge_mark": ""},
        most(0, "edge_mark", "marked-max: {:g} rpm"),
    ),
    Pair(
        "faster than the axes",
        "feed-above-machine",
        FACES | {"max_feed": "3.9 m/min"},
        least(0, "face_feed", "{:g} mm/min"),
    ),
    Pair(
        "slower than the spindle turns",
        "spindle-cannot-turn-so",
        SIDE | {"edge_speed": "7000 rpm", "edge_feed": "1.8 m/min"},
        most(0, "edge_speed", "{:g} rpm"),
    ),
    Pair(
        "squarer than the spindle stands",
        "tolerance-not-reachable",
        SIDE
        | {"tolerance": "tolerance: {squareness: 0.12 mm}", "errors": "errors: {tilt-y: {value: 0.4 deg}}"},
        most(0, "tolerance", "tolerance: {{squareness: {:g} mm}}"),
    ),
    Pair(
        "straighter than the axis runs",
        "tolerance-not-reachable",
        SIDE
        | {
            "tolerance": "tolerance: {straightness: 0.1 mm}",
            "errors": "errors: {straightness-x: {value: 0.9 mm}}",
        },
        most(0, "tolerance", "tolerance: {{straightness: {:g} mm}}"),
    ),
    Pair(
        "a pump beside the board",
        "no-vacuum-under-board",
        BELOW | {"more_hold_downs": PUMP.format(300, 700, 200, 340, 0.6)},
        lambda said: {"more_hold_downs": PUMP.format(*said[0][:4], 0.6)},
    ),
    Pair(
        "screws where the cutter passes",
        "screw-stands-too-high",
        IN_WASTE | {"more_hold_downs": SCREWS.format(sunk=3, shear=350, pull=400)},
        lambda said: {"more_hold_downs": SCREWS.format(sunk=said[0][0], shear=350, pull=400)},
    ),
    Pair(
        "screws sunk through the board",
        "screw-bears-on-too-little",
        IN_WASTE | {"more_hold_downs": SCREWS.format(sunk=23, shear=350, pull=400)},
        lambda said: {"more_hold_downs": SCREWS.format(sunk=said[0][0], shear=350, pull=400)},
    ),
    Pair(
        "screws and hardly any waste",
        "no-waste-for-screws",
        IN_WASTE
        | {"board": "394 mm 140 mm 36 mm", "more_hold_downs": SCREWS.format(sunk=10, shear=350, pull=400)},
        lambda said: {"board": f"{394 + said[0][0]:g} mm 140 mm 36 mm"},
    ),
    Pair(
        "side clamps higher than the cut",
        "no-hold-down",
        FACES | {"pushed_at": "24 mm"},
        least(0, "pushed_at", "{:g} mm"),
    ),
    Pair("one clamp for a face", "no-room-for-clamps", SIDE | {"clamps": "1"}, most(0, "clamps", "{:g}")),
    Pair(
        "clamps with short arms",
        "no-room-for-clamps",
        SIDE | {"arm": "60 mm"},
        most(0, "arm", "{:g} mm"),
    ),
    Pair(
        "clamps that hardly reach the board",
        "no-room-for-clamps",
        SIDE | {"on_board": "12 mm"},
        most(0, "on_board", "{:g} mm"),
    ),
    Pair(
        "a chip that the axes cannot feed",
        "no-feed-will-do",
        SIDE | {"max_feed": "2.5 m/min", "edge_feed": "2.5 m/min"},
        least(0, "edge_speed", "{:g} rpm"),
    ),
)

WARNED = (
    Pair(
        "a spindle hardly strong enough at that speed",
        "torque-exceeded",
        FACES | {"spindle": "torque: 0.2 N m"},
        least(0, "face_stepdown", "{:g} mm"),
        "warn",
    ),
    Pair(
        "a hair for the last pass",
        "last-pass-rubs",
        SIDE | {"light": "0.1 mm"},
        most(1, "light", "{:g} mm"),
        "warn",
    ),
    Pair(
        "a hair for the last pass, cut faster",
        "last-pass-rubs",
        SIDE | {"light": "0.1 mm"},
        most(0, "edge_feed", "{:g} mm/min"),
        "warn",
    ),
    Pair(
        "no scrap to back a corner",
        "breakout-unbacked",
        {"steps": "sides", "backing": ""},
        lambda _: {"backing": "scrap: {kind: backing, count: 2, length: 60 mm, depth: 40 mm}"},
        "warn",
    ),
    Pair(
        "an end after its edge",
        "breakout-unbacked",
        {"order": "edge-2 end-1 end-2"},
        lambda _: {"order": "end-1 edge-2 end-2"},
        "warn",
    ),
    Pair(
        "dust for chips",
        "chip-too-thin",
        FACES | {"face_feed": "3 m/min"},
        most(0, "face_feed", "{:g} mm/min"),
        "warn",
    ),
    Pair(
        "chips too thick",
        "chip-too-thick",
        SIDE | {"edge_feed": "5.9 m/min", "edge_speed": "8000 rpm", "max_feed": "8 m/min", "press": "9000 N"},
        least(0, "edge_feed", "{:g} mm/min"),
        "warn",
    ),
)


def test_the_jobs_that_the_pairs_begin_with_are_clean(tmp_path: Path) -> None:
    """What every pair begins with is neither refused nor warned of."""
    for begun in ({}, SIDE, FACES, {"steps": "sides"}):
        assert said_of(written(tmp_path, **begun)) == ()


def test_twenty_pairs_and_more_are_refused() -> None:
    """The bad ones that are refused are of more than twenty rules, and no pair stands twice."""
    assert len({pair.rule for pair in REFUSED}) > 20
    assert len({pair.what for pair in (*REFUSED, *WARNED)}) == len(REFUSED) + len(WARNED)


@pytest.mark.parametrize(
    "pair", [pytest.param(each, id=f"{each.rule}: {each.what}") for each in (*REFUSED, *WARNED)]
)
def test_the_bad_job_is_found_by_its_rule_alone_and_its_remedy_cures(pair: Pair, tmp_path: Path) -> None:
    """One rule speaks, at its level; with its own numbers in the documents nobody does."""
    found = said_of(written(tmp_path, **pair.bad))
    assert {f.rule for f in found} == {pair.rule}
    assert min(found, key=severity).level == pair.level
    cured = pair.bad | pair.cure([numbers(f.remedy) for f in found])
    assert said_of(written(tmp_path, **cured)) == ()
