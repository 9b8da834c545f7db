"""A board that is not at its place's moisture is told of, with the two numbers and a cure."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, bound
from stockwright.planning import plan

if TYPE_CHECKING:
    from stockwright.findings import Finding
    from stockwright.job import Job

SHELF = EXAMPLES / "alcove-shelf"
MOVES = {"will-move", "moves-a-little", "moves-before-the-last-cut", "movement-unknown"}


@pytest.fixture(scope="module")
def shelf() -> Job:
    """Bind the shelf that is cut to size in one visit."""
    return bound(SHELF / "in-one-visit.yaml")[0]


def _found(job: Job) -> list[Finding]:
    return [f for f in plan(job).findings if f.rule in MOVES]


def test_a_board_from_the_shed_will_move(shelf: Job) -> None:
    """White oak at 11 % in a room at 8.5 %: a warning with the greatest excess, the sizes, and two cures."""
    [finding] = _found(shelf)
    assert (finding.rule, finding.level) == ("will-move", "warn")
    # Handbook: 210 mm flatsawn, C_T 0.00365, 22 mm thick, 11 to 8.49 %; free cup w^2 C d / (8 t).
    assert finding.measured == pytest.approx(210**2 * 0.00365 * (11 - 8.4852) / (8 * 22), abs=0.01)
    assert finding.limit == 0.3
    assert "1.9 mm narrower" in finding.message
    assert "8.5 %" in finding.remedy
    assert "two-visits" in finding.remedy


def test_the_threshold_is_the_tolerance_or_half_a_millimetre(shelf: Job) -> None:
    """Where the recipe asks for nothing, half a millimetre counts; where it asks, what it asks."""
    tolerance = replace(shelf.wanted.tolerance, flatness=None, width=None, thickness=None)
    job = replace(shelf, wanted=replace(shelf.wanted, tolerance=tolerance), place=10.6)
    [finding] = _found(job)
    assert (finding.rule, finding.limit) == ("moves-a-little", 0.5)
    [finding] = _found(replace(job, place=10.0))
    assert (finding.rule, finding.limit) == ("will-move", 0.5)


def test_a_board_at_its_places_moisture_moves_a_little(shelf: Job) -> None:
    """0.2 % are a note with the figures, never a silence."""
    [finding] = _found(replace(shelf, place=10.8))
    assert (finding.rule, finding.level) == ("moves-a-little", "note")
    assert "0.2 mm narrower" in finding.message


def test_wood_that_takes_up_moisture_gets_wider(shelf: Job) -> None:
    """A place moister than the board makes it wider and thicker, and is told so."""
    [finding] = _found(replace(shelf, place=13.0))
    assert "wider" in finding.message
    assert "thicker" in finding.message
    assert finding.measured is not None
    assert finding.measured > 0


def test_an_unknown_sawing_is_told_as_a_range(shelf: Job) -> None:
    """Where the sawing is not said, the message gives a range and says why."""
    [board] = shelf.boards
    [finding] = _found(replace(shelf, boards=(replace(board, sawn="unknown"),)))
    assert "1 to 1.9 mm narrower" in finding.message
    assert "how it is sawn is not said" in finding.message


def test_inches_are_told_in_inches(shelf: Job) -> None:
    """A shop that works in inches reads the figures in inches."""
    [finding] = _found(replace(shelf, shop=replace(shelf.shop, units="inch")))
    assert "0.076 in narrower" in finding.message


def test_half_of_what_is_needed_is_a_note(shelf: Job) -> None:
    """A place without a moisture, or a moisture without a place, is told; neither of them is no matter."""
    [board] = shelf.boards
    dry = replace(board, moisture=None)
    [no_place] = _found(replace(shelf, place=None))
    [no_moisture] = _found(replace(shelf, boards=(dry,)))
    assert (no_place.rule, no_moisture.rule) == ("movement-unknown", "movement-unknown")
    assert "`place:" in no_place.remedy
    assert "`moisture`" in no_moisture.remedy
    assert _found(replace(shelf, boards=(dry,), place=None)) == []


def test_a_rest_takes_the_movement_out_before_the_last_cut() -> None:
    """With two visits the same figures are a note: the board is cut to size when it has moved."""
    job, _ = bound(SHELF / "job.yaml")
    [finding] = _found(job)
    assert (finding.rule, finding.level) == ("moves-before-the-last-cut", "note")


def test_a_board_that_gets_too_narrow_in_the_rest_is_told() -> None:
    """228 mm of board for 226 mm of shelf: the 2 mm it loses while it rests are not beside both edges."""
    job, _ = bound(SHELF / "job.yaml", values={"width": "223 mm"})
    [finding] = [f for f in plan(job).findings if f.rule == "narrower-after-the-rest"]
    assert finding.level == "warn"
    assert finding.measured is not None
    assert finding.limit is not None
    assert finding.measured > finding.limit
