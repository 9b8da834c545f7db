"""A board raised off the bed: where its risers stand, what is measured from them, and what cannot stand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from situations import numbers
from small_jobs import said_of, written
from stockwright.findings import Refused
from stockwright.job import EdgeStep, FaceStep, Zone
from stockwright.packet.steps.standing import where_they_stand
from stockwright.packet.writing import writing_of
from stockwright.planning import plan
from stockwright.planning.setup import EdgeCut
from stockwright.run import Request, bound, check, write_and_prove

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from stockwright.run import Checked

RISER = "riser: {{kind: riser, count: {count}, length: {length} mm, width: {width} mm, height: {height} mm}}"
RAISED = {"steps": "side", "under": "below: {where: raised}", "holds": "middle-clamps, below"}
HIGH = 12.0


def raised(count: int = 3, length: float = 60, width: float = 30, height: float = HIGH) -> dict[str, str]:
    """Give what makes a small board stand on risers while one side of it is cut."""
    told = RISER.format(count=count, length=f"{length:g}", width=f"{width:g}", height=f"{height:g}")
    return RAISED | {"more_hold_downs": told}


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the job once for all tests that look at it."""
    return written(tmp_path_factory.mktemp("raised"), **raised())


@pytest.fixture(scope="module")
def checked(job: Path) -> Checked:
    """Check it once."""
    return check(Request(job))


def test_zero_is_the_upper_side_of_the_risers(checked: Checked) -> None:
    """The work zero stands as high above the bed as the risers, and the sheet says on what z is taken."""
    [setup] = checked.plan.setups
    assert setup.work_origin[2] == HIGH
    assert setup.zero_z == "support"
    assert "as high as riser, 12 mm" in setup.zero_how
    risers = [s for s in setup.solids if s.kind == "riser"]
    assert [(s.bottom, s.top) for s in risers] == [(-HIGH, 0.0)] * 2
    assert [np.ptp(s.outline, axis=0).round(6).tolist() for s in risers] == [[30.0, 60.0]] * 2


def test_what_stands_beside_a_raised_board_stands_on_the_bed(checked: Checked) -> None:
    """Fence and clamps reach down to the bed, and the fence is as much lower seen from the board."""
    [setup] = checked.plan.setups
    beside = [s for s in setup.solids if s.kind != "riser" and not s.name.endswith(" arm")]
    assert beside
    assert {s.bottom for s in beside} == {-HIGH}
    assert {s.top for s in beside if s.kind == "fence"} == {20.0 - HIGH}


def test_risers_stand_under_the_board_clear_of_the_wall(checked: Checked) -> None:
    """Every riser is wholly under the board and keeps the machine's margin from the wall that is cut."""
    [setup] = checked.plan.setups
    [cut] = setup.cuts
    assert isinstance(cut, EdgeCut)
    wall = shapely.LineString(cut.line)
    board = shapely.Polygon(setup.wood_outline)
    for riser in (shapely.Polygon(s.outline) for s in setup.solids if s.kind == "riser"):
        assert board.contains(riser)
        assert riser.distance(wall) >= checked.job.shop.machine.margin


def test_clamps_press_over_risers(checked: Checked) -> None:
    """Under the tip of every clamp stands a riser, so that no clamp bends the board."""
    [setup] = checked.plan.setups
    spans = [np.ptp(s.outline, axis=0) / 2 for s in setup.solids if s.kind == "riser"]
    middles = [s.outline.mean(axis=0) for s in setup.solids if s.kind == "riser"]
    for grip in (g for g in setup.grips if g.how == "press"):
        assert any(abs(grip.at[0] - m[0]) <= half[0] for m, half in zip(middles, spans, strict=True))


def test_a_cut_past_a_raised_board_leaves_the_bed_whole_and_is_proven(job: Path, checked: Checked) -> None:
    """The tip goes below the board and stays above the bed; the packet, read back, is proven."""
    lowest = min(
        float(node.points[:, 2].min())
        for group in checked.programs
        for program in group
        if program.purpose == "cut"
        for node in program.nodes
        if hasattr(node, "points")
    )
    assert -HIGH < lowest < 0.0
    proven = write_and_prove(checked, Request(job))
    packet = proven.packet
    assert packet.proof.verdict == "proven", packet.proof.reasons
    assert packet.setups[0].work_origin[2] == HIGH
    assert [s.kind for s in packet.setups[0].solids].count("riser") == 2
    # What is told of heights is told above the bed: the block under the tip, and what stands.
    assert set(proven.extras.comes_down.values()) == {10.0}
    risers = [s for s in packet.setups[0].solids if s.kind == "riser"]
    told, rows = where_they_stand(
        packet.setups[0], risers, {s.name: s.name[-1] for s in risers}, writing_of(packet, "mm")
    )
    assert len(told) == 2
    assert all(each.endswith("30 × 60, 12 high.") for each in told)
    assert not rows


