"""What holds a board from below, tape and vacuum, in shipped examples with their shops changed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
import shapely

from example_jobs import bound
from held_jobs import DRAWN, TAPED, held_by, numbers, refusals, rules, shop_with, told
from stockwright.board.species import SPECIES
from stockwright.hold_downs import Channel, SideClamp, Stop, Tape, Vacuum
from stockwright.job import FlipStep, Zone
from stockwright.planning.grips import UNSAID
from stockwright.planning.plan import plan
from stockwright.planning.underneath import OPEN_PORED

if TYPE_CHECKING:
    from stockwright.planning.plan import Plan

BELOW = Zone("below", "underneath", None, ())


@pytest.fixture(scope="module")
def taped() -> Plan:
    """Plan the drawer front: first face from its sides, second on tape."""
    return plan(bound(TAPED)[0])


@pytest.fixture(scope="module")
def drawn() -> Plan:
    """Plan the box side: first face from its sides, second on vacuum."""
    return plan(bound(DRAWN)[0])


def test_forces_not_stated_are_told_as_guesses(taped: Plan) -> None:
    """The shop says what its clamps push with and not what its stops carry: the sheet says which is which."""
    first = taped.setups[0]
    sources = {g.name.split(" ")[0]: g.source for g in first.grips}
    assert UNSAID in sources["end-stop"]
    assert UNSAID not in sources["side-clamp"]
    assert UNSAID in told(first)


def test_tape_is_under_the_board_and_the_zero_is_taken_on_it(taped: Plan) -> None:
    """Strips lie 10 mm inside the board, nothing else stands, and z is taken on a strip of the same tape."""
    setup = taped.setups[1]
    assert setup.solids == ()
    assert {g.how for g in setup.grips} == {"shear"}
    assert len(setup.grips) == 3
    under = shapely.Polygon(setup.wood_outline).buffer(-9.9)
    assert all(under.contains(shapely.Point(g.at[:2])) for g in setup.grips)
    assert sum(g.area for g in setup.grips) < under.area
    assert "strip of the same tape" in setup.zero_how


def test_tape_is_refused_on_a_rough_face() -> None:
    """Tape under a rough face is refused, with how far the face stands off and how thick the tape is."""
    job, _ = bound(TAPED)
    (found,) = [f for f in refusals(held_by(job, BELOW)) if f.rule == "tape-on-rough-face"]
    assert found.setup == 1
    stands_off, thick = numbers(found)
    assert stands_off > thick == 0.2


def test_vacuum_is_refused_on_a_rough_face() -> None:
    """A seal that follows 0.3 mm does not close on a rough face; one that follows what it measures does."""
    job, _ = bound(DRAWN)
    vacuum = next(h for h in job.shop.hold_downs if isinstance(h, Vacuum))
    rough = shop_with(held_by(job, BELOW), vacuum)
    (found,) = [f for f in refusals(rough) if f.rule == "rough-face-on-vacuum"]
    stands_off, follows = numbers(found)
    assert stands_off > follows == 0.3
    assert plan(shop_with(held_by(job, BELOW), replace(vacuum, follows=stands_off + 0.01))).setups


def test_only_areas_wholly_under_the_board_and_off_the_marks_draw(drawn: Plan) -> None:
    """Three of four areas lie whole under the board; it is laid away from the one across a mark of a cut."""
    setup = drawn.setups[1]
    assert [g.name for g in setup.grips] == [f"bed-vacuum area {n}" for n in (1, 2, 3)]
    assert {g.how for g in setup.grips} == {"draw"}
    board = shapely.Polygon(setup.wood_outline)
    job, _ = bound(DRAWN)
    mark_x, mark_y = job.shop.bed.mark
    vacuum = next(h for h in job.shop.hold_downs if isinstance(h, Vacuum))
    for grip, ((x0, x1), (y0, y1)) in zip(setup.grips, vacuum.areas[:3], strict=True):
        assert board.contains(shapely.box(x0 - mark_x, y0 - mark_y, x1 - mark_x, y1 - mark_y))
        assert grip.area == pytest.approx((x1 - x0 - 12) * (y1 - y0 - 12))
        assert grip.force == pytest.approx(grip.area * 0.06)


def test_marks_under_every_seal_leave_nothing_to_draw() -> None:
    """A channel along the bed under all the seals lets the air in: refused, though the board covers them."""
    job, _ = bound(DRAWN)
    kept = tuple(h for h in job.shop.hold_downs if not isinstance(h, Tape))
    leaky = shop_with(job, *kept, marks=(Channel((60.0, 1100.0), (222.0, 224.0), 0.3),))
    (found,) = [f for f in refusals(leaky) if f.rule == "no-vacuum-under-board"]
    assert "marks of earlier cuts" in found.message


def test_board_is_laid_over_the_areas(drawn: Plan) -> None:
    """Areas that lie elsewhere on the bed draw the board's place with them."""
    job, _ = bound(DRAWN)
    far = Vacuum("far-vacuum", (((700.0, 900.0), (400.0, 520.0)),), 6.0, None, 0.05)
    sides = tuple(h for h in job.shop.hold_downs if isinstance(h, SideClamp | Stop))
    moved = plan(shop_with(job, *sides, far, marks=())).setups[1]
    assert [g.name for g in moved.grips] == ["far-vacuum area 1"]
    assert moved.wood_outline[:, 1].min() > drawn.setups[1].wood_outline[:, 1].min() + 50


def test_vacuum_that_no_board_covers_is_refused_or_taped_instead() -> None:
    """An area wider than the board seals nowhere: refused with how much is covered, or tape, saying why."""
    job, _ = bound(DRAWN)
    sides = tuple(h for h in job.shop.hold_downs if isinstance(h, SideClamp | Stop))
    wide = Vacuum("wide-vacuum", (((200.0, 800.0), (200.0, 500.0)),), 6.0, None, 0.06)
    (found,) = [
        f for f in refusals(shop_with(job, *sides, wide, marks=())) if f.rule == "no-vacuum-under-board"
    ]
    covered, wanted = numbers(found)
    assert 0 < covered < wanted == 100
    tape = Tape("thin-tape", 2, 25.0, 0.15, 0.02)
    setup = plan(shop_with(job, *sides, wide, tape, marks=())).setups[1]
    assert {g.how for g in setup.grips} == {"shear"}
    assert "Not wide-vacuum" in told(setup)


def test_open_pored_wood_on_vacuum_is_warned_of() -> None:
    """Ash and red oak let air through: the vacuum worked out may not be reached, and a warning says so."""
    job, _ = bound(DRAWN)
    assert set(OPEN_PORED) < set(SPECIES)
    for kind in ("ash-white", "oak-northern-red"):
        open_pored = replace(job, boards=tuple(replace(b, species=kind) for b in job.boards))
        assert "wood-lets-air-through" in rules(plan(open_pored).findings)
    assert "wood-lets-air-through" not in rules(plan(job).findings)


def test_the_same_job_is_held_the_same_way_twice(drawn: Plan) -> None:
    """Nothing about the placing changes from one run to the next."""
    again = plan(bound(DRAWN)[0])
    assert [s.grips for s in again.setups] == [s.grips for s in drawn.setups]
    assert [s.notes for s in again.setups] == [s.notes for s in drawn.setups]
    assert any(isinstance(s, FlipStep) for s in bound(DRAWN)[0].steps)
