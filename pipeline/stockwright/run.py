"""The whole program, one stage after another.

    read -> bind -> plan -> cut -> check -> write -> prove -> pack

In: what the user asks for. Out: a packet's files, or why there are none. Promise: each stage takes the value
before it and returns a new one; only `read` reads files and only `deliver` writes them; a refusal stops
everything after it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from stockwright.findings import Finding, Refused, severity

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from stockwright.documents import Documents
    from stockwright.job import Job
    from stockwright.motion.nodes import Program
    from stockwright.packet.model import Packet
    from stockwright.planning import Plan
    from stockwright.posting import Post

__all__ = ["Checked", "Made", "Request", "check", "make", "read"]


@dataclass(frozen=True)
class Request:
    """What the user asks for: a job's document, and what overrides it."""

    job: Path
    shop: Path | None = None
    boards: tuple[Path, ...] = ()
    values: Mapping[str, str] = field(default_factory=dict)
    post: str | None = None
    units: Literal["mm", "inch"] | None = None
    accept_unproven: bool = False


@dataclass(frozen=True, eq=False)
class Checked:
    """A job planned, cut and checked; nothing written yet."""

    job: Job
    post: Post
    plan: Plan
    programs: tuple[tuple[Program, ...], ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class Made:
    """A job done: the packet, and its files as bytes by path within the packet."""

    checked: Checked
    packet: Packet
    files: Mapping[str, bytes]


def check(request: Request) -> Checked:
    """Read, bind, plan, cut and check.

    Raises `InputError` with every mistake of the documents, `Refused` with every finding.
    """
    documents = read(request)
    job, post = _bind(documents, request)
    plan = _plan(job)
    programs = _cut(job, plan, post)
    findings = _check(job, plan, programs)
    return Checked(job, post, plan, programs, findings)


def make(request: Request) -> Made:
    """Do the whole job, up to the files' bytes; `packet.deliver` puts them in place.

    Raises what `check` raises, and `Refused` where the proof fails.
    """
    checked = check(request)
    written = _write(checked)
    packet = _prove(checked, written, request)
    return Made(checked, packet, _pack(checked, packet, written))


# The stages. Each imports its own libraries late: start-up is a promise too.


def read(request: Request) -> Documents:
    """Read everything that the job names. Raises `InputError` with every mistake of every document."""
    from stockwright.documents import gather

    found = gather(request.job, shop=request.shop, boards=request.boards, sets=request.values)
    if found.documents is None:
        from stockwright.bind import at_fault
        from stockwright.mistakes import InputError

        # What bind would say of the documents that are right is said now, so that everything comes at once.
        raise InputError([*found.mistakes, *at_fault(found, request.post)])
    return found.documents


def _bind(documents: Documents, request: Request) -> tuple[Job, Post]:
    from stockwright.bind import bind

    return bind(documents, post=request.post, units=request.units)


def _plan(job: Job) -> Plan:
    from stockwright.planning import plan

    return plan(job)


def _cut(job: Job, plan: Plan, post: Post) -> tuple[tuple[Program, ...], ...]:
    from stockwright.cutting import cut

    step = post.resolution(job.shop.units)
    return tuple(cut(setup, job.shop, step) for setup in plan.setups)


def _check(job: Job, plan: Plan, programs: tuple[tuple[Program, ...], ...]) -> tuple[Finding, ...]:
    from stockwright.checking import Situation, check

    findings = (*plan.findings, *check(Situation(job, plan.setups, programs)))
    return _unrefused(findings)


def _write(checked: Checked) -> dict[str, tuple[str, str, float, int]]:
    """Return for each program's stem its file name, text, seconds and number of lines."""
    from stockwright.motion.timing import seconds

    job, post = checked.job, checked.post
    programs = [p for group in checked.programs for p in group]
    _unrefused(tuple(f for p in programs for f in post.refusals(p, job.shop.units)))
    written = {}
    for program in programs:
        text = post.write(program, job.shop.units)
        machine = job.shop.machine
        time = seconds(program, machine.rapid, machine.acceleration, spin_up=post.traits.spin_up)
        written[program.stem] = (post.file_name(program.stem), text, time, text.count("\n"))
    return written


def _prove(checked: Checked, written: dict[str, tuple[str, str, float, int]], request: Request) -> Packet:
    from stockwright.packet.assemble import assemble, file_in_packet, with_proof
    from stockwright.proving import prove

    packet = assemble(
        checked.job,
        checked.plan.setups,
        checked.programs,
        written,
        checked.findings,
        checked.post.name,
        checked.post.reader,
    )
    outcome = prove(packet, {file_in_packet(name): text for name, text, *_ in written.values()})
    packet = with_proof(packet, outcome)
    verdict = outcome.proof.verdict
    if verdict == "refused" or (verdict == "unproven" and not request.accept_unproven):
        raise Refused((*_as_findings(packet), *checked.findings))
    return packet


def _as_findings(packet: Packet) -> tuple[Finding, ...]:
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


def _pack(
    checked: Checked, packet: Packet, written: dict[str, tuple[str, str, float, int]]
) -> dict[str, bytes]:
    from stockwright.motion.moves import moves
    from stockwright.packet.assemble import file_in_packet
    from stockwright.packet.extras import extras_of
    from stockwright.packet.model import dump_packet
    from stockwright.packet.sheet import sheet

    files = {file_in_packet(name): text.encode() for name, text, *_ in written.values()}
    paths = {file_in_packet(written[p.stem][0]): moves(p) for group in checked.programs for p in group}
    files["packet.json"] = dump_packet(packet).encode()
    extras = extras_of(checked.job, checked.plan.setups, checked.programs, written)
    files["sheet.html"] = sheet(packet, paths, checked.job.shop.units, extras).encode()
    return files


def _unrefused(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings, worst first; raise `Refused` where one of them refuses."""
    findings = tuple(sorted(findings, key=severity))
    if any(f.level == "refuse" for f in findings):
        raise Refused(findings)
    return findings
