"""From readings to a board: two faces from one person's callipers, bed and taut line."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import yaml

from stockwright.board.outline import Lines
from stockwright.board.readings import Problem, board_from_readings
from stockwright.board.seating import seat
from stockwright.board.warp import warps

if TYPE_CHECKING:
    from stockwright.board.surface import Board

EXAMPLES = Path(__file__).parents[2] / "examples" / "stair-tread"
ALONG, ACROSS = (10.0, 300.0, 590.0), (15.0, 115.0, 215.0)


def numbers(node: Any) -> Any:
    """Return the document's plain numbers, mm; None for a dash."""
    if isinstance(node, dict):
        return {key: numbers(value) for key, value in node.items()}
    if isinstance(node, list):
        return [numbers(value) for value in node]
    if isinstance(node, str) and node.endswith(" mm"):
        return float(node.removesuffix(" mm"))
    return None if node == "-" else node


def corners(end: dict[str, float]) -> tuple[float, float]:
    """Return an end's near and far corner."""
    return end["near"], end["far"]


def example(name: str, **changed: Any) -> tuple[Board | None, list[Problem]]:
    """Return the example's board; `changed` replaces parts of the document."""
    d = numbers(yaml.safe_load((EXAMPLES / name).read_text(encoding="utf-8"))) | changed
    return board_from_readings(
        d["name"],
        Lines(
            (d["edge-1"]["along"], d["edge-1"]["offset"]),
            (d["edge-2"]["along"], d["edge-2"]["offset"]),
            (corners(d["ends"]["end-1"]), corners(d["ends"]["end-2"])),
        ),
        (d["heights"]["along"], d["heights"]["across"], d["heights"]["rows"]),
        d["thickness"]["rows"],
        d["turned-over"]["rows"] if d["turned-over"] else None,
        d["uncertainty"],
    )


