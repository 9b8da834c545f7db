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
from stockwright.packet.sheet import sheet
from stockwright.run import Request, check, write_and_prove

if TYPE_CHECKING:
    from stockwright.run import Proven


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Proven:
    """Prove the small job once."""
    request = Request(written(tmp_path_factory.mktemp("small")))
    return write_and_prove(check(request), request)


@pytest.fixture(scope="module")
def html(made: Proven) -> str:
    """Set its sheet once."""
    return sheet(made.packet, made.moves, made.packet.units, made.extras, made.pictures)


def test_every_cutting_program_says_how_far_its_feed_may_be_turned(made: Proven) -> None:
    """The packet gives each program that cuts a range about 100 %, and an outline none."""
    packet = json.loads(model.dump_packet(made.packet))
    for setup in packet["setups"]:
        for program in setup["programs"]:
            told = program["override"]
            assert (told is not None) == (program["purpose"] == "cut")
            if told is not None:
                assert 0 < told["low"] <= 1.0 <= told["high"] <= 2.0


def test_the_sheet_says_the_range_where_the_program_is_started(made: Proven, html: str) -> None:
    """The words of every range stand on the sheet, as many times as programs have it."""
    text = words(html).text
    ranges = [p.override for s in made.packet.setups for p in s.programs if p.override is not None]
    assert ranges
    for each in ranges:
        assert f"{100 * each.low:.0f} % to {100 * each.high:.0f} %" in text


def test_the_sheet_says_how_hard_to_try_each_board_by_hand(made: Proven, html: str) -> None:
    """Every setup's margin and hand test stand on the sheet, and not among the notes of the first page."""
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


def test_a_range_of_one_feed_is_told_as_that_feed() -> None:
    """From 100 % to 100 % is no range: leave it as programmed; of another one the share is said."""
    one = model.FeedRange(low=1.0, high=1.0, below="rubs", above="it stalls")
    assert turned(one) == "Leave the feed as programmed: below, it rubs; above, it stalls."
    assert turned(one.model_copy(update={"low": 0.8, "high": 0.8})).startswith("Leave the feed at 80 %:")
