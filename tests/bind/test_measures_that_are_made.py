"""A measure that a recipe finishes is cut by its steps; one that no step cuts is a mistake, told at once."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, ROOT, bound
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from pathlib import Path

GLUE_ROOM = EXAMPLES / "glue-room"


def _mistakes(folder: Path, job: str, recipe: str, old: str, new: str) -> list[tuple[str, int, str]]:
    """Bind a job of the glue room with one text of its recipe changed."""
    (folder / "boards").mkdir()
    for file in ("shop.yaml", *(f"boards/{board.name}" for board in (GLUE_ROOM / "boards").iterdir())):
        (folder / file).write_text((GLUE_ROOM / file).read_text())
    text = (GLUE_ROOM / f"{job}.yaml").read_text()
    (folder / "job.yaml").write_text(re.sub(r"recipe: \S+", "recipe: own.yaml", text))
    whole = (ROOT / "recipes" / f"{recipe}.yaml").read_text()
    assert old in whole
    (folder / "own.yaml").write_text(whole.replace(old, new, 1))
    with pytest.raises(InputError) as error:
        bound(folder / "job.yaml")
    return [(m.code, m.line, m.message) for m in error.value.mistakes]


def test_a_length_without_ends_is_a_mistake(tmp_path: Path) -> None:
    """A finished length is told at its own line where no step cuts the ends."""
    old = 'finished: {width: "=width"}'
    new = 'finished: {width: "=width", length: 900 mm}'
    [(code, line, message)] = _mistakes(tmp_path, "shelf-boards", "edges-for-gluing", old, new)
    lines = (tmp_path / "own.yaml").read_text().splitlines()
    assert code == "out-of-order"
    assert lines[line - 1].startswith(new)
    assert message == "the finished length is 900 mm, and no step cuts end-1 or end-2"


def test_a_width_with_one_edge_is_a_mistake(tmp_path: Path) -> None:
    """One edge alone makes no width."""
    old = '  - {edge: edge-2, tool: edge-cutter, to: "=width", hollow: "=hollow", hold: [middle-clamps]}\n'
    found = _mistakes(tmp_path, "shelf-boards", "edges-for-gluing", old, "")
    assert [message for _, _, message in found] == [
        "the finished width is 110 mm, and no step cuts edge-2",
    ]


def test_edges_without_a_width_are_a_mistake(tmp_path: Path) -> None:
    """Where edges are cut it is said how wide the board is between them."""
    old, new = 'finished: {width: "=width"}', "finished: {}"
    found = _mistakes(tmp_path, "shelf-boards", "edges-for-gluing", old, new)
    assert [(code, message) for code, _, message in found] == [
        ("missing-key", "edge-1 and edge-2 are cut, but the finished width is not said"),
    ]


def test_a_thickness_with_one_face_is_a_mistake(tmp_path: Path) -> None:
    """One flat face makes no thickness, and nothing that it could be parallel to."""
    old = "tolerance: {flatness: 0.3 mm}"
    new = "finished: {thickness: 20 mm}\ntolerance: {flatness: 0.3 mm, parallelism: 0.3 mm}"
    found = _mistakes(tmp_path, "wall-lining", "one-face-flat", old, new)
    assert {message for _, _, message in found} == {
        "the finished thickness is 20 mm, and no step cuts face B",
        "the faces are to be parallel, and no step cuts face B",
    }


def test_a_hollow_no_clamp_closes_is_a_mistake(tmp_path: Path) -> None:
    """More than 1 mm in the middle of an edge is refused at its step."""
    old, new = 'hollow: "=hollow", hold: [far-clamps]', "hollow: 1.2 mm, hold: [far-clamps]"
    [(code, _, message)] = _mistakes(tmp_path, "shelf-boards", "edges-for-gluing", old, new)
    assert (code, message) == ("out-of-order", "the edge is to be hollow by 1.2 mm, and 1 mm is the most")


def test_no_face_is_cut_once_boards_lie_differently(tmp_path: Path) -> None:
    """After a flip of every second board it is not one face that is up."""
    old = "  - flip: edge-over-edge\n"
    new = "  - {flip: edge-over-edge, of: every-second-board}\n"
    found = _mistakes(tmp_path, "counter-panel", "both-faces", old, new)
    assert any("lie with different faces up" in message for _, _, message in found)
