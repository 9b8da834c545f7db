"""A dust shoe: its plate is hard and meets nothing, its bristles brush the work and nothing else."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from cutters import facer
from setups import face_setup, rectangle, shop, solid
from situations import found, hand, situation
from stockwright.checking.reach import attached_meets_wood
from stockwright.checking.standing import hold_down_in_the_way
from stockwright.machine import Attached

if TYPE_CHECKING:
    from stockwright.checking import Situation
    from stockwright.planning.setup import Solid

RING = ((-60.0, -60.0), (60.0, -60.0), (60.0, 60.0), (-60.0, 60.0))


def shoe(bottom: float, *, soft: bool) -> Attached:
    """Give one part of a dust shoe, from `bottom` to the nose's height."""
    return Attached("bristles" if soft else "plate", RING, bottom, 0.0, "z", soft=soft)


def brushed(part: Attached, solids: tuple[Solid, ...] = ()) -> Situation:
    """Face along the far half of the board, 30 mm deep, the nose 66 mm over the tip."""
    setup = replace(face_setup(solids=solids), clear_z=130.0)
    program = hand(
        setup,
        facer(),
        ("rapid", None, None, 130.0),
        ("rapid", 60.0, 100.0, None),
        ("feed", 60.0, 100.0, 30.0),
        ("feed", 440.0, 100.0, 30.0),
        ("rapid", None, None, 130.0),
    )
    return situation(setup, shop(attached=(part,)), (program,))


@pytest.mark.parametrize(("soft", "meets"), [(True, 0), (False, 1)])
def test_bristles_may_brush_the_work_and_a_plate_may_not(*, soft: bool, meets: int) -> None:
    """Hanging 64 mm below the nose, 2 mm over the tip, bristles brush the board; a plate there is refused."""
    assert len(found(attached_meets_wood, brushed(shoe(-64.0, soft=soft)))) == meets


@pytest.mark.parametrize("soft", [True, False])
def test_neither_may_meet_a_clamp(*, soft: bool) -> None:
    """A clamp beside the board, 48 mm high and 50 mm off the axis, stops the bristles as the plate."""
    clamp = solid("clamp", rectangle(220.0, 145.0, 280.0, 190.0), top=48.0)
    [finding] = found(hold_down_in_the_way, brushed(shoe(-64.0, soft=soft), (clamp,)))
    assert ("bristles" if soft else "plate") in finding.message
    assert found(hold_down_in_the_way, brushed(shoe(-30.0, soft=soft), (clamp,))) == ()
