"""Neutral motion. In: nothing. Out: the nodes a program is made of; what the public may lean on.

Promise: importing this loads nothing heavy; `motion.moves` and `motion.timing` bring numpy themselves.
"""

from stockwright.motion.nodes import (
    NODES,
    Arc,
    Dust,
    Dwell,
    Feed,
    Node,
    Pause,
    Probe,
    Program,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)

__all__ = [
    "NODES",
    "Arc",
    "Dust",
    "Dwell",
    "Feed",
    "Node",
    "Pause",
    "Probe",
    "Program",
    "Rapid",
    "Remark",
    "SpindleOff",
    "SpindleOn",
    "UseTool",
]
