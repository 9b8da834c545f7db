"""Each fault put into a proven packet is found, by its rule, in its program, on its line."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from as_read import pages_in, reason_as_read
from small_packet import THICK, small_document, small_lines, small_packet, small_texts
from stockwright.packet.model import Packet, Reason
from stockwright.proving import prove

if TYPE_CHECKING:
    from collections.abc import Callable

A, B, EDGE = "1-face-a.nc", "2-face-b.nc", "3-edge-1.nc"
READ = pages_in(Path(__file__).parent / "said_of_faults.txt")


def reasons(
    lines: dict[str, list[str]] | None = None, document: dict[str, Any] | None = None
) -> tuple[Reason, ...]:
    """Prove the small packet with other lines or another document, and give the reasons."""
    packet = Packet.model_validate(document or small_document())
    return tuple(prove(packet, small_texts(lines or small_lines())).proof.reasons)


def find(found: tuple[Reason, ...], rule: str) -> Reason:
    """Give the first reason of a rule; fail with all rules found if there is none."""
    for reason in found:
        if reason.rule == rule:
            return reason
    raise AssertionError(f"{rule} is not among {[reason.rule for reason in found]}")


# file, line (from 1), what the line becomes (None: taken out), rule, line the reason names
EDITS = [
    (A, 25, "G0 X338.000", "spots-left", 24),
    (A, 24, "G1 Z27.600 F500", "cut-too-deep", 25),
    (A, 16, "G0 X338.000", "rapid-through-wood", 16),
    (A, 11, "M5", "spindle-off-in-wood", 16),
    (A, 11, "M4", "spindle-turns-wrong-way", 11),
    (A, 10, "S2000", "spindle-out-of-range", 11),
    (A, 10, "S19000", "spindle-out-of-range", 11),
    (A, 10, "T2 S14000", "wrong-tool", 10),
    (A, 13, "G0 X150.000 Y18.000", "plunge-without-centre-edges", 15),
    (A, 12, "G0 X-32.000 Y18.000", "starts-from-unknown-place", 12),
    (A, 12, "G0 Z29.000", "starts-from-unknown-place", 12),
    (A, 17, "G1 Y53.000 F6000", "feed-out-of-range", 17),
    (A, 17, "G95", "text-not-understood", 17),
    (A, 17, "G1 Y53.000 Q5", "text-not-understood", 17),
    (A, 16, "G1 X338.000 Z8.000 F3000", "cutter-touches-solid", 16),
    (A, 2, None, "relies-on-what-was-left", 11),
    (A, 7, None, "relies-on-what-was-left", 11),
    (B, 16, "G1 X3380.000 F3000", "leaves-the-travel", 16),
    (B, 30, None, "ends-low", 31),
    (B, 31, None, "ends-turning", 31),
    (B, 32, None, "no-end", 31),
    (B, 30, "M0", "stops-with-spindle-on", 30),
    (EDGE, 30, "G1 Z-6.500 F400", "cut-below-bed", 30),
    (EDGE, 33, "G0 X320.000 Y107.050", "wall-left", 36),
    (EDGE, 33, "G0 X320.000 Y106.950", "wall-cut-into", 36),
    (EDGE, 35, "G1 Z0.500 F400", "wall-left", 36),
    (EDGE, 33, "G0 X150.000 Y95.000", "wall-cut-into", 35),
]


def edited(file: str, line: int, text: str | None) -> dict[str, list[str]]:
    """Give the small packet's lines with one of them changed or taken out."""
    lines = small_lines()
    if text is None:
        del lines[file][line - 1]
    else:
        lines[file][line - 1] = text
    return lines


def said(found: tuple[Reason, ...]) -> list[str]:
    """Give all that is said of a fault, as it stands on the page that a person has read."""
    return [line for reason in found for line in reason_as_read(reason)]


@pytest.mark.parametrize(("file", "line", "text", "rule", "named"), EDITS)
def test_an_edit_is_found_by_rule_and_line(
    file: str, line: int, text: str | None, rule: str, named: int | None
) -> None:
    """One line changed or taken out of one program is refused by this rule, naming this line.

    Whatever else is said of it, numbers, places and words, was read.
    """
    found = reasons(edited(file, line, text))
    reason = find(found, rule)
    assert (reason.program, reason.line) == (file, named)
    assert said(found) == READ[f"{file}:{line} {text}"]


def test_the_small_packet_is_proven() -> None:
    """Nothing is wrong with the packet that the faults are put into, and its thickness is exact."""
    outcome = prove(small_packet(), small_texts())
    assert outcome.proof.reasons == []
    assert outcome.proof.verdict == "proven"
    assert set(outcome.program_verdicts.values()) == {"proven"}
    assert outcome.finished["plank"].thickness == pytest.approx((THICK, THICK), abs=1e-6)


