"""What one cut takes at once, the bed as wood, and seams between passes that only plane geometry judges."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from proving.odd_cases import bed
from proving.outcomes import Changes, box, outcome_of
from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet, Reason, Setup
from stockwright.proving import prove
from stockwright.proving.frames import Lay
from stockwright.proving.lying import Lying
from stockwright.proving.planes import FlatJudge
from stockwright.proving.together import may_be_thicker, may_stand_above
from stockwright.proving.trail import Trail
from stockwright.proving.wood import slab

A, EDGE = "1-face-a.nc", "3-edge-1.nc"


def _reasons(lines: dict[str, list[str]], **mill: Any) -> list[Reason]:
    document = small_document()
    document["tools"]["mill"] |= mill
    return list(prove(Packet.model_validate(document), small_texts(lines)).proof.reasons)


def _without_a_level() -> dict[str, list[str]]:
    """Leave out the edge's level at z 12, so that the one at 5 takes 14 mm."""
    lines = small_lines()
    level = lines[EDGE].index("G1 Z12.000 F400")
    del lines[EDGE][level - 2 : level + 3]
    return lines


def test_a_level_left_out_makes_a_cut_too_thick() -> None:
    """From 26 down by 7 to 19, then by 14 to 5: with 7 mm allowed the second is refused, on its own line."""
    lines = _without_a_level()
    [reason] = _reasons(lines, deepest=7.0, trim=0.5)
    assert reason.rule == "cuts-too-thick"
    assert lines[EDGE][(reason.line or 0) - 2 : reason.line] == ["G1 Z5.000 F400", "G1 X-12.000 F2400"]
    assert reason.measured == pytest.approx(14.0, abs=0.01)
    assert reason.limit == 7.0


def test_a_packet_that_names_no_deepest_cut_is_not_judged_by_it() -> None:
    """The same program with nothing said of the cutter's depth is proven, as before the field was there."""
    assert _reasons(_without_a_level()) == []


def test_a_trim_may_be_as_high_as_the_wall() -> None:
    """The last 0.3 mm of the edge come off over the whole height, and that is no thick cut."""
    assert _reasons(small_lines(), deepest=7.0, trim=0.5) == []


@pytest.mark.parametrize(
    ("before", "trim", "clean"),
    [
        ("Y108.900", 0.5, False),
        ("Y107.900", 0.5, True),
        ("Y107.900", 0.0, True),
        ("Y108.900", 1.5, True),
        ("Y109.900", 1.5, False),
    ],
)
@pytest.mark.parametrize(
    "last", ["G1 X-12.000 F2400", "\n".join(f"G1 X{x} F2400" for x in range(310, -20, -10))]
)
def test_a_trim_is_what_is_no_wider_than_its_own_cells(
    before: str, trim: float, last: str, *, clean: bool
) -> None:
    """The last pass takes the whole height: one row of cells is a trim at any time, more if it is wide."""
    changes: Changes = {f"E {line}": f"G0 X320.000 {before}" for line in (13, 18, 23, 28)}
    changes |= {"E 36": last, "tools.mill.deepest": 9.0, "tools.mill.trim": trim}
    reasons = outcome_of(changes).proof.reasons
    # The board ends at x 154: of moves of 10 mm the cutter is first in the wood in that to 150, the 17th.
    line = 36 if "\n" not in last else 52
    assert [(r.rule, r.line) for r in reasons] == ([] if clean else [("cuts-too-thick", line)])


def test_the_short_way_with_many_moves_knows_a_trim_as_well() -> None:
    """Of cuts judged at once: squares of two cells count as thick, and wood thinned to nothing is none."""
    level = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)
    a, b = np.array([[-20.0, 10.0, 1.0]]), np.array([[80.0, 10.0, 1.0]])
    for under, block, thick in (
        (0.0, 2, True),
        (0.0, 10, True),
        (0.0, 11, False),
        (-10.5, 2, False),
        (-10.0, 2, False),
        (-9.5, 2, True),
    ):
        wood = slab(shapely.box(0.0, 0.0, 60.0, 8.0), 10.0, 0.0)
        wood.hi[-1][:] = under
        assert may_be_thicker(wood, level, a, b, 20.0, 1.0, 7.0, block) is thick
        assert may_stand_above(wood, level, a, b, 20.0, 1.0, 8.0) is (under > -10.0)


# What stood before and stands after, how much may be left, all against the goal; the tolerance is 0.125.
AT_ITS_BORDER = [
    ((-0.125, -0.5, 0.0), ["cut-too-deep"]),
    ((-0.1875, -0.5, 0.0), ["spots-left"]),
    ((-0.1875, -0.125, 0.0), []),
    ((0.0, -0.125, 0.125), []),
    ((0.0, -0.1875, 0.0), ["cut-too-deep"]),
    ((0.0, 0.0, 0.1875), ["spots-left"]),
]


@pytest.mark.parametrize(("heights", "rules"), AT_ITS_BORDER)
def test_a_face_is_judged_up_to_its_tolerance_and_with_it(
    heights: tuple[float, float, float], rules: list[str]
) -> None:
    """Exactly the tolerance too high, too low or lacking is right; wood that lacked more was never there."""
    before, after, left = heights
    region = shapely.box(0.0, 0.0, 30.0, 20.0)
    level = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)
    document = small_document()["setups"][0]
    document["goals"] = [{"kind": "plane", "cut": "bed", "z": 8.0, "region": box(0, 0, 30, 20)}]
    wood = slab(region, 8.0, 0.0)
    wood.lo[1][:] = 8.0 + after
    wood.hi[1][:] = 8.0 + left
    lying = Lying(wood, level, region, region)
    began = np.full_like(wood.lo[1], 8.0 + before)
    judge = FlatJudge(Setup.model_validate(document), lying, began, region, Trail(), 0.125)
    assert [reason.rule for reason in judge.judge()] == rules


