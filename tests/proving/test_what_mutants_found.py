"""What the bench of mutants has found in the proof, each as the smallest program that shows it."""

from __future__ import annotations

import pytest

from small_packet import small_document, small_lines, small_packet, small_texts
from stockwright.packet.model import Packet
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


@pytest.mark.parametrize(("y", "clean"), [("107.300", True), ("107.310", True), ("107.400", False)])
def test_a_slope_into_bed_that_has_been_cut_is_no_entry(y: str, *, clean: bool) -> None:
    """Down at 11 degrees, where 3 are the most: in the kerf of the pass before there is nothing to cut."""
    lines = small_lines()
    at = len(lines[EDGE]) - 1 - lines[EDGE][::-1].index("G1 Z-1.000 F400")
    slope = [f"G0 X320.000 Y{y}", "G0 Z1.000", "F400", "G1 X310.000 Z-1.000", "G1 X320.000", "G1 Y107.000"]
    lines[EDGE][at - 2 : at + 1] = slope
    assert _rules(lines) == ([] if clean else [("meets-the-bed", at + 2)])


@pytest.mark.parametrize(("rapids", "clean"), [("straight", True), ("independent", False)])
def test_a_rapid_that_leaves_a_kerf_aslant_may_go_aside_first(rapids: str, *, clean: bool) -> None:
    """Up 61 mm and 0.3 aside: straight it is out of the bed in no time; each axis by itself, perhaps not."""
    document, lines = small_document(), small_lines()
    document["machine"]["rapids"] = rapids
    at = len(lines[EDGE]) - 1 - lines[EDGE][::-1].index("G0 Z60.000")
    lines[EDGE][at] = "G0 X-12.000 Y107.800 Z60.000"
    proof = prove(Packet.model_validate(document), small_texts(lines)).proof
    assert [(r.rule, r.line) for r in proof.reasons] == ([] if clean else [("meets-the-bed", at + 1)])


@pytest.mark.parametrize(("y", "clean"), [("107.000", True), ("108.000", False)])
def test_a_rapid_back_through_scrap_is_asked_for_where_the_scrap_is(y: str, *, clean: bool) -> None:
    """In the kerf it meets no block, though it goes on 20 mm beyond the kerf; a little aside it does."""
    document, lines = small_document(), small_lines()
    block = {"name": "scrap", "kind": "backing", "bottom": 0, "top": 20, "may_cut_to": -1}
    outline = [[200, 102], [220, 102], [220, 114], [200, 114]]
    setup = document["setups"][2]
    setup["solids"].append(block | {"outline": outline})
    for program in setup["programs"]:
        program["standing"].append("scrap")
    at = len(lines[EDGE]) - 1 - lines[EDGE][::-1].index("G0 Z60.000")
    lines[EDGE][at:at] = ["G0 Z5.000", f"G1 Y{y}", "G0 X340.000"]
    proof = prove(Packet.model_validate(document), small_texts(lines)).proof
    assert [(r.rule, r.line) for r in proof.reasons] == ([] if clean else [("cutter-touches-solid", at + 3)])
