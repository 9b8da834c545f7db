"""A fence of one long piece, which is lifted whole where an end is cut."""

from __future__ import annotations

from dataclasses import replace

import pytest

from example_jobs import EXAMPLES, bound
from stockwright.findings import Refused
from stockwright.planning import plan


def test_one_long_piece_is_refused_saying_that_short_ones_are_better() -> None:
    """Where the fence's only piece is in the cut's way none is left; the cure is several short ones."""
    job, _ = bound(EXAMPLES / "stair-tread" / "mantel-shelf.yaml")
    assert job.shop.fence is not None
    fence = replace(job.shop.fence, pieces=((200.0, 1250.0),))
    with pytest.raises(Refused) as caught:
        plan(replace(job, shop=replace(job.shop, fence=fence)))
    [found] = [f for f in caught.value.findings if f.rule == "fence-too-little"]
    assert found.measured == 0
    assert "lifted off whole" in found.message
    assert "several short pieces" in found.remedy
    plan(job)  # as the shop has it, in four pieces, it goes
