"""What the check stage hands on stays as it was, and what holds arrays equals itself alone."""

from __future__ import annotations

import copy
from dataclasses import FrozenInstanceError, fields
from typing import TYPE_CHECKING

import pytest

from checking.cases_of_forces import held, press
from checking.cases_of_moves import CASES
from stockwright.checking import RULES, Limits
from stockwright.checking.chips import feed_ranges
from stockwright.checking.clearance import nearest
from stockwright.checking.parts import parts_of
from stockwright.checking.paths import paths_of
from stockwright.checking.standing import hold_down_in_the_way
from stockwright.checking.swept import Miss
from stockwright.checking.wood import Eaten, wood_of

if TYPE_CHECKING:
    from stockwright.checking import Situation


def values(of: Situation) -> tuple[list[object], list[object]]:
    """Give values that are compared by what they hold, and those that are not."""
    run = of.runs[-1]
    origin = run.setup.work_origin
    paths = paths_of(run.moves, of.machine, origin)
    parts = parts_of(run.program.tool, of.machine, origin[2])
    near = [nearest(paths, part, solid, of.machine.margin) for part in parts for solid in run.standing]
    [near_one, *_] = [each for each in near if each is not None]
    taken = Eaten(1, 2.0, 3.0, left=True)
    alike = [RULES[0], Limits(), Miss((1.0, 2.0), 3.0, 4.0), taken, *feed_ranges(of).values()]
    return alike, [of, run, paths, parts[0], near_one, of.bites[-1], of.loads[-1]]


def test_nothing_that_is_handed_on_can_be_altered() -> None:
    """Setting any field raises; equal fields make equal values, except where there are arrays."""
    bad = next(case.bad for case in CASES if case.rule is hold_down_in_the_way)
    alike, alone = values(bad)
    alone += held(press(130.0, 100.0, 500.0)).holds
    for value in (*alike, *alone):
        name = fields(value)[0].name  # type: ignore[arg-type]
        with pytest.raises(FrozenInstanceError):
            setattr(value, name, getattr(value, name))
    assert all(copy.copy(value) == value for value in alike)
    assert all(copy.copy(value) != value and value == value for value in alone)  # noqa: PLR0124
    wood = wood_of(bad.setups[0])
    assert copy.copy(wood) != wood
