"""What the bench of mutants has found in the proof, each as the smallest program that shows it."""

from __future__ import annotations

from small_packet import small_lines, small_packet, small_texts
from stockwright.proving import prove
from stockwright.proving.iso6983 import read

A, EDGE = "1-face-a.nc", "3-edge-1.nc"


def _rules(lines: dict[str, list[str]]) -> list[tuple[str, int | None]]:
    return [(reason.rule, reason.line) for reason in prove(small_packet(), small_texts(lines)).proof.reasons]


def test_a_slope_that_comes_below_the_wood_beside_it_is_no_entry_into_it() -> None:
    """From z 60 over the board down to its own entry 31 mm beside it: where the tip is low, it is beside."""
    lines = small_lines()
    assert lines[A][12:16] == ["G0 X-32.000 Y18.000", "G0 Z36.000", "G1 Z30.000 F500", "G1 X338.000 F3000"]
    lines[A][12:15] = ["G0 X30.000 Y18.000", "F500", "G1 X-32.000 Z30.000"]
    assert _rules(lines) == []


def test_a_slope_that_is_still_in_the_wood_is_refused() -> None:
    """The same slope, ending 6 mm sooner: the cutter is over the board when its tip is below the top."""
    lines = small_lines()
    lines[A][12:15] = ["G0 X36.000 Y18.000", "F500", "G1 X-20.000 Z30.000"]
    assert ("ramp-too-steep", 15) in _rules(lines)


def test_a_cutter_that_may_plunge_may_not_slope_steeply_into_the_bed() -> None:
    """Straight down 1 mm into the bed it may; a thousandth aside is 89.9 degrees, far beyond its ramp."""
    lines = small_lines()
    at = lines[EDGE].index("G1 Z-1.000 F400")
    lines[EDGE][at] = "G1 Y107.301 Z-1.000 F400"
    assert ("meets-the-bed", at + 1) in _rules(lines)


def test_blanks_behind_the_end_mean_nothing() -> None:
    """A line of blanks between the end and the last % of the older family says nothing."""
    text = "%\nG71\nG90\nG94\nG00 Z60.0\nM30\n  \n%\n"
    assert read(text).unread == ()
    assert read(text.replace("  \n", " G00 Z0.0\n")).unread[0].line == 7
