"""Where a piece lies in its board, what its faces are cut to, and what lies under it: worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely

from cutters import end_mill
from example_jobs import bound
from setups import shop
from stockwright.findings import Refused
from stockwright.hold_downs import Channel
from stockwright.job import FaceStep, MateStep, Tolerance, Wanted
from stockwright.planning import piece
from stockwright.planning.already import along_true_edge, mated_sides, true_sides
from stockwright.planning.bed_marks import over_marks, shims_over_marks
from stockwright.planning.creases import upper_heights
from stockwright.planning.cuts import wood_over
from stockwright.planning.piece import _face_a, _first_height, _thicknesses, _too_thin
from stockwright.planning.setup import ShimPlace
from stockwright.planning.wood import Place, Wood

if TYPE_CHECKING:
    from stockwright.findings import Finding

SQUARE = np.array([[0.0, 0.0], [600.0, 0.0], [600.0, 100.0], [0.0, 100.0]])
MATE = MateStep(end_mill(), 0.3, 7.0, 1.0, ())


def face(side: str, to: float | None, take: Any = "least") -> FaceStep:
    """Give a face cut."""
    tool: Any = end_mill()
    return FaceStep(side, tool, "thickest", take, to, "along", "climb", "last", 9.0, 2.0, 0.5, ())  # type: ignore[arg-type]


def job(
    *steps: Any,
    size: tuple[float | None, float | None, float | None] = (None, None, None),
    already: Any = ("faces", "edge-1"),
    **more: Any,
) -> Any:
    """Give what is read of a job: its steps, the size that is wanted, what is true already."""
    wanted = Wanted(*size, Tolerance(**more.pop("tolerance", {})))
    own = {"boards": [SimpleNamespace(name="elm")], "shop": shop(), "place": None, "name": "job"}
    return SimpleNamespace(steps=steps, wanted=wanted, already=frozenset(already), **(own | more))


def board(**said: Any) -> Any:
    """Give what is read of a board, 600 by 200 by 25 mm of ash at 12 %, plain sawn."""
    own = {"name": "elm", "bounds": (0.0, 0.0, 600.0, 200.0), "species": "ash-white", "moisture": 12.0}
    flat = {"sawn": "flat", "top": np.full((2, 2), 25.0), "bottom": np.zeros((2, 2)), "uncertainty": 0.1}
    return SimpleNamespace(**(own | flat | said))


def lies(
    outline: Any,
    length: float | None,
    width: float | None,
    already: Any = ("edge-1",),
    *steps: Any,
    **more: Any,
) -> tuple[tuple[float, ...] | None, list[Finding]]:
    """Give where a piece lies along a true edge (angle, corner, size, wood beyond), and what is told."""
    found: list[Finding] = []
    asked = job(*steps, size=(length, width, None), already=already, **more)
    p = along_true_edge(asked, board(), (np.asarray(outline), np.asarray(outline)), found)
    if p is None:
        return None, found
    s = p.spare
    told = (p.angle, p.x0, p.y0, p.length, p.width, s.edge_1, s.edge_2, s.end_1, s.end_2)
    return tuple(round(float(v), 4) for v in told), found


def test_a_piece_lies_along_the_edge_that_is_true() -> None:
    """From that edge on, and 2 mm from the rough end, or half of what there is where that is less."""
    for length, width, already, expected in (
        (580.0, 90.0, ("edge-1",), (0, 2, 0, 580, 90, 0, 10, 2, 18)),
        (580.0, 90.0, ("edge-2",), (0, 2, 10, 580, 90, 10, 0, 2, 18)),
        (597.0, 100.0, ("edge-1",), (0, 1.5, 0, 597, 100, 0, 0, 1.5, 1.5)),
        (600.0, None, ("edge-1", "edge-2"), (0, 0, 0, 600, 100, 0, 0, 0, 0)),
        (None, None, ("edge-1", "edge-2"), (0, 0, 0, 600, 100, 0, 0, 0, 0)),
    ):
        told, found = lies(SQUARE, length, width, already)
        assert told == pytest.approx(expected)
        assert found == []
    turn = np.array([[0.8, 0.6], [-0.6, 0.8]])
    told, _ = lies(SQUARE @ turn, 580.0, 90.0)
    assert told == pytest.approx((np.degrees(np.arctan2(3, 4)), 1.6, 1.2, 580, 90, 0, 10, 2, 18), abs=1e-3)


def test_where_no_size_is_wanted_the_piece_is_what_the_board_measures() -> None:
    """Wherever the readings' corner is: as long and wide as both faces together, from there on."""
    aside = SQUARE + np.array([30.0, -7.0])
    placed = piece._place(job(already=()), board(), (aside, aside + np.array([10.0, 0.0])), [])
    assert placed is not None
    assert (placed.x0, placed.y0, placed.length, placed.width) == (30.0, -7.0, 610.0, 100.0)


