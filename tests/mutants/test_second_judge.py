"""The second judge itself: it finds what is put before it, and nothing where nothing is wrong.

The packet is the hand-made small one; every case is worked out by hand in its sentence or its numbers.
"""

from __future__ import annotations

import math

import pytest

from mutants.second_judge import SecondJudge, verdict
from mutants.second_text import Step, script
from mutants.second_wood import pieces
from small_packet import FACE_A, THICK, small_document, small_lines, small_packet, small_texts
from stockwright.packet.model import Packet

A, B, EDGE = "1-face-a.nc", "2-face-b.nc", "3-edge-1.nc"

# file, line (from 1), what it becomes (None: taken out), kind of harm, line it is seen at (0: no one line)
CASES = [
    (A, 25, "G0 X338.000", "left", 0),
    (A, 24, "G1 Z27.600 F500", "deep", 25),
    (A, 16, "G0 X338.000", "contact", 16),
    (A, 11, "M5", "contact", 16),
    (A, 11, "M4", "spindle", 11),
    (A, 10, "S2000", "spindle", 11),
    (A, 10, "T2 S14000", "tool", 10),
    (A, 13, "G0 X150.000 Y18.000", "plunge", 15),
    (A, 12, "G0 X-32.000 Y18.000", "start", 12),
    (A, 12, "G0 Z29.000", "start", 12),
    (A, 17, "G1 Y53.000 F6000", "feed", 17),
    (A, 17, "G95", "text", 17),
    (A, 6, "G64", "rounding", 6),
    (A, 22, "T1 M6", "tool", 22),
    (A, 17, "G1 Y53.000 Q5", "text", 17),
    (A, 16, "G1 X338.000 Z8.000 F3000", "solid", 16),
    (A, 2, None, "left-over", 11),
    (B, 16, "G1 X3380.000 F3000", "travel", 16),
    (B, 30, None, "end", 31),
    (B, 31, None, "spindle", 31),
    (B, 32, None, "text", 31),
    (EDGE, 30, "G1 Z-6.500 F400", "travel", 30),
    (EDGE, 29, "G0 Z-1.000", "contact", 29),
    (EDGE, 33, "G0 X320.000 Y107.050", "left", 0),
    (EDGE, 33, "G0 X320.000 Y106.950", "deep", 36),
]


def _harms(packet: Packet, lines: dict[str, list[str]]) -> list[tuple[str, int, bool]]:
    judge = SecondJudge(packet, small_texts())
    return [(h.kind, h.line, h.sure) for h in judge.judge(small_texts(lines), {A, B, EDGE})]


@pytest.mark.parametrize(("file", "line", "text", "kind", "seen"), CASES)
def test_a_harm_is_seen(file: str, line: int, text: str | None, kind: str, seen: int) -> None:
    """One line changed does this kind of harm, surely, at this line."""
    lines = small_lines()
    if text is None:
        del lines[file][line - 1]
    else:
        lines[file][line - 1] = text
    assert (kind, seen, True) in _harms(small_packet(), lines)


@pytest.mark.parametrize(
    ("line", "text"),
    [(14, "G0 Z 36.000 (down)"), (16, "g1x338.f3000"), (17, "N7 F3000 Y+53.0 G01"), (31, "M05"), (3, "G49")],
)
def test_what_means_nothing_is_harmless(line: int, text: str) -> None:
    """The same in other words, or a mode said twice in place of another that rests anyway, is no harm."""
    lines = small_lines()
    lines[A][line - 1] = text
    assert _harms(small_packet(), lines) == []


def test_the_judge_is_not_sure_at_a_tolerance() -> None:
    """A face 0.15 mm too deep stands exactly on its tolerance: harm, but not surely."""
    lines = small_lines()
    lines[A] = [line.replace(f"Z{FACE_A:.3f}", f"Z{FACE_A - 0.15:.3f}") for line in lines[A]]
    judge = SecondJudge(small_packet(), small_texts())
    harms = judge.judge(small_texts(lines), {A})
    assert verdict(harms) == "unsure"
    assert {h.kind for h in harms} == {"deep"}