def test_a_ramp_steeper_than_the_cutter_can_is_found() -> None:
    """Down 6 mm along 20 mm of wood is 16.7 degrees, and the cutter's steepest is 3."""
    lines = small_lines()
    lines[EDGE][25:26] = ["G1 X200.000 F2400", "G1 X180.000 Z-1.000", "G1 X-12.000"]
    reason = find(reasons(lines), "ramp-too-steep")
    assert (reason.program, reason.line) == (EDGE, 27)
    assert reason.measured == pytest.approx(16.699, abs=1e-3)
    assert reason.limit == 3


def test_a_gentle_ramp_is_no_fault() -> None:
    """Down 6 mm along 200 mm is 1.7 degrees: proven."""
    lines = small_lines()
    lines[EDGE][25:26] = ["G1 X250.000 F2400", "G1 X50.000 Z-1.000", "G1 X-12.000"]
    assert reasons(lines) == ()


def change(setup: int, solid: int, **values: float | None) -> Callable[[dict[str, Any]], None]:
    """Make a function that changes a solid of a document."""

    def apply(document: dict[str, Any]) -> None:
        document["setups"][setup]["solids"][solid].update(values)

    return apply


def short_mill(document: dict[str, Any]) -> None:
    """Give the end mill 10 mm of cutting length and 20 of stick-out."""
    document["tools"]["mill"] |= {"cutting_length": 10, "stickout": 20, "gripped": 70}
    document["tools"]["mill"]["assembly"] = [
        {"diameter": 12, "from": 0, "to": 10},
        {"diameter": 12, "from": 10, "to": 20},
        {"diameter": 34, "from": 20, "to": 42},
        {"diameter": 70, "from": 42, "to": 132},
    ]


def rough_top(document: dict[str, Any]) -> None:
    """Let the readings show a hollow 5 mm deep in the upper face."""
    document["boards"]["plank"]["top"][1][1] -= 5.0


def narrow_region(document: dict[str, Any]) -> None:
    """Let the goal of face A end 40 mm short of one edge."""
    document["setups"][0]["goals"][0]["region"] = [[-1, 0], [305, 0], [305, 66], [-1, 66]]


def goal_of_no_cut(document: dict[str, Any]) -> None:
    """Let the goal of face B belong to another cut."""
    document["setups"][1]["goals"][0]["cut"] = "face A"


def thinner_wish(document: dict[str, Any]) -> None:
    """Want a piece 1 mm thinner than the goals make it."""
    document["wanted"]["plank"]["thickness"] = THICK - 1


def low_gantry(document: dict[str, Any]) -> None:
    """Let the gantry's beam pass 20 mm above the bed."""
    beam = [[-200, -20], [200, -20], [200, 20], [-200, 20]]
    document["machine"]["attached"] = [
        {"name": "beam", "outline": beam, "from": 20, "to": 60, "moves_with": "gantry", "soft": False}
    ]


def no_reader(document: dict[str, Any]) -> None:
    """Name a reader that does not exist."""
    document["setups"][0]["programs"][0]["reader"] = "unheard-of"


DOCUMENTS: list[tuple[Callable[[dict[str, Any]], None], str, str | None, int | None]] = [
    (change(0, 0, top=26), "cutter-touches-solid", A, 25),
    (change(2, 0, top=80), "ends-low", EDGE, 39),
    (short_mill, "body-touches-wood", EDGE, 26),
    (rough_top, "spots-left", A, 27),
    (narrow_region, "goals-do-not-cover", None, None),
    (goal_of_no_cut, "goals-do-not-cover", None, None),
    (thinner_wish, "wrong-size", None, None),
    (low_gantry, "attached-touches-wood", A, 14),
    (low_gantry, "starts-from-unknown-place", A, 13),
    (no_reader, "no-reader", A, None),
]


@pytest.mark.parametrize(("apply", "rule", "file", "line"), DOCUMENTS)
def test_a_changed_fact_is_found(
    apply: Callable[[dict[str, Any]], None], rule: str, file: str | None, line: int | None
) -> None:
    """The same programs with one physical fact changed are refused by this rule, naming this line."""
    document = small_document()
    apply(document)
    found = reasons(document=document)
    reason = find(found, rule)
    assert reason.program == file
    assert said(found) == READ[f"{apply.__name__}, {rule}"]
    if line is not None:
        assert reason.line == line


def test_without_a_reader_the_verdict_is_unproven() -> None:
    """A program that no reader knows is not refused and not proven."""
    document = small_document()
    no_reader(document)
    outcome = prove(Packet.model_validate(document), small_texts())
    assert outcome.proof.verdict == "unproven"
    assert outcome.program_verdicts[A] == "unproven"


