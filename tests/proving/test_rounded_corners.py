"""A cutter's rounded corners clear nothing down to its tip: the proof counts only what is flat there.

By hand, on the small packet: the face's first pass runs at y 18 with a 50 mm cutter, so its flat reaches the
board's side at y 0 with corners of up to 25 - 18 = 7 mm; the edge is cut 1 mm below the board.
"""

from __future__ import annotations

import pytest

from small_packet import small_document, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import prove

CASES = [
    ("facer", 6.9, set()),
    ("facer", 7.1, {"spots-left"}),
    ("mill", 1.0, set()),
    ("mill", 1.1, {"wall-left"}),
    ("mill", 6.0, {"wall-left"}),  # a ball
]


@pytest.mark.parametrize(("tool", "radius", "rules"), CASES)
def test_what_corners_leave_is_found(tool: str, radius: float, rules: set[str]) -> None:
    """Corners that come out beside or below the board are proven; where they stay in it, wood is left."""
    document = small_document()
    document["tools"][tool]["corner_radius"] = radius
    proof = prove(Packet.model_validate(document), small_texts()).proof
    assert {reason.rule for reason in proof.reasons} == rules
    assert proof.verdict == ("refused" if rules else "proven")


def test_corners_rounder_than_the_cutter_are_no_fact() -> None:
    """No packet has a cutter whose corners are rounder than half of it."""
    document = small_document()
    document["tools"]["mill"]["corner_radius"] = 6.01
    with pytest.raises(ValueError, match="corners cannot be rounder"):
        Packet.model_validate(document)


def test_square_corners_are_left_out() -> None:
    """A packet of square cutters says nothing of corners, as those made before did."""
    assert "corner_radius" not in Packet.model_validate(small_document()).model_dump_json()
