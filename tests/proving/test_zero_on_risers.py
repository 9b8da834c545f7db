"""What a zero taken on the bed does to a board that stands on risers, and the other way round."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from proving.outcomes import EDGE, box
from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.packet.writing import Writing
from stockwright.packet.zero_words import if_zero_is_wrong, with_wrong_zeros
from stockwright.proving import prove

if TYPE_CHECKING:
    from stockwright.packet.model import ZeroWrong
    from stockwright.proving.seen import Seen

HIGH = 30.0
RISERS = [
    {"name": f"riser {k}", "kind": "riser", "outline": box(x, 20, x + 30, 80), "bottom": -HIGH, "top": 0.0}
    for k, x in ((1, 40), (2, 220))
]


def made(*, raised: bool) -> Packet:
    """Give the small packet's faces, the second of them cut on risers, with what wrong zeros do."""
    document: dict[str, Any] = small_document()
    document["setups"] = document["setups"][:2]
    document["machine"]["travel"]["z"] = [40, 230]
    del (lines := small_lines())[EDGE]
    if raised:
        second = document["setups"][1]
        second["work_origin"][2] = HIGH
        for solid in second["solids"]:
            solid["bottom"] = -HIGH
        second["solids"] = [*second["solids"], *RISERS]
        second["programs"][0]["standing"] = [solid["name"] for solid in second["solids"]]
    packet = Packet.model_validate(document)
    boards: list[Seen] = []
    assert prove(packet, small_texts(lines), boards.append).proof.reasons == []
    return with_wrong_zeros(packet, boards)


def the(packet: Packet, case: str) -> list[tuple[int, ZeroWrong]]:
    """Give the wrong zeros of a case by the number of their setup."""
    return [(s.index, w) for s in packet.setups for w in s.if_zero_wrong if w.case == case]


def test_zero_on_the_bed_below_risers_and_on_a_riser_where_there_is_none() -> None:
    """On risers 30 high the bed is 30 too low; where the board lies on the bed, they are 30 too high."""
    packet = made(raised=True)
    [(setup, below)] = the(packet, "on-the-bed")
    assert (setup, below.off, below.tool) == (2, (0.0, 0.0, -HIGH), "facer")
    # Face B, 26 above the risers, is then cut at 4 below their upper side: through what stands beside it.
    assert {"near clamp", "far clamp", "left stop", "right stop", "riser 1", "riser 2"} == set(below.meets)
    assert (below.first, below.bed) == ("2-face-b.nc", 0.0)
    [(setup, above)] = the(packet, "on-a-riser")
    assert (setup, above.off, above.meets) == (1, (0.0, 0.0, HIGH), [])


def test_without_risers_nobody_takes_z_on_one() -> None:
    """A job that lies on the bed throughout has neither mistake."""
    packet = made(raised=False)
    assert the(packet, "on-the-bed") == the(packet, "on-a-riser") == []


def test_the_sheet_says_both_in_a_sentence() -> None:
    """Each is a plain sentence: how it comes about, how far off all is, what is met."""
    first, second = (if_zero_is_wrong(s, frozenset(), Writing("mm")) for s in made(raised=True).setups)
    assert any(
        each.startswith("z taken on a piece as high as the risers, though the board lies on the bed: ")
        and "all runs 30 mm too high" in each
        for each in first
    )
    assert any(
        each.startswith("z taken on the bed, though the board stands on risers: all runs 30 mm too deep; it")
        and each.endswith("the block shows it")
        for each in second
    )
