"""What happens if zero is taken wrongly, worked out from the programs and from what stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from proving.outcomes import box
from small_packet import MARK, PREAMBLE, small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.packet.writing import Writing
from stockwright.packet.zero_words import if_zero_is_wrong, with_wrong_zeros
from stockwright.proving import prove
from stockwright.proving.wrong_zero import WrongZero, wrong_zeros

if TYPE_CHECKING:
    from stockwright.proving.seen import Seen

EDGE = "3-edge-1.nc"


def zeros(document: dict[str, Any], lines: dict[str, list[str]] | None = None) -> list[WrongZero]:
    """Prove a document and ask what wrong zeros would do."""
    boards: list[Seen] = []
    prove(Packet.model_validate(document), small_texts(lines or small_lines()), boards.append)
    return wrong_zeros(boards)


def the(found: list[WrongZero], setup: int, case: str) -> WrongZero:
    """Give the one of a setup and case."""
    [wrong] = [w for w in found if (w.setup, w.case) == (setup, case)]
    return wrong


def test_a_longer_cutter_with_the_old_zero_goes_too_deep() -> None:
    """The mill is 20 mm longer than the facer: kept zero takes it from z -1 to 21 mm below the bed."""
    wrong = the(zeros(small_document()), 3, "kept")
    assert wrong.off == (0.0, 0.0, -20.0)
    assert (wrong.before, wrong.tool) == ("facer", "mill")
    assert (wrong.bed, wrong.bed_allows, wrong.outline_bed) == (21.0, 6.0, 0.0)


def test_the_same_cutter_keeps_a_right_zero() -> None:
    """Between faces A and B the cutter stays and so do mark and support: nothing is wrong with that zero."""
    assert [w.setup for w in zeros(small_document()) if w.case == "kept"] == [3]


def test_another_support_makes_the_kept_zero_wrong_by_its_height() -> None:
    """With the same cutter and the second work zero 19 mm higher, the kept one is that much too low."""
    document = small_document()
    document["setups"][1]["work_origin"][2] = 19.0
    wrong = the(zeros(document), 2, "kept")
    assert wrong.off == (0.0, 0.0, -19.0)
    # Face B ends 26 above its zero, so 7 above the bed where it should be 26 above the riser.
    assert wrong.bed == 0.0
    assert "near clamp" in wrong.meets


def test_zero_on_the_wood_lifts_everything_by_what_stands_there() -> None:
    """The second setup's board is 26.6 to 28.2 mm high: z taken on it lifts everything by so much."""
    wrong = the(zeros(small_document()), 2, "on-the-wood")
    assert 26.0 < wrong.off[2] < 28.3
    assert wrong.meets == ()
    assert wrong.bed == 0.0
    document = small_document()
    document["machine"]["travel"]["z"] = [40, 150]
    assert the(zeros(document), 2, "on-the-wood").stops == "upper"


def test_zero_on_the_support_where_the_wood_is_meant_goes_through_the_board() -> None:
    """Where z is meant on the wood and taken on its support, all goes a thickness too deep, into clamps."""
    document = small_document()
    document["setups"][1]["zero"]["z"] = "stock-top"
    wrong = the(zeros(document), 2, "on-the-support")
    assert -28.3 < wrong.off[2] < -26.0
    assert {"near clamp", "far clamp", "left stop", "right stop"} <= set(wrong.meets)
    assert wrong.first == "2-face-b.nc"


@pytest.mark.parametrize("shank", [[{"diameter": 12, "from": 42, "to": 50}], []])
def test_a_nut_that_comes_down_to_the_board_is_told(shank: list[dict[str, float]]) -> None:
    """A mill that sticks out 50 mm, 26 mm too deep at a wall: its nut, a shank below it or none, meets it."""
    document = small_document()
    document["tools"]["mill"]["assembly"] = [
        {"diameter": 12, "from": 0, "to": 42 if shank else 50},
        *shank,
        {"diameter": 34, "from": 50, "to": 72},
        {"diameter": 70, "from": 72, "to": 162},
    ]
    document["machine"]["travel"]["z"] = [10, 160]
    assert not the(zeros(document), 3, "on-the-wood").nut
    document["setups"][2]["zero"]["z"] = "stock-top"
    assert the(zeros(document), 3, "on-the-support").nut


def test_the_corner_for_the_mark_is_named_where_it_is_near() -> None:
    """A board whose corner lies 60 mm from the mark may be taken for it; one at the mark itself may not."""
    document = small_document()
    assert [w for w in zeros(document) if w.case == "at-the-corner"] == []
    for setup in document["setups"]:
        setup["zero"]["x"] = setup["zero"]["y"] = "bed mark"
        for lies in setup["lies"]:
            lies["matrix"][0][3] += 60.0
        for goal in setup["goals"]:
            for key in ("region", "path"):
                if key in goal:
                    goal[key] = [[x + 60.0, y] for x, y in goal[key]]
        setup["solids"] = []
        setup["programs"][0]["standing"] = []
    wall = [[330, -20], [345, -20], [345, 120], [330, 120]]
    post = {
        "name": "post",
        "kind": "stop",
        "outline": [[x + 110, y] for x, y in wall],
        "bottom": 0,
        "top": 40,
    }
    document["setups"][0]["solids"] = [post]
    document["setups"][0]["programs"][0]["standing"] = ["post"]
    lines = small_lines()
    for file, text in lines.items():
        lines[file] = [_shifted(line) for line in text]
    wrong = the(zeros(document, lines), 1, "at-the-corner")
    assert wrong.off == pytest.approx((60.0, 0.0, 0.0), abs=0.5)
    assert wrong.meets == ("post",)
    assert MARK[0] + 60 + 304 < 1400


