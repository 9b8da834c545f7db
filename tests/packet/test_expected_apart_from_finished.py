"""What the machine's errors let come out stands in packet and sheet, apart from the simulated cut."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from made_packets import page_of, proven
from stockwright.packet.model import Packet, dump_packet, load_packet
from stockwright.proving import prove

if TYPE_CHECKING:
    from stockwright import run


@pytest.fixture
def made() -> run.Proven:
    """Give the example's packet."""
    return proven("stair-tread/job")


def test_every_measure_has_its_sums_and_shares(made: run.Proven) -> None:
    """Twelve measures of the tread: none worse than its worst, its shares adding up to it, largest first."""
    [measures] = made.packet.expected.values()
    assert [f"{m.name} {m.of}".strip() for m in measures] == [
        "flatness A", "flatness B", "thickness", "parallelism", "squareness edge-1", "straightness edge-1",
        "squareness end-1", "squareness end-2", "squareness edge-2", "straightness edge-2", "width", "length",
    ]  # fmt: skip
    for measure in measures:
        sizes = [share.size for share in measure.shares]
        assert 0 < measure.expected <= measure.worst
        assert sum(sizes) == pytest.approx(measure.worst, abs=1e-5)
        assert sizes == sorted(sizes, reverse=True)
        assert measure.asked is not None


def test_the_proof_does_not_look_at_it(made: run.Proven) -> None:
    """A packet with no word of the machine's errors is proven just the same, with the same finished sizes."""
    bare: Packet = load_packet(dump_packet(made.packet)).model_copy(update={"expected": {}})
    outcome = prove(bare, made.texts)
    assert outcome.proof.verdict == "proven"
    assert dict(outcome.finished) == dict(made.packet.finished)


def test_the_last_page_has_both_apart() -> None:
    """The sheet tells sizes of the simulated cut from those of the machine's errors, and names a test cut."""
    last = page_of("stair-tread/job").split('id="proof"')[1]
    text = re.sub(r"<[^>]+>", " ", last)
    cut, errors = text.index("From the simulated cut"), text.index("From the machine")
    assert cut < errors
    assert "Squareness of end\N{NON-BREAKING HYPHEN}1" in text[errors:]
    assert "A test cut tells it" in text[errors:]
    assert "a guess" in text[errors:]
