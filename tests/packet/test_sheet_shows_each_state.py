"""The sheet of a face cut under clamps that move: each state drawn, and what hands do between them."""

from __future__ import annotations

import re

import pytest

from made_packets import page_of


@pytest.fixture
def sheet() -> str:
    """Return the sheet of the example."""
    return page_of("lectern-top/job")


def _drawing(sheet: str, key: str) -> str:
    found = re.search(rf'<svg class="drawing {key}".*?</svg>', sheet, re.DOTALL)
    assert found is not None, key
    return found.group(0)


def test_each_state_has_a_drawing_of_what_stands_then(sheet: str) -> None:
    """Part 1 shows first places only, part 2 second places only; nothing that does not stand is drawn."""
    for setup in (1, 2):
        first, second = (_drawing(sheet, f"plan-{setup}-{number}") for number in (1, 2))
        assert "first place arm" in first
        assert "second place" not in first
        assert "second place arm" in second
        assert "first place" not in second


def test_what_is_cut_is_shaded_and_what_was_cut_is_dotted(sheet: str) -> None:
    """Both ends are shaded in part 1; in part 2 they are dotted and the middle is shaded."""
    first, second = (_drawing(sheet, f"plan-1-{number}") for number in (1, 2))
    assert (first.count('class="cut-now"'), first.count('class="cut-before"')) == (2, 0)
    assert (second.count('class="cut-now"'), second.count('class="cut-before"')) == (1, 2)


def test_hands_go_in_only_after_the_power_is_off(sheet: str) -> None:
    """Stop, disconnect as the manual says, then one clamp after another, then the hand test, then power."""
    page = sheet[sheet.index("Between part 1 and part 2") : sheet.index("Run in the air, part 2 of 2")]
    told = [
        "Wait until the spindle stands still. Then disconnect it from its power",
        "the machine&#39;s manual says. Only now do hands go in",
        "Loosen toe-clamp 1 (1), set it in its new place (5",
        "Never two at once: the other 3 hold the board meanwhile",
        "Loosen toe-clamp 2 (2), set it in its new place (6",
        "Loosen toe-clamp 3 (3)",
        "Loosen toe-clamp 4 (4)",
        "Try the board by hand again: nothing may move",
        "then connect the power again as the manual says",
    ]
    places = [page.index(text) for text in told]
    assert places == sorted(places)


def test_the_step_between_parts_is_told(sheet: str) -> None:
    """The notes say how far the parts overlap and which step to reckon with, the end how to feel for it."""
    assert "The parts overlap by 25 mm. Where they meet, a step of up to 0.1 mm is reckoned with" in sheet
    assert "Draw a fingernail across the lines where the parts meet" in sheet


def test_a_setup_in_which_nothing_moves_says_nothing_of_it() -> None:
    """The sheet of a job whose hold-downs stay has one drawing a setup and no power to disconnect."""
    sheet = page_of("stair-tread/job")
    assert "Between part" not in sheet
    assert "disconnect it from its power" not in sheet
    assert not re.search(r"plan-\d-\d", sheet)