def test_the_risers_height_counts_in_the_travel(tmp_path: Path) -> None:
    """What the spindle can just lift over on the bed it cannot on risers; less of them by as much cures."""
    low = {"travel_z": "40 mm to 146 mm"}
    assert said_of(written(tmp_path, steps="side", **low)) == ()
    found = said_of(written(tmp_path, **raised(), **low))
    assert {(f.rule, f.level) for f in found} == {("leaves-the-travel", "refuse")}
    less = max(numbers(f.remedy)[1] for f in found)
    assert said_of(written(tmp_path, **raised(height=HIGH - less), **low)) == ()


@pytest.mark.parametrize(
    ("rule", "bad", "cure"),
    [
        ("too-few-risers", raised(count=1), lambda n: raised(count=int(n[0]))),
        ("no-room-for-risers", raised(length=100), lambda n: raised(length=n[0])),
        ("no-room-for-risers", raised(width=120), lambda n: raised(width=n[0])),
        ("fence-below-riser", raised(height=18), lambda n: raised(height=n[1])),
        ("no-hold-down", RAISED, lambda _: raised()),
    ],
)
def test_what_cannot_stand_is_refused_and_cured(
    rule: str, bad: dict[str, str], cure: Callable[[list[float]], dict[str, str]], tmp_path: Path
) -> None:
    """One rule refuses, and with its own number in the shop's document nobody does."""
    [finding] = said_of(written(tmp_path, **bad))
    assert (finding.rule, finding.level) == (rule, "refuse")
    assert said_of(written(tmp_path, **cure(numbers(finding.remedy)))) == ()


@pytest.mark.parametrize("under", [raised(), {"steps": "side"}])
def test_a_face_known_too_little_is_cut_past_deep_enough_or_lies_on_the_bed(
    under: dict[str, str], tmp_path: Path
) -> None:
    """A face may hang as far below risers as it is known, never below the bed: refused and cured, or proven.

    Heights and thickness both within 0.7 mm leave 0.99 to a face: the root sum of squares.
    """
    job = written(tmp_path, **under)
    board = tmp_path / "board.yaml"
    text = board.read_text(encoding="utf-8").replace("uncertainty: 0.05 mm", "uncertainty: 0.7 mm")
    board.write_text(text, encoding="utf-8")
    if len(under) > 1:
        [finding] = said_of(job)
        assert (finding.rule, finding.measured, finding.level) == ("riser-under-rough-face", 0.5, "refuse")
        assert finding.limit == pytest.approx(0.7 * 2**0.5, abs=0.01)
        [deep, *_] = numbers(finding.remedy)
        written(tmp_path, **under, below=f"{deep} mm")
        board.write_text(text, encoding="utf-8")
    request = Request(job)
    packet = write_and_prove(check(request), request).packet
    assert packet.proof.verdict == "proven", packet.proof.reasons


def test_a_rough_face_is_not_laid_on_risers(tmp_path: Path) -> None:
    """A first face is cut with the board on the bed, where shims say where it bears."""
    job, _ = bound(Request(written(tmp_path, **raised(height=8) | {"steps": "faces"})))
    zone = Zone("raised", "raised", None, ())
    first, *others = job.steps
    assert isinstance(first, FaceStep)
    steps = (replace(first, hold=(*first.hold, zone)), *others)
    with pytest.raises(Refused) as caught:
        plan(replace(job, steps=steps))
    [finding] = [f for f in caught.value.findings if f.level == "refuse"]
    assert finding.rule == "riser-under-rough-face"
    plan(job)


def test_boards_side_by_side_are_not_raised(tmp_path: Path) -> None:
    """Risers carry one board; a row of them is refused, and lies alone where the remedy is followed."""
    job, _ = bound(Request(written(tmp_path, **raised())))
    turn, edge = job.steps
    assert isinstance(edge, EdgeStep)
    two, three = (
        replace(job, boards=(job.boards[0], *(replace(job.boards[0], name=name) for name in names)))
        for names in (("second",), ("second", "third"))
    )
    for of, together in ((two, 2), (three, 2), (two, 3)):
        with pytest.raises(Refused) as caught:
            plan(replace(of, steps=(turn, replace(edge, together=together))))
        [found] = caught.value.findings
        assert (found.rule, found.measured) == ("no-room-for-risers", 2.0)
        assert found.message.startswith("2 boards lie side by side")
    assert len(plan(two).setups) == 2


def test_short_risers_let_a_board_tip(tmp_path: Path) -> None:
    """A board is tipped over the rim of its risers sooner than over its own."""
    found = said_of(written(tmp_path, **raised(length=16), press="500 N", friction="0.7"))
    assert {f.rule for f in found} == {"tips-over"}
    assert said_of(written(tmp_path, steps="side", press="500 N", friction="0.7")) == ()
