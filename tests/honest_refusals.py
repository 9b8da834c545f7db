"""What may refuse a board for its own or its shop's sake.

In: a board's document, the size wanted of it. Out: nothing, or the test fails: through the example's shop
the board must be proven, or refused with both numbers and a cure. A refusal by the proof is not allowed: it
would mean that the planner let something through.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from example_jobs import STAIR_TREAD
from made_packets import proven_job
from stockwright.findings import Refused
from stockwright.run import Request

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

__all__ = ["proven_or_honestly_refused"]

HONEST = {
    "board-too-thin",
    "board-too-short",
    "board-too-narrow",
    "no-tool-for-role",
    "no-hold-down",
    "no-room-for-clamps",
    "fence-too-little",
    "leaves-the-travel",
}


def proven_or_honestly_refused(board: Path, values: Mapping[str, str], *also: str) -> None:
    """Make the example's job of this board; `also` are further rules that may refuse it."""
    try:
        made = proven_job(Request(STAIR_TREAD, boards=(board,), values=values))
    except Refused as refused:
        reasons = [f for f in refused.findings if f.level == "refuse"]
        assert {f.rule for f in reasons} <= HONEST | set(also)
        assert all(f.measured is not None and f.limit is not None and f.remedy for f in reasons)
    else:
        assert made.packet.proof is not None
        assert made.packet.proof.verdict == "proven"
