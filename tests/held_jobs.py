"""Shipped examples' jobs held by other things. In: bound jobs. Out: jobs changed, what is found of them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from stockwright.findings import Finding, Refused
from stockwright.hold_downs import Stop
from stockwright.job import EdgeStep, FaceStep, Zone
from stockwright.planning.plan import plan

if TYPE_CHECKING:
    from stockwright.hold_downs import HoldDown
    from stockwright.job import Job
    from stockwright.planning.setup import Setup

__all__ = [
    "CLAMPED",
    "DRAWN",
    "LOW_STOP",
    "TAPED",
    "held_by",
    "numbers",
    "refusals",
    "rules",
    "shop_with",
    "told",
]

TAPED, CLAMPED, DRAWN = (EXAMPLES / name / "job.yaml" for name in ("drawer-front", "bench-apron", "box-side"))
LOW_STOP = Stop("low-stop", 4, 40.0, 30.0, 12.0, 600.0)


def shop_with(job: Job, *hold_downs: HoldDown, **bed: object) -> Job:
    """Give the job in a shop with these hold-downs instead, and its bed changed."""
    shop = replace(job.shop, bed=replace(job.shop.bed, **bed))  # type: ignore[arg-type]
    return replace(job, shop=replace(shop, hold_downs=hold_downs) if hold_downs else shop)


def held_by(job: Job, *zones: Zone) -> Job:
    """Give the job with these zones at every step that holds anything."""
    steps = tuple(
        replace(s, hold=zones) if isinstance(s, FaceStep | EdgeStep) and s.hold else s for s in job.steps
    )
    return replace(job, steps=steps)


def refusals(job: Job) -> list[Finding]:
    """Give every finding of a job that cannot be planned."""
    with pytest.raises(Refused) as caught:
        plan(job)
    return list(caught.value.findings)


def rules(found: list[Finding] | tuple[Finding, ...]) -> set[str]:
    """Give the findings' rules."""
    return {f.rule for f in found}


def numbers(found: Finding) -> tuple[float, float]:
    """Give the two numbers that a finding compares."""
    assert found.measured is not None
    assert found.limit is not None
    return found.measured, found.limit


def told(setup: Setup) -> str:
    """Give all of a setup's notes as one text."""
    return "\n".join(setup.notes)
