"""The whole program, one stage after another.

    read -> bind -> plan -> cut -> check -> write -> prove -> pack

In: what the user asks for. Out: a packet's files, or the reasons why there are none. Promise: each stage
takes the value before it and returns a new one; only `read` reads files and only `deliver` writes them; a
refusal stops everything after it.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Any, Literal

from stockwright.findings import Refused, told_of, unrefused
from stockwright.frozen import frozen
from stockwright.progress import doing

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from markupsafe import Markup

    from stockwright.checking.chips import FeedRange
    from stockwright.documents import Documents
    from stockwright.findings import Finding
    from stockwright.job import Job
    from stockwright.motion.moves import Moves
    from stockwright.motion.nodes import Program
    from stockwright.packet.extras import Extras
    from stockwright.packet.model import Packet
    from stockwright.planning import Plan
    from stockwright.posting import Post
    from stockwright.posting.files import Written
    from stockwright.proving.program import Reading
    from stockwright.proving.seen import Seen
    from stockwright.proving.wrong_zero import Fitted

__all__ = [
    "Checked",
    "Made",
    "Proven",
    "Request",
    "bound",
    "check",
    "check_documents",
    "cut_and_check",
    "finish",
    "machine_seconds",
    "make",
    "packed",
    "read",
    "write_and_prove",
]


@frozen
class Request:
    """What the user asks for: a job's document, and what overrides it.

    `ask` puts a question to the person who is there, for an input that is given nowhere; None asks nobody.
    """

    job: Path
    shop: Path | None = None
    boards: tuple[Path, ...] = ()
    values: Mapping[str, str] = field(default_factory=dict)
    post: str | None = None
    units: Literal["mm", "inch"] | None = None
    accept_unproven: bool = False
    ask: Callable[[str], str | None] | None = None


@frozen(eq=False)
class Checked:
    """A job planned, cut and checked; nothing written yet.

    `programs` are what the post can say; `said_otherwise` tells what is said in another way than meant;
    `feeds`, by stem, how far a program's feed may be turned at the machine.
    """

    job: Job
    post: Post
    plan: Plan
    programs: tuple[tuple[Program, ...], ...]
    findings: tuple[Finding, ...]
    said_otherwise: tuple[str, ...] = ()
    feeds: Mapping[str, FeedRange] = field(default_factory=dict)


@frozen(eq=False)
class Proven:
    """Programs written and proven, and what the sheet needs.

    `texts` and `moves` by file within the packet; `pictures`, by setup, of the simulated board.
    """

    packet: Packet
    texts: Mapping[str, str]
    moves: Mapping[str, Moves]
    extras: Extras
    pictures: Mapping[int, Markup]


@frozen(eq=False)
class Made:
    """A job done: the packet, and its files as bytes by path within the packet."""

    checked: Checked
    packet: Packet
    files: Mapping[str, bytes]


def check(request: Request) -> Checked:
    """Read, bind, plan, cut and check.

    Raises `InputError` with every mistake of the documents, `Refused` with every finding.
    """
    return check_documents(read(request), request.post, request.units)


def check_documents(
    documents: Documents, post_name: str | None = None, units: Literal["mm", "inch"] | None = None
) -> Checked:
    """Do what `check` does with documents that are read already; raises what it raises."""
    job, post = _bind(documents, post_name, units)
    with told_of(job):
        return cut_and_check(job, post, _plan(job))


def cut_and_check(job: Job, post: Post, plan: Plan) -> Checked:
    """Cut and check what is planned; raises `Refused` with every finding."""
    from stockwright.checking.too_large import far_too_large

    if hopeless := far_too_large(plan.setups, job.shop.machine):
        unrefused((*plan.findings, *hopeless))
    programs, otherwise = _shape(job, post, _cut(job, plan, post))
    findings, feeds = _check(job, plan, programs)
    return Checked(job, post, plan, programs, findings, otherwise, feeds)


def machine_seconds(checked: Checked) -> float:
    """Return how long all the programs run, s. Raises `Refused` where the post cannot say one of them."""
    return sum(time for _, _, time, _ in _write(checked).values())


def make(request: Request) -> Made:
    """Do the whole job, up to the files' bytes; `packet.deliver` puts them in place.

    Raises what `check` raises, and `Refused` where the proof fails.
    """
    return finish(check(request), request)


def finish(checked: Checked, request: Request) -> Made:
    """Write, prove and pack what is checked; raises `Refused` where the proof fails."""
    boards: list[Seen] = []
    with told_of(checked.job):
        written = _write(checked)
        packet = _prove(checked, written, request, boards)
    return Made(checked, packet, _pack(checked, packet, written, boards))


def bound(request: Request) -> tuple[Job, Post]:
    """Read and bind; raises `InputError` with every mistake, `Refused` with all that the shop lacks."""
    return _bind(read(request), request.post, request.units)


def write_and_prove(
    checked: Checked, request: Request, fitted: Mapping[int, Fitted | None] | None = None
) -> Proven:
    """Write the programs and prove them. `fitted` as for `wrong_zeros`, where other boards come between.

    Raises `Refused` where the post cannot say a program, or the proof fails.
    """
    written = _write(checked)
    boards: list[Seen] = []
    packet = _prove(checked, written, request, boards, fitted)
    return _gathered(checked, packet, written, boards)


def packed(
    packet: Packet,
    texts: Mapping[str, str],
    contents: dict[str, Any],
    readings: Mapping[str, Reading] | None = None,
) -> dict[str, bytes]:
    """Return a packet's files: programs, `texts` by file; facts; the sheet, of these contents; playback.

    `readings`, by file, are what the proof has read already.
    """
    from stockwright.packet.files import files_of
    from stockwright.playback import playback

    return files_of(packet, texts, contents, lambda: playback(packet, texts, readings))


# The stages. Each imports its own libraries late: start-up is a promise too.


def read(request: Request) -> Documents:
    """Read everything that the job names. Raises `InputError` with every mistake of every document."""
    from stockwright.documents import gather

    found = gather(
        request.job, shop=request.shop, boards=request.boards, sets=request.values, ask=request.ask
    )
    if found.documents is None:
        from stockwright.bind import at_fault
        from stockwright.mistakes import InputError

        # What bind would say of the documents that are right is said now, so that everything comes at once.
        raise InputError([*found.mistakes, *at_fault(found, request.post)])
    return found.documents


def _bind(documents: Documents, post: str | None, units: Literal["mm", "inch"] | None) -> tuple[Job, Post]:
    from stockwright.bind import bind

    try:
        return bind(documents, post=post, units=units)
    except Refused as refused:
        if refused.job is None:
            raise
        from stockwright.planning import before_the_fence

        # What planning finds without the fence is said now, so that everything comes at once.
        raise Refused((*refused.findings, *before_the_fence(refused.job)), refused.job) from None


def _plan(job: Job) -> Plan:
    from stockwright.planning import plan

    doing("planning")
    return plan(job)


def _cut(job: Job, plan: Plan, post: Post) -> tuple[tuple[Program, ...], ...]:
    from stockwright.cutting import cut

    doing("laying out the passes")
    step = post.resolution(job.shop.units)
    return tuple(cut(setup, job.shop, step) for setup in plan.setups)


def _shape(
    job: Job, post: Post, programs: tuple[tuple[Program, ...], ...]
) -> tuple[tuple[tuple[Program, ...], ...], tuple[str, ...]]:
    """Reshape what the post cannot say, before it is checked; return that, and what is said otherwise."""
    from stockwright.posting.shaping import shaped

    units = job.shop.units
    made = [[shaped(post, program, units) for program in group] for group in programs]
    said = dict.fromkeys(text for group in made for each in group for text in each.said)
    return tuple(tuple(p for each in group for p in each.programs) for group in made), tuple(said)


def _check(
    job: Job, plan: Plan, programs: tuple[tuple[Program, ...], ...]
) -> tuple[tuple[Finding, ...], Mapping[str, FeedRange]]:
    """Return the findings, and by stem how far each program's feed may be turned."""
    from stockwright.checking import Situation, check
    from stockwright.checking.chips import feed_ranges

    doing("checking")
    situation = Situation(job, plan.setups, programs)
    findings = (*plan.findings, *check(situation))
    return unrefused(findings), feed_ranges(situation)


