"""One mutant before both judges. In: a job and a mutant. Out: `Tried`: what each says, and of which line."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mutants.damage import DRESSING, KINDS, Mutant, damage
from mutants.one_clamping import OneClamping
from mutants.second_judge import Harm, SecondJudge, verdict
from mutants.second_text import Step
from mutants.small_jobs import JOBS, Small, small

if TYPE_CHECKING:
    from stockwright.packet.model import Reason

__all__ = ["Tried", "bench", "mutant", "trial"]

CELLS = 1.5  # mm: the proof names places by cells of 1 mm
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

        Wood left standing is the fault of no line: there, the place named must be one that the judge finds
        standing too, and the line's moves the nearest to it, or nearer than two diameters.
        """
        edited = {(file, line) for file, lines in mutant.lines.items() for line in lines}
        seen = {(harm.file, harm.line) for harm in harms}
        named = [r for r in reasons if r.program is not None and r.line is not None]
        if any((r.program, r.line) in edited | seen for r in named):
            return True
        for spots in (harm.spots for harm in harms if harm.spots is not None):
            for r in named:
                assert r.program is not None
                if r.at is not None and spots.distance(shapely.Point(r.at[:2])) <= CELLS:
                    away = self._away(mutant, r.program, r.at)
                    nearest = min(away.values(), default=np.inf)
                    if away.get(r.line or 0, np.inf) <= max(2 * self.diameter[r.program], nearest + CELLS):
                        return True
        # With two programs exchanged, the file is all there is to tell.
        return not any(mutant.lines.values()) and any(r.program in mutant.lines for r in reasons)

    def _away(self, mutant: Mutant, file: str, at: tuple[float, float, float]) -> dict[int, float]:
        """Give by line how far the cutting moves of a program go by a place."""
        text = {**self.job.texts, **mutant.texts}[file]
        found: dict[int, float] = {}
        for step in self.judge.read(text).items:
            if isinstance(step, Step) and not step.rapid and step.rpm > 0:
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
