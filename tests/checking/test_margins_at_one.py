"""Held just enough is held: what the rules about holding say of margins that are given by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from checking.cases_of_forces import AROUND, held, press
from stockwright.checking import holding
from stockwright.planning.setup import GUESSED

if TYPE_CHECKING:
    from stockwright.checking import Situation
    from stockwright.checking.holds import Hold

FIRM = (press(130, 100, 4000), press(370, 160, 4000, 2), *AROUND)
OWN = held(*FIRM)
RULES = (holding.holding_too_weak, holding.lifts_off, holding.tips_over, holding.holding_margin)


def margins(hold: Hold, plane: float, lift: float, tip: float) -> Hold:
    """Give a hold whose last move has these margins, and all others twice as much."""
    more = np.where(np.arange(len(hold.plane)) == len(hold.plane) - 1, 1.0, 2.0)
    return replace(hold, plane=plane * more, lift=lift * more, tip=tip * more)


def with_holds(*holds: Hold) -> Situation:
    """Give the situation with these holds in place of what would be worked out."""
    own = replace(OWN)
    vars(own)["holds"] = holds
    return own


@pytest.mark.parametrize(
    ("plane", "lift", "tip", "told"),
    [
        (1.0, 1.0, 1.0, "margin"),
        (0.99, 1.0, 1.0, "weak"),
        (1.0, 0.99, 1.0, "lifts"),
        (1.0, 1.0, 0.99, "tips"),
        (1.0, 0.99, 0.99, "lifts"),
        (0.99, 1.0, 0.99, "weak tips"),
        (1.5, 1.25, 1.0, "margin"),
    ],
)
def test_just_enough_is_enough(plane: float, lift: float, tip: float, told: str) -> None:
    """At 1 nothing is too weak; below it one rule each, but what lifts off as a whole is not said to tip."""
    own = with_holds(margins(OWN.holds[0], plane, lift, tip))
    words = ("weak", "lifts", "tips", "margin")
    assert [word for word, rule in zip(words, RULES, strict=True) if rule(own)] == told.split()


def test_the_margin_says_which_way_and_which_move_decides() -> None:
    """The least of the three, without the design factor, at its move; the first of two that are alike."""
    for plane, lift, tip, how in (
        (1.25, 1.5, 2.0, "sideways"),
        (1.5, 1.25, 2.0, "upwards"),
        (1.5, 1.5, 1.25, "tipping"),
    ):
        hold = margins(OWN.holds[0], plane, lift, tip)
        [note] = holding.holding_margin(with_holds(hold))
        assert (
            f"held 2.5 times as hard as long-end-mill may push it, {how}, where 2 times is asked"
            in note.message
        )
        assert (note.measured, note.limit, note.at) == (2.5, 2.0, hold.load.at(len(hold.plane) - 1))
        assert "guessed" not in note.message
    guess = replace(hold, grips=(replace(FIRM[0], source=f"{GUESSED}, by nobody"), *FIRM[1:]))
    [note] = holding.holding_margin(with_holds(guess))
    assert "(a force of these is guessed)" in note.message


def test_of_each_board_the_program_that_holds_it_worst_is_told() -> None:
    """By setup and board one finding of each rule, the worst's; of two alike the earlier."""
    hold = OWN.holds[0]
    first, second = (margins(hold, share, 3.0, 3.0) for share in (0.8, 0.6))
    for order in ((first, second), (second, first)):
        [finding] = holding.holding_too_weak(with_holds(*order))
        assert finding.measured == pytest.approx(0.6 * hold.asked[-1], abs=1e-4)
        assert finding.limit == pytest.approx(hold.asked[-1], abs=1e-4)
    other = replace(second, board="other")
    assert len(holding.holding_too_weak(with_holds(first, other))) == 2
    near, far = margins(hold, 1.5, 3.0, 3.0), margins(hold, 2.5, 3.0, 3.0)
    for order in ((near, far), (far, near)):
        [note] = holding.holding_margin(with_holds(*order))
        assert note.measured == 3.0
