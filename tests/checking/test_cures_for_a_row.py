"""The force that a finding asks of a row's hold-downs: the hold-down's own, and enough once it is given."""

from __future__ import annotations

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from example_jobs import EXAMPLES, bound
from setups import edge_setup, face_setup, rectangle, shop, solid
from stockwright.checking import travel
from stockwright.checking.too_long import shorter
from stockwright.findings import Refused
from stockwright.hold_downs import SideClamp
from stockwright.planning import plan
from stockwright.planning.setup import EdgeCut
from stockwright.run import cut_and_check

if TYPE_CHECKING:
    from stockwright.findings import Finding
    from stockwright.planning.setup import Setup

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


def row_of(widths: tuple[float, ...]) -> Setup:
    """Give a setup of boards side by side, so wide each, mm; an end of them is cut."""
    whole = edge_setup(sides=("left",))
    far = [sum(widths[: n + 1]) for n in range(len(widths))]
    lies = tuple(
        replace(whole.lies[0], board=f"slat {n}", outline=rectangle(0.0, y - wide, 300.0, y))
        for n, (wide, y) in enumerate(zip(widths, far, strict=True))
    )
    return replace(whole, lies=lies, wood_outline=rectangle(0.0, 0.0, 300.0, far[-1]))


def test_a_row_too_wide_for_the_travel_is_laid_in_rows_alike() -> None:
    """Six boards of 100 mm that stand 50 mm too far lie three by three; so many of the widest must fit."""
    alone = "lay each board alone: leave `together` out of the recipe; or "
    for widths, by, few in (
        ((100.0,) * 6, 50.0, 3),
        ((100.0,) * 6, 250.0, 3),
        ((100.0,) * 6, 350.0, 2),
        ((100.0,) * 5, 50.0, 3),
        ((40.0, 40.0, 160.0, 160.0), 200.0, 1),  # two of 100 mm would, these two do not
        ((40.0, 160.0), 40.0, 1),
        ((100.0,), 50.0, 0),
        ((100.0,) * 6, -10.0, 0),
        ((100.0, 100.0), 150.0, 0),
    ):
        run: Any = SimpleNamespace(setup=row_of(widths))
        told = f"lay {few} side by side, with `together: {few}` in the recipe; or " if few > 1 else ""
        assert travel._fewer(run, 1, by) == (alone if few == 1 else told)
        assert travel._fewer(run, 0, by) == ""


def test_a_pair_cut_to_mate_is_no_row() -> None:
    """Laid one by one the two would not mate: nothing is said of `together`, which their recipe has not."""
    row = row_of((100.0, 100.0))
    [cut] = row.cuts
    assert isinstance(cut, EdgeCut)
    pair: Any = SimpleNamespace(setup=replace(row, cuts=(replace(cut, between="leads"),)))
    assert travel._fewer(pair, 1, 50.0) == ""


def test_a_board_that_slides_or_a_row_is_not_told_to_slide() -> None:
    """Of what is longer than the machine only a lone board that lies still may be slid; all may be sawn."""
    machine = replace(shop().machine, x=(0.0, 250.0))
    sawn = ": saw the board shorter first and measure it anew"
    lone = row_of((100.0,))
    clamp = solid("toe 1 arm", rectangle(0.0, 0.0, 30.0, 30.0), kind="top-clamp")
    faced = replace(face_setup(), solids=(clamp,))
    short = replace(faced, wood_outline=rectangle(0.0, 0.0, 250.0, 90.0))
    for setup, axis, among, slides, told in (
        (lone, 0, (), False, f"{sawn}, or say `slide: yes` in the recipe"),
        (lone, 0, (short,), False, f"{sawn}, or say `slide: yes` in the recipe"),
        (lone, 0, (faced,), False, sawn),  # clamps that move on the face that is cut do not slide with it
        (faced, 0, (), False, sawn),
        (replace(lone, solids=(replace(clamp, kind="riser"),)), 0, (), False, sawn),
        (lone, 0, (), True, sawn),
        (row_of((100.0, 90.0)), 0, (), False, sawn),
        (lone, 1, (), False, ""),
    ):
        assert shorter(setup, axis, among, machine, slides=slides) == told
