"""One mutant before both judges. In: a job and a mutant. Out: `Tried`: what each says, and of which line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mutants.damage import EVERY_KIND, KINDS, Mutant, damage
from mutants.dressing import DRESSING
from mutants.one_clamping import OneClamping
from mutants.second_judge import Harm, SecondJudge, verdict
from mutants.second_text import Step
from mutants.small_jobs import JOBS, Small, small
from mutants.table import Row

if TYPE_CHECKING:
    from stockwright.packet.model import Reason

__all__ = ["Tried", "agree", "bench", "jobs_for", "mutant", "picked", "row", "trial"]

CELLS = 1.5  # mm: the proof names places by cells of 1 mm
TIP = 3.0  # mm by which a patch that tapers to nothing reaches further in cells than drawn; 2.8 was the most
EVERY_JOB = tuple(range(len(JOBS)))


@dataclass(frozen=True)
class Tried:
    """A mutant tried: the second judge's word, the proof's reasons, whether one of them names the line."""

    job: int
    mutant: Mutant
    judged: str
    harms: tuple[Harm, ...]
    reasons: tuple[Reason, ...]
    line_right: bool

    @property
    def refused(self) -> bool:
        """Say whether the proof refuses it."""
        return bool(self.reasons)

    @property
    def row(self) -> Row:
        """What a table counts of it."""
        harms = sorted({harm.kind for harm in self.harms})
        rules = sorted({reason.rule for reason in self.reasons})
        one = self.mutant
        return Row(one.seed, self.job, one.kind, self.judged, self.refused, self.line_right, harms, rules)


class Bench:
    """One small job with both judges of it, made once."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.job: Small = small(number)
        self.proof = OneClamping(self.job.packet, self.job.texts)
        self.judge = SecondJudge(self.job.packet, self.job.texts)
        self.diameter = {
            program.file: self.job.packet.tools[program.tool or ""].diameter
            for setup in self.job.packet.setups
            for program in setup.programs
        }

    def trial(self, mutant: Mutant) -> Tried:
        """Try one mutant."""
        harms = self.judge.judge({**self.job.texts, **mutant.texts}, set(mutant.texts))
        reasons = self.proof.reasons(mutant.texts)
        right = self._line_right(mutant, harms, reasons)
        return Tried(self.number, mutant, verdict(harms), tuple(harms), tuple(reasons), right)

    def _line_right(self, mutant: Mutant, harms: list[Harm], reasons: list[Reason]) -> bool:
        """Say whether a reason names an edited line, a line where the judge sees harm, or the pass beside it.

        Wood left standing is the fault of no line: there, the place named must be one that the judge finds
        standing too, and the line's moves the nearest to it, of all or of those that come as low as was
        asked, or nearer than two diameters.
        """
        edited = {(file, line) for file, lines in mutant.lines.items() for line in lines}
        seen = {(harm.file, harm.line) for harm in harms}
        named = [r for r in reasons if r.program is not None and r.line is not None]
        if any((r.program, r.line) in edited | seen for r in named):
            return True
        for spots in (harm.spots for harm in harms if harm.spots is not None):
            for r in named:
                assert r.program is not None
                if r.at is None or spots.distance(shapely.Point(r.at[:2])) > TIP:
                    continue
                for below in (np.inf, r.at[2] + (r.limit or 0.0)):  # of all passes, or of those deep enough
                    away = self._away(mutant, r.program, r.at, below)
                    nearest = min(away.values(), default=np.inf)
                    if away.get(r.line or 0, np.inf) <= max(2 * self.diameter[r.program], nearest + CELLS):
                        return True
        # With two programs exchanged, the file is all there is to tell.
        return not any(mutant.lines.values()) and any(r.program in mutant.lines for r in reasons)

    def _away(
        self, mutant: Mutant, file: str, at: tuple[float, float, float], below: float
    ) -> dict[int, float]:
        """Give by line how far a program's cutting moves go by a place; with none, any line is as near."""
        text = {**self.job.texts, **mutant.texts}[file]
        found: dict[int, float] = {}
        for step in self.judge.read(file, text).items:
            if isinstance(step, Step) and not step.rapid and step.rpm > 0:
                unknown = any(map(math.isnan, (*step.start, *step.end)))
                if unknown or min(step.start[2], step.end[2]) > below:
                    continue
                a, b, p = (np.array(v[:2]) for v in (step.start, step.end, at))
                along = b - a
                t = np.clip(float((p - a) @ along) / max(float(along @ along), 1e-30), 0, 1)
                off = float(np.hypot(*(p - a - t * along)))
                found[step.line] = min(off, found.get(step.line, np.inf))
        return found


@cache
def bench(number: int) -> Bench:
    """Give the bench of a job, made once in this process."""
    return Bench(number)


def jobs_for(kind: str, jobs: tuple[int, ...] = EVERY_JOB) -> list[int]:
    """Give the jobs that a kind can be done to."""
    if kind == "arc turned":
        return [k for k in jobs if JOBS[k].arced]
    return [k for k in jobs if kind in KINDS or kind in DRESSING[JOBS[k].reader]]


def picked(seed: int, jobs: tuple[int, ...] = EVERY_JOB) -> tuple[str, int]:
    """Give the kind and the job of a seed: both go round, so that all meet all."""
    kind = EVERY_KIND[seed % len(EVERY_KIND)]
    among = jobs_for(kind, jobs)
    return kind, among[(seed // len(EVERY_KIND)) % len(among)]


def mutant(seed: int, jobs: tuple[int, ...] = EVERY_JOB) -> tuple[int, Mutant]:
    """Give the mutant of a seed, and its job's number."""
    kind, number = picked(seed, jobs)
    texts = small(number).texts
    for again in range(50):
        found = damage(kind, texts, JOBS[number].reader, seed, again)
        if found is not None:
            return number, found
    raise AssertionError(f"nothing in job {number} for {kind!r}")


def trial(seed: int, jobs: tuple[int, ...] = EVERY_JOB) -> Tried:
    """Make and try the mutant of a seed."""
    number, found = mutant(seed, jobs)
    return bench(number).trial(found)


def row(seed: int) -> Row:
    """Try the mutant of a seed, of every job; give what a table counts."""
    return trial(seed).row


def agree(seed: int, jobs: tuple[int, ...] = EVERY_JOB) -> None:
    """Try the mutant of a seed: no harmful one passes, no harmless one is refused, and the line is named."""
    tried = trial(seed, jobs)
    told = (seed, tried.mutant.kind, tried.judged, tried.harms[:3], tried.reasons[:3])
    if tried.judged == "harmful":
        assert tried.refused, told
        assert tried.line_right, told
    elif tried.judged == "harmless":
        assert not tried.refused, told
