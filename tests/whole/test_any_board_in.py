"""Fifty rough boards of all sizes through the example's shop: each proven or honestly refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from example_jobs import STAIR_TREAD
from rough_boards import rough
from stockwright.findings import Refused
from stockwright.run import Request, make

if TYPE_CHECKING:
    from pathlib import Path

# What may refuse a board for the board's or the shop's own sake. A refusal by the proof is none of them: it
# would mean that the planner let something through.
HONEST = {
    "board-too-thin",
    "board-too-short",
    "board-too-narrow",
    "no-tool-for-role",
    "no-hold-down",
    "no-room-for-clamps",
    "fence-too-little",
    "leaves-the-travel",
    "holding-too-weak",  # two clamps with 900 N each, and a cutter that may push with 126 N at a corner
}


@pytest.mark.parametrize(
    "seed", [*range(4), *(pytest.param(n, marks=pytest.mark.wide) for n in range(4, 50))]
)
def test_a_board_is_proven_or_honestly_refused(seed: int, tmp_path: Path) -> None:
    """A generated board and a size give a proven packet, or reasons with both numbers and a cure."""
    board = rough(seed)
    path = tmp_path / "board.yaml"
    path.write_text(board.text)
    values = {
        "length": f"{board.length:g} mm",
        "width": f"{board.width:g} mm",
        "thickness": f"{board.thickness:g} mm",
    }
    try:
        made = make(Request(STAIR_TREAD, boards=(path,), values=values))
    except Refused as refused:
        reasons = [f for f in refused.findings if f.level == "refuse"]
        assert {f.rule for f in reasons} <= HONEST
        for finding in reasons:
            assert finding.measured is not None
            assert finding.limit is not None
            assert finding.remedy
    else:
        proof = made.packet.proof
        assert proof is not None
        assert proof.verdict == "proven"
