"""A bad situation for every rule about cutters, and the same one after its remedy was followed.

In: nothing. Out: `CASES`; each cure is given the numbers that the remedy's text says, in order.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cutters import end_mill, facer
from setups import edge_setup, face_setup, shop
from situations import hand, situation
from stockwright.board.nominal import board_from_nominal
from stockwright.checking import reach, running, steps, trust
from stockwright.job import BedStep, FaceStep
from stockwright.machine import Attached

if TYPE_CHECKING:
    from stockwright.checking import Situation
    from stockwright.findings import Finding
    from stockwright.tooling import Tool

__all__ = ["CASES", "Case"]

Cure = Callable[[list[float]], "Situation"]


@dataclass(frozen=True)
class Case:
    """One bad situation: what it is, the rule that must find it, and what its numbers cure."""

    what: str
    rule: Callable[[Situation], tuple[Finding, ...]]
    bad: Situation
    cure: Cure
    level: str = "refuse"


def _known_within(uncertainty: float) -> Situation:
    """Give a face to be cut of a board whose heights are known no better than that."""
    known = replace(board_from_nominal("board", 500.0, 160.0, 40.0), uncertainty=uncertainty)
    bare = situation(face_setup(), shop())
    return replace(bare, job=replace(bare.job, boards=(known,)))


def _edge(tool: Tool, wall: float = 30.0, **machine: object) -> Situation:
    """Drive once along the far edge at full depth, whatever the cutter is."""
    setup = edge_setup(tool=tool, ceiling=wall, waste=6.0)
    program = hand(
        setup,
        tool,
        ("rapid", None, None, wall + 20),
        ("rapid", 60.0, 174.0 + tool.radius, None),
        ("feed", 60.0, 174.0 + tool.radius, -1.0),
        ("feed", 440.0, 174.0 + tool.radius, -1.0),
        ("rapid", None, None, wall + 20),
    )
    return situation(setup, shop(tools=(tool,), **machine), (program,))  # type: ignore[arg-type]


def _face(tool: Tool, **machine: object) -> Situation:
    setup = face_setup(tool=tool)
    program = hand(
        setup,
        tool,
        ("rapid", None, None, 60.0),
        ("rapid", 60.0, 100.0, None),
        ("feed", 60.0, 100.0, 30.0),
        ("feed", 440.0, 100.0, 30.0),
    )
    return situation(setup, shop(tools=(tool,), **machine), (program,))  # type: ignore[arg-type]


def _steps(stepover: float = 35.0, stepdown: float = 2.0) -> Situation:
    return situation(face_setup(stepover=stepover, stepdown=stepdown), shop(), ())


def _trim(stepover: float) -> Situation:
    return situation(edge_setup(stepover=stepover), shop(), ())


def _round(radius: float, below: float = 1.0) -> Situation:
    tool = end_mill(corner_radius=radius)
    return situation(edge_setup(tool=tool, bottom=-below), shop(tools=(tool,)), ())


def _shoe(raised: float) -> Attached:
    """Give a hard shoe around the cutter that hangs below the spindle nose."""
    outline = ((-60.0, -60.0), (60.0, -60.0), (60.0, 60.0), (-60.0, 60.0))
    return Attached("dust shoe", outline, -60.0 + raised, 0.0, "z", soft=False)


def _second_face(skimmed: str | None, *, skims: bool = False) -> Situation:
    step = FaceStep(
        "B", facer(), "as-it-lies", "least", 30.0, "along", "both-ways", "none", 35.0, 2.0, 0.5, ()
    )
    own = shop()
    own = replace(own, bed=replace(own.bed, skimmed=skimmed))
    bed = (BedStep("surface", facer(), 0.5, 35.0, 2.0),) if skims else ()
    return situation(face_setup(shop=own), own, (), (step, *bed))


LONG = {"cutting_length": 61.0, "stickout": 70.0}
SPARE = replace(end_mill(cutting_length=61.0, stickout=61.5), overall_length=120.0)

CASES: tuple[Case, ...] = (
    Case(
        "a 60 mm wall for 42 mm of edges",
        reach.cutter_too_short,
        _edge(end_mill(cutting_length=42.0, stickout=70.0), wall=60.0),
        lambda n: _edge(end_mill(cutting_length=n[0], stickout=70.0), wall=60.0),
    ),
    Case(
        "a face pass deeper than the inserts",
        reach.cutter_too_short,
        _face(facer(cutting_length=4.0)),
        lambda n: _face(facer(cutting_length=n[0])),
    ),
    Case(
        "a nut a hair above a tall wall, shank to spare",
        reach.nut_meets_wood,
        _edge(SPARE, wall=60.0),
        lambda n: _edge(end_mill(cutting_length=61.0, stickout=n[0]), wall=60.0),
    ),
    Case(
        "a nut a hair above a tall wall, no shank to spare",
        reach.nut_meets_wood,
        _edge(end_mill(cutting_length=61.0, stickout=61.5), wall=60.0),
        lambda n: _edge(end_mill(cutting_length=61.0, stickout=n[1]), wall=60.0),
    ),
    Case(
        "a spindle nose right behind a slim nut",
        reach.nose_meets_wood,
        _edge(end_mill(cutting_length=61.0, stickout=61.0, nut=(10.0, 0.5)), wall=60.0),
        lambda n: _edge(end_mill(cutting_length=61.0, stickout=n[1], nut=(10.0, 0.5)), wall=60.0),
    ),
    Case(
        "a dust shoe hanging down to the wood",
        reach.attached_meets_wood,
        _face(facer(), attached=(_shoe(0.0),)),
        lambda n: _face(facer(), attached=(_shoe(n[0]),)),
    ),
    Case(
        "a shank pulled out to gain reach",
        reach.shank_gripped_too_little,
        _edge(replace(end_mill(stickout=70.0, gripped=20.0), grip_wanted=26.0)),
        lambda n: _edge(replace(end_mill(stickout=n[0], gripped=26.0), overall_length=90.0)),
    ),
    Case(
        "a stick-out that the bit's length does not give",
        reach.shank_gripped_too_little,
        _edge(replace(end_mill(stickout=70.0), overall_length=90.0)),
        lambda n: _edge(replace(end_mill(stickout=n[0]), overall_length=90.0)),
    ),
    Case(
        "flutes in the collet",
        reach.flutes_in_the_collet,
        _edge(replace(end_mill(stickout=40.0), overall_length=80.0)),
        lambda n: _edge(replace(end_mill(stickout=n[0]), overall_length=80.0)),
    ),
    Case(
        "a step down past the inserts",
        steps.depth_beyond_cutter,
        _steps(stepdown=13.0),
        lambda n: _steps(stepdown=n[0]),
    ),
    Case(
        "passes further apart than the cutter is wide",
        steps.depth_beyond_cutter,
        _steps(stepover=51.0),
        lambda n: _steps(stepover=n[0]),
    ),
    Case("half the cutter at a time", steps.trim_too_wide, _trim(6.0), lambda n: _trim(n[0])),
    Case("corners that stay in the board", steps.corner_left_round, _round(1.5), lambda n: _round(1.5, n[0])),
    Case(
        "corners rounder than that", steps.corner_left_round, _round(6.0, 0.55), lambda n: _round(n[1], 0.55)
    ),
    Case(
        "no mark on the cutter",
        running.speed_not_marked,
        _edge(end_mill(marked_max_rpm=None)),
        lambda n: _edge(end_mill(marked_max_rpm=n[0])),
    ),
    Case(
        "faster than marked",
        running.speed_above_mark,
        _edge(end_mill(marked_max_rpm=15000.5)),
        lambda n: _edge(end_mill(marked_max_rpm=15000.5, rpm=n[0])),
    ),
    Case(
        "faster than the spindle",
        running.spindle_cannot_turn_so,
        _edge(end_mill(rpm=30000.0)),
        lambda n: _edge(end_mill(rpm=n[0])),
    ),
    Case(
        "slower than the spindle",
        running.spindle_cannot_turn_so,
        _edge(end_mill(rpm=4000.0)),
        lambda n: _edge(end_mill(rpm=n[0])),
    ),
    Case(
        "faster than the axes",
        running.feed_above_machine,
        _edge(end_mill(feed=6000.0)),
        lambda n: _edge(end_mill(feed=n[0])),
    ),
    Case(
        "dust instead of chips, cured by feed",
        running.chip_too_thin,
        _edge(end_mill()),
        lambda n: _edge(end_mill(feed=n[0])),
        "warn",
    ),
    Case(
        "dust instead of chips, cured by speed",
        running.chip_too_thin,
        _edge(end_mill()),
        lambda n: _edge(end_mill(rpm=n[1])),
        "warn",
    ),
    Case(
        "chips too thick for the bit",
        running.chip_too_thick,
        _edge(end_mill(rpm=8000.0, feed=5000.0, flutes=1)),
        lambda n: _edge(end_mill(rpm=8000.0, feed=n[0], flutes=1)),
        "warn",
    ),
    Case(
        "more power than the spindle has, cured by feed",
        running.power_exceeded,
        _edge(end_mill(), power=35.0),
        lambda n: _edge(end_mill(feed=n[0]), power=35.0),
    ),
    Case(
        "nearly as much power as the spindle has, cured by stepdown",
        running.power_exceeded,
        _edge(end_mill(), power=60.0),
        lambda n: _edge(end_mill(stepdown=n[1]), power=60.0),
        "warn",
    ),
    Case(
        "nobody has skimmed the bed",
        trust.bed_not_skimmed,
        _second_face(None),
        lambda _: _second_face("2026-05-30"),
        "warn",
    ),
    Case(
        "the bed was skimmed on a day",
        trust.bed_skimmed,
        _second_face("2026-05-30"),
        lambda _: _second_face("2026-05-30", skims=True),
        "note",
    ),
    Case(
        "a board of which nothing was measured",
        trust.known_too_little,
        _known_within(6.0),
        lambda said: _known_within(said[0]),
        "note",
    ),
)