def _write(checked: Checked) -> dict[str, Written]:
    """Return each program's file by the program's stem."""
    from stockwright.posting.files import written

    doing("writing the programs")
    machine, units = checked.job.shop.machine, checked.job.shop.units
    programs = [p for group in checked.programs for p in group]
    unrefused(tuple(f for p in programs for f in checked.post.refusals(p, units)))
    files, one_for_two = written(checked.post, programs, units, machine.rapid, machine.acceleration)
    unrefused(one_for_two)
    return files


def _prove(
    checked: Checked,
    written: dict[str, Written],
    request: Request,
    boards: list[Seen] | None = None,
    fitted: Mapping[int, Fitted | None] | None = None,
) -> Packet:
    """Assemble the packet and prove it; `boards` gets what the proof saw, for the pictures."""
    from stockwright.packet.assemble import Emitted, assemble, file_in_packet, with_proof
    from stockwright.packet.control import control_of
    from stockwright.packet.feeds import with_feeds
    from stockwright.packet.refused import as_findings
    from stockwright.packet.zero_words import with_wrong_zeros
    from stockwright.proving import prove

    post = checked.post
    emitted = Emitted(post.name, post.reader, written, post.traits.machine_zero, control_of(post))
    packet = assemble(checked.job, checked.plan.setups, checked.programs, checked.findings, emitted)
    packet = packet.model_copy(update={"said_otherwise": list(checked.said_otherwise)})
    feeds = {file_in_packet(written[stem][0]): feed.told for stem, feed in checked.feeds.items()}
    packet = with_feeds(packet, feeds)
    boards = [] if boards is None else boards
    texts = {file_in_packet(name): text for name, text, *_ in written.values()}
    doing("proving: reading the programs back and cutting them")
    outcome = prove(packet, texts, boards.append)
    packet = with_proof(packet, outcome)
    verdict = outcome.proof.verdict
    if verdict == "refused" or (verdict == "unproven" and not request.accept_unproven):
        raise Refused((*as_findings(packet), *checked.findings))
    return with_wrong_zeros(packet, boards, fitted)


