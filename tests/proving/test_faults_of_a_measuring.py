"""Faults put by hand into a measuring program: each is found by its own rule, at its line."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from measuring_jobs import job_with_probe, measured
from stockwright.proving import prove

if TYPE_CHECKING:
    from stockwright.packet.model import Packet, Reason
    from stockwright.probing import Measured

FILE = "programs/1a-probe.ngc"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Measured:
    """Make the measuring of the example's board once."""
    return measured(job_with_probe(tmp_path_factory.mktemp("job")))


def reasons(packet: Packet, lines: list[str]) -> list[Reason]:
    """Judge the packet with its program's lines changed."""
    return prove(packet, {FILE: "\n".join(lines) + "\n"}).proof.reasons


def lines_of(made: Measured) -> list[str]:
    """Give the program's lines."""
    return made.files[FILE].decode().splitlines()


def line_of(lines: list[str], pattern: str, which: int = 0) -> int:
    """Find the index of a line."""
    return [k for k, line in enumerate(lines) if re.fullmatch(pattern, line)][which]


TOUCH = r"G38\.2 .*"


@pytest.mark.parametrize(
    ("pattern", "which", "becomes", "rule", "harm"),
    [
        # deeper than the floor: for the probe, and for the bed
        (TOUCH, 9, ["G38.2 Z28.0 F150.0"], "touch-too-deep", 0),
        (TOUCH, 0, ["G38.2 Z2.9 F150.0"], "touch-below-floor", 0),
        (TOUCH, 0, ["G38.2 Z-1.0 F150.0"], "touch-below-floor", 0),
        # the spindle on, before the first touch or late
        ("M5", 0, ["S9000", "M3"], "spindle-on-in-probe", 1),
        (TOUCH, 20, ["S9000", "M3", "G38.2 Z36.0 F150.0"], "spindle-on-in-probe", 1),
        # sideways where wood may stand
        (r"G0 Y121\.0", 0, ["G0 Z44.0", "G0 Y121.0"], "traverse-low", 1),
        (TOUCH, 3, ["G1 Z33.8 F150.0"], "probe-touches-wood", 0),
        (TOUCH, 3, ["G0 Z33.8"], "probe-touches-wood", 0),
        # a touch that is none of straight down
        (TOUCH, 3, ["G38.2 X-70.0 Z34.0 F150.0", "G0 Z58.0", "G0 X-75.0"], "touch-not-straight-down", 0),
        (TOUCH, 3, ["G38.2 Z60.0 F150.0"], "touch-not-straight-down", 0),
        # beside the board
        (r"G0 X117\.0", 0, ["G0 X117.0 Y300.0"], "touch-beside-wood", 2),
    ],
)
def test_a_fault_is_found_where_it_stands(
    made: Measured, pattern: str, which: int, becomes: list[str], rule: str, harm: int
) -> None:
    """One line changed: the rule made for it names that line, with the two numbers where it compares any."""
    lines = lines_of(made)
    at = line_of(lines, pattern, which)
    found = reasons(made.packet, [*lines[:at], *becomes, *lines[at + 1 :]])
    named = [r for r in found if r.rule == rule]
    assert [(r.program, r.line) for r in named] == [(FILE, at + 1 + harm)]
    if rule in {"touch-too-deep", "touch-below-floor", "traverse-low"}:
        assert named[0].measured is not None
        assert named[0].limit is not None
        assert named[0].measured != named[0].limit


@pytest.mark.parametrize(("after", "rule"), [(TOUCH, "moves-on-after-touch"), ("M0", "moves-on-after-stop")])
@pytest.mark.parametrize("instead", ["G0 X0.0", "G0 Z40.0", "G1 Z44.5 F100.0"])
def test_what_follows_a_touch_or_a_stop_goes_straight_up(
    made: Measured, after: str, rule: str, instead: str
) -> None:
    """Sideways, or up by too little: the height is not known there, and the next line is named."""
    lines = lines_of(made)
    at = line_of(lines, after) + 1
    assert lines[at] == "G0 Z58.0"
    found = reasons(made.packet, [*lines[:at], instead, *lines[at + 1 :]])
    assert [r.line for r in found if r.rule == rule] == [at + 1]


def test_steps_from_an_unknown_height_are_not_read(made: Measured) -> None:
    """A raise by so many millimetres after a touch, instead of to a height, is refused as text."""
    lines = lines_of(made)
    at = line_of(lines, TOUCH) + 1
    found = reasons(made.packet, [*lines[:at], "G91", "G0 Z9.0", "G90", *lines[at:]])
    assert [(r.rule, r.line) for r in found] == [("text-not-understood", at + 2)]


def test_a_touch_with_what_is_no_probe_is_refused(made: Measured) -> None:
    """A cutter feels nothing: the kind of the tool and its over-travel decide."""
    tool = made.packet.tools["probe"]
    for change in ({"kind": "end-mill"}, {"over_travel": None}):
        packet = made.packet.model_copy(update={"tools": {"probe": tool.model_copy(update=change)}})
        found = reasons(packet, lines_of(made))
        assert [r.rule for r in found] == ["touches-without-probe"]


def test_a_touch_belongs_in_a_measuring_program_alone(made: Measured) -> None:
    """The same text as an outline or a cut is refused."""
    [setup] = made.packet.setups
    for purpose in ("outline", "cut"):
        program = setup.programs[0].model_copy(update={"purpose": purpose})
        changed = setup.model_copy(update={"programs": [program]})
        packet = made.packet.model_copy(update={"setups": [changed]})
        rules = {r.rule for r in reasons(packet, lines_of(made))}
        assert "touches-in-another-program" in rules


def test_a_probe_that_gives_less_needs_a_higher_floor(made: Measured) -> None:
    """With half a millimetre to give, floors a millimetre below the least wood are too deep."""
    tool = made.packet.tools["probe"].model_copy(update={"over_travel": 0.5})
    packet = made.packet.model_copy(update={"tools": {"probe": tool}})
    assert {r.rule for r in reasons(packet, lines_of(made))} == {"touch-too-deep"}


def test_a_body_wider_than_its_stylus_is_long_meets_wood(made: Measured) -> None:
    """A stylus of 5 mm: where a contact is missed, the body would be pressed into the wood."""
    tool = made.packet.tools["probe"]
    first, second, *rest = tool.assembly
    parts = [first.model_copy(update={"top": 5.0}), second.model_copy(update={"bottom": 5.0}), *rest]
    changed = tool.model_copy(update={"assembly": parts})
    packet = made.packet.model_copy(update={"tools": {"probe": changed}})
    assert "body-touches-wood" in {r.rule for r in reasons(packet, lines_of(made))}
