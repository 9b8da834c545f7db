"""A proof that refuses, as findings. In: a packet with its proof. Out: refusing findings for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Finding

if TYPE_CHECKING:
    from stockwright.packet.model import Packet

__all__ = ["as_findings"]


def as_findings(packet: Packet) -> tuple[Finding, ...]:
    """Return the proof's reasons as refusing findings, the line of the program in the message."""
    assert packet.proof is not None
    found = []
    for r in packet.proof.reasons:
        place = f"{r.program}:{r.line}: " if r.program and r.line else ""
        found.append(
            Finding(
                rule=r.rule,
                level="refuse",
                message=place + r.message,
                remedy="this is a fault of the tool's own planning: keep the job's documents and report it",
                measured=r.measured,
                limit=r.limit,
                setup=r.setup,
                program=r.program,
                at=r.at,
            )
        )
    if not found:
        found.append(
            Finding(
                rule="unproven",
                level="refuse",
                message="the post names no reader that could prove its programs",
                remedy="choose another post, or take the programs on your own word with --accept-unproven",
                measured=0,
                limit=1,
            )
        )
    return tuple(found)
