"""What stands twice in a packet says the same twice, or the packet is refused, whatever its programs do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from proving.odd_touches import PROBE
from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import prove
from stockwright.proving.facts import judge_facts

if TYPE_CHECKING:
    from collections.abc import Sequence

A = "1-face-a.nc"


def changed(changes: dict[str, Any]) -> dict[str, Any]:
    """Give the small packet with some values exchanged, "setups.0.title" -> what stands there."""
    document = small_document()
    for path, value in changes.items():
        *way, last = path.split(".")
        place: Any = document
        for key in way:
            place = place[int(key)] if isinstance(place, list) else place[key]
        place[int(last) if isinstance(place, list) else last] = value
    return document


DISAGREE: list[tuple[dict[str, Any], str]] = [
    ({"tools.mill.diameter": 10}, "its diameter is 10 mm on the sheet and 12 mm in its assembly"),
    ({"tools.mill.cutting_length": 62}, "its cutting length is 62 mm on the sheet and 42 mm"),
    ({"tools.mill.stickout": 70, "tools.mill.gripped": 20}, "its stick-out is 70 mm on the sheet and 64 mm"),
    ({"tools.mill.assembly.0.from": 2}, "its lower end is 0 mm on the sheet and 2 mm"),
    ({"tools.mill.assembly.1.from": 50}, "ends at 42 mm, the next starts at 50"),
    ({"tools.mill.gripped": 30}, "94 mm gripped and sticking out; it is 90 mm long"),
    ({"tools.mill.number": 1}, "facer and mill are both tool 1"),
    ({"setups.0.programs.0.touch_off.z": "stock-top"}, "on the stock-top here, and on the support"),
    ({"setups.0.zero.z": "bed"}, "on the support here, and on the bed in the setup"),
    ({"setups.0.zero.x": 5.0}, "zero is taken at x 5 on the bed, and the programs run from x 200"),
    (
        {
            "setups.0.work_origin": [200, 140, 9],
            "setups.0.zero.z": "bed",
            "setups.0.programs.0.touch_off.z": "bed",
        },
        "z is touched off on the bed, and the programs run from 9 mm above it",
    ),
    (
        {
            "setups.2.offcuts": [
                {"board": "plank", "outline": [[0, 0], [1, 0], [0, 1]], "held_by": ["a thumb"]}
            ]
        },
        "an offcut is held by a thumb, which does not stand here",
    ),
    (
        {"setups.2.solids.0.may_cut_to": 20, "setups.2.solids.0.kind": "top-clamp"},
        "left toe is a top-clamp, and may be cut: only wood may",
    ),
    (
        {"setups.2.programs.0.standing": ["left toe", "right toe"]},
        "left body is drawn here, and stands while no program runs",
    ),
    ({"setups.2.solids.0.top": 20}, "left toe ends at 20 mm, below where it begins, 26 mm"),
    (
        {"setups.0.lies": [], "setups.0.shims": [{"board": "plank", "x": 9, "y": 9, "thickness": 1}]},
        "laid under",
    ),
    ({"setups.0.index": 2, "setups.1.index": 1}, "setup 1 is listed after setup 2"),
    ({"setups.1.programs.0.done": True}, "and 1-face-a.nc, which comes before it, has not"),
    ({"tools.probe": PROBE, "setups.0.programs.0.tool": "probe"}, "this program cuts, and probe is a touch"),
]


@pytest.mark.parametrize(("changes", "said"), DISAGREE)
def test_two_numbers_for_one_thing_are_told(changes: dict[str, Any], said: str) -> None:
    """An edit of one of two places where a fact stands is found, and nothing else with it."""
    assert judge_facts(Packet.model_validate(small_document())) == []
    [reason] = judge_facts(Packet.model_validate(changed(changes)))
    assert reason.rule == "facts-disagree"
    assert said in reason.message


def said_of_first(changes: dict[str, Any], lines: Sequence[str] | None = None) -> list[str]:
    """Prove the first setup alone with changes, and give the rule and the message of each reason."""
    document = changed(changes)
    document["setups"] = document["setups"][:1]
    document["wanted"] = {}
    text = {A: list(lines or small_lines()[A])}
    proof = prove(Packet.model_validate(document), small_texts(text)).proof
    return [f"{reason.rule}: {reason.message}" for reason in proof.reasons]


def test_a_packet_whose_facts_disagree_is_refused() -> None:
    """The verdict hangs on it, though every program does what its goals ask."""
    assert said_of_first({}) == []
    assert said_of_first({"tools.facer.diameter": 40})[0].startswith("facts-disagree: facer")


def test_shims_are_as_high_as_the_gap_they_fill() -> None:
    """Who lays the board on other shims than it was proven on lays it otherwise: the packet is refused."""

    def on(thickness: float) -> list[str]:
        return said_of_first(
            {"setups.0.shims": [{"board": "plank", "x": 50, "y": 50, "thickness": thickness}]}
        )

    gap = 1.1  # mm: TILT * (304 - 50) from the lowest corner, and the readings' 0.1 less a cell's own run
    assert on(gap) == []
    [high] = on(gap + 0.5)
    [low] = on(gap - 0.5)
    for said in (high, low):
        assert said.startswith("facts-disagree: the shim at x 50, y 50 is ")


def test_a_height_to_read_is_the_board_s_own() -> None:
    """The height by which a person sees that the board lies as planned is where the proof has the wood."""

    def reading(height: float) -> list[str]:
        return said_of_first({"setups.0.seat_check": [[50, 50, height, 0.5]]})

    stands = 31.35  # mm: readings of 30.4 to 30.65 there, raised by the tilt
    assert reading(stands) == []
    [said] = reading(stands + 2)
    assert said.startswith("facts-disagree: plank is to read 33.35 mm at x 50, y 50, and is ")


def test_a_board_does_not_lie_in_its_support() -> None:
    """A board lowered into the bed would stand higher than proven, by as much."""
    matrix = small_document()["setups"][0]["lies"][0]["matrix"]
    matrix[2][3] -= 0.5
    assert any(
        "mm deep in what it lies on" in said for said in said_of_first({"setups.0.lies.0.matrix": matrix})
    )


def test_wood_that_z_is_touched_off_on_is_highest_at_zero() -> None:
    """Who touches off on the board where the programs run from its support cuts a board's height too high."""
    on_wood = {"setups.0.zero.z": "stock-top", "setups.0.programs.0.touch_off.z": "stock-top"}
    said = said_of_first(on_wood)
    assert said[0].startswith(
        "facts-disagree: z is touched off on the board, and its highest place is at z 3"
    )
