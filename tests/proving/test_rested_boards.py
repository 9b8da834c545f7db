"""A board that rested may have warped: the proof lets it, and no plan may count on where it lay before."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from made_packets import proven
from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import prove

if TYPE_CHECKING:
    from stockwright.proving import Outcome
    from stockwright.run import Proven


@pytest.fixture
def shelf() -> Proven:
    """Give the example shelf."""
    return proven("alcove-shelf/job")


def _proof(made: Proven, moved: float) -> Outcome:
    document = made.packet.model_dump(mode="json", by_alias=True)
    document["setups"][2]["lies"][0]["moved"] = moved
    return prove(Packet.model_validate(document), made.texts)


def test_what_was_planned_for_is_proven(shelf: Proven) -> None:
    """With the movement that the plan allowed for, or with none, every face is proven at its height."""
    for moved in (0.0, 1.1):
        assert _proof(shelf, moved).proof.verdict == "proven"


def test_more_than_the_allowance_leaves_spots(shelf: Proven) -> None:
    """A board that warped by 2.5 mm with 1.6 mm left on a face cannot be cleaned, and the proof says so."""
    reasons = _proof(shelf, 2.5).proof.reasons
    assert {r.rule for r in reasons} >= {"spots-left"}
    assert {r.setup for r in reasons if r.rule == "spots-left"} == {3, 4}


def test_only_a_rested_board_speaks_of_it(shelf: Proven) -> None:
    """The movement stands in the packet of a board that rested, and in no other clamping."""
    lies = [s["lies"][0] for s in shelf.packet.model_dump(mode="json", by_alias=True)["setups"]]
    assert [lie.get("moved") for lie in lies] == [None, None, 1.1, None, None, None]


def test_a_face_that_is_not_cut_again_keeps_its_doubt() -> None:
    """A board said to have moved before its last face is not known to be of its thickness any more."""
    document = small_document()
    assert prove(Packet.model_validate(document), small_texts(small_lines())).proof.verdict == "proven"
    document["setups"][-1]["lies"][0]["moved"] = 1.5
    outcome = prove(Packet.model_validate(document), small_texts(small_lines()))
    assert outcome.proof.verdict == "refused"
    [finished] = outcome.finished.values()
    assert finished.thickness is not None
    assert np.ptp(finished.thickness) >= 1.5
