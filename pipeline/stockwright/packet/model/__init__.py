"""packet.json as types. In: JSON text or plain values. Out: `Packet`, and its text again.

Promise: names and meanings are those of the published schema; fields that a later version adds are ignored
when a packet is read; equal packets give equal bytes. mm, mm/min, rpm, degrees; work frame unless said.
"""

from stockwright.packet.model.boards import GRID_POINTS, MeasuredBoard, Tolerance, Wanted
from stockwright.packet.model.border import DECIMALS, Verdict
from stockwright.packet.model.judged import Expected, Finished, PacketFinding, Proof, Reason, Share
from stockwright.packet.model.machine import Attached, Control, Machine, Part, Tool, Travel
from stockwright.packet.model.setup import (
    Beneath,
    Cut,
    FeedRange,
    Goal,
    Lies,
    Offcut,
    Placing,
    PlaneGoal,
    Position,
    Program,
    Setup,
    Shim,
    Solid,
    TouchOff,
    WallGoal,
    Zero,
    ZeroWrong,
)
from stockwright.packet.model.text import PAGES, digests_of, dump_packet, load_packet, short_digest
from stockwright.packet.model.whole import MadeWith, Packet, RecipeUsed

__all__ = [
    "DECIMALS",
    "GRID_POINTS",
    "PAGES",
    "Attached",
    "Beneath",
    "Control",
    "Cut",
    "Expected",
    "FeedRange",
    "Finished",
    "Goal",
    "Lies",
    "Machine",
    "MadeWith",
    "MeasuredBoard",
    "Offcut",
    "Packet",
    "PacketFinding",
    "Part",
    "Placing",
    "PlaneGoal",
    "Position",
    "Program",
    "Proof",
    "Reason",
    "RecipeUsed",
    "Setup",
    "Share",
    "Shim",
    "Solid",
    "Tolerance",
    "Tool",
    "TouchOff",
    "Travel",
    "Verdict",
    "WallGoal",
    "Wanted",
    "Zero",
    "ZeroWrong",
    "digests_of",
    "dump_packet",
    "load_packet",
    "short_digest",
]
