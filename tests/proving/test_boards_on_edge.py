"""A board set on its edge is carried soundly: planed there, cut to length there, laid on its face again."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from small_packet import FACE_A, LENGTH, PREAMBLE, THICK, WIDTH, small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import Outcome, prove

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

EDGE = "3-edge-1.nc"
LEFT = 101.0  # width when 5 mm are planed off edge-1
CLEAR = 112.0
ROUGH = 0.0622  # how far the rough sides lean over their height: tilted by 0.004 over 31.1 mm, half of it
UNDER = FACE_A - THICK  # height of face B in the first setup


def on_edge(up: str, turns: int = 0, lean: float = 0.0) -> Floats:
    """Lay the small board on an edge, its faces at work y 0 and 26, the lower edge on the bed at z 0."""
    seated = np.array(small_document()["setups"][0]["lies"][0]["matrix"])
    if up == "edge-1":
        over = np.array([[1.0, 0, 0, 0], [0, 0, 1, -UNDER], [0, -1, 0, WIDTH], [0, 0, 0, 1]])
    else:
        over = np.array([[1.0, 0, 0, 0], [0, 0, -1, FACE_A], [0, 1, 0, 0], [0, 0, 0, 1]])
    c, s = math.cos(lean), math.sin(lean)
    tilt = np.array([[1.0, 0, 0, 0], [0, c, -s, 0], [0, s, c, 0], [0, 0, 0, 1]])
    turn = np.eye(4)
    if turns == 2:
        turn = np.diag([-1.0, -1.0, 1.0, 1.0])
        turn[:2, 3] = LENGTH, THICK
    lies: Floats = turn @ tilt @ over @ seated
    return lies


def planed(z: float = LEFT, y: float = 13.0) -> list[str]:
    """Plane the upper edge in two levels along y."""
    lines = [*PREAMBLE, "S14000", "M3", f"G0 Z{CLEAR}"]
    for level in (z + 2.5, z):
        lines += [f"G0 X-32 Y{y}", f"G0 Z{level + 6}", f"G1 Z{level} F500", "G1 X340 F3000", f"G0 Z{CLEAR}"]
    return [*lines, "M5", "M30"]


def document(up: str = "edge-1", turns: int = 0, lean: float = 0.0) -> dict[str, Any]:
    """Give the small packet with its third setup on an edge, which is planed there to a width of 101."""
    whole = small_document()
    setup = whole["setups"][2]
    setup["lies"] = [
        {"board": "plank", "up": up, "quarter_turns": turns, "matrix": on_edge(up, turns, lean).tolist()}
    ]
    setup["solids"] = []
    setup["cuts"][0]["name"] = up
    region = [[-5, -2], [LENGTH + 5, -2], [LENGTH + 5, 30], [-5, 30]]
    setup["goals"] = [{"kind": "plane", "board": "plank", "cut": up, "z": LEFT, "region": region}]
    setup["programs"][0] |= {"tool": "facer", "standing": []}
    whole["machine"]["travel"]["z"] = [40, 400]
    whole["wanted"]["plank"] |= {"width": LEFT}
    whole["wanted"]["plank"]["tolerance"] |= {"width": 0.1, "squareness": 0.1}
    return whole


def proof(whole: dict[str, Any], lines: list[str] | None = None, more: list[str] | None = None) -> Outcome:
    """Prove it with the edge's program, and a fourth program where there is one."""
    texts = small_texts(small_lines() | {EDGE: lines or planed()} | ({"4.nc": more} if more else {}))
    return prove(Packet.model_validate(whole), texts)


def rules(outcome: Outcome) -> list[str]:
    """Give the rules found, in order."""
    return [reason.rule for reason in outcome.proof.reasons]


@pytest.mark.parametrize(("up", "turns"), [("edge-1", 0), ("edge-2", 0), ("edge-1", 2), ("edge-2", 2)])
def test_an_edge_planed_upright_is_proven_to_its_size(up: str, turns: int) -> None:
    """5 mm planed off an upright edge leave 101 mm of width; only the rough edge, that leans, is in doubt."""
    outcome = proof(document(up, turns))
    assert rules(outcome) == []
    done = outcome.finished["plank"]
    assert done.width == pytest.approx((LEFT - ROUGH, LEFT + ROUGH), abs=1e-3)
    assert done.thickness == pytest.approx((THICK, THICK), abs=1e-6)
    assert done.length == pytest.approx((LENGTH, LENGTH), abs=0.13)
    assert done.straightness[up] == pytest.approx(0, abs=1e-3)
    assert done.squareness[up] == pytest.approx(0, abs=1e-3)


def test_an_edge_planed_too_deep_is_refused_by_its_line() -> None:
    """1 mm deeper than the goal is cut too deep, on the line of the last pass, and said from the faces."""
    outcome = proof(document(), planed(LEFT - 1))
    reason = next(r for r in outcome.proof.reasons if r.rule == "cut-too-deep")
    assert (reason.program, reason.line) == (EDGE, 20)
    assert reason.measured == pytest.approx(1.0, abs=1e-3)
    assert "face" in (reason.place or "")
    assert "wrong-size" in rules(outcome)


def test_a_ridge_left_along_a_face_is_refused() -> None:
    """A pass set 30 mm too far over leaves the near 17 mm of the edge standing 5 mm high."""
    outcome = proof(document(), planed(y=42.0))
    reason = next(r for r in outcome.proof.reasons if r.rule == "spots-left")
    assert reason.measured == pytest.approx(5.0 + ROUGH, abs=1e-3)
    assert reason.program == EDGE


