"""A cutter does nothing standing still in wood: it does not wait there, nor start, nor stop."""

from __future__ import annotations

import pytest

from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import prove

A = "1-face-a.nc"
LOW = "G1 Z30.000 F500"  # beside the board, where its first level begins


def said(lines: list[str], how: str = "cut") -> list[tuple[str, int | None]]:
    """Prove the first setup alone with other lines, and give each reason's rule and line."""
    document = small_document()
    document["setups"] = document["setups"][:1]
    document["setups"][0]["programs"][0]["purpose"] = how
    document["wanted"] = {}
    proof = prove(Packet.model_validate(document), small_texts({A: lines})).proof
    return [(reason.rule, reason.line) for reason in proof.reasons]


@pytest.mark.parametrize("rest", [["G4 P2"], ["M5", "M3"], ["M5", "M0", "M3"]])
def test_a_cutter_that_rests_in_its_kerf_is_refused(rest: list[str]) -> None:
    """Waiting, or stopped and started, in the middle of a pass is refused at that line; beside it nothing."""
    lines = small_lines()[A]
    at = lines.index(LOW) + 1
    middle = ["G1 X150 F3000", *rest]
    assert said([*lines[:at], *middle, *lines[at:]]) == [("rests-in-wood", at + 2)]
    assert said([*lines[:at], *rest, *lines[at:]]) == []


def test_a_wait_with_the_spindle_off_or_above_the_wood_is_none() -> None:
    """A wait burns nothing where nothing turns, or where the tip is above the wood."""
    lines = small_lines()[A]
    at = lines.index("M3")
    assert said([*lines[:at], "G4 P2", *lines[at:]]) == []
    high = [*lines[: at + 2], "G0 X150 Y50", "G4 P2", *lines[at + 2 :]]
    assert said(high) == []


def test_a_wait_of_nothing_and_a_change_of_speed_are_no_rest() -> None:
    """Zero seconds are no wait, and a cutter may turn faster while it cuts."""
    lines = small_lines()[A]
    at = lines.index(LOW) + 1
    assert said([*lines[:at], "G1 X150 F3000", "G4 P0", "S15000", *lines[at:]]) == []


def test_a_cutter_that_crawls_in_wood_is_refused() -> None:
    """A feed at which nothing is cut is a rest too, at its line; in the air, straight up or faster not."""
    lines = small_lines()[A]
    at = lines.index(LOW) + 1
    assert said([*lines[:at], "G1 X150 F9.9", "F3000", *lines[at:]]) == [("rests-in-wood", at + 1)]
    assert said([*lines[:at], "G1 X150 F10", "F3000", *lines[at:]]) == []
    assert said([*lines[:at], "G1 X-31 F1", "F3000", *lines[at:]]) == []
    high = ["G1 X150 F3000", "G1 Z60 F1", "G1 X-32", "F3000"]
    assert said([*lines[:at], *high, LOW, *lines[at:]]) == []
