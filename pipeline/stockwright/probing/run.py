"""The stages of measuring, in order: read, bind, plan, write, prove, pack.

In: what the user asks for. Out: a packet's files, or the reasons why there are none. Promise: as for a cut:
what is not proven is not delivered, and the same inputs give the same bytes.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.findings import Finding, Refused, told_of, unrefused
from stockwright.frozen import frozen
from stockwright.job import Tolerance, Wanted
from stockwright.motion.nodes import Pause, Probe
from stockwright.packet.assemble import Emitted, assemble, file_in_packet, with_proof
from stockwright.packet.control import control_of
from stockwright.packet.files import with_facts
from stockwright.packet.refused import as_findings
from stockwright.posting.files import written
from stockwright.probing.card import card
from stockwright.probing.program import program
from stockwright.probing.table import table
from stockwright.probing.touches import Measuring, measuring
from stockwright.proving import prove

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents import Documents
    from stockwright.job import Job
    from stockwright.motion.nodes import Program
    from stockwright.packet.model import Packet
    from stockwright.posting import Post
    from stockwright.posting.files import Written
    from stockwright.probing.lying import By
    from stockwright.run import Request
    from stockwright.tooling import Tool

__all__ = ["Asked", "Measured", "probe"]


@frozen
class Asked:
    """How the board is to be read: by probe or by hand (None: as the shop can), and how densely.

    `wait` stops after every touch. None for `along` and `across` is the usual number of places.
    """

    by: By | None = None
    along: int | None = None
    across: int | None = None
    wait: bool = False


@frozen(eq=False)
class Measured:
    """A finished measuring: the packet, how each board is read, and the files as bytes by path."""

    job: Job
    packet: Packet
    boards: tuple[Measuring, ...]
    findings: tuple[Finding, ...]
    files: Mapping[str, bytes]


def probe(request: Request, asked: Asked) -> Measured:
    """Plan, write and prove the measuring of a job's boards, up to the files' bytes.

    Raises `InputError` with every mistake of the documents, `Refused` with every finding.
    """
    from stockwright.bind import bind
    from stockwright.run import read

    documents = read(request)
    job, post = bind(documents, post=request.post, units=request.units)
    with told_of(job):
        return _measured(request, asked, documents, job, post)


def _measured(request: Request, asked: Asked, documents: Documents, job: Job, post: Post) -> Measured:
    by, tool, found = _way(job, post, documents, asked)
    size = post.resolution(job.shop.units)
    boards = tuple(
        measuring(job, board, by, tool, index, size, (asked.along, asked.across))
        for index, board in enumerate(job.boards, 1)
    )
    findings = unrefused((*found, *(f for m in boards for f in m.findings)))
    pauses = Pause in post.written()
    runs = by == "probe" or pauses
    programs = tuple(
        (program(m, job.shop, size, pauses=pauses, wait=asked.wait),) if runs else () for m in boards
    )
    written_files = _written(job, post, programs)
    emitted = Emitted(post.name, post.reader, written_files, post.traits.machine_zero, control_of(post))
    packet = _proven(job, boards, programs, findings, emitted, request)
    names = [f"readings-{m.setup.index}.csv" if len(boards) > 1 else "readings.csv" for m in boards]
    pages = [
        (m, file_in_packet(written_files[group[0].stem].name) if group else None, name)
        for m, group, name in zip(boards, programs, names, strict=True)
    ]
    files = {file_in_packet(name): text.encode() for name, text, *_ in written_files.values()}
    text = card(packet, pages, job.shop.units, job=job.name, wait=asked.wait and pauses, lift=pauses)
    files = with_facts(packet, files, {"card.html": text.encode()})
    for m, name in zip(boards, names, strict=True):
        files[name] = table(m.touches, job.shop.units).encode()
    return Measured(job, packet, boards, findings, files)


def _way(job: Job, post: Post, documents: Documents, asked: Asked) -> tuple[By, Tool, list[Finding]]:
    """Choose how the boards are read and with what; raise `Refused` where it was asked for and cannot be."""
    shop = job.shop
    if not job.boards:
        raise Refused((_lacks("nothing-to-measure", "the recipe cuts no board", "take another recipe"),))
    why: list[Finding] = []
    if shop.probe is None and documents.shop.model.probe is not None:
        shank = documents.shop.model.probe.shank
        remedy = "add that collet to the shop's document, or read the board with --by hand"
        why.append(_lacks("no-probe", f"no collet holds the probe's {shank:g} mm shank", remedy))
    elif shop.probe is None:
        remedy = "add `probe` to the shop's document, or read the board with --by hand"
        why.append(_lacks("no-probe", "the shop's document names no touch probe", remedy))
    refusal = post.refused().get(Probe)
    if refusal is not None:
        why.append(_lacks("post-cannot-say", f"{post.name}: {refusal.why}", refusal.remedy))
    if asked.by == "probe" and why:
        raise Refused(tuple(why))
    if shop.probe is not None and not why and asked.by != "hand":
        return "probe", shop.probe.tool, []
    # A narrow tip reads a place, a wide one the highest spot under it.
    tool = min(shop.tools, key=lambda t: (t.diameter, t.name))
    return "hand", tool, [replace(f, level="note") for f in why] if asked.by is None else []


def _lacks(rule: str, message: str, remedy: str) -> Finding:
    return Finding(rule=rule, level="refuse", message=message, remedy=remedy, measured=0.0, limit=1.0)


def _written(job: Job, post: Post, programs: tuple[tuple[Program, ...], ...]) -> dict[str, Written]:
    """Return the files by the programs' stems."""
    units, machine = job.shop.units, job.shop.machine
    every = [p for group in programs for p in group]
    unrefused(tuple(f for p in every for f in post.refusals(p, units)))
    files, one_for_two = written(post, every, units, machine.rapid, machine.acceleration)
    unrefused(one_for_two)
    return files


def _proven(
    job: Job,
    boards: tuple[Measuring, ...],
    programs: tuple[tuple[Program, ...], ...],
    findings: tuple[Finding, ...],
    emitted: Emitted,
    request: Request,
) -> Packet:
    """Return the packet with its proof. It wants no size: nothing is cut."""
    nothing = Wanted(None, None, None, Tolerance())
    measured = replace(job, boards=tuple(m.board for m in boards), wanted=nothing, own={})
    setups = tuple(m.setup for m in boards)
    packet = assemble(measured, setups, programs, findings, emitted)
    given = job.shop.probe.over_travel if job.shop.probe else None
    tools = {
        name: tool.model_copy(update={"over_travel": given}) if tool.kind == "touch-probe" else tool
        for name, tool in packet.tools.items()
    }
    packet = packet.model_copy(update={"tools": tools})
    outcome = prove(packet, {file_in_packet(name): text for name, text, *_ in emitted.files.values()})
    packet = with_proof(packet, outcome)
    verdict = outcome.proof.verdict
    if verdict == "refused" or (verdict == "unproven" and not request.accept_unproven):
        raise Refused((*as_findings(packet), *findings))
    return packet
