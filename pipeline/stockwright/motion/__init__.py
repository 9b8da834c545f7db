"""Neutral motion: a program's moves and machine actions, for any controller. In: nothing. Out: the nodes.

What is named here is public. Promise: importing this loads nothing heavy; `motion.moves` and `motion.timing`
import numpy themselves.
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