def _gathered(
    checked: Checked,
    packet: Packet,
    written: dict[str, Written],
    boards: Iterable[Seen],
) -> Proven:
    from stockwright.motion.moves import moves
    from stockwright.packet.assemble import file_in_packet
    from stockwright.packet.extras import extras_of
    from stockwright.packet.proof_picture import proof_pictures
    from stockwright.packet.writing import writing_of

    job, programs = checked.job, checked.programs
    return Proven(
        packet,
        {file_in_packet(name): text for name, text, *_ in written.values()},
        {file_in_packet(written[p.stem][0]): moves(p) for group in programs for p in group},
        extras_of(job, checked.plan.setups, programs, written, checked.said_otherwise),
        proof_pictures(boards, packet.proof.reasons, writing_of(packet, job.shop.units)),
    )


def _pack(
    checked: Checked,
    packet: Packet,
    written: dict[str, Written],
    boards: Iterable[Seen] = (),
) -> dict[str, bytes]:
    from stockwright.packet.sheet import contents

    doing("drawing the sheet")
    made = _gathered(checked, packet, written, boards)
    told = contents(packet, made.moves, checked.job.shop.units, made.extras, made.pictures)
    readings = {run.program.file: run.reading for seen in boards for run in seen.runs}
    return packed(packet, made.texts, told, readings)