def test_a_board_that_gives_less_is_refused_with_what_it_gives() -> None:
    """Wood all across from one corner to the other, but for half a millimetre; both numbers, whole cures."""
    crooked = [[0.0, 0.0], [600.0, 0.0], [590.0, 100.0], [5.0, 100.0]]
    told, _ = lies(crooked, None, 90.0)
    assert told is not None
    assert told[3] == pytest.approx(600 - 8.95 - 4.475)
    told, [found] = lies(crooked, 590.0, 90.0)
    assert told is None
    assert (found.rule, found.measured, found.limit) == ("board-too-short", 586.575, 590.0)
    assert found.message == "elm: squared to its true edge it gives at most 586.6 mm, 590.0 mm are wanted"
    assert found.remedy == "ask for 586 mm or less, or take a longer board"
    told, [found] = lies(SQUARE, 580.0, 100.9)
    assert (found.rule, found.measured, found.limit) == ("board-too-narrow", 100.0, 100.9)
    assert found.message == "elm: from its true edge it is 100.0 mm wide, 100.9 mm are wanted"
    assert found.remedy == "ask for 100 mm or less, or take a wider board"


def test_an_edge_said_to_be_true_is_held_against_its_readings() -> None:
    """Three tenths where nothing is asked, else what is asked; one that is not true is refused as such."""
    # Between 10 mm from either end and the middle its line is out by 0.4 x 290 / 300.
    hollow = [[0.0, 0.0], [300.0, 0.4], [600.0, 0.0], [600.0, 100.0], [0.0, 100.0]]
    told, [found] = lies(hollow, 700.0, 90.0)
    assert told is None
    assert (found.rule, found.measured, found.limit) == ("edge-not-true", 0.387, 0.3)
    assert found.message == (
        "edge-1 of elm is said to be true, and by its readings it is 0.39 mm out of straight"
    )
    assert found.remedy == "cut edge-1 first, or take it out of the recipe's `already`"
    assert lies(hollow, 580.0, 90.0, tolerance={"straightness": 0.39})[1] == []
    assert lies(hollow, 580.0, 90.0, tolerance={"straightness": 0.38})[0] is None
    far = [[x, 100.0 - y] for x, y in reversed(hollow)]
    assert lies(far, 580.0, 90.0)[1] == []
    assert lies(far, 580.0, 90.0, ("edge-2",))[1][0].message.startswith("edge-2 of elm")


def test_what_a_mating_pass_takes_is_no_part_of_the_piece() -> None:
    """Off every edge but the outermost ones; an edge that is less straight than that is not cleaned."""
    boards = [SimpleNamespace(name=name) for name in ("left", "elm", "right")]
    for place, mated in ((0, {"edge-2": 0.3}), (1, {"edge-1": 0.3, "edge-2": 0.3}), (2, {"edge-1": 0.3})):
        assert mated_sides(job(MATE, boards=boards), boards[place]) == mated  # type: ignore[arg-type]
    assert mated_sides(job(boards=boards), boards[1]) == {}  # type: ignore[arg-type]
    assert true_sides(job(already=("faces", "edge-2"))) == {"edge-2"}
    told, _ = lies(SQUARE, 580.0, None, ("edge-1",), MATE, boards=boards)
    assert told == pytest.approx((0, 2, 0.3, 580, 99.4, 0, 0, 2, 18))
    for off, fits in ((0.31, True), (0.312, False)):  # of which 290 / 300 show
        bent = [[0.0, 0.0], [600.0, 0.0], [600.0, 100.0], [300.0, 100.0 - off], [0.0, 100.0]]
        told, found = lies(bent, 580.0, 90.0, ("edge-1",), MATE, boards=boards)
        assert (found == []) is fits
    assert (found[0].rule, found[0].measured, found[0].limit) == ("edge-not-cleaned", 0.302, 0.3)
    assert found[0].message == (
        "edge-2 of elm is 0.30 mm out of straight by its readings, and the mating pass takes 0.3 mm off it: "
        "it would not come clean"
    )


def test_each_later_cut_of_a_face_stands_its_own_thickness_from_the_other() -> None:
    """A's first cut lies so high that B's last one lies at 0; without a cut of B it lies at the thickness."""
    for steps, wanted, thick, height in (
        ((face("A", None), face("B", 20.0)), None, (20.0, 20.0), 20.0),
        ((face("A", None), face("B", 23.0), face("A", 21.5), face("B", 20.0)), 20.0, (23.0, 20.0), 21.5),
        ((face("A", None),), 18.0, (18.0, 18.0), 18.0),
        ((face("A", None),), None, (None, None), 18.0),
        ((face("A", None), face("B", None)), 18.0, (18.0, 18.0), 18.0),
        ((face("A", 19.0),), None, (19.0, 19.0), 18.0),
    ):
        asked = job(*steps, size=(None, None, wanted))
        assert _thicknesses(asked) == thick
        assert _first_height(asked, 18.0 if wanted is None or wanted == 18.0 else 20.0) == height


