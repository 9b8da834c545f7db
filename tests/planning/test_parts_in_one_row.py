"""Boards of different parts in one clamping: only where one pass makes each of them right."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, bound
from held_jobs import numbers, refusals
from stockwright.job import FaceStep, MateStep, Own, Zone
from stockwright.planning.one_pass import lowest_zones
from stockwright.planning.plan import plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.job import Job, Step


def second(job: Job, length: float | None, thickness: float | None, change: Callable[[Step], Step]) -> Job:
    """Give the job with its second board another part, of this size and with its steps changed."""
    wanted = replace(job.wanted, length=length, thickness=thickness)
    own = Own("rail", wanted, tuple(map(change, job.steps)))
    return replace(job, boards=job.boards[:2], own={job.boards[1].name: own})


@pytest.fixture(scope="module")
def slats() -> Job:
    """Bind the slats of the garden gate, whose faces and ends are cut side by side."""
    return bound(EXAMPLES / "garden-gate" / "job.yaml")[0]


def test_a_face_at_two_heights_is_refused(slats: Job) -> None:
    """Slats of 14 and of 13 mm lie in one clamping: both heights and both boards are named."""

    def thinner(step: Step) -> Step:
        return replace(step, to=13.0) if isinstance(step, FaceStep) and step.to is not None else step

    (found,) = refusals(second(slats, 620.0, 13.0, thinner))
    assert found.rule == "row-of-two-sizes"
    assert numbers(found) == pytest.approx((14.0, 13.0))
    assert "slat 1 and slat 2" in found.message.replace("slat 2 and slat 1", "slat 1 and slat 2")


def test_an_end_at_two_lengths_is_refused_until_they_are_alike(slats: Job) -> None:
    """Slats of 620 and of 600 mm would be cut by one wall; of one length they are planned."""
    (found,) = refusals(second(slats, 600.0, 14.0, lambda step: step))
    assert found.rule == "row-of-two-sizes"
    assert numbers(found) == pytest.approx((620.0, 600.0))
    assert "give" in found.remedy
    assert "the same length" in found.remedy
    assert plan(second(slats, 620.0, 14.0, lambda step: step)).setups


def test_neighbours_that_lose_different_amounts_are_refused() -> None:
    """One pass between two boards takes the same off both."""
    job, _ = bound(EXAMPLES / "shutter-panel" / "job.yaml")

    def more(step: Step) -> Step:
        return replace(step, take=step.take + 0.2) if isinstance(step, MateStep) else step

    (found,) = refusals(second(job, job.wanted.length, job.wanted.thickness, more))
    assert found.rule == "row-of-two-sizes"
    assert numbers(found) == pytest.approx((0.6, 0.4))


def test_what_holds_a_row_stays_below_the_lowest_zone() -> None:
    """Of two boards' zones the lower one counts; one without a height asks for nothing."""
    low, high, free = (Zone("sides", ("edge-1",), below, ()) for below in (9.0, 12.0, None))
    assert lowest_zones([[high], [low], [free]]) == (low,)
    assert lowest_zones([[free], [free]]) == (free,)
