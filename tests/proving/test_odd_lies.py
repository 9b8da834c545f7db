"""A board is carried soundly however it lies: end over end, a quarter turned, a little askew or tilted."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from small_packet import FACE_A, LENGTH, THICK, WIDTH, small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import Outcome, prove

Floats = NDArray[np.float64]


def turned(angle: float, x: float = 0.0, y: float = 0.0) -> Floats:
    """Turn by an angle in degrees, anticlockwise seen from above, then shift."""
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    matrix = np.eye(4)
    matrix[:2, :2] = np.array([[c, -s], [s, c]])
    matrix[:2, 3] = x, y
    return matrix


def lay(document: dict[str, Any], setup: int, quarter_turns: int, move: Floats) -> None:
    """Move the board of a setup by a matrix in the work frame, its goals with it."""
    lies = document["setups"][setup]["lies"][0]
    lies["matrix"] = (move @ np.array(lies["matrix"])).tolist()
    lies["quarter_turns"] = quarter_turns
    for goal in document["setups"][setup]["goals"]:
        for key in ("region", "path"):
            if key in goal:
                goal[key] = [(move[:2, :2] @ np.array(p) + move[:2, 3]).tolist() for p in goal[key]]


def without_solids(document: dict[str, Any], setup: int) -> None:
    """Take the things in the way out of a setup."""
    document["setups"][setup]["solids"] = []
    document["setups"][setup]["programs"][0]["standing"] = []


def proof(document: dict[str, Any], lines: dict[str, list[str]] | None = None) -> Outcome:
    """Prove a document with the small packet's programs, or others."""
    return prove(Packet.model_validate(document), small_texts(lines or small_lines()))


def test_end_over_end_is_edge_over_edge_and_two_quarter_turns() -> None:
    """Face B cut with the board turned end over end (B, 2) is proven with the same size."""
    document = small_document()
    without_solids(document, 1)
    lay(document, 1, 2, turned(180, LENGTH, WIDTH))
    outcome = proof(document)
    assert outcome.proof.reasons == []
    assert outcome.finished["plank"].thickness == pytest.approx((THICK, THICK), abs=1e-6)


def test_a_quarter_turn_cuts_the_edge_at_another_side() -> None:
    """The edge program with the board a quarter turned (B, 1) cuts where its goal, turned too, is not."""
    document = small_document()
    without_solids(document, 2)
    lay(document, 2, 1, turned(90, LENGTH, 0))
    rules = [reason.rule for reason in proof(document).proof.reasons]
    assert "wall-left" in rules


def test_a_quarter_turned_edge_is_proven_with_its_own_program() -> None:
    """The same edge with the board a quarter turned and the program turned with it is proven."""
    document = small_document()
    without_solids(document, 2)
    lay(document, 2, 1, turned(90, WIDTH, 0))
    lines = small_lines()
    # The wall stood at y 101, the wood below it; turned and shifted it stands at x 5, the wood to its right.
    swapped = []
    for line in lines["3-edge-1.nc"]:
        text = line.replace("X320.000 Y107.300", "X-1.300 Y320.000").replace(
            "X320.000 Y107.000", "X-1.000 Y320.000"
        )
        swapped.append(text.replace("G1 X-12.000", "G1 Y-12.000"))
    lines["3-edge-1.nc"] = swapped
    outcome = proof(document, lines)
    assert outcome.proof.reasons == []


@pytest.mark.parametrize("angle", [0.5, -0.5, 0.03])
def test_passes_askew_to_the_board_still_prove(angle: float) -> None:
    """Face B cut with the board half a degree askew on the bed: the passes run across the cells and prove."""
    document = small_document()
    without_solids(document, 1)
    lay(document, 1, 0, turned(angle))
    outcome = proof(document)
    assert outcome.proof.reasons == []


def test_a_second_face_tilted_against_the_first_is_out_of_parallel() -> None:
    """A shim left under one end tilts the board by 0.004: over 304 mm, 1.2 mm out of parallel, and told."""
    document = small_document()
    without_solids(document, 1)
    tilt = np.eye(4)
    tilt[:3, :3] = np.array(
        [[math.cos(0.004), 0, math.sin(0.004)], [0, 1, 0], [-math.sin(0.004), 0, math.cos(0.004)]]
    )
    lies = document["setups"][1]["lies"][0]
    lies["matrix"] = (tilt @ np.array(lies["matrix"])).tolist()
    outcome = proof(document)
    rules = {reason.rule for reason in outcome.proof.reasons}
    assert {"wrong-size", "out-of-parallel"} <= rules
    assert outcome.finished["plank"].parallelism == pytest.approx(304 * 0.004, abs=0.1)
    assert outcome.finished["plank"].flatness["B"] == pytest.approx(0.0, abs=0.05)


def test_a_board_said_to_stand_on_its_edge_must_be_set_so() -> None:
    """Said to have edge-1 up with the matrix of face B up: unproven, never proven, with a reason."""
    document = small_document()
    document["setups"][2]["lies"][0]["up"] = "edge-1"
    outcome = proof(document)
    assert outcome.proof.verdict == "unproven"
    assert [reason.rule for reason in outcome.proof.reasons] == ["cannot-lie"]


def test_a_matrix_that_disagrees_with_its_words_is_not_believed() -> None:
    """A board said to lie with face A up whose matrix turns it over is not proven."""
    document = small_document()
    document["setups"][1]["lies"][0]["up"] = "A"
    assert proof(document).proof.verdict == "unproven"


def test_a_matrix_that_stretches_is_not_believed() -> None:
    """A matrix that is no rigid motion is not proven."""
    document = small_document()
    document["setups"][0]["lies"][0]["matrix"][0][0] = 1.01
    assert proof(document).proof.verdict == "unproven"


def test_uncertainty_of_the_readings_counts_for_rapids() -> None:
    """A rapid 0.3 mm above the readings is proven with 0.2 mm of uncertainty and refused with 0.4."""
    document = small_document()
    lines = small_lines()
    highest = 31.0 + 0.004 * LENGTH  # at the corner that the first pass goes over
    lines["1-face-a.nc"][13:13] = [f"G0 Z{highest + 0.3:.3f}", "G0 X338.000", "G0 Z60.000", "G0 X-32.000"]
    document["setups"][0]["solids"] = []
    document["setups"][0]["programs"][0]["standing"] = []
    assert proof(document, lines).proof.reasons == []
    document["boards"]["plank"]["uncertainty"] = 0.4
    [reason] = proof(document, lines).proof.reasons
    assert (reason.rule, reason.line) == ("rapid-through-wood", 15)


def test_the_finished_face_stands_where_the_goal_says() -> None:
    """Face A at 28 and face B at 26 with the first face down make 26: the goals and the fields agree."""
    outcome = proof(small_document())
    assert FACE_A > THICK
    assert outcome.finished["plank"].thickness == pytest.approx((THICK, THICK), abs=1e-6)
