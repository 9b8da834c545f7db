"""What is said to be true when a board comes: held against its readings, and what the piece then is."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from example_jobs import EXAMPLES, bound
from stockwright.findings import Refused
from stockwright.planning.piece import find_piece

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.board.surface import Board
    from stockwright.job import Job

RAILS = EXAMPLES / "stool-rails" / "job.yaml"


def turned(board: Board, degrees: float) -> Board:
    """Return the board as if read with its edges askew to the line by an angle."""
    turn = np.radians(degrees)
    outline = board.outline @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    return replace(board, outline=outline)


def refused(job: Job, board: Board) -> dict[str, str]:
    """Return the messages of what refuses a board."""
    with pytest.raises(Refused) as caught:
        find_piece(job, board, None)
    return {f.rule: f.message for f in caught.value.findings}


def test_the_piece_lies_along_the_true_edge() -> None:
    """However askew the readings' line was, the piece's edge-1 is the board's: no wood is left beside it."""
    job = bound(RAILS)[0]
    for degrees in (-0.4, 0.0, 0.3):
        piece = find_piece(job, turned(job.boards[0], degrees), None)
        low = np.asarray(piece.wood.outline.exterior.coords)[:, 1].min()
        assert piece.placement.angle == pytest.approx(degrees, abs=0.02)
        assert low == pytest.approx(0.0, abs=0.01)


def test_edges_and_faces_are_taken_as_cut() -> None:
    """Both edges count as cut and both faces as flat, and the wood may stand as much higher as is unsure."""
    job = bound(RAILS)[0]
    board = job.boards[0]
    wood = find_piece(job, board, None).wood
    assert wood.cut == {"edge-1", "edge-2"}
    assert wood.faced == {"A", "B"}
    assert wood.moved == {"A": board.uncertainty, "B": board.uncertainty}


def test_length_is_counted_from_where_the_rough_end_is_cleaned() -> None:
    """Both rough ends stand beyond the finished length, and the first loses no more than 2 mm."""
    job = bound(RAILS)[0]
    for board in job.boards:
        spare = find_piece(job, board, None).placement.spare
        assert 0.0 <= spare.end_1 <= 2.0
        assert spare.end_2 >= 0.0


def test_a_face_that_is_not_flat_is_refused() -> None:
    """A face said to be true that is hollow by 1 mm is refused, with what the readings say."""
    job = bound(RAILS)[0]
    board = job.boards[0]
    top = board.top.copy()
    top[len(top) // 2] -= 1.0
    assert "face A of rail 1" in refused(job, replace(board, top=top))["face-not-true"]


def test_how_far_off_a_face_is_is_told_to_a_thousandth() -> None:
    """Whatever the readings' digits: 1.2346 mm are more than a gauge says, and are told as 1.235."""
    job = bound(RAILS)[0]
    board = job.boards[0]
    bottom = np.zeros_like(board.bottom)
    top = bottom + 30.0
    top[len(top) // 2] -= 1.2346
    with pytest.raises(Refused) as caught:
        find_piece(job, replace(board, top=top, bottom=bottom), None)
    [found] = caught.value.findings
    assert (found.rule, found.measured) == ("face-not-true", 1.235)
    assert "out of flat, or not parallel to face B, by 1.23 mm" in found.message


def test_a_board_too_short_along_its_edge_is_refused() -> None:
    """A part shorter than the finished length is refused with the length it gives."""
    job = bound(RAILS, {"length": "470 mm"})[0]
    assert "470.0 mm are wanted" in refused(job, job.boards[0])["board-too-short"]


MISTAKES = [
    ("already: [faces, edge-1, edge-2]", "already: [faces, edge-2]", "edge-1 is to stand against the fence"),
    ("already: [faces, edge-1, edge-2]", "already: [faces, edge-3]", "edge-3"),
    ("together: all, hold: [squeeze]}", "together: all}", "nothing is said to hold it"),
    ("together: all, hold: [squeeze]}", "together: 1, hold: [squeeze]}", "at least 2"),
    ("together: all, hold: [squeeze]}", "together: some, hold: [squeeze]}", "some"),
    (
        "  - flip: end-over-end",
        "  - {edge: edge-2, tool: end-cutter, together: all, hold: [squeeze]}\n  - flip: end-over-end",
        "said to be true already",
    ),
]


@pytest.mark.parametrize(("old", "new", "says"), MISTAKES)
def test_a_recipe_that_contradicts_itself_is_told_where(
    old: str, new: str, says: str, tmp_path: Path
) -> None:
    """A row that nothing holds, an edge cut in a row or true already, a bad count: each is a mistake."""
    from stockwright.documents.load import read_job
    from stockwright.mistakes import InputError

    for file in RAILS.parent.glob("*.yaml"):
        (tmp_path / file.name).write_text(file.read_text())
    text = (EXAMPLES.parent / "recipes" / "ends-of-many.yaml").read_text()
    assert old in text
    (tmp_path / "own.yaml").write_text(text.replace(old, new, 1))
    job = tmp_path / "job.yaml"
    job.write_text(job.read_text().replace("recipe: ends-of-many", "recipe: own.yaml"))
    from stockwright.bind import bind

    with pytest.raises(InputError) as caught:
        bind(read_job(job))
    assert any(says in mistake.message for mistake in caught.value.mistakes)


def test_an_edge_that_is_not_true_is_the_only_thing_said() -> None:
    """Beside an edge refused as crooked nothing is said of what the board gives squared to it."""
    job = bound(RAILS, {"length": "900 mm"})[0]
    board = job.boards[0]
    crooked = board.outline.copy()
    crooked[:, 1] += np.where(crooked[:, 1] < np.median(crooked[:, 1]), 0.01 * crooked[:, 0] ** 2 / 300, 0.0)
    assert set(refused(job, replace(board, outline=crooked))) == {"edge-not-true"}
