"""Two clamps that move on a face: only where fence and stop show the board its place, and what that costs."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from example_jobs import EXAMPLES, bound
from setups import rectangle, solid
from stockwright.findings import Refused
from stockwright.job import FaceStep
from stockwright.planning import plan
from stockwright.planning.clamp_moves import SEATING
from stockwright.planning.registered import registered
from stockwright.planning.setup import FaceCut, Setup, Solid

TWO = EXAMPLES / "lectern-top" / "two-clamps.yaml"
BOARD = shapely.box(0, 0, 600, 200)


def seams(setup: Setup) -> set[float]:
    """Return the steps that the regions of a face may leave."""
    return {cut.seam for cut in setup.cuts if isinstance(cut, FaceCut)}


def stop(x0: float, y0: float, x1: float, y1: float, kind: str = "stop") -> Solid:
    """Return something firm over a rectangle."""
    return solid("firm", rectangle(x0, y0, x1, y1), kind=kind)


def test_one_clamp_holds_while_the_other_moves_and_the_sheet_says_how() -> None:
    """Two arms in each place; spindle off at the mains, the board against fence and stop, tried by hand."""
    job, _ = bound(TWO)
    for setup in plan(job).setups:
        for place in ("first", "second"):
            assert len([s for s in setup.solids if s.name.endswith(f"{place} place arm")]) == 2
        [told] = [note for note in setup.notes if note.startswith("Before a clamp is moved")]
        for words in ("off at the mains", "against fence and stop", "by hand", "heights of the seat"):
            assert words in told


def test_a_seat_that_is_made_twice_counts_twice() -> None:
    """The step between the regions is twice what a seat leaves open; with four clamps it is that once."""
    job, _ = bound(TWO)
    faced = plan(job).setups[1]
    assert seams(faced) == {0.0, 2 * SEATING}
    four, _ = bound(EXAMPLES / "lectern-top" / "job.yaml")
    assert seams(plan(four).setups[1]) == {0.0, SEATING}


def test_without_a_stop_at_an_end_two_clamps_are_refused() -> None:
    """The fence alone lets the board slide along it: refused, naming what would do."""
    job, _ = bound(TWO)
    steps = tuple(
        replace(s, hold=tuple(z for z in s.hold or () if z.where == "face")) if isinstance(s, FaceStep) else s
        for s in job.steps
    )
    with pytest.raises(Refused) as refused:
        plan(replace(job, steps=steps))
    found = refused.value.findings[0]
    assert (found.rule, found.measured, found.limit) == ("no-room-for-clamps", 2, 3)
    assert "against the fence and a stop at an end" in found.remedy


@pytest.mark.parametrize(
    ("standing", "told"),
    [
        ([stop(0, -40, 600, 0, "fence"), stop(-30, 80, 0, 120)], True),
        ([stop(0, -40, 100, 0, "fence"), stop(500, -40, 600, 0, "fence"), stop(600, 80, 630, 120)], True),
        ([stop(0, -40, 600, 0, "fence")], False),  # slides along it
        ([stop(-30, 80, 0, 120), stop(600, 80, 630, 120)], False),  # turns between them
        ([stop(0, -40, 60, 0), stop(-30, 80, 0, 120)], False),  # turns about one place
        ([stop(0, -43, 600, -3, "fence"), stop(-30, 80, 0, 120)], False),  # 3 mm off it
        ([stop(0, -40, 600, 0, "side-clamp"), stop(-30, 80, 0, 120)], False),  # gives way
    ],
)
def test_a_place_is_shown_by_an_edge_and_an_end(standing: list[Solid], told: bool) -> None:
    """Something firm along a good part of an edge, and something firm at an end."""
    assert registered(BOARD, standing) is told
