"""Two hundred mutants with fixed seeds: the proof and the second judge agree on each, and the line is named.

Six of the small jobs, one for each post; a thousand over all of them are `test_mutants_by_the_thousand.py`,
the full run of ten thousand is `tests/bench/bench_mutants.py`, and its tables stand in pipeline/README.md.
"""

from __future__ import annotations

import pytest

from example_jobs import ROOT
from mutants.damage import EVERY_KIND, KINDS
from mutants.dressing import DRESSING
from mutants.small_jobs import JOBS, small
from mutants.trial import agree, bench, mutant, picked
from stockwright.posting.load import found
from stockwright.proving import prove

# one-clamping faces, both faces, edges between neighbours, ends in a row, all sides with arcs
TESTED = (3, 8, 12, 13, 17, 19)
COUNT = 200
VARIANTS = {"end-over-end", "looped"}  # of four-sides-square


@pytest.mark.parametrize("number", TESTED)
def test_mutants_are_judged_alike(number: int) -> None:
    """No harmful mutant passes, no harmless one is refused, every refusal of a harmful one names its line."""
    for seed in range(COUNT):
        if picked(seed, TESTED)[1] == number:
            agree(seed, TESTED)


@pytest.mark.parametrize("number", TESTED)
def test_a_small_job_is_harmless_to_the_second_judge_too(number: int) -> None:
    """The undamaged programs, judged whole: no harm, sure or not, and the proof calls them proven."""
    job = bench(number)
    for index, setup in enumerate(job.job.packet.setups):
        files = {program.file for program in setup.programs}
        assert job.judge.setup(index, setup, job.job.texts, files) == []
    assert prove(job.job.packet, job.job.texts).proof.verdict == "proven"


def test_proving_one_clamping_is_proving_all() -> None:
    """For eleven mutants the verdict from the damaged clamping on is that of the whole proof."""
    for seed in range(0, COUNT, 19):
        number, one = mutant(seed, TESTED)
        whole = prove(small(number).packet, {**small(number).texts, **one.texts})
        assert (whole.proof.verdict == "refused") == bool(bench(number).proof.reasons(one.texts)), seed


def test_the_same_seed_gives_the_same_mutant() -> None:
    """Mutants hang on their seed alone."""
    for seed in (3, 100, 177):
        assert mutant(seed, TESTED) == mutant(seed, TESTED)


def test_every_kind_and_post_is_met() -> None:
    """Two hundred seeds put every kind of damage to every post, and every dressing to those that have it."""
    met = {(kind, JOBS[number].post) for kind, number in (picked(seed, TESTED) for seed in range(COUNT))}
    posts = {JOBS[number].post for number in TESTED}
    kinds = {kind for kind in KINDS if kind != "arc turned"}
    assert {(kind, post) for kind in kinds for post in posts} <= met
    for job in (JOBS[number] for number in TESTED):
        assert {(kind, job.post) for kind in DRESSING[job.reader]} <= met
    assert {kind for kind, _ in met} == set(EVERY_KIND)


def test_every_recipe_and_post_has_a_small_job() -> None:
    """The small jobs hold every shipped recipe, and every shipped post in both units."""
    recipes = {path.stem for path in (ROOT / "recipes").glob("*.yaml")}
    assert {job.recipe for job in JOBS} - VARIANTS == recipes
    assert {(job.post, job.units) for job in JOBS} == {(post, u) for post in found() for u in ("mm", "inch")}
