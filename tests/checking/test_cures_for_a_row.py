"""The force that a finding asks of a row's hold-downs: the hold-down's own, and enough once it is given."""

from __future__ import annotations

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np

from example_jobs import EXAMPLES, bound
from stockwright.checking import travel
from stockwright.findings import Refused
from stockwright.hold_downs import SideClamp
from stockwright.planning import plan
from stockwright.run import cut_and_check

if TYPE_CHECKING:
    from stockwright.findings import Finding

RAILS = EXAMPLES / "stool-rails" / "job.yaml"


def found_with(push: float) -> list[Finding]:
    """Return what refuses three rails squeezed by clamps that push so."""
    job, post = bound(RAILS)
    kinds = tuple(replace(h, push=push) if isinstance(h, SideClamp) else h for h in job.shop.hold_downs)
    job = replace(job, boards=job.boards[:3], shop=replace(job.shop, hold_downs=kinds))
    try:
        cut_and_check(job, post, plan(job))
    except Refused as refused:
        return [finding for finding in refused.findings if finding.level == "refuse"]
    return []


def test_the_push_that_is_asked_for_is_the_clamps_own_and_cures() -> None:
    """What is handed on through a row counts in part; asked is the whole, more than now, and it is enough."""
    asked = []
    for finding in found_with(200.0):
        assert finding.rule == "tips-over"
        assert "carrying" not in finding.remedy
        [told] = re.findall(r"screw-clamp pushing with (\d+) N or more", finding.remedy)
        assert float(told) > 200.0
        asked.append(float(told))
    assert asked
    # It bears the feed as programmed; the one that makes a proper chip is a little greater.
    [finding] = found_with(max(asked))
    assert finding.rule == "no-feed-will-do"
    told = max(float(each) for each in re.findall(r"screw-clamp pushing with (\d+) N", finding.remedy))
    assert told > max(asked)
    assert found_with(told) == []


def test_a_row_too_wide_for_the_travel_is_laid_in_rows_alike() -> None:
    """Six boards of 100 mm that stand 50 mm too far are laid three by three; one board is told to nobody."""
    for boards, by, few in (
        (6, 50.0, 3),
        (6, 250.0, 3),
        (6, 350.0, 2),
        (5, 50.0, 3),
        (1, 50.0, 0),
        (6, -10.0, 0),
        (2, 250.0, 0),
    ):
        lies = [SimpleNamespace(board=f"slat {n}") for n in range(boards)]
        run: Any = SimpleNamespace(
            setup=SimpleNamespace(lies=lies, wood_outline=np.array([(0.0, 0.0), (300.0, 100.0 * boards)]))
        )
        told = f"lay {few} side by side, with `together: {few}` in the recipe; or " if few else ""
        assert travel._fewer(run, 1, by) == told
        assert travel._fewer(run, 0, by) == ""
