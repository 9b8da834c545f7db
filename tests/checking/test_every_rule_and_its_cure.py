"""Every rule finds its bad thing, and following the remedy's own number takes the finding away."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from checking import cases_of_accuracy, cases_of_forces, cases_of_moves, cases_of_tools
from situations import found, numbers
from stockwright.checking import RULES

if TYPE_CHECKING:
    from checking.cases_of_tools import Case

CASES = (
    *cases_of_tools.CASES,
    *cases_of_moves.CASES,
    *cases_of_accuracy.CASES,
    *cases_of_forces.CASES,
)
BY_NAME = [pytest.param(case, id=f"{case.rule.__name__}: {case.what}") for case in CASES]


@pytest.mark.parametrize("case", BY_NAME)
def test_the_bad_thing_is_found(case: Case) -> None:
    """A rule finds what it is named for, once, at its level."""
    [finding] = found(case.rule, case.bad)
    assert finding.level == case.level


@pytest.mark.parametrize("case", BY_NAME)
def test_the_remedy_cures(case: Case) -> None:
    """Doing what the remedy says, with the number it says, leaves nothing for the rule to find."""
    finding = found(case.rule, case.bad)[0]
    assert found(case.rule, case.cure(numbers(finding.remedy))) == ()


def test_every_rule_is_tried() -> None:
    """No rule in the list is triggered by no case here, but for those that only tell how a board is held."""
    tried = {case.rule for case in CASES}
    assert [rule.name for rule in RULES if rule.find not in tried] == [
        "holding-margin",
        "holding-not-proven",
    ]