def test_the_body_keeps_clear_of_a_tall_thing_beside_the_cut() -> None:
    """A block beside the edge, clear of the cutter, meets the nut, which is wider."""
    document = small_document()
    post = {"name": "post", "kind": "stop", "outline": [[100, 118], [140, 118], [140, 130], [100, 130]]}
    document["setups"][2]["solids"].append(post | {"bottom": 0, "top": 70})
    document["setups"][2]["programs"][0]["standing"].append("post")
    lines = small_lines()
    lines[EDGE] = [line.replace("Z60.000", "Z73.000") for line in lines[EDGE]]
    reason = find(reasons(lines, document), "body-touches-solid")
    assert (reason.program, reason.line) == (EDGE, 26)
    assert reason.measured == pytest.approx(118 - 107.3 - 17, abs=1e-6)


def test_backing_scrap_may_be_cut_above_its_line_only() -> None:
    """Scrap against the edge is cut down to its line without fault, and one level deeper is refused."""
    document = small_document()
    scrap = {"name": "scrap", "kind": "backing", "outline": [[-40, 90], [-1, 90], [-1, 130], [-40, 130]]}
    document["setups"][2]["solids"].append(scrap | {"bottom": 0, "top": 20, "may_cut_to": -1})
    document["setups"][2]["programs"][0]["standing"].append("scrap")
    assert reasons(document=document) == ()
    document["setups"][2]["solids"][-1]["may_cut_to"] = 4
    reason = find(reasons(document=document), "cutter-touches-solid")
    assert (reason.program, reason.line) == (EDGE, 31)


def test_a_missing_and_an_unlisted_file_are_reasons() -> None:
    """A program that is not there, and one that nobody listed, are both told."""
    texts = small_texts()
    texts["4-more.nc"] = texts.pop(B)
    found = prove(small_packet(), texts).proof.reasons
    assert {(r.rule, r.program) for r in found} == {
        ("program-missing", B),
        ("program-not-listed", "4-more.nc"),
    }


def test_a_strip_cut_off_comes_loose() -> None:
    """With 20 mm of waste, the full-depth cut along the wall frees a strip beside the running cutter."""
    document = small_document()
    document["setups"][2]["goals"][0]["path"] = [[0.0, 80.0], [304.1, 80.0]]
    lines = small_lines()
    lines[EDGE] = [line.replace("Y107.", "Y86.") for line in lines[EDGE]]
    reason = find(reasons(lines, document), "loose-piece")
    assert (reason.program, reason.line) == (EDGE, 31)
    assert reason.measured == pytest.approx(304.1 * 13.7, rel=0.01)


def test_a_strip_with_its_own_hold_down_is_no_loose_piece() -> None:
    """The same strip, declared as an offcut that a clamp holds, stays: only its goal must not reach it."""
    document = small_document()
    setup = document["setups"][2]
    setup["goals"][0]["path"] = [[0.0, 80.0], [304.1, 80.0]]
    setup["solids"].append(
        {
            "name": "strip clamp",
            "kind": "clamp",
            "outline": [[100, 100], [140, 100], [140, 140], [100, 140]],
            "bottom": THICK,
            "top": THICK + 10,
        }
    )
    setup["programs"][0]["standing"].append("strip clamp")
    setup["offcuts"] = [
        {
            "board": "plank",
            "outline": [[-5, 85], [310, 85], [310, 110], [-5, 110]],
            "held_by": ["strip clamp"],
        }
    ]
    lines = small_lines()
    lines[EDGE] = [line.replace("Y107.", "Y86.") for line in lines[EDGE]]
    assert [reason.rule for reason in reasons(lines, document)] == []


def test_an_outline_program_keeps_the_spindle_off_and_touches_nothing() -> None:
    """A traced outline at the board's height is refused, and so is one with the spindle on."""
    document = small_document()
    program = dict(document["setups"][0]["programs"][0])
    document["setups"][0]["programs"].insert(0, program | {"file": "0-outline.nc", "purpose": "outline"})
    lines = small_lines()
    traced = ["M5", *lines[A][1:8], "G0 Z60.000", "G0 X0.000 Y0.000", "G1 Z40.000 F500", "G1 X304.000 F3000"]
    lines["0-outline.nc"] = [*traced, "G0 Z60.000", "M30"]
    assert reasons(lines, document) == ()
    lines["0-outline.nc"][10] = "G1 Z31.000 F500"
    reason = find(reasons(lines, document), "outline-touches-wood")
    assert (reason.program, reason.line) == ("0-outline.nc", 11)
    lines["0-outline.nc"][10:11] = ["S14000 M3", "G1 Z40.000 F500"]
    assert find(reasons(lines, document), "spindle-on-in-outline").line == 11
    lines["0-outline.nc"] = [line for line in lines["0-outline.nc"] if "M" not in line]
    lines["0-outline.nc"].append("M30")
    assert find(reasons(lines, document), "relies-on-what-was-left").line == 8
