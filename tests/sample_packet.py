"""A packet built by hand from the setups of `sample_setups`, with files, findings and a proof.

It stands in for the stages before `pack`; nothing here is a measured result.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sample_programs import programs
from sample_setups import L, T, W, board, setups, shop
from stockwright.findings import Finding
from stockwright.job import Job, Tolerance, Wanted
from stockwright.motion.nodes import Feed, Program
from stockwright.packet import model
from stockwright.packet.assemble import Emitted, assemble, with_proof
from stockwright.posting.files import Written

if TYPE_CHECKING:
    from stockwright.planning.setup import Setup

__all__ = ["Sample", "SampleOutcome", "sample"]


@dataclass(frozen=True)
class SampleOutcome:
    """What a proof would hand back."""

    proof: model.Proof
    finished: dict[str, model.Finished]
    program_verdicts: dict[str, model.Verdict]


@dataclass(frozen=True)
class Sample:
    """Everything that goes into a packet, and the packet."""

    job: Job
    setups: tuple[Setup, ...]
    programs: tuple[tuple[Program, ...], ...]
    files: dict[str, Written]
    findings: tuple[Finding, ...]
    packet: model.Packet = field(repr=False)


def _text(program: Program) -> str:
    lines = ["G21", "G90"]
    for node in program.nodes:
        if isinstance(node, Feed):
            lines += [f"G1 X{p[0]:.3f} Y{p[1]:.3f} Z{p[2]:.3f} F{node.feed:.0f}" for p in node.points]
    return "\n".join([*lines, "M2", ""])


def sample(name: str = "ash plank 3", verdict: model.Verdict = "proven") -> Sample:
    """Return the four-setup sample, with any board name and any verdict."""
    b = board(name)
    made = setups(b)
    cut = programs(made)
    files = {
        p.stem: Written(
            f"{p.stem}.ngc", _text(p), 35.0 if p.purpose == "outline" else 214.4, _text(p).count("\n")
        )
        for group in cut
        for p in group
    }
    findings = (
        Finding(
            "little-to-spare",
            "warn",
            "the thickest place of face B takes four levels",
            "expect about ten minutes for it",
            7.9,
            8.0,
            2,
            "s2-face-b",
            (590.0, 180.0, 34.9),
        ),
        Finding(
            "moisture-unknown",
            "note",
            "the board's moisture is not stated",
            "measure it before the first cut",
        ),
        Finding("guessed-deflection", "note", "the cutter's stiffness is a guess", "read the maker's sheet"),
    )
    wanted = Wanted(L, W, T, Tolerance(0.8, 0.5, 0.3, 0.3, 0.3, 0.3, 0.3))
    job = Job("stair-tread", "four-sides-square", "1.0.0", "sha256:" + "ab" * 32, shop(), (b,), wanted, ())
    packet = assemble(job, made, cut, findings, Emitted("rs274-ngc", "rs274-ngc", files))
    outcome = SampleOutcome(
        proof=model.Proof(
            verdict=verdict,
            cell=0.5,
            cannot_know=[
                "whether the zero was taken where the sheet says",
                "which cutter is in the collet, and how far it sticks out",
                "whether the hold-downs stand as drawn and hold",
                "knots, shakes, nails and grit in the wood",
            ],
            reasons=[]
            if verdict == "proven"
            else [
                model.Reason(
                    rule="cut-too-deep",
                    setup=2,
                    program="programs/s2-face-b.ngc",
                    line=5,
                    at=(10.0, 80.0, 26.2),
                    measured=26.2,
                    limit=26.7,
                    message="the board ends 0.5 mm thinner than wanted",
                ),
            ],
        ),
        finished={
            b.name: model.Finished(
                length=(1149.9, 1150.1),
                width=(199.9, 200.1),
                thickness=(26.95, 27.08),
                flatness={"A": 0.06, "B": 0.07},
                parallelism=0.11,
                squareness={"edge-1": 0.04, "edge-2": 0.05, "end-1": 0.06, "end-2": 0.06},
                straightness={"edge-1": 0.03, "edge-2": 0.03},
            )
        },
        program_verdicts={p.file: verdict for s in packet.setups for p in s.programs},
    )
    return Sample(job, made, cut, files, findings, with_proof(packet, outcome))
