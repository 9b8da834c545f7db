"""More faults in one line, each with all that is said of it: which rules, where, how much, in which words."""

from __future__ import annotations

from pathlib import Path

import pytest

from as_read import pages_in
from proving.test_seeded_faults import EDGE, A, B, edited, reasons, said

READ = pages_in(Path(__file__).parent / "said_of_faults.txt")

# file, line (from 1), what the line becomes
FAULTS = [
    (A, 12, "G0 Z32.600"),
    (A, 16, "G1 X338.000 F20"),
    (A, 17, "G1 Y63.000 F3000"),
    (A, 17, "G3 Y53.000 X338.000 I0 J17.5 F3000"),
    (A, 18, "G1 X-10.000 F3000"),
    (A, 24, "G1 Z28.200 F500"),
    (A, 24, "G1 Z27.800 F500"),
    (A, 29, "G1 X200.000 F3000"),
    (A, 29, "G1 X338.000 Z28.400 F3000"),
    (B, 13, "G0 X-32.000 Y24.000"),
    (B, 24, "G1 Z-1.500 F500"),
    (B, 25, "G1 X338.000 Y30.000 F3000"),
    (EDGE, 13, "G0 X300.000 Y107.300"),
    (EDGE, 15, "G1 Z-1.000 F400"),
    (EDGE, 16, "G1 X-12.000 Z12.000 F2400"),
    (EDGE, 30, "G0 Z-1.000"),
    (EDGE, 31, "G1 X-12.000 Y110.000 F2400"),
    (EDGE, 35, "G1 Z-1.000 F6000"),
    (EDGE, 36, "G1 X20.000 F2400"),
    (EDGE, 36, "G2 X-12.000 Y107.000 I-166 J400 F2400"),
]


@pytest.mark.parametrize(("file", "line", "text"), FAULTS)
def test_all_that_is_said_was_read(file: str, line: int, text: str) -> None:
    """No rule more, no rule less; every number and every word as a person has read them."""
    assert said(reasons(edited(file, line, text))) == READ[f"{file}:{line} {text}"]
