"""What a plan says of how its board is held up: spans from the shop's document, spring as a finding."""

from __future__ import annotations

import shutil
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from example_jobs import STAIR_TREAD, bound
from stockwright.board.seating import seat
from stockwright.job import FaceStep
from stockwright.mistakes import InputError
from stockwright.planning.piece import find_piece
from stockwright.planning.plan import plan

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.job import Job


def job_with(folder: Path, line: str) -> Job:
    """Return the example's job with one more line in its shop's document."""
    copy = folder / "example"
    shutil.copytree(STAIR_TREAD.parent, copy)
    with (copy / "shop.yaml").open("a", encoding="utf-8") as shop:
        shop.write(f"\n{line}\n")
    return bound(copy / STAIR_TREAD.name)[0]


def test_the_shop_says_how_long_a_span_may_be(tmp_path: Path) -> None:
    """`longest-span` is 400 mm where nothing is said; at 200 mm the example's board gets more shims."""
    usual, close = bound()[0], job_with(tmp_path, "longest-span: 200 mm")
    assert (usual.shop.longest_span, close.shop.longest_span) == (400.0, 200.0)
    few, many = (plan(job).pieces[0].seating for job in (usual, close))
    assert len(many.shims) > len(few.shims)
    for seating, longest in ((few, 400.0), (many, 200.0)):
        assert max(s.length for s in seating.spans if s.kind == "span") <= longest + 0.5


def test_a_longest_span_of_no_use_is_a_mistake(tmp_path: Path) -> None:
    """A span shorter than a shim is refused with the place in the shop's document."""
    with pytest.raises(InputError) as refused:
        job_with(tmp_path, "longest-span: 5 mm")
    (mistake,) = refused.value.mistakes
    assert "shop.yaml" in str(mistake.file)
    assert "50 mm" in mistake.message


def test_the_example_is_well_supported() -> None:
    """The example's board, a stout one on ten shims, is no finding."""
    assert [f.rule for f in plan(bound()[0]).findings if "spring" in f.rule or "span" in f.rule] == []


def test_a_thin_board_springs_and_the_plan_says_so() -> None:
    """Of the example's board only 11 mm thick, on no shims, the plan warns with both numbers and places."""
    job = bound()[0]
    board = job.boards[0]
    thin = replace(board, top=board.bottom + np.full_like(board.top, 11.0))
    tolerance = replace(job.wanted.tolerance, flatness=0.1)
    steps = tuple(replace(s, seat="as-it-lies", to=None) if isinstance(s, FaceStep) else s for s in job.steps)
    wanted = replace(job.wanted, thickness=5.0, tolerance=tolerance)
    asked = replace(job, boards=(thin,), wanted=wanted, steps=steps)
    face = next(s for s in steps if isinstance(s, FaceStep))
    found = [f for f in find_piece(asked, thin, face).findings if f.level == "warn"]
    (finding,) = [f for f in found if f.rule == "springs-when-pressed"]
    assert finding.limit == 0.1
    assert finding.measured is not None
    assert finding.measured > 0.1
    assert "flatness allows 0.10 mm" in finding.message
    assert "further shims" in finding.remedy


def test_the_plan_takes_the_least_shims_that_keep_what_is_needed() -> None:
    """The example has surplus: its largest shim is that of the need, smaller than that for the most."""
    job = bound(values={"thickness": "24 mm"})[0]
    board = job.boards[0]
    planned = plan(job).pieces[0].seating
    most = seat(board, shop_shims=job.shop.shims)
    assert planned.thickness >= 24.0 + 2 * board.uncertainty
    assert sum(s.thickness for s in planned.shims) < sum(s.thickness for s in most.shims)
    assert abs(planned.rounding) < 0.1
