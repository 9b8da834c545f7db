"""A thousand mutants with fixed seeds, over every small job: all recipes, all posts, all kinds of damage."""

from __future__ import annotations

import pytest

from mutants.small_jobs import JOBS
from mutants.trial import agree, picked

COUNT = 1000
SEEDS = range(1000, 1000 + COUNT)  # none of them is in the small run

pytestmark = pytest.mark.wide


@pytest.mark.parametrize("number", range(len(JOBS)))
def test_the_thousand_are_judged_alike(number: int) -> None:
    """No harmful mutant passes, no harmless one is refused, every refusal of a harmful one names its line."""
    seeds = [seed for seed in SEEDS if picked(seed)[1] == number]
    assert len(seeds) >= 20
    for seed in seeds:
        agree(seed)
