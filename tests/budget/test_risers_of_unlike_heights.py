"""Risers that are not all of one height lean a board, and tell in what is cut meanwhile."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

import pytest

from setups import shop
from small_jobs import written
from stockwright.budget.figures import figure
from stockwright.budget.sums import Sum, budget
from stockwright.budget.work import Carried, Work, reference, work_of
from stockwright.hold_downs import Riser
from stockwright.machine import Errors, Figure, Shop
from stockwright.run import Request, check

if TYPE_CHECKING:
    from pathlib import Path

NONE = Errors(**{each.name: Figure(0.0) for each in fields(Errors)})
RISERS = Riser("riser", 4, 120.0, 30.0, 40.0)
UNLIKE = replace(shop(), hold_downs=(*shop().hold_downs, RISERS), errors=replace(NONE, risers=Figure(0.1)))


def shares(of: Shop, work: Work) -> dict[str, float]:
    """Give what the risers do to each measure, mm."""
    return {
        each.title: sum(part.size for part in each.parts if part.key == "risers")
        for each in budget(of, work)
        if any(part.key == "risers" for part in each.parts)
    }


def on_risers(count: int, *, faces: bool = True, sides: bool = True) -> Work:
    """Give the reference board, 1000 by 200 by 25, borne over 800 by 120 while it is cut."""
    work = reference(UNLIKE)
    carried = Carried(count, 800.0, 120.0)
    facings = [replace(each, risers=carried if faces and each.rests else None) for each in work.facings]
    sidings = [replace(each, risers=carried if sides else None) for each in work.sidings]
    return replace(work, facings=tuple(facings), sidings=tuple(sidings))


def test_a_board_on_the_bed_knows_nothing_of_risers() -> None:
    """What does not stand on risers is not out by them, however unlike they are."""
    assert shares(UNLIKE, on_risers(2, faces=False, sides=False)) == {}


def test_what_unlike_risers_do_is_worked_out_by_hand() -> None:
    """Risers 0.1 out either way, under 120 of 200 across: the board leans by 0.2 over 120.

    Over 200 that is 0.333 out of parallel; off the plan by half of it, and 0.1 more for what z is taken on;
    an edge 25 high leans by 0.2 x 25 / 120. Two risers bend nothing.
    """
    assert shares(UNLIKE, on_risers(2)) == pytest.approx(
        {
            "thickness": 0.1 + 0.5 * 0.2 * 200 / 120,
            "parallelism": 0.2 * 200 / 120,
            "squareness of edge-1": 0.2 * 25 / 120,
            "squareness of edge-2": 0.2 * 25 / 120,
        }
    )


def test_three_risers_bend_a_board_that_is_pressed_onto_them() -> None:
    """The middle one of three 0.1 too high, the others 0.1 too low: the face springs back by 0.2."""
    assert shares(UNLIKE, on_risers(3))["flatness of face B"] == pytest.approx(0.2)
    assert "flatness of face A" not in shares(UNLIKE, on_risers(3))


def test_only_a_shop_with_risers_guesses_at_them() -> None:
    """A shop without them has no such figure; one with them is guessed at 0.05 until it says."""
    assert figure(shop(), "risers") is None
    guessed = figure(replace(UNLIKE, errors=Errors()), "risers")
    assert guessed is not None
    assert (guessed.size, guessed.source) == (0.05, "guess")


def test_a_planned_job_says_on_what_its_board_is_borne(tmp_path: Path) -> None:
    """An edge cut on two risers 60 long is out of square by 0.05 x 2 x its thickness / 60, a guess."""
    riser = "riser: {kind: riser, count: 3, length: 60 mm, width: 30 mm, height: 12 mm}"
    changes: dict[str, Any] = {
        "steps": "side",
        "under": "below: {where: raised}",
        "holds": "middle-clamps, below",
        "more_hold_downs": riser,
    }
    checked = check(Request(written(tmp_path, **changes)))
    [board] = checked.job.boards
    work = work_of(checked.job, checked.plan.setups, board)
    [siding] = work.sidings
    assert siding.risers is not None
    assert siding.risers.count == 2
    assert siding.risers.across == pytest.approx(60.0)
    assert siding.risers.along == pytest.approx(
        max(float(s.outline[:, 0].max()) for s in checked.plan.setups[0].solids if s.kind == "riser")
        - min(float(s.outline[:, 0].min()) for s in checked.plan.setups[0].solids if s.kind == "riser")
    )
    told: dict[str, Sum] = {each.title: each for each in budget(checked.job.shop, work)}
    [share] = [p for p in told[f"squareness of {siding.side}"].parts if p.key == "risers"]
    assert share.size == pytest.approx(0.1 * work.thickness / 60)
    assert share.source == "guess"
