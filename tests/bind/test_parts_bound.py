"""Boards that become different parts, bound: sizes and steps by board, one cutter a role for all."""

from __future__ import annotations

import shutil
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import pytest

from cutters import facer
from example_jobs import EXAMPLES, ROOT
from stockwright.bind import bind
from stockwright.bind.parts import _of_the_bed
from stockwright.documents import read_job
from stockwright.documents import recipe as recipe_steps
from stockwright.job import BedStep, EdgeStep, FaceStep
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.job import Job

BOARDS = "boards: [{board: board-1.yaml, part: shelf}, {board: board-5.yaml, part: rail, set: {%s}}]\n"
COMMON = "set: {length: 270 mm, width: 110 mm, thickness: 20 mm}\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Copy a shop, two boards and a recipe."""
    made = tmp_path_factory.mktemp("parts")
    for name in ("shop.yaml", "board-1.yaml", "board-5.yaml"):
        shutil.copy(EXAMPLES / "spice-rack" / name, made)
    shutil.copy(ROOT / "recipes" / "four-sides-square.yaml", made / "recipe.yaml")
    return made


def made(folder: Path, own: str, recipe: str = "four-sides-square", common: str = COMMON) -> Job:
    """Bind a job whose second board has values of its own."""
    head = f"stockwright: job/1\nname: two parts\nrecipe: {recipe}\nshop: shop.yaml\n"
    (folder / "job.yaml").write_text(head + BOARDS % own + common, encoding="utf-8")
    return bind(read_job(folder / "job.yaml"))[0]


def test_each_board_has_its_own_size_and_steps(folder: Path) -> None:
    """Sizes, and every step's sums, are worked out with the board's own values."""
    job = made(folder, "length: 240 mm, thickness: 18 mm")
    shelf, rail = (job.of(board.name) for board in job.boards)
    assert [job.part(board.name) for board in job.boards] == ["shelf", "rail"]
    assert (shelf.wanted.length, shelf.wanted.thickness) == (270.0, 20.0)
    assert (rail.wanted.length, rail.wanted.width, rail.wanted.thickness) == (240.0, 110.0, 18.0)
    assert [type(step) for step in shelf.steps] == [type(step) for step in rail.steps]
    assert [s.to for s in rail.steps if isinstance(s, FaceStep)][-1] == 18.0
    assert [s.to for s in shelf.steps if isinstance(s, FaceStep)][-1] == 20.0


def test_one_cutter_does_a_role_for_all_and_reaches_the_deepest(folder: Path) -> None:
    """The thin part is cut by the cutter that the thick one needs: no change between two boards."""
    job = made(folder, "thickness: 15 mm")
    tools = [{s.tool.name for s in job.of(b.name).steps if isinstance(s, EdgeStep)} for b in job.boards]
    assert tools[0] == tools[1]
    thick = made(folder, "thickness: 20 mm")
    assert tools[0] == {s.tool.name for s in thick.steps if isinstance(s, EdgeStep)}


def test_a_job_of_names_alone_is_bound_as_before(folder: Path) -> None:
    """Nothing is a board's own where no entry says anything, and the job is the same for each."""
    head = "stockwright: job/1\nname: one\nrecipe: four-sides-square\nshop: shop.yaml\n"
    (folder / "job.yaml").write_text(f"{head}boards: board-1.yaml\n{COMMON}", encoding="utf-8")
    job = bind(read_job(folder / "job.yaml"))[0]
    assert job.own == {}
    assert job.of("shelf 1") is job
    assert job.part("shelf 1") == ""


def test_a_mistake_of_one_part_has_its_name_and_one_of_all_is_told_once(folder: Path) -> None:
    """An order that cannot be cut is told once; a size that only one part has is told with the part."""
    recipe = (folder / "recipe.yaml").read_text(encoding="utf-8")
    old = 'to: "=thickness"'
    assert old in recipe
    (folder / "spoilt.yaml").write_text(recipe.replace(old, "to: 20 mm", 1), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        made(folder, "thickness: 18 mm", "spoilt.yaml")
    (one,) = caught.value.mistakes
    assert one.message.startswith("rail: the last face is cut to 20 mm, and the finished thickness is 18 mm")
    with pytest.raises(InputError) as caught:
        made(folder, "width: 90 mm", "spoilt.yaml", COMMON.replace("20 mm", "19 mm"))
    (both,) = caught.value.mistakes
    assert both.message.startswith("the last face is cut to 20 mm")


def test_a_bed_that_would_be_cut_three_ways_is_told_with_all() -> None:
    """Of any number of parts the different figures, once for each step of the bed that has more than one."""

    def said(path: Any, code: str, message: str, hint: str) -> tuple[Any, str]:
        return path, f"{code}: {message}"

    bed, flip = recipe_steps.BedStep.model_construct(), recipe_steps.FlipStep.model_construct()
    model: Any = SimpleNamespace(steps=[bed, flip, bed])
    recipe: Any = SimpleNamespace(model=model, mistake=said)
    for takes, told in (
        (((0.3, 0.5),), []),
        (((0.3, 0.5), (0.3, 0.5)), []),
        (((0.3, 0.5), (0.4, 0.5), (0.2, 0.5)), ["0.2 mm and 0.3 mm and 0.4 mm"]),
        (((0.3, 0.5), (0.4, 0.6)), ["0.3 mm and 0.4 mm", "0.5 mm and 0.6 mm"]),
    ):
        owns: Any = [
            SimpleNamespace(steps=[BedStep("surface", facer(), take, 35.0, 2.0) for take in each])
            for each in takes
        ]
        found: list[Any] = list(_of_the_bed(recipe, owns))
        assert [message.partition("comes to ")[2].partition(", expected")[0] for _, message in found] == told
    assert [path for path, _ in found] == [("steps", 0, "take"), ("steps", 2, "take")]


def test_the_bed_is_cut_one_way(folder: Path) -> None:
    """A bed step that hangs on an input of which two parts have two values is a mistake with both figures."""
    recipe = (folder / "recipe.yaml").read_text(encoding="utf-8")
    bed = '\n  - {bed: surface, tool: facer, take: "=thickness / 50"}\n'
    roles = recipe.replace("facer:      {does: face,", "facer: {does: face,")
    (folder / "bed.yaml").write_text(roles.rstrip() + bed, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        made(folder, "thickness: 15 mm", "bed.yaml")
    (found,) = caught.value.mistakes
    assert found.code == "contradiction"
    assert "0.3 mm and 0.4 mm" in found.message
