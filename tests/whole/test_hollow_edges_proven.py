"""A hollow edge through the whole pipeline: proven where it is meant, refused where text and wish differ."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from stockwright.proving import prove
from stockwright.run import Proven, Request, check, write_and_prove

if TYPE_CHECKING:
    from stockwright.packet.model import Packet

HOLLOW = 0.5


@cache
def _made() -> Proven:
    """Plan and prove the first of the shelf's boards alone, its edges hollow by 0.5 mm."""
    folder = EXAMPLES / "glue-room"
    board = folder / "boards" / "maple-1.yaml"
    values = {"hollow": f"{HOLLOW} mm"}
    request = Request(folder / "shelf-boards.yaml", boards=(board,), values=values)
    return write_and_prove(check(request), request)


def _texts() -> dict[str, str]:
    return dict(_made().texts)


def _rules(packet: Packet, texts: dict[str, str]) -> set[str]:
    return {reason.rule for reason in prove(packet, texts).proof.reasons}


def test_a_hollow_edge_is_proven_and_measured() -> None:
    """The board is narrower in its middle by both hollows, and straight to its arcs within 0.01 mm."""
    packet = _made().packet
    assert packet.proof.verdict == "proven"
    [finished] = packet.finished.values()
    assert finished.width is not None
    assert finished.width[0] == pytest.approx(110.0 - 2 * HOLLOW, abs=0.02)
    assert finished.width[1] == pytest.approx(110.0, abs=0.02)
    assert all(value is not None and value < 0.01 for value in finished.straightness.values())


def test_a_hollow_that_nobody_wants_is_refused() -> None:
    """The same programs in a packet that wants straight edges: neither straight nor as wide as wanted."""
    packet = _made().packet
    straight = {name: wanted.model_copy(update={"hollow": {}}) for name, wanted in packet.wanted.items()}
    rules = _rules(packet.model_copy(update={"wanted": straight}), _texts())
    assert {"out-of-straight", "wrong-size"} <= rules


def test_a_straight_pass_where_a_hollow_is_wanted_leaves_wood() -> None:
    """With the corners of the arc taken out of the texts, the goal along the arc is not reached."""
    texts = _texts()
    cuts = [p.file for setup in _made().packet.setups for p in setup.programs if p.purpose == "cut"]
    for name in cuts:
        lines = texts[name].splitlines()
        # The arc's corners are the only feed moves in x and y at once.
        kept = [line for line in lines if not re.match(r"(N\d+ )?(G1 )?X\S+ Y\S+", line)]
        assert len(kept) < len(lines)
        texts[name] = "\n".join(kept) + "\n"
    assert "wall-left" in _rules(_made().packet, texts)


def test_a_pass_too_near_is_cut_into_the_wall() -> None:
    """A wall wanted less hollow than it is cut is cut into, by what the hollows differ."""
    packet = _made().packet
    setups = []
    for setup in packet.setups:
        goals = []
        for goal in setup.goals:
            assert goal.kind == "wall"
            y = goal.path[0][1]
            flatter = [(x, y + (at - y) * 0.5) for x, at in goal.path]
            goals.append(goal.model_copy(update={"path": flatter}))
        setups.append(setup.model_copy(update={"goals": goals}))
    reasons = prove(packet.model_copy(update={"setups": setups}), _texts()).proof.reasons
    worst = [
        float(found[1])
        for reason in reasons
        if reason.rule == "wall-cut-into"
        and (found := re.search(r"the worst one ([\d.]+) mm", reason.message))
    ]
    assert len(worst) == 2
    assert worst == pytest.approx([HOLLOW / 2] * 2, abs=0.01)
