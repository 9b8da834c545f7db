"""One mutant before both judges. In: a job and a mutant. Out: `Tried`: what each says, and of which line."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from mutants.damage import DRESSING, KINDS, Mutant, damage
from mutants.one_clamping import OneClamping
from mutants.second_judge import Harm, SecondJudge, verdict
from mutants.second_text import Step
from mutants.small_jobs import JOBS, Small, small

if TYPE_CHECKING:
    from stockwright.packet.model import Reason

__all__ = ["Tried", "bench", "mutant", "trial"]

EVERY_KIND = (*KINDS, *DRESSING)


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

        Wood left standing is the fault of no line: there, the pass named must go by within two diameters.
        """
        edited = {(file, line) for file, lines in mutant.lines.items() for line in lines}
        seen = {(harm.file, harm.line) for harm in harms}
        named = [r for r in reasons if r.program is not None and r.line is not None]
        if any((r.program, r.line) in edited | seen for r in named):
            return True
        for harm in harms:
            if harm.at is not None:
                for r in named:
                    assert r.program is not None
                    away = self._away(mutant, r.program, r.line or 0, harm.at)
                    if away <= 2 * self.diameter[r.program]:
                        return True
        # With two programs exchanged, or nothing left to name, the file is all there is to tell.
        whole = not any(mutant.lines.values()) or not any(h.line for h in harms)
        return whole and any(r.program in mutant.lines for r in reasons)

    def _away(self, mutant: Mutant, file: str, line: int, at: tuple[float, float]) -> float:
        """Give how far the moves of a line go by a place."""
        text = {**self.job.texts, **mutant.texts}[file]
        items = self.judge._script(text).items
        steps = [s for s in items if isinstance(s, Step) and s.line == line]
        best = np.inf
        for step in steps:
            a, b, p = (np.array(v[:2]) for v in (step.start, step.end, at))
            along = b - a
            t = np.clip(float((p - a) @ along) / max(float(along @ along), 1e-30), 0, 1)
            best = min(best, float(np.hypot(*(p - a - t * along))))
        return best


@cache
def bench(number: int) -> Bench:
    """Give the bench of a job, made once in this process."""
    return Bench(number)


def mutant(seed: int, jobs: tuple[int, ...] = tuple(range(len(JOBS)))) -> tuple[int, Mutant]:
    """Give the mutant of a seed, and its job's number: kinds and jobs go round, so that all meet all."""
    kind = EVERY_KIND[seed % len(EVERY_KIND)]
    among = [k for k in jobs if JOBS[k][-1]] if kind == "arc turned" else jobs
    number = among[(seed // len(EVERY_KIND)) % len(among)]
    texts = small(number).texts
    for again in range(50):
        found = damage(kind, texts, seed, again)
        if found is not None:
            return number, found
    raise AssertionError(f"nothing in job {number} for {kind!r}")


def trial(seed: int, jobs: tuple[int, ...] = tuple(range(len(JOBS)))) -> Tried:
    """Make and try the mutant of a seed."""
    number, found = mutant(seed, jobs)
    return bench(number).trial(found)