def test_a_cut_too_thick_is_seen() -> None:
    """With 7 mm allowed, an edge's second depth left out makes the third 14 mm thick."""
    document = small_document()
    document["tools"]["mill"] |= {"deepest": 7.0, "trim": 0.5}
    packet = Packet.model_validate(document)
    assert _harms(packet, small_lines()) == []
    lines = small_lines()
    level = lines[EDGE].index("G1 Z12.000 F400")
    del lines[EDGE][level - 2 : level + 3]
    assert lines[EDGE][level : level + 2] == ["G1 Z5.000 F400", "G1 X-12.000 F2400"]
    assert ("thick", level + 2, True) in _harms(packet, lines)


def test_a_loose_piece_is_seen() -> None:
    """Of waste 17 mm wide the cutter mills the 12 next to the wall: 5 mm beyond come off in one piece."""
    document = small_document()
    document["boards"]["plank"]["outline"][:2] = [[0.0, -12.0], [304.0, -12.0]]
    judge = SecondJudge(Packet.model_validate(document), {})
    texts = small_texts()
    harms = judge.setup(2, judge.packet.setups[2], texts, {EDGE})
    assert [(h.kind, h.sure) for h in harms] == [("loose", True)]


def test_the_wood_of_a_later_setup_is_what_was_asked_before() -> None:
    """Face B is up in the third setup, a plane at the thickness; face A lies on z 0."""
    [piece] = pieces(small_packet(), 2)
    assert piece.flat == pytest.approx(THICK, abs=1e-6)
    assert piece.low == pytest.approx((0.0, 0.0), abs=1e-6)


def test_a_measured_face_is_cut_along_its_contour() -> None:
    """A ridge 1 mm high across 100 mm stands above half its height on half its width: 15.2 of 30.4 cm2."""
    document = small_document()
    board = document["boards"]["plank"]
    board["x"], board["y"] = [0.0, 152.0, 304.0], [0.0, 106.0]
    board["top"] = [[30.0, 30.0], [31.0, 31.0], [30.0, 30.0]]
    board["bottom"] = [[0.0, 0.0]] * 3
    board["uncertainty"] = 0.0
    document["setups"][0]["lies"][0]["matrix"] = [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]
    [piece] = pieces(Packet.model_validate(document), 0)
    assert piece.above(30.5, surely=True).area == pytest.approx(304 * 106 / 2, rel=1e-9)
    assert piece.above(31.0).is_empty


def test_arcs_are_read_by_the_second_reader() -> None:
    """A quarter about the origin ends where it says, passes 45 degrees, is 15.708 long (section 3.5.3)."""
    read = script("G17 G21 G90 G94\nG0 X10 Y0 Z0\nG3 X0 Y10 I-10 F9\nM2\n")
    steps = [item for item in read.items if isinstance(item, Step) and item.line == 3]
    assert steps[-1].end == (0.0, 10.0, 0.0)
    assert sum(math.dist(s.start, s.end) for s in steps) == pytest.approx(math.pi * 5, rel=3e-4)
    assert min(math.dist(s.end, (7.0710678, 7.0710678, 0.0)) for s in steps) < 0.25


@pytest.mark.parametrize(
    "line",
    ["G0 X", "G0 X1.2.3", "G0 X1e2", "G0 G1 X1", "G80 X1", "X1", "G0", "F-1", "M3 M5", "T1.5", "G4", "G54.1",
     "G0 X1 X2", "(a (b) c)", "G0 X1 )", "D1", "N100000 G0 X1", "G1 X1", "G43", "G28 Z0", "G55"],
)  # fmt: skip
def test_a_strict_controller_stops(line: str) -> None:
    """NISTIR 6556, sections 3.3 to 3.6, by row of its errors; and codes that mean another zero or place."""
    assert script(f"G21\n{line}\nM2\n").bad is not None
    assert script(f"G21\n{line}\nM2\n").bad != (3, "no end")
