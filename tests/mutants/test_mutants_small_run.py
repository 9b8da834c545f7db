"""A thousand mutants with fixed seeds: the proof and the second judge agree on each, and the line is named.

Four of the eight small jobs, so that two processes make each of them in good time; the full run of ten
thousand over all eight is `tests/bench/bench_mutants.py`, its table stands in pipeline/README.md.
"""

from __future__ import annotations

import pytest

from mutants.damage import DRESSING, KINDS
from mutants.small_jobs import JOBS, small
from mutants.trial import bench, mutant, trial
from stockwright.proving import prove

TESTED = (0, 2, 3, 4)
CHUNK = 50
COUNT = 1000


@pytest.mark.parametrize("first", range(0, COUNT, CHUNK))
def test_mutants_are_judged_alike(first: int) -> None:
    """No harmful mutant passes, no harmless one is refused, every refusal of a harmful one names its line."""
    for seed in range(first, first + CHUNK):
        tried = trial(seed, TESTED)
        told = (seed, tried.mutant.kind, tried.judged, tried.harms[:3], tried.reasons[:3])
        if tried.judged == "harmful":
            assert tried.refused, told
            assert tried.line_right, told
        elif tried.judged == "harmless":
            assert not tried.refused, told


@pytest.mark.parametrize("number", TESTED)
def test_a_small_job_is_harmless_to_the_second_judge_too(number: int) -> None:
    """The undamaged programs, judged whole: no harm, sure or not, and the proof calls them proven."""
    job = bench(number)
    for index, setup in enumerate(job.job.packet.setups):
        files = {program.file for program in setup.programs}
        assert job.judge.setup(index, setup, job.job.texts, files) == []
    assert prove(job.job.packet, job.job.texts).proof.verdict == "proven"


def test_proving_one_clamping_is_proving_all() -> None:
    """For twenty-one mutants the verdict from the damaged clamping on is that of the whole proof."""
    for seed in range(0, 2000, 97):
        number, found = mutant(seed, TESTED)
        whole = prove(small(number).packet, {**small(number).texts, **found.texts})
        assert (whole.proof.verdict == "refused") == bool(bench(number).proof.reasons(found.texts)), seed


def test_the_same_seed_gives_the_same_mutant() -> None:
    """Mutants hang on their seed alone."""
    for seed in (3, 400, 777):
        assert mutant(seed, TESTED) == mutant(seed, TESTED)


def test_every_kind_and_job_is_met() -> None:
    """A thousand seeds put every kind to every job tested; all jobs have both posts in both units."""
    kinds = len(KINDS) + len(DRESSING)
    assert len(TESTED) * kinds <= COUNT
    assert {JOBS[number][3:5] for number in range(len(JOBS))} == {
        (post, units) for post in ("rs274-ngc", "lean-serial") for units in ("mm", "inch")
    }
