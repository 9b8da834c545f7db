"""What of a board was cut. In: a packet and a board's name. Out: its measured size, less what nobody made.

Promise: a measure is told only of what a program made or the job asked for: between two ends that stay as
they are there is no length, and what a proof measures there says nothing of the work.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stockwright.packet.model import Finished, Packet

__all__ = ["as_cut"]


def as_cut(packet: Packet, name: str) -> Finished:
    """Return what the proof measured on board `name`, without the sides that stay as they are."""
    done = packet.finished[name]
    wanted = packet.wanted.get(name)
    walls = {
        goal.cut
        for setup in packet.setups
        for goal in setup.goals
        if goal.kind == "wall" and goal.board == name
    }
    length = {"end-1", "end-2"} <= walls or (wanted is not None and wanted.length is not None)
    width = {"edge-1", "edge-2"} <= walls or (wanted is not None and wanted.width is not None)
    return done.model_copy(
        update={
            "length": done.length if length else None,
            "width": done.width if width else None,
            "squareness": {side: value for side, value in done.squareness.items() if side in walls},
            "straightness": {side: value for side, value in done.straightness.items() if side in walls},
        }
    )
