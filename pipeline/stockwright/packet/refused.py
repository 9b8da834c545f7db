"""A proof that refuses, as findings. In: a packet with its proof. Out: refusing findings for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Finding

if TYPE_CHECKING:
    from stockwright.packet.model import Packet

__all__ = ["as_findings"]


NO_READER = "choose another post, or take the programs on your own word with --accept-unproven"
OWN_FAULT = "this is a fault of the tool's own planning: keep the job's documents and report it"

# A shipped post's reader reads all it writes: only a profile, or a package, writes what it cannot read.
NOT_READ = (
    "leave what writes that line out of the profile, or extend a post whose reader knows it (`posts show "
    "NAME` says what each writes); where no profile is in use, keep the job's documents and report it"
)


def as_findings(packet: Packet, remedy: str = OWN_FAULT) -> tuple[Finding, ...]:
    """Return the proof's reasons as refusing findings, the line of the program in the message.

    `remedy` for what is wrong with the programs; where only nobody can read them, another post is one.
    """
    found = []
    for r in packet.proof.reasons:
        place = f"{r.program}:{r.line}: " if r.program and r.line else ""
        unread = r.rule == "no-reader"
        unknown = r.rule == "text-not-understood" and remedy == OWN_FAULT
        found.append(
            Finding(
                rule=r.rule,
                level="refuse",
                message=place + r.message,
                remedy=NO_READER if unread else NOT_READ if unknown else remedy,
                measured=0.0 if unread else r.measured,
                limit=1.0 if unread else r.limit,
                setup=r.setup,
                program=r.program,
                at=r.at,
            )
        )
    return tuple(found)
