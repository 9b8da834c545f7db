"""The force that a finding asks of a row's hold-downs: the hold-down's own, and enough once it is given."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from example_jobs import EXAMPLES, bound
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
    assert found_with(max(asked)) == []