def test_a_ridge_between_two_nodes_raises_the_higher_one() -> None:
    """A ridge 2 mm high and 5 mm to either side of it, at x 23: the node at x 20 stands as high as it."""
    stations = np.array([0.0, 18.0, 23.0, 28.0, 60.0])

    def read(xy: Any) -> Any:
        return np.interp(xy[:, 0], stations, [25.0, 25.0, 27.0, 25.0, 25.0])

    rough = board(x=stations, y=np.array([0.0, 200.0]), top_at=read, outline=SQUARE * [0.1, 2.0])
    wood = Wood(rough, np.eye(4), 25.0, shapely.box(0.0, 0.0, 60.0, 200.0), 0.0)
    grid_x, grid_y = np.linspace(7.0, 67.0, 7), np.linspace(3.0, 203.0, 21)
    for lifted, moved_by in ((wood, 0.0), (wood.after_rest(0.25), 0.25)):
        heights = upper_heights(lifted, Place("A", 0, (7.0, 3.0, 0.0)), grid_x, grid_y)
        high = np.tile([[25.0]] * 2 + [[27.0]] + [[25.0]] * 4, (1, 20))
        assert heights[:, :20] - moved_by == pytest.approx(high)
        assert heights[2, 20] - moved_by == pytest.approx(25.8)  # no cell is beyond it
    flat = wood.after_face("A", 24.0)
    assert set(upper_heights(flat, Place("A", 0), grid_x, grid_y).ravel()) == {24.0}


def test_a_face_cut_reckons_with_the_board_a_millimetre_aside() -> None:
    """Higher by the steepest slope of grid or stations over that millimetre, and by what is not known."""
    x, y = np.array([0.0, 50.0, 100.0]), np.array([0.0, 60.0])
    top = np.array([[25.0, 25.6], [26.0, 26.6], [25.0, 25.6]])  # 0.02 along, 0.01 across

    def read(xy: Any) -> Any:
        return np.interp(xy[:, 0], x, top[:, 0]) + 0.01 * xy[:, 1]

    rough = board(x=x, y=y, top=top, top_at=read, outline=SQUARE * [1 / 6, 0.6])
    level = Wood(rough, np.eye(4), 25.0, shapely.box(0.0, 0.0, 100.0, 60.0), 0.0)
    tilt = np.eye(4)
    tilt[2, :2] = 0.004, 0.002
    tilted = replace(level, to_piece=tilt)
    # At (20, 30): what is read there, how the board lies, the slopes along and across, what is not known.
    for wood, high in (
        (level, 25.7 + 0.03 + 0.1),
        (tilted, 25.7 + 0.08 + 0.06 + 0.036 + 0.1),
    ):
        grid_x, grid_y, heights = wood_over(wood, Place("A", 0), shapely.box(0.0, 0.0, 100.0, 60.0))
        assert (len(grid_x), len(grid_y)) == (11, 7)
        assert heights[2, 3] == pytest.approx(high, abs=1e-3)
    flat = level.after_face("A", 24.0)
    assert set(wood_over(flat, Place("A", 0), shapely.box(0.0, 0.0, 100.0, 60.0))[2].ravel()) == {24.0}


def test_a_raised_node_is_a_slope_too() -> None:
    """A ridge of 2 mm: the node raised to it is 1.5 mm over the next along, 0.5 over the one at the rim."""
    stations = np.array([0.0, 35.0, 55.0, 75.0, 100.0])
    top = np.array([[25.0, 25.0], [25.0, 25.0], [27.0, 27.0], [25.0, 25.0], [25.0, 25.0]])

    def read(xy: Any) -> Any:
        return np.interp(xy[:, 0], stations, top[:, 0])

    rough = board(x=stations, y=np.array([0.0, 60.0]), top=top, top_at=read, outline=SQUARE * [1 / 6, 0.6])
    ridged = Wood(rough, np.eye(4), 25.0, shapely.box(0.0, 0.0, 100.0, 60.0), 0.0)
    heights = wood_over(ridged, Place("A", 0), shapely.box(0.0, 0.0, 100.0, 60.0))[2]
    assert heights[[0, 4, 5, 6], 2] == pytest.approx(np.array([25.0, 25.5, 27.0, 26.5]) + 0.1 + 0.2)