def test_a_pass_missing_leaves_half_the_depth() -> None:
    """Without its last level the edge stands 2.5 mm too high, and the board is as much too wide."""
    outcome = proof(document(), [*planed()[:16], "M5", "M30"])
    assert {"spots-left", "wrong-size"} <= set(rules(outcome))
    assert outcome.finished["plank"].width == pytest.approx((LEFT + 2.5, LEFT + 2.5), abs=0.063)


def test_a_rapid_through_an_upright_board_is_refused() -> None:
    """A rapid along the edge below its top passes through wood that stands upright."""
    lines = planed()
    lines[14] = "G0 X340"
    assert "rapid-through-wood" in rules(proof(document(), lines))


def test_a_board_leaning_on_its_edge_is_planed_out_of_square() -> None:
    """Set 0.01 off upright, the planed edge is out of square by 0.01 over 26 mm of thickness."""
    whole = document(lean=0.01)
    outcome = proof(whole, planed(LEFT))
    assert "out-of-square" in rules(outcome)
    assert outcome.finished["plank"].squareness["edge-1"] == pytest.approx(0.01 * THICK, abs=0.02)


def test_a_matrix_that_sets_up_the_other_edge_is_not_believed() -> None:
    """A board said to stand with edge-2 up whose matrix sets edge-1 up is not proven."""
    whole = document()
    whole["setups"][2]["lies"][0]["up"] = "edge-2"
    assert rules(proof(whole)) == ["cannot-lie"]


def test_a_rested_board_on_its_edge_is_not_proven() -> None:
    """How far a rested board has moved edgewise nobody says, so it is not carried."""
    whole = document()
    whole["setups"][2]["lies"][0]["moved"] = 0.3
    assert proof(whole).proof.verdict == "unproven"


def test_the_goal_of_an_edge_must_cover_it() -> None:
    """A goal for half of the edge leaves the other half to no one."""
    whole = document()
    whole["setups"][2]["goals"][0]["region"] = [[-5, -2], [150, -2], [150, 30], [-5, 30]]
    assert "goals-do-not-cover" in rules(proof(whole))


def with_taller_mill(whole: dict[str, Any]) -> dict[str, Any]:
    """Give the machine room upwards, and the mill edges as long as the board is wide."""
    whole["machine"]["travel"]["z"] = [40, 400]
    whole["tools"]["mill"] |= {"cutting_length": 120, "stickout": 140, "overall_length": 166}
    whole["tools"]["mill"]["assembly"] = [
        {"diameter": 12, "from": 0, "to": 120},
        {"diameter": 12, "from": 120, "to": 140},
        {"diameter": 34, "from": 140, "to": 160},
    ]
    return whole


def end_cut(x: float) -> list[str]:
    """Cut along y through the upright board, the middle of the cutter at x."""
    lines = [*PREAMBLE, "S14000", "M3", "G0 Z125"]
    for z in (80, 50, 20, -1):
        lines += [f"G0 X{x:.3f} Y-20", f"G0 Z{z + 2}", f"G1 Z{z} F500", "G1 Y46 F1000", "G0 Z125"]
    return [*lines, "M5", "M30"]


def ended(at: float) -> dict[str, Any]:
    """Give a packet whose third setup cuts end-2 off an upright board, so that `at` remains of its length."""
    whole = with_taller_mill(document())
    setup = whole["setups"][2]
    setup["cuts"][0]["name"] = "end-2"
    wall = {"kind": "wall", "path": [[at, -2], [at, 28]], "inside": "left", "z": [0, WIDTH], "clear": 12}
    setup["goals"] = [wall | {"board": "plank", "cut": "end-2"}]
    setup["programs"][0] |= {"tool": "mill", "standing": []}
    whole["wanted"]["plank"] |= {"width": None, "length": None}
    return whole


def test_an_end_cut_with_the_board_upright_gives_its_length() -> None:
    """A wall cut through from edge to edge at x 296 leaves that length, seen on the face again."""
    outcome = proof(ended(296.0), end_cut(302.0))
    assert rules(outcome) == []
    assert outcome.finished["plank"].length == pytest.approx((296.0 - 2 * ROUGH, 296.0), abs=0.01)


@pytest.mark.parametrize(("x", "rule"), [(302.05, "wall-left"), (301.95, "wall-cut-into")])
def test_an_end_wall_upright_is_judged_exactly(x: float, rule: str) -> None:
    """0.05 mm left at an end or cut into it shows with the board on its edge as it does on its face."""
    assert rule in rules(proof(ended(296.0), end_cut(x)))


def test_a_board_laid_down_again_has_the_edge_that_was_planed() -> None:
    """After planing upright, the other edge is cut on the face: the width is between the two, and proven."""
    whole = document()
    fourth = small_document()["setups"][2]
    fourth["index"] = 4
    fourth["cuts"][0]["name"] = "edge-2"
    # Face B up: edge-1, planed to grid y 5, stands at work y 101; edge-2 becomes work y 6.
    fourth["goals"][0] |= {"cut": "edge-2", "path": [[0.0, 6.0], [304.1, 6.0]], "inside": "left"}
    fourth["solids"] = []
    fourth["programs"][0] |= {"file": "4.nc", "standing": []}
    whole["setups"].append(fourth)
    whole["wanted"]["plank"]["width"] = 95.0
    lines = [*PREAMBLE, "S16000", "M3", "G0 Z60"]
    for z, y in ((19, -0.3), (12, -0.3), (5, -0.3), (-1, -0.3), (-1, 0)):
        lines += [f"G0 X-12 Y{y}", f"G0 Z{z + 8}", f"G1 Z{z} F400", "G1 X320 F2400", "G0 Z60"]
    outcome = proof(whole, None, [*lines, "M5", "M30"])
    assert rules(outcome) == []
    assert outcome.finished["plank"].width == pytest.approx((95.0, 95.0), abs=5e-3)