def faces(tilt: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Return top and bottom of an invented board at its stations: cup, bow and wedge."""
    x, y = np.meshgrid(ALONG, ACROSS, indexing="ij")
    low = 1.0 + 1e-4 * (y - 115) ** 2 - 5e-6 * (x - 300) ** 2 + tilt * x
    return low + 30.0 + 0.002 * y, low


def readings(**changed: Any) -> tuple[Board | None, list[Problem]]:
    """Return the invented board read without error; `changed` replaces arguments."""
    top, low = faces()
    thick: list[list[float | None]] = [[float(t) for t in row] for row in top - low]
    thick[1][1] = None
    x, y = np.meshgrid(ALONG, ACROSS, indexing="ij")
    turned = 40.0 + 0.003 * x - 0.002 * y - low
    arguments: dict[str, Any] = {
        "name": "invented",
        "lines": Lines(size=(600.0, 230.0)),
        "heights": (ALONG, ACROSS, top.tolist()),
        "thickness": thick,
        "turned_over": turned.tolist(),
        "uncertainty": 0.1,
    }
    return board_from_readings(**(arguments | changed))


def test_the_underside_is_found_through_the_turn() -> None:
    """Where callipers do not reach, the reading turned over gives the underside, whatever its tilt."""
    board, problems = readings()
    assert problems == []
    assert board is not None
    assert board.bottom == pytest.approx(faces()[1], abs=1e-9)


def test_without_the_turn_the_rim_stands_in_and_says_so() -> None:
    """Not read, the underside's middle lies between its neighbours, and the uncertainty grows."""
    sure, _ = readings()
    board, problems = readings(turned_over=None)
    assert problems == []
    assert board is not None
    assert sure is not None
    assert any("not read at 1 of 9" in note for note in board.notes)
    assert board.uncertainty > sure.uncertainty
    thick = board.top - board.bottom
    assert thick[1, 1] == pytest.approx((thick[1, 0] + thick[1, 2]) / 2, abs=1e-9)


def test_readings_that_disagree_are_named_with_both_numbers() -> None:
    """A slip of 3 mm in one reading turned over is one problem, at that reading, with both readings in it."""
    top, low = faces()
    x, y = np.meshgrid(ALONG, ACROSS, indexing="ij")
    turned = 40.0 + 0.003 * x - 0.002 * y - low
    turned[2, 0] += 3.0
    board, problems = readings(turned_over=turned.tolist())
    assert board is None
    assert ("turned-over", "rows", 2, 0) in [p.path for p in problems]
    slip = next(p for p in problems if p.path == ("turned-over", "rows", 2, 0))
    assert f"{turned[2, 0]:g} mm" in slip.message
    assert f"{top[2, 0]:g} mm" in slip.message


def test_a_board_that_would_reach_into_the_bed() -> None:
    """A thickness greater than the height above the bed is one problem, where it was read."""
    top, low = faces()
    thick = (top - low).tolist()
    thick[0][2] = float(top[0, 2]) + 2.0
    board, problems = readings(thickness=thick, turned_over=None)
    assert board is None
    assert [p.path for p in problems] == [("thickness", "rows", 0, 2)]


def test_all_problems_come_at_once() -> None:
    """An end that lies before the other and a thickness inside the bed are both said."""
    top, low = faces()
    thick = (top - low).tolist()
    thick[1][1] = 99.0
    line = ((0.0, 600.0), (0.0, 0.0))
    far = ((0.0, 600.0), (230.0, 230.0))
    ends = ((0.0, 0.0), (600.0, -5.0))
    _, problems = readings(lines=Lines(line, far, ends), thickness=thick)
    assert [p.path for p in problems] == [("ends", "end-2", "far"), ("thickness", "rows", 1, 1)]


@pytest.mark.parametrize("times", [0.1, 10.0])
def test_a_decimal_point_that_slipped_is_told(times: float) -> None:
    """A height ten times too great or small, where no thickness contradicts it, is told alone."""
    top, low = faces()
    thick = (top - low).tolist()
    thick[1][1] = None
    slipped = top.copy()
    slipped[1, 1] *= times
    board, problems = readings(heights=(ALONG, ACROSS, slipped.tolist()), thickness=thick, turned_over=None)
    assert board is None
    assert [(p.path, p.code) for p in problems] == [(("heights", "rows", 1, 1), "out-of-range")]


def test_a_long_thin_board_may_bow_by_more_than_it_is_thick() -> None:
    """Three stations far apart, the middle one 20 mm higher all across: a bow, and no slip."""
    board, problems = readings(
        heights=((20.0, 300.0, 580.0), ACROSS, [[19.0] * 3, [39.0] * 3, [19.0] * 3]),
        thickness=[[19.0] * 3] * 3,
        turned_over=None,
    )
    assert (board is not None, problems) == (True, [])


@pytest.mark.parametrize(("times", "code"), [(0.1, "out-of-range"), (10.0, "contradiction")])
def test_a_thickness_whose_point_slipped_is_told(times: float, code: str) -> None:
    """A thickness ten times too great or small is told alone; a wedge's thin edge is none."""
    top, low = faces()
    thick = (top - low).tolist()
    thick[1][1] *= times
    board, problems = readings(thickness=thick, turned_over=None)
    assert board is None
    assert [(p.path, p.code) for p in problems] == [(("thickness", "rows", 1, 1), code)]
    wedge = [[20.0 * (1.05 - 0.4 * at) for at in range(3)] for _ in thick]
    assert readings(thickness=wedge, turned_over=None)[0] is not None


def test_stations_off_the_board() -> None:
    """A station beyond the outline is a problem at that station."""
    _, problems = readings(lines=Lines(size=(580.0, 200.0)))
    assert [p.path for p in problems] == [("heights", "along", 2), ("heights", "across", 2)]


def test_edges_the_wrong_way_round() -> None:
    """An edge-2 on the near side of edge-1 is a problem at every such station."""
    line, far = ((0.0, 600.0), (230.0, 230.0)), ((0.0, 600.0), (0.0, 0.0))
    _, problems = readings(lines=Lines(line, far, ((0.0, 0.0), (600.0, 600.0))))
    assert [p.path for p in problems] == [("edge-2", "offset", 0), ("edge-2", "offset", 1)]


def test_an_uncertainty_left_out_is_taken_and_said() -> None:
    """Without an uncertainty 0.33 mm is taken for one reading, and the notes say so."""
    board, _ = readings(uncertainty=None)
    assert board is not None
    assert board.uncertainty > 0.33
    assert "0.33 mm is taken" in board.notes[0]


def test_uncertainty_covers_what_the_curve_hides() -> None:
    """The true board lies within the uncertainty of the surface everywhere between the stations."""
    board, _ = readings()
    assert board is not None
    x, y = np.meshgrid(np.linspace(10, 590, 40), np.linspace(15, 215, 40), indexing="ij")
    true = 1.0 + 1e-4 * (y - 115) ** 2 - 5e-6 * (x - 300) ** 2
    off = board.bottom_at(np.column_stack([x.ravel(), y.ravel()])) - true.ravel()
    assert 0.1 < np.abs(off).max() <= board.uncertainty


def test_two_stations_show_no_curve() -> None:
    """Two stations across hide any cup: something is allowed for it, and said."""
    top, low = faces()
    columns = [0, 2]
    board, problems = readings(
        heights=(ALONG, (15.0, 215.0), top[:, columns].tolist()),
        thickness=(top - low)[:, columns].tolist(),
        turned_over=None,
    )
    assert problems == []
    assert board is not None
    assert any("Two stations across" in note for note in board.notes)
    assert board.uncertainty >= 1.0


def test_the_example_is_warped_as_its_story_says() -> None:
    """The stair tread's board: about 1 mm of cup, 1.8 of bow, 2 of twist, 0.5 of wedge and 5 of crook."""
    board, problems = example("board.yaml")
    assert problems == []
    assert board is not None
    found = warps(board)
    values = (found.cup.value, found.bow.value, found.twist.value, found.wedge.value, found.crook.value)
    assert values == pytest.approx((1.0, 1.8, 1.8, 0.45, 5.2), abs=0.3)
    assert board.uncertainty < 0.6


def test_the_example_gives_the_tread_and_the_thin_one_does_not() -> None:
    """Board 3 holds 27 mm with room for its uncertainty on both faces; board 5 holds 24 to 25.5 mm."""
    board, _ = example("board.yaml")
    thin, problems = example("thin-board.yaml")
    assert problems == []
    assert board is not None
    assert thin is not None
    assert seat(board).best > 27.0 + 2 * board.uncertainty
    assert 24.0 < seat(thin).best < 25.5


def test_the_example_without_the_turn_is_less_sure() -> None:
    """Leaving out the second reading of the example costs certainty, not the board."""
    sure, _ = example("board.yaml")
    board, problems = example("board.yaml", **{"turned-over": None})
    assert problems == []
    assert board is not None
    assert sure is not None
    assert board.uncertainty > sure.uncertainty
