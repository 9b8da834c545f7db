"""A board 1.9 times as long as the machine, from its readings to the proof, and with faults put in."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING, Any

import pytest

from example_jobs import EXAMPLES
from made_packets import page_of, proven
from sheet_reading import words
from stockwright.findings import Refused
from stockwright.packet.model import Packet
from stockwright.proving import prove
from stockwright.run import Proven, Request, check

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.proving import Outcome

BENCH = EXAMPLES / "hall-bench" / "job.yaml"
SETUPS = 10


@pytest.fixture
def bench() -> Proven:
    """Give the example."""
    return proven("hall-bench/job")


@pytest.fixture
def document(bench: Proven) -> dict[str, Any]:
    """Return the packet as plain values, to put a fault into."""
    return copy.deepcopy(bench.packet.model_dump(mode="json", by_alias=True))


def _proof(made: Proven, document: dict[str, Any]) -> Outcome:
    files = {program["file"] for setup in document["setups"] for program in setup["programs"]}
    return prove(Packet.model_validate(document), {f: made.texts[f] for f in made.texts if f in files})


def test_it_is_proven_as_one_board(bench: Proven) -> None:
    """All positions together make one board of the size that was asked, within what a cell can tell."""
    assert bench.packet.proof.verdict == "proven"
    finished = bench.packet.finished["ash plank"]
    assert finished.length == pytest.approx((1520.0, 1520.0), abs=0.05)
    assert finished.width == pytest.approx((165.0, 165.0), abs=0.05)
    assert finished.thickness == pytest.approx((24.0, 24.0), abs=0.05)


@pytest.mark.parametrize("gone", [1, 10, *(pytest.param(n, marks=pytest.mark.wide) for n in range(2, 10))])
def test_a_position_left_out_is_refused(bench: Proven, document: dict[str, Any], gone: int) -> None:
    """Whichever position is not run, the board is not what was asked, and the proof says so."""
    assert len(document["setups"]) == SETUPS
    del document["setups"][gone - 1]
    assert _proof(bench, document).proof.verdict == "refused"


@pytest.mark.parametrize(
    ("setup", "by"), [(10, 5.0), pytest.param(10, -5.0, marks=pytest.mark.wide), (3, -5.0), (5, -5.0)]
)
def test_a_slide_of_the_wrong_length_is_refused_where_it_matters(
    bench: Proven, document: dict[str, Any], setup: int, by: float
) -> None:
    """5 mm too far or too short makes the board too short or too long, or leaves a face's end to no goal."""
    document["setups"][setup - 1]["lies"][0]["matrix"][0][3] += by
    outcome = _proof(bench, document)
    assert outcome.proof.verdict == "refused"
    rules = {reason.rule for reason in outcome.proof.reasons}
    assert rules & {"wrong-size", "cut-too-deep", "goals-do-not-cover"}


@pytest.mark.wide
@pytest.mark.parametrize("setup", [2, 7])
def test_the_overlap_forgives_a_small_slide_and_not_a_great_one(
    bench: Proven, document: dict[str, Any], setup: int
) -> None:
    """Between two parts 5 mm are covered by what they share, and 60 mm are not."""
    matrix = document["setups"][setup - 1]["lies"][0]["matrix"]
    matrix[0][3] += 5.0
    assert _proof(bench, document).proof.verdict == "proven"
    matrix[0][3] += 55.0
    assert _proof(bench, document).proof.verdict == "refused"


def test_a_part_that_leans_is_seen(bench: Proven, document: dict[str, Any]) -> None:
    """A second position that lies 0.5 mm higher than the first leaves a step that the proof refuses."""
    document["setups"][1]["lies"][0]["matrix"][2][3] += 0.5
    assert _proof(bench, document).proof.verdict == "refused"


@pytest.mark.wide
def test_the_overhang_is_in_the_way_of_what_rides_with_the_gantry(
    bench: Proven, document: dict[str, Any], tmp_path: Path
) -> None:
    """Wood beyond the reach stands too: what rides low beside the spindle is refused by check and proof."""
    document["machine"]["attached"] = [
        {
            "name": "cable carrier",
            "outline": [[-300, -20], [-200, -20], [-200, 20], [-300, 20]],
            "from": 20.0,
            "to": 90.0,
            "moves_with": "gantry",
            "soft": False,
        }
    ]
    [first, *_] = document["setups"]
    first["programs"] = first["programs"][:1]  # once round in the air is enough to meet it
    document["setups"] = [first]
    met = [r for r in _proof(bench, document).proof.reasons if r.program and r.at]
    assert met
    # Told by where the spindle is: what rides 200 mm to its left is then beyond the machine's reach.
    assert min(reason.at[0] for reason in met if reason.at) - 200.0 < first["position"]["reach"][0]
    for name in ("shop.yaml", "board.yaml", "job.yaml"):
        text = (BENCH.parent / name).read_text()
        low = "attached: {cable-carrier: {x: -300 mm to -200 mm, y: -20 mm to 20 mm, from: 20 mm, to: 90 mm, "
        low += "moves-with: gantry}}"
        (tmp_path / name).write_text(text.replace("  rapid: 6 m/min", f"  {low}\n  rapid: 6 m/min"))
    with pytest.raises(Refused) as refused:
        check(Request(tmp_path / "job.yaml"))
    assert "attached-meets-wood" in {finding.rule for finding in refused.value.findings}


def test_the_packet_says_which_position_it_is(bench: Proven) -> None:
    """Every setup names its position and how far it was slid; that of one place has no such key."""
    positions = [setup.position for setup in bench.packet.setups]
    assert [(p.number, p.count) for p in positions if p] == [
        (1, 3), (2, 3), (3, 3), (1, 2), (2, 2), (1, 3), (2, 3), (3, 3), (1, 2), (2, 2),
    ]  # fmt: skip
    assert [p.by for p in positions if p] == [0, 381, 381, 0, 761, 0, 379, 379, 0, 756]
    alone = bench.packet.setups[0].model_copy(update={"position": None})
    assert "position" not in alone.model_dump(mode="json")


def test_the_sheet_tells_hands_what_to_do_between_positions() -> None:
    """The mark, the slide, the readings on fresh wood and the stands are on the sheet."""
    text = words(page_of("hall-bench/job")).text
    for said in (
        "Face A, position 2 of 3",
        "Before anything is loosened: scribe a fine line",
        "exactly 381 mm to the left of it",
        "slide the board 381 mm to the right",
        "give or take 0.05 mm",
        "726 mm of the board hang over the left end of the bed, 2.9 kg",
        "fine dotted lines across the board",
    ):
        assert said in text
