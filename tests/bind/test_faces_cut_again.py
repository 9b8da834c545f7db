"""A face may be cut several times, each time to a stated thickness, and the board may rest between."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, ROOT, bound
from stockwright.job import FaceStep, PauseStep
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from pathlib import Path

SHELF = EXAMPLES / "alcove-shelf"


def _mistakes(folder: Path, old: str, new: str) -> list[tuple[str, str]]:
    for name in ("board.yaml", "shop.yaml"):
        shutil.copy(SHELF / name, folder / name)
    job = (SHELF / "job.yaml").read_text()
    (folder / "job.yaml").write_text(job.replace("recipe: two-visits", "recipe: own.yaml"))
    recipe = (ROOT / "recipes" / "two-visits.yaml").read_text()
    assert old in recipe
    (folder / "own.yaml").write_text(recipe.replace(old, new, 1))
    with pytest.raises(InputError) as error:
        bound(folder / "job.yaml")
    return [(m.code, m.message) for m in error.value.mistakes]


def test_the_faces_of_two_visits_get_thinner_step_by_step() -> None:
    """22 mm with 1.6 mm a side are cut to 25.2, 23.6 and 22 mm, and the board rests after the first two."""
    job, _ = bound(SHELF / "job.yaml")
    assert [s.to for s in job.steps if isinstance(s, FaceStep)] == pytest.approx([None, 25.2, 23.6, 22.0])
    [rest] = [s for s in job.steps if isinstance(s, PauseStep)]
    assert rest.moved == "by-moisture"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('to: "=thickness + allowance", ', "", "face A is cut once more, and it is not said how far"),
        ('to: "=thickness + allowance"', 'to: "=thickness + 3 * allowance"', "only 25.2 mm thick then"),
        ('to: "=thickness",', 'to: "=thickness - 1 mm",', "and the finished thickness is 22 mm"),
    ],
)
def test_a_thickness_that_cannot_be_is_a_mistake(tmp_path: Path, old: str, new: str, words: str) -> None:
    """A later cut without a thickness, one that would add wood, and one beside the finished size are told."""
    found = _mistakes(tmp_path, old, new)
    assert {code for code, _ in found} == {"out-of-order"}
    assert any(words in message for _, message in found)


def test_a_rest_comes_before_the_edges(tmp_path: Path) -> None:
    """Edges cut before a rest would be crooked after it, so that order is a mistake."""
    edge = "  - {edge: edge-1, tool: edge-cutter, hold: [far-clamps]}\n"
    found = _mistakes(tmp_path, "  - pause:", edge + "  - pause:")
    assert any("crooked after it" in message for _, message in found)
