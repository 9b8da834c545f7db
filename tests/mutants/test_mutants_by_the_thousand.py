"""A thousand mutants with fixed seeds, over every small job: all recipes, all posts, all kinds of damage."""

from __future__ import annotations

import pytest

from mutants.small_jobs import JOBS
from mutants.trial import agree, picked

COUNT = 1000
SEEDS = range(1000, 1000 + COUNT)  # none of them is in the small run

# Of the ten thousand, those that the two judges once judged apart, or whose line was not named.
ONCE_APART = (
    *(200272, 201036, 202760, 202887, 203784, 203882, 205248),
    *(205932, 206441, 207495, 207586, 208840, 209696, 400297, 408512),
)

pytestmark = pytest.mark.wide


@pytest.mark.parametrize("number", range(len(JOBS)))
def test_the_thousand_are_judged_alike(number: int) -> None:
    """No harmful mutant passes, no harmless one is refused, every refusal of a harmful one names its line."""
    seeds = [seed for seed in SEEDS if picked(seed)[1] == number]
    assert len(seeds) >= 20
    for seed in seeds:
        agree(seed)


@pytest.mark.parametrize("seed", ONCE_APART)
def test_what_was_judged_apart_is_judged_alike(seed: int) -> None:
    """A feed of another unit, a stop or a crawl in the cut, a slope past high wood, a tip of a sliver."""
    agree(seed)
