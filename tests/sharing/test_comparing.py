"""Two recipes told apart by what they do, not by how they are written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.documents import read_document
from stockwright.sharing.comparing import differences

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.documents.recipe import RecipeDocument

BASE = """stockwright: recipe/1
name: base
version: 1.0.0
inputs: {thickness: {is: length, ask: how thick, from: 10 mm}}
tools: {facer: {does: face, diameter: 20 mm to 80 mm}}
holding: {low: {where: [edge-1, edge-2], below: 10 mm}}
steps:
  - {face: A, tool: facer, stepover: 40 %, hold: low}
  - flip: edge-over-edge
  - {face: B, tool: facer, to: "=thickness", hold: low}
"""


def _recipe(folder: Path, text: str) -> RecipeDocument:
    file = folder / "r.yaml"
    file.write_text(text, encoding="utf-8")
    model: RecipeDocument = read_document(file, "recipe").model
    return model


def _told(folder: Path, old: str, new: str) -> list[str]:
    assert old in BASE
    return differences(_recipe(folder, BASE), _recipe(folder, BASE.replace(old, new)))


def test_spelling_makes_no_difference(tmp_path: Path) -> None:
    """10 mm or 0.01 m, a comment, another name: the same cuts."""
    assert _told(tmp_path, "name: base", "name: other # a comment") == []
    assert _told(tmp_path, "[edge-1, edge-2], below: 10 mm", "[edge-1, edge-2], below: 0.01 m") == []


def test_a_number_is_told_with_its_unit(tmp_path: Path) -> None:
    """A share as a share, a length as a length, a range as a range."""
    assert _told(tmp_path, "40 %", "30 %") == ["step face A: stepover 40 %, then 30 %"]
    assert _told(tmp_path, "below: 10 mm", "below: 8 mm") == ["holding zone low: below 10 mm, then 8 mm"]
    assert _told(tmp_path, "20 mm to 80 mm", "20 mm to 60 mm") == [
        "tool role facer: diameter 20 mm to 80 mm, then 20 mm to 60 mm"
    ]


def test_a_step_keeps_its_name_when_one_comes_before_it(tmp_path: Path) -> None:
    """One pause more is one sentence, not a difference in every step after it."""
    [said] = _told(tmp_path, "  - flip", "  - pause: let it rest\n  - flip")
    assert said.startswith("step pause: after face A only in the second")


def test_a_sum_and_a_default_are_told_as_written(tmp_path: Path) -> None:
    """What hangs on an input is no number yet."""
    [said] = _told(tmp_path, '"=thickness"', '"=thickness + 1 mm"')
    assert said == "step face B: to =thickness, then =thickness + 1 mm"
    [said] = _told(tmp_path, "from: 10 mm}", "from: 10 mm, default: 20 mm}")
    assert said == "input thickness: default not said, then 20 mm"
