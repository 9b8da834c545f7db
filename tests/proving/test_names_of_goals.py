"""A goal's name is held against where its plane or wall stands: each has its place in the piece frame."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
import shapely

from proving.odd_cases import turned
from proving.outcomes import EDGE, A, Changes, box, outcome_of
from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet, Reason, Setup
from stockwright.proving import prove
from stockwright.proving.named import OUTWARD, judge_names

# By hand: what the person sees who lays a board with this side up and does not turn it.
SEEN = {
    "A": {"top": "face A", "left": "end-1", "right": "end-2", "near": "edge-1", "far": "edge-2"},
    "B": {"top": "face B", "left": "end-1", "right": "end-2", "near": "edge-2", "far": "edge-1"},
    "edge-2": {"top": "edge-2", "left": "end-1", "right": "end-2", "near": "face A", "far": "face B"},
    "edge-1": {"top": "edge-1", "left": "end-1", "right": "end-2", "near": "face B", "far": "face A"},
}
ROUND = ("right", "far", "left", "near")  # a quarter turn anticlockwise brings each to the next
PATHS = {  # the wall at each side of a piece of 200 by 80, the wood on the left of it
    "near": [[0, 0], [200, 0]],
    "right": [[200, 0], [200, 80]],
    "far": [[200, 80], [0, 80]],
    "left": [[0, 80], [0, 0]],
}
PIECE = shapely.box(0, 0, 200, 80)


def goal_at(place: str, name: str, *, backwards: bool = False) -> dict[str, Any]:
    """Give the goal of a side of the piece, 25 mm high, by the place where it is seen."""
    if place == "top":
        return {"kind": "plane", "board": "plank", "cut": name, "z": 25, "region": box(0, 0, 200, 80)}
    path = PATHS[place][::-1] if backwards else PATHS[place]
    inside = "right" if backwards else "left"
    wall = {"kind": "wall", "path": path, "inside": inside, "z": [0, 25], "clear": 12}
    return wall | {"board": "plank", "cut": name}


def judged(up: str, turns: int, *goals: dict[str, Any]) -> list[Reason]:
    """Hold goals against their names for a board that lies so."""
    document = small_document()["setups"][0]
    document["lies"][0] |= {"up": up, "quarter_turns": turns}
    document["goals"] = list(goals)
    return judge_names(Setup.model_validate(document), "plank", PIECE, 0.0)


@pytest.mark.parametrize("up", SEEN)
def test_only_the_name_that_is_seen_there_is_accepted(up: str) -> None:
    """However a board lies, of the six names one alone fits what lies at a place, whichever way drawn."""
    for turns, (place, name), backwards in product(range(4), SEEN[up].items(), (False, True)):
        where = place if place == "top" else ROUND[(ROUND.index(place) + turns) % 4]
        right = [n for n in OUTWARD if not judged(up, turns, goal_at(where, n, backwards=backwards))]
        assert right == [name], (turns, place)


@pytest.mark.parametrize(
    ("place", "name", "stands", "belongs", "words"),
    [
        ("near", "edge-2", 0, 80, "wall that is called edge-2 stands where edge-1 belongs: at y 0.000"),
        ("far", "edge-1", 80, 0, "wall that is called edge-1 stands where edge-2 belongs: at y 80.000"),
        ("left", "end-2", 0, 200, "wall that is called end-2 stands where end-1 belongs: at x 0.000"),
        ("right", "edge-1", 40, 0, "wall that is called edge-1 stands where end-2 belongs: at y 40.000"),
        ("near", "face A", 0, 25, "wall that is called face A stands where edge-1 belongs: at z 0.000"),
        ("top", "face B", 25, 0, "plane that is called face B stands where face A belongs: at z 25.000"),
        ("top", "end-2", 100, 200, "plane that is called end-2 stands where face A belongs: at x 100.000"),
        ("near", "edge-3", None, None, "'edge-3' is no face, edge or end; its wall stands where edge-1"),
    ],
)
def test_both_places_are_told(
    place: str, name: str, stands: float | None, belongs: float | None, words: str
) -> None:
    """A wrong name comes with where the goal stands in the piece and where its name belongs."""
    [reason] = judged("A", 0, goal_at(place, name))
    assert (reason.rule, reason.measured, reason.limit) == ("goal-misnamed", stands, belongs)
    assert words in reason.message
    if belongs is not None:
        assert reason.message.endswith(f"{name} is at {OUTWARD[name][0]} {belongs:.3f}")


def test_a_wrong_name_is_told_also_where_no_wood_stays() -> None:
    """Walls that leave nothing of the board between them: where it belongs is then measured from zero."""
    document = small_document()["setups"][0]
    document["goals"] = [goal_at("right", "end-1")]
    [reason] = judge_names(Setup.model_validate(document), "plank", shapely.Polygon(), 0.0)
    assert (reason.rule, reason.measured, reason.limit) == ("goal-misnamed", 200, 0)


def test_a_slanting_or_hollow_side_keeps_its_name() -> None:
    """A side is known by its chord: 59 degrees aslant it still is that side, 61 degrees it is another."""
    hollow = goal_at("near", "edge-1") | {"path": [[0, 0], [100, 60], [200, 0]]}
    assert judged("A", 0, hollow) == []
    for rise, rules in ((166.4, []), (180.5, ["goal-misnamed"])):  # tangents 1.664 and 1.805
        slanting = goal_at("near", "edge-1") | {"path": [[0, 0], [100, rise]]}
        assert [r.rule for r in judged("A", 0, slanting)] == rules


def test_an_edge_cut_under_the_other_edge_s_name_is_refused() -> None:
    """Well cut as it is, what lies where edge-2 belongs is refused as edge-1, and proven as edge-2."""
    found = outcome_of(turned(2, 2))
    [reason] = found.proof.reasons
    assert (found.proof.verdict, reason.rule, reason.setup) == ("refused", "goal-misnamed", 3)
    assert (reason.program, reason.board) == (EDGE, "plank")
    assert reason.place is not None
    assert "edge-2" in reason.place
    named: Changes = {"setups.2.goals.0.cut": "edge-2", "setups.2.cuts.0.name": "edge-2"}
    assert outcome_of(turned(2, 2) | named).proof.reasons == []


def test_a_goal_of_a_board_that_lies_elsewhere_is_refused() -> None:
    """A goal whose board does not lie in its setup would be judged by nobody, and is told."""
    document = small_document()
    document["boards"]["slat"] = document["boards"]["plank"]
    document["setups"] = document["setups"][:1]
    document["setups"][0]["goals"].append(goal_at("near", "edge-1") | {"board": "slat"})
    lines = {A: small_lines()[A]}
    found = prove(Packet.model_validate(document), small_texts(lines)).proof.reasons
    told = "the goal 'edge-1' is of slat, which does not lie here: nothing judges it"
    assert [(r.rule, r.message) for r in found if r.setup == 1] == [("goals-do-not-cover", told)]


def test_a_wall_that_leads_nowhere_is_no_packet_s() -> None:
    """A side is known by the way along it: one that ends where it begins is refused on reading."""
    with pytest.raises(ValueError, match="ends where it begins"):
        judged("A", 0, goal_at("near", "edge-1") | {"path": [[0, 0], [9, 9], [0, 0]]})
