"""From a request to the packet of all its boards.

In: `run.Request`, `How`. Out: `Delivery`, or why there is none.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import field, replace
from typing import TYPE_CHECKING

from stockwright import run
from stockwright.batching.doing import Work, done
from stockwright.batching.keeping import Kept, keys
from stockwright.batching.merging import merged
from stockwright.batching.part import Lost, Part
from stockwright.batching.refusing import left_out, refusal, with_common_size
from stockwright.batching.shares import apart, clampings, shares, slides
from stockwright.batching.spreading import here, spread
from stockwright.calls import terminal, told_job
from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.planning import plan
from stockwright.progress import doing

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from stockwright.batching.shares import Runs, Share
    from stockwright.calls.told_job import Row
    from stockwright.job import Job
    from stockwright.packet.model import Packet

__all__ = ["Delivery", "How", "make"]

MOST_NOTES = 4  # of one rule on the terminal; more of them hide what else is said


@frozen
class How:
    """How a job is run; none of it changes the result except `leave_out_refused`.

    `processes`: None takes as many as there are processors; `leave_out_refused`: refused boards are left out,
    instead of the whole packet being refused; `kept`: the folder where the packet will stand; finished parts
    are kept beside it until then; `tell` is called with (boards done, of how many, which, how it went).
    """

    processes: int | None = 1
    leave_out_refused: bool = False
    kept: Path | None = None
    tell: Callable[[int, int, str, str], None] | None = None


@frozen(eq=False)
class Delivery:
    """A packet to deliver: its files as bytes by path, the findings, and why which boards are left out."""

    job: Job
    packet: Packet
    files: Mapping[str, bytes]
    findings: tuple[Finding, ...]
    pieces: tuple[str, ...]
    setups: tuple[Row, ...]
    left_out: Mapping[str, tuple[Finding, ...]] = field(default_factory=dict)
    kept: Kept | None = None

    def stands(self) -> None:
        """Remove what was kept for an interrupted run: the packet is in its place."""
        if self.kept is not None:
            self.kept.clear()

    def lines(self, out: Path) -> Iterator[str]:
        """Yield what the terminal shows once the packet is delivered."""
        few, more = _few(self.findings) if len(self.job.boards) > 1 else (self.findings, [])
        yield from told_job.decided_lines(
            self.job, self.pieces, self.setups, few, told_job.seconds_of(self.packet)
        )
        if more:
            yield from [*more, ""]
        yield from told_job.delivered_lines(self.packet, self.job, out)
        for name, why in self.left_out.items():
            yield ""
            yield f"LEFT OUT, and in no program of this packet: {name}"
            yield from terminal.finding_lines(why, told_job.writing_of_job(self.job))


def _few(findings: tuple[Finding, ...]) -> tuple[list[Finding], list[str]]:
    """Return what is told one by one, and lines on notes that are said of setup after setup."""
    often = Counter(f.rule for f in findings if f.level == "note")
    few = [f for f in findings if f.level != "note" or often[f.rule] <= MOST_NOTES]
    more = [f"note: {rule}: {n} times, on the sheet" for rule, n in often.items() if n > MOST_NOTES]
    return few, more


def make(request: run.Request, how: How | None = None) -> Delivery:
    """Do the whole job, up to the files' bytes.

    Raises `InputError` with every mistake, `Refused` with every finding of every board that is refused.
    """
    how = how or How()
    job, post = run.bound(request)
    # What asks the person has asked; and it goes to no other process.
    work = Work(job, post, replace(request, ask=None))
    try:
        return _batch(work, how) if apart(job) else _whole(work)
    except Refused as refused:
        raise Refused(with_common_size(refused.findings, job), job) from None


def _whole(work: Work) -> Delivery:
    """Do a job in one go: one board, or several that lie side by side in one clamping."""
    doing("planning")
    made = run.finish(run.cut_and_check(work.job, work.post, plan(work.job)), work.request)
    return Delivery(
        work.job,
        made.packet,
        made.files,
        made.checked.findings,
        tuple(told_job.piece_line(piece, work.job) for piece in made.checked.plan.pieces),
        told_job.setup_rows(made.checked.plan, work.job),
    )


def _batch(work: Work, how: How) -> Delivery:
    out: dict[str, tuple[Finding, ...]] = {}
    kept = None if how.kept is None else Kept(how.kept, len(work.job.boards) + 1)
    while True:
        job = work.job
        given = _shares(work, how)
        found = _done(work, given, how, kept)
        lost = {share.board: each for share, each in zip(given, found, strict=True) if isinstance(each, Lost)}
        parts = [each for each in found if isinstance(each, Part)]
        if not lost:
            break
        names = {job.boards[at].name: each.findings for at, each in lost.items() if at is not None}
        if not how.leave_out_refused or None in lost or len(names) == len(job.boards):
            raise Refused(refusal(names, lost[None].findings if None in lost else ()))
        out |= names
        # Numbers, and which boards lie the other way up, hang on the boards there are: all is done anew.
        work = replace(work, job=replace(job, boards=tuple(b for b in job.boards if b.name not in names)))
    more = tuple(left_out(name, why) for name, why in out.items())
    says = f"Left out, in no file here: {', '.join(out)}. Why stands below"
    whole = merged(job, parts, more, (says,) if out else ())
    return Delivery(job, whole.packet, whole.files, whole.findings, whole.pieces, whole.setups, out, kept)


def _shares(work: Work, how: How) -> tuple[Share, ...]:
    job = work.job
    boards = range(len(job.boards))
    runs: Sequence[Runs] = [clampings(job, board, planned=False) for board in boards]
    if slides(job):
        told = dict(spread(_planned, work, boards, _processes(how)))
        runs = [told[board] for board in boards]
    return shares(job, runs)


def _planned(work: Work, board: int) -> Runs:
    return clampings(work.job, board, planned=True)


def _processes(how: How) -> int:
    return here() if how.processes is None else how.processes


def _done(work: Work, given: tuple[Share, ...], how: How, kept: Kept | None) -> list[Part | Lost]:
    """Do every share that is not kept; return what came of each, in their order."""
    found: dict[int, Part | Lost] = {}
    named = keys(work, given) if kept is not None else [""] * len(given)

    def tell(place: int, word: str) -> None:
        board = given[place].board
        name = "the bed" if board is None else work.job.boards[board].name
        if how.tell is not None:
            how.tell(len(found), len(given), name, "refused" if isinstance(found[place], Lost) else word)

    if kept is not None:
        for place, key in enumerate(named):
            part = kept.find(key)
            if part is not None:
                found[place] = part
                tell(place, "taken up")
    left = [place for place in range(len(given)) if place not in found]
    for at, part in spread(done, work, [given[place] for place in left], _processes(how)):
        found[left[at]] = part
        if kept is not None:
            kept.keep(named[left[at]], part)
        tell(left[at], "done")
    return [found[place] for place in range(len(given))]
