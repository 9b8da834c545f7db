"""What sliding a board along leaves in it: steps and leans that grow with the length."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, bound
from stockwright.budget.sliding import apart
from stockwright.budget.sums import Sum, budget
from stockwright.budget.work import Work, work_of
from stockwright.planning import plan
from stockwright.traces import slid_apart

if TYPE_CHECKING:
    from stockwright.job import Job

LEFT = ("slid", "one part leaning", "lying hollow")  # by sliding, as the budget names it
BENCH = EXAMPLES / "hall-bench" / "job.yaml"


@pytest.fixture(scope="module")
def job() -> Job:
    """Bind the example once."""
    return bound(BENCH)[0]


@pytest.fixture(scope="module")
def work(job: Job) -> Work:
    """Return what is cut of the example's board."""
    return work_of(job, plan(job).setups, job.boards[0])


def _sum(job: Job, work: Work, name: str, of: str = "") -> Sum:
    return next(s for s in budget(job.shop, work) if (s.name, s.of) == (name, of))


@pytest.mark.parametrize(
    ("shared", "new", "slides"), [(434.0, 381.0, 2), (100.0, 700.0, 1), (300.0, 90.0, 5)]
)
def test_the_lean_is_that_of_parts_laid_end_to_end(shared: float, new: float, slides: int) -> None:
    """Parts laid end to end, each by two readings out by as much either way, end where it is reckoned."""
    reads = 0.05
    height = slope = 0.0
    for _ in range(slides):
        # The part is read low at one end of what is shared, and high at the other.
        slope += math.tan(math.atan2(2 * reads, shared))
        height += reads + slope * new
    assert sum(slid_apart(reads, shared, new, slides)) == pytest.approx(height, rel=1e-9)


def test_what_fresh_wood_tells_is_stated_and_grows(job: Job, work: Work) -> None:
    """Face A and edge-1 hang on readings of fresh wood: their lean is budgeted, as the shop states it."""
    for name, of in (("flatness", "A"), ("straightness", "edge-1")):
        parts = {p.words: p for p in _sum(job, work, name, of).parts}
        lean = next(p for words, p in parts.items() if words.startswith("one part leaning"))
        step = next(p for words, p in parts.items() if words.startswith("the step where the board"))
        assert (lean.source, step.source) == ("stated", "stated")
        assert step.size == pytest.approx(2 * 0.05)
        assert 0.2 < lean.size < 0.3
    facing = work.facing("A")
    assert facing is not None
    assert facing.slid is not None
    short = replace(facing.slid, shared=facing.slid.shared / 4)
    one, other = (apart(job.shop, slid) for slid in (facing.slid, short))
    assert one is not None
    assert other is not None
    assert other.lean == pytest.approx(4 * one.lean)


def test_a_guess_is_called_one(job: Job, work: Work) -> None:
    """A shop that says nothing of how closely fresh wood is read is given a guess, and told so."""
    silent = replace(job.shop, slide=replace(job.shop.slide, said=frozenset()))
    total = next(s for s in budget(silent, work) if (s.name, s.of) == ("flatness", "A"))
    assert {p.source for p in total.parts if any(w in p.words for w in LEFT)} == {"guess"}


def test_the_second_face_takes_over_what_the_first_has(job: Job, work: Work) -> None:
    """Face B is cut on face A: it gets face A's lean, and lies hollow over the bend between parts."""
    flat = {p.words: p.size for p in _sum(job, work, "flatness", "B").parts}
    first = {p.words: p.size for p in _sum(job, work, "flatness", "A").parts}
    lean = "one part leaning on the next, face A"
    assert flat[lean] == first[lean]
    thick = {p.words: p.size for p in _sum(job, work, "thickness").parts}
    assert 0.1 < thick["face A lying hollow where its parts meet"] < flat[lean]


def test_the_slide_between_the_ends_is_in_the_length(job: Job, work: Work) -> None:
    """Both ends are cut at one mark with one slide of 0.3 mm between them, and no second sighting."""
    parts = {p.words: p for p in _sum(job, work, "length").parts}
    assert parts["how far the board was slid"].size == pytest.approx(0.3)
    assert "sighting the mark for x and y" not in parts


def test_a_board_in_one_place_has_none_of_it(job: Job, work: Work) -> None:
    """Taken as cut in one place, the same board loses these parts and no other."""
    plain = replace(
        work,
        facings=tuple(replace(f, slid=None) for f in work.facings),
        sidings=tuple(replace(s, slid=None, setup=min(s.setup, 9)) for s in work.sidings),
    )
    for total in budget(job.shop, plain):
        assert not [p.words for p in total.parts if any(word in p.words for word in LEFT)]
        assert total.worst <= _sum(job, work, total.name, total.of).worst + 1e-9
