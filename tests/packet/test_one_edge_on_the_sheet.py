"""The sheet and the proof of a board with one edge as it grew: nothing is asked or judged of its width."""

from __future__ import annotations

import json
import re

from made_packets import page_of, proven
from stockwright.packet.model import dump_packet


def _told() -> str:
    text = page_of("stair-tread/mantel-shelf")
    return " ".join(
        re.sub(r"<[^>]+>", " ", re.sub(r"<(svg|style).*?</\1>", " ", text, flags=re.DOTALL)).split()
    )


def test_the_width_is_as_it_is() -> None:
    """The wood's table says the length and the thickness in figures, and of the width that it stays."""
    assert "820 mm × as it is × 30 mm" in _told()


def test_no_diagonals_are_asked_for() -> None:
    """Diagonals say nothing of a corner at an edge that nobody cut, so there is no line to write them on."""
    assert "Square: gaps" in _told()
    assert "iagonals from" not in _told()


def test_the_proof_judges_length_and_ends_but_no_width() -> None:
    """Proven with the edge bulging by 18 mm: the length is measured, edge-2 is held to nothing."""
    packet = json.loads(dump_packet(proven("stair-tread/mantel-shelf").packet))
    assert packet["proof"]["verdict"] == "proven"
    assert packet["wanted"]["butternut-waney"]["width"] is None
    cuts = [goal["cut"] for setup in packet["setups"] for goal in setup["goals"]]
    assert "edge-1" in cuts
    assert "edge-2" not in cuts