@pytest.fixture(scope="module")
def tread() -> Any:
    """Give an example's job, its board, its first face and how it is seated."""
    asked, _ = bound()
    first = next(s for s in asked.steps if isinstance(s, FaceStep))
    return asked, asked.boards[0], first, piece.seated(asked, asked.boards[0], first)[0]


def test_a_board_is_thick_enough_to_be_sure(tread: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Less over than twice what the readings leave open is warned of with both; less than none refuses."""
    asked, own, first, seating = tread
    unsure = 2 * own.uncertainty
    barely = {"board-barely-thick-enough"}
    for surplus, rules in ((unsure, set()), (0.0, barely), (unsure - 0.01, barely)):
        monkeypatch.setattr(piece, "seated", lambda *_, left=surplus: (seating, left))
        found = [f for f in piece.find_piece(asked, own, first).findings if f.rule.startswith("board")]
        assert {f.rule for f in found} == rules
    assert (found[0].level, found[0].measured, found[0].limit) == (
        "warn",
        round(unsure - 0.01, 3),
        round(unsure, 3),
    )
    monkeypatch.setattr(piece, "seated", lambda *_: (seating, -0.01))
    with pytest.raises(Refused) as caught:
        piece.find_piece(asked, own, first)
    assert "board-too-thin" in {f.rule for f in caught.value.findings}


def test_how_much_the_first_face_takes() -> None:
    """Half of the surplus, or what the readings leave open but no more than half, or what is said."""
    seating: Any = SimpleNamespace(below_top=lambda depth: 30.0 - depth)
    for take, surplus, at in (
        ("half-of-surplus", 5.0, 27.5),
        ("half-of-surplus", -1.0, 30.0),
        ("least", 5.0, 29.6),
        ("least", 0.6, 29.7),
        ("least", -1.0, 30.0),
        (1.25, 0.0, 28.75),
    ):
        assert _face_a(seating, surplus, face("A", None, take), 0.4) == pytest.approx(at)
    assert _face_a(seating, 5.0, None, 0.4) == pytest.approx(29.6)


@pytest.mark.parametrize(
    ("later", "unsure", "wanted", "cure"),
    [
        (0.0, 0.2, "22.00 mm are wanted; why", "ask for 20.5 mm or less, 20.3 mm or less to be sure"),
        (
            1.5,
            0.2,
            "22.00 mm are wanted, 1.50 mm of them to come off once it has rested; why",
            "ask for 19.0 mm",
        ),
        (0.0, 20.5614, "22.00 mm are wanted; why", "ask for 20.5 mm or less; or take a thicker board"),
    ],
)
def test_a_board_too_thin_is_told_how_thick_it_can_be(
    later: float, unsure: float, wanted: str, cure: str
) -> None:
    """As thick as it can be, what of that is sure to come clean, and what a second visit needs."""
    seating: Any = SimpleNamespace(thickness=20.5614, why="why")
    found = _too_thin(board(), seating, 22.0, later, unsure)
    assert (found.rule, found.measured, found.limit) == ("board-too-thin", 20.561, 22.0)
    assert found.message == f"elm can be at most 20.56 mm thick seated so, {wanted}"
    assert found.remedy.startswith(cure)


def test_marks_of_the_bed_are_told_where_something_lies_over_them() -> None:
    """Of the marks under a board the deepest; a shim in one carries nothing at its height."""
    marks = (Channel((250.0, 260.0), (150.0, 160.0), 0.4), Channel((300.0, 310.0), (150.0, 160.0), 0.6))
    own = SimpleNamespace(bed=SimpleNamespace(mark=(200.0, 140.0), marks=marks), units="mm")
    both, one = shapely.box(0.0, 0.0, 200.0, 90.0), shapely.box(0.0, 0.0, 99.0, 90.0)
    assert over_marks(own, both)[0].startswith(  # type: ignore[arg-type]
        "The board lies over marks of earlier cuts in the bed (mark 1, 2, up to 0.6 mm deep): clear"
    )
    assert "(mark 1, up to 0.4 mm deep)" in over_marks(own, one)[0]  # type: ignore[arg-type]
    assert over_marks(own, shapely.box(0.0, 0.0, 49.0, 90.0)) == ()  # type: ignore[arg-type]
    shims = [ShimPlace("elm", x, 15.0, 0.5) for x in (55.0, 70.0, 105.0)]
    first, second = shims_over_marks(own, shims, 2)  # type: ignore[arg-type]
    assert (first.rule, first.level, first.measured, first.limit, first.setup, first.at) == (
        "shim-over-a-mark",
        "warn",
        0.4,
        0.0,
        2,
        (55.0, 15.0, 0.0),
    )
    assert first.message == (
        "a shim of 0.50 mm stands in a mark of the bed that is 0.40 mm deep, so the board would sag there"
    )
    assert second.remedy == "put 0.60 mm more under it, or skim the bed below its marks"
