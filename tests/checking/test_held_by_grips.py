"""What counts as holding a board: also what does not stand, and not a fence alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from setups import face_setup, rectangle, shop, solid
from situations import situation
from stockwright.checking.standing import held_by_nothing, solids_overlap
from stockwright.planning.setup import Grip


def _grip(how: Literal["press", "push", "carry", "shear", "draw"]) -> Grip:
    return Grip("thing 1", "board", how, (200.0, 120.0, 0.0), 400.0, "tried", way=(0.0, 1.0), area=900.0)


@pytest.mark.parametrize("how", ["press", "push", "shear", "draw"])
def test_a_grip_holds_without_a_solid(how: Literal["press", "push", "shear", "draw"]) -> None:
    """Tape and vacuum stand nowhere, and hold: a board that they hold is not held by nothing."""
    assert held_by_nothing(situation(face_setup(), shop()))
    assert not held_by_nothing(situation(replace(face_setup(), grips=(_grip(how),)), shop()))


def test_a_fence_alone_holds_nothing() -> None:
    """What only carries a push towards it does not hold a board."""
    assert held_by_nothing(situation(replace(face_setup(), grips=(_grip("carry"),)), shop()))


def test_a_screw_goes_into_the_wood_and_a_clamp_does_not() -> None:
    """A screw in the wood is no overlap; the same prism as a clamp is one."""
    outline = rectangle(110.0, 90.0, 119.0, 99.0)
    for kind, wrong in (("screw", False), ("side-clamp", True)):
        stands = solid("thing 1", outline, top=20.0, kind=kind)
        assert bool(solids_overlap(situation(face_setup(solids=(stands,)), shop()))) is wrong