def _shifted(line: str) -> str:
    """Move the x of a line by 60 mm."""
    words = line.split()
    moved = [f"X{float(w[1:]) + 60:.3f}" if w.startswith("X") else w for w in words]
    return " ".join(moved)


def test_what_is_kept_is_the_last_that_was_fitted() -> None:
    """Face A's second program runs with the mill: the facer after it, at a zero kept, cuts 20 mm too high."""
    document, lines = small_document(), small_lines()
    programs = document["setups"][0]["programs"]
    programs.append(programs[0] | {"file": "1b.nc", "tool": "mill", "standing": []})
    lines["1b.nc"] = [*PREAMBLE, "G0 Z60.000", "M5", "M30"]
    kept = [(w.setup, w.before, w.tool, w.off[2]) for w in zeros(document, lines) if w.case == "kept"]
    assert kept == [(1, "facer", "mill", -20.0), (2, "mill", "facer", 20.0), (3, "facer", "mill", -20.0)]


def test_a_kept_zero_is_wrong_for_all_that_its_cutter_does_until_it_is_taken_again() -> None:
    """Outlined and cut with the mill, faced, milled again: each change of cutters is asked by itself."""
    document, lines = small_document(), small_lines()
    setup = document["setups"][2]
    for name, x, top in (("peg", 340, 1.0), ("post", 370, 4.0)):
        setup["solids"].append(
            {"name": name, "kind": "stop", "outline": box(x, 0, x + 10, 10), "bottom": 0.0, "top": top}
        )
    [cut] = setup["programs"]
    cut["standing"] += ["peg", "post"]
    setup["programs"] = [cut | {"file": "3o.nc", "purpose": "outline"}, cut]
    setup["programs"] += [cut | {"file": "3f.nc", "tool": "facer"}, cut | {"file": "3m.nc"}]
    for file, x, z in (("3o.nc", 345, 2), ("3f.nc", 375, 5), ("3m.nc", 375, 5)):
        go = [f"G0 X{x}.000 Y-50.000", f"G0 Z{z}.000", "G1 Y50.000 F900", "G0 Z60.000", "M5", "M30"]
        lines[file] = [*PREAMBLE, "G0 Z60.000", *([] if file == "3o.nc" else ["M3 S14000"]), *go]
    said = [
        (w.before, w.tool, w.off[2], w.meets, w.first, w.bed, w.outline_bed)
        for w in zeros(document, lines)
        if w.case == "kept"
    ]
    assert said == [
        ("facer", "mill", -20.0, ("peg", "post"), "3o.nc", 21.0, 18.0),
        ("mill", "facer", 20.0, (), None, 0.0, 0.0),
        ("facer", "mill", -20.0, ("post",), "3m.nc", 15.0, 0.0),
    ]


@pytest.mark.parametrize(("cut_to", "met"), [(None, True), (8.0, True), (5.0, False)])
def test_scrap_is_met_only_below_where_it_may_be_cut(cut_to: float | None, *, met: bool) -> None:
    """19 mm too low the facer runs at z 7: scrap 18 mm high that may be cut down to 5 is not run into."""
    document = small_document()
    document["setups"][1]["work_origin"][2] = 19.0
    scrap = {"name": "scrap", "kind": "stop", "outline": box(-60, 20, -40, 40), "bottom": 0.0, "top": 18.0}
    document["setups"][1]["solids"] = [scrap | {"may_cut_to": cut_to}]
    document["setups"][1]["programs"][0]["standing"] = ["scrap"]
    document["setups"] = document["setups"][:2]
    del (lines := small_lines())[EDGE]
    assert ("scrap" in the(zeros(document, lines), 2, "kept").meets) is met


def test_the_sheet_says_it_in_a_sentence() -> None:
    """Each mistake is a plain sentence with how it comes, how far off it is, and what is met."""
    boards: list[Seen] = []
    packet = Packet.model_validate(small_document())
    prove(packet, small_texts(), boards.append)
    setup = with_wrong_zeros(packet, boards).setups[2]
    said = if_zero_is_wrong(setup, frozenset(), Writing("mm"))
    assert said[0] == (
        "z not taken again after “facer”: all runs 20 mm too deep; "
        "the cut goes 21 mm into the bed (6 mm at most), the block shows it"
    )
    assert "too high" in said[1]
    assert "in" in if_zero_is_wrong(setup, frozenset(), Writing("inch"))[0].split()
