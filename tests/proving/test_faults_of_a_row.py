"""Several boards in one clamping, seen by the proof: it finds what is wrong with one of them."""

from __future__ import annotations

import copy
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

from made_packets import proven
from stockwright.packet.model import Packet
from stockwright.proving import prove

if TYPE_CHECKING:
    from collections.abc import Mapping


@cache
def made(name: str) -> tuple[dict[str, Any], Mapping[str, str]]:
    """Return a packet's document and its programs' texts."""
    done = proven(f"{name}/job")
    return done.packet.model_dump(mode="json", by_alias=True), done.texts


def reasons(document: dict[str, Any], texts: Mapping[str, str]) -> set[tuple[str, int | None]]:
    """Return rule and setup of every reason against a packet."""
    found = prove(Packet.model_validate(document), texts).proof.reasons
    return {(reason.rule, reason.setup) for reason in found}


def shifted(document: dict[str, Any], setup: int, lie: int, axis: int, by: float) -> dict[str, Any]:
    """Return the document with one board of a setup lying elsewhere along an axis."""
    changed = copy.deepcopy(document)
    changed["setups"][setup]["lies"][lie]["matrix"][axis][3] += by
    return changed


@pytest.mark.wide
@pytest.mark.parametrize("name", ["garden-gate", "stool-rails", "shutter-panel"])
def test_as_made_every_board_is_proven(name: str) -> None:
    """Untouched, the packet has no reason against it and every board is measured."""
    document, texts = made(name)
    assert reasons(document, texts) == set()
    outcome = prove(Packet.model_validate(document), texts)
    assert sorted(outcome.finished) == sorted(document["boards"])


def test_a_board_that_the_pass_leaves_out_is_found() -> None:
    """A rail laid beyond the row, where no pass comes, keeps its end: wood is left beside its wall."""
    document, texts = made("stool-rails")
    left_out = shifted(document, 0, 3, 1, 40.0)
    for goal in left_out["setups"][0]["goals"]:
        if goal["board"] == "rail 4":
            goal["path"] = [[x, y + 40.0] for x, y in goal["path"]]
    assert ("wall-left", 1) in reasons(left_out, texts)


def test_a_board_short_of_the_stop_is_found() -> None:
    """A rail 2 mm short of the stop comes out 2 mm short: its size is wrong, the others' are not."""
    document, texts = made("stool-rails")
    short = shifted(document, 1, 1, 0, -2.0)
    found = prove(Packet.model_validate(short), texts).proof.reasons
    wrong = [reason for reason in found if reason.rule == "wrong-size"]
    assert wrong
    assert all(reason.message.startswith("rail 2:") for reason in wrong)


def test_boards_exchanged_are_found() -> None:
    """Two slats exchanged for the second faces, each on the other's place, are told by their heights."""
    document, texts = made("garden-gate")
    exchanged = copy.deepcopy(document)
    lies = exchanged["setups"][1]["lies"]
    lies[0]["matrix"], lies[2]["matrix"] = lies[2]["matrix"], lies[0]["matrix"]
    assert reasons(exchanged, texts)


def test_a_gap_too_wide_leaves_an_edge_uncut() -> None:
    """With the gap 0.6 mm wider, more than the take, the farther board's edge is not reached."""
    document, texts = made("shutter-panel")
    wide = shifted(document, 0, 1, 1, 0.6)
    found = reasons(wide, texts)
    assert ("wall-not-reached", 1) in found


def test_a_gap_too_narrow_cuts_into_an_edge() -> None:
    """With the gap 0.6 mm narrower more is taken than was meant, and the wall has been cut into."""
    document, texts = made("shutter-panel")
    narrow = shifted(document, 0, 1, 1, -0.6)
    for goal in narrow["setups"][0]["goals"]:
        if goal["board"] == "board 2":
            goal["path"] = [[x, y - 0.6] for x, y in goal["path"]]
    assert ("wall-cut-into", 1) in reasons(narrow, texts)