@pytest.mark.parametrize(
    ("line", "text"),
    [
        (29, "G0 Z-1.000"),  # 8 mm above before: a rapid goes into the spoilboard beside the board
        (26, "G1 Z-1.000 F2400"),
    ],
)
def test_a_rapid_into_the_bed_and_a_cut_into_it(line: int, text: str) -> None:
    """Down into the bed at rapid is refused; fed, with a turning cutter that can, it is not."""
    lines = small_lines()
    lines[EDGE][line - 1] = text
    found = {(r.rule, r.line) for r in _reasons(lines)}
    assert (("meets-the-bed", line) in found) == text.startswith("G0")


@pytest.mark.parametrize(("back", "clean"), [("G0 X320.000", True), ("G0 X320.000 Y106.500", False)])
def test_a_rapid_may_go_back_through_its_own_kerf(back: str, clean: bool) -> None:
    """Where a pass has just been as deep in bed and wood, nothing stands; half a millimetre aside, it may.

    Found by two mutants of ten thousand: lines lost between a pass and the way back along it.
    """
    lines = small_lines()
    last = len(lines[EDGE]) - 1 - lines[EDGE][::-1].index("G1 X-12.000 F2400")
    lines[EDGE].insert(last + 1, back)
    rules = {r.rule for r in _reasons(lines)}
    assert (rules == set()) == clean
    assert ("meets-the-bed" in rules) != clean


def test_a_cutter_that_cannot_plunge_does_not_go_down_into_the_bed() -> None:
    """Without edges at its centre the mill may come down to the bed, not into it."""
    found = _reasons(small_lines(), centre_cutting=False, ramp=0.0)
    assert [(r.rule, r.program) for r in found] == [("meets-the-bed", EDGE)]
    assert found[0].measured == pytest.approx(1.0)


def test_a_stopped_cutter_does_not_go_into_the_bed() -> None:
    """With the spindle off the same descent is refused."""
    lines = small_lines()
    lines[EDGE][lines[EDGE].index("M3")] = "M5"
    rules = {r.rule for r in _reasons(lines)}
    assert {"meets-the-bed", "spindle-off-in-wood"} <= rules


def test_beside_a_skim_there_may_be_more_of_the_bed() -> None:
    """Beside what is skimmed a turning cutter comes down at its feed; no rapid and no stopped cutter does."""

    def found(*down: str) -> list[tuple[str, str | None]]:
        skim = bed("G0 Z2", *down, "G1 X110 F3000", "G1 Y30", "G1 X-30")
        reasons = outcome_of(skim | {"wanted": {}}).proof.reasons
        return [(reason.rule, reason.block) for reason in reasons if reason.rule == "meets-the-bed"]

    assert found("G1 Z-0.5 F300") == []
    assert found("G0 Z-0.5") == [("meets-the-bed", "G0 Z-0.5")]
    assert found("M5", "G1 Z-0.5 F300", "M3") == [("meets-the-bed", "G1 Z-0.5 F300")]


@pytest.mark.parametrize(("apart", "clean"), [(49.5, True), (49.9, True), (50.02, False)])
def test_a_seam_narrower_than_a_cell_is_judged_exactly(apart: float, clean: bool) -> None:
    """Passes of a 50 mm cutter 49.9 mm apart leave nothing, though no cell on the seam lies within one pass.

    50.02 mm apart they leave 0.02 mm, and that is found.
    """
    lines = small_lines()
    places = {"Y18.000": 53.0 - apart, "Y88.000": 53.0 + apart}
    for old, new in places.items():
        lines[A] = [line.replace(old, f"Y{new:.3f}") for line in lines[A]]
    rules = [r.rule for r in _reasons(lines)]
    assert rules[:1] == ([] if clean else ["spots-left"])


def test_a_program_that_ends_before_it_cuts_names_its_end() -> None:
    """With M30 in the ninth line nothing is cut, and the whole face is left: the line named is the ninth."""
    lines = small_lines()
    lines[A][8:] = ["M30"]
    [first, *_] = [r for r in _reasons(lines) if r.rule == "spots-left"]
    assert (first.program, first.line) == (A, 9)


def test_a_face_without_its_last_level_names_the_nearest_pass() -> None:
    """No pass comes down to the goal: a pass of the level above is named, not nothing."""
    lines = small_lines()
    low = lines[A].index("G1 Z28.000 F500")
    del lines[A][low - 2 : -3]
    [first, *_] = [r for r in _reasons(lines) if r.rule == "spots-left"]
    assert lines[A][(first.line or 0) - 1].startswith("G1 X")


@pytest.mark.parametrize("tip", [0.0, 0.03, 0.06])
def test_a_corner_beyond_a_goal_is_not_wood_left_by_it(tip: float) -> None:
    """Half of a face is the goal and cut; a corner of the rest with its tip in one more cell is no spot.

    The rest is refused for other reasons: the program comes 25 mm beyond the goal.
    """
    document = small_document()
    document["boards"]["plank"]["outline"] = [[0, 0], [302.5, 0], [303 + tip, 105 + tip], [0, 104.5]]
    document["setups"] = document["setups"][:1]
    document["setups"][0]["lies"][0]["matrix"] = [[float(i == j) for j in range(4)] for i in range(4)]
    document["setups"][0]["goals"][0]["region"] = [[-1, -1], [150, -1], [150, 107], [-1, 107]]
    lines = {A: [line.replace("X338.000", "X150.000") for line in small_lines()[A]]}
    rules = {r.rule for r in prove(Packet.model_validate(document), small_texts(lines)).proof.reasons}
    assert "cut-too-deep" in rules
    assert "spots-left" not in rules
