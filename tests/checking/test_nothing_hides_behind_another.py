"""A rule looks at everything: what is wrong is found behind what is right."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from checking import cases_of_forces, cases_of_moves, cases_of_tools
from situations import found, numbers

if TYPE_CHECKING:
    from checking.cases_of_tools import Case
    from stockwright.checking import Situation

CASES = (*cases_of_tools.CASES, *cases_of_moves.CASES, *cases_of_forces.CASES)
BY_NAME = [pytest.param(case, id=f"{case.rule.__name__}: {case.what}") for case in CASES]


def after(first: Situation, second: Situation) -> Situation:
    """Give the work of two situations one after the other, in the shop of the second."""
    setups = tuple(replace(setup, index=setup.index + 40) for setup in first.setups)
    moved = [
        [replace(p, setup=p.setup + 40, stem=f"{p.stem}-first") for p in group] for group in first.programs
    ]
    return replace(
        second,
        setups=(*setups, *second.setups),
        programs=(*(tuple(group) for group in moved), *second.programs),
    )


@pytest.mark.parametrize("case", BY_NAME)
def test_what_is_wrong_is_found_behind_what_is_right(case: Case) -> None:
    """Behind a setup in which the same was cured, the rule still finds what it is named for."""
    bad = found(case.rule, case.bad)
    cured = case.cure(numbers(bad[0].remedy))
    both = case.rule(after(cured, case.bad))
    assert {(f.setup, f.program, f.measured, f.at) for f in bad} <= {
        (f.setup, f.program, f.measured, f.at) for f in both
    }
