"""How far the feed may be turned, and how hard to try the board, stand in the packet and on the sheet."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from sheet_reading import words
from small_jobs import written
from stockwright.packet import model
from stockwright.packet.feeds import turned
from stockwright.run import Request, make

if TYPE_CHECKING:
    from stockwright.run import Made


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Make the small job once."""
    return make(Request(written(tmp_path_factory.mktemp("small"))))


def test_every_cutting_program_says_how_far_its_feed_may_be_turned(made: Made) -> None:
    """The packet gives each program that cuts a range about 100 %, and an outline none."""
    packet = json.loads(made.files["packet.json"])
    for setup in packet["setups"]:
        for program in setup["programs"]:
            told = program["override"]
            assert (told is not None) == (program["purpose"] == "cut")
            if told is not None:
                assert 0 < told["low"] <= 1.0 <= told["high"] <= 2.0


def test_the_sheet_says_the_range_where_the_program_is_started(made: Made) -> None:
    """The words of every range stand on the sheet, as many times as programs have it."""
    text = words(made.files["sheet.html"].decode()).text
    ranges = [p.override for s in made.packet.setups for p in s.programs if p.override is not None]
    assert ranges
    for each in ranges:
        assert f"{100 * each.low:.0f} % to {100 * each.high:.0f} %" in text


def test_the_sheet_says_how_hard_to_try_each_board_by_hand(made: Made) -> None:
    """Every setup's margin and hand test stand on the sheet, and not among the notes of the first page."""
    html = made.files["sheet.html"].decode()
    told = [f for f in made.packet.findings if f.rule == "holding-margin"]
    assert {f.setup for f in told} == {1, 2, 3, 4}
    text = words(html).text
    for finding in told:
        # Setups that differ only in the margin have one line, which gives the margin of each.
        name, number, rest = re.fullmatch(r".(.* is held )([\d.]+)( times .*)", finding.message).groups()  # type: ignore[union-attr]
        [margins] = re.findall(re.escape(name) + r"([\d., ]+)" + re.escape(rest), text)
        assert number in margins.split(", ")
        assert finding.remedy[1:] in text
    assert "holding-margin" not in text


def test_a_range_that_has_crossed_is_said_to_be_none() -> None:
    """Where below is above, no range is invented: the words say that no feed is right."""
    crossed = model.FeedRange(low=1.1, high=0.9, below="rubs", above="the board may lift")
    assert "No feed is right" in turned(crossed)
    assert "to 90 %" not in turned(crossed)
