"""A job is read with all that it names, and the mistakes of all come together."""

from __future__ import annotations

import shutil
import statistics
import time
from pathlib import Path

import pytest

from stockwright.documents.board import BoardDocument
from stockwright.documents.codes import CODES
from stockwright.documents.expressions import Quantity
from stockwright.documents.load import read_job
from stockwright.documents.points import CsvBoard
from stockwright.documents.recipe import EdgeStep, FaceStep, FlipStep, TurnStep
from stockwright.documents.shipped import recipes_folder, shipped_names
from stockwright.mistakes import InputError, Mistake

EXAMPLE = Path(__file__).parents[2] / "examples" / "stair-tread"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Copy the example's documents, to be spoilt."""
    for name in ("job.yaml", "shop.yaml", "board.yaml"):
        shutil.copy(EXAMPLE / name, tmp_path / name)
    return tmp_path / "job.yaml"


def _change(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def _refused(job: Path, **options: object) -> tuple[Mistake, ...]:
    with pytest.raises(InputError) as caught:
        read_job(job, **options)  # type: ignore[arg-type]
    assert {each.code for each in caught.value.mistakes} <= set(CODES)
    return caught.value.mistakes


def test_the_example_is_read_in_millimetres() -> None:
    """Values, tools, collets and readings of the example come out as floats; sums stay sums."""
    documents = read_job(EXAMPLE / "job.yaml")
    assert documents.values == {
        "length": Quantity(1150.0, 1),
        "width": Quantity(200.0, 1),
        "thickness": Quantity(27.0, 1),
    }
    shop = documents.shop.model
    assert shop.machine.rapid == 6000.0
    assert shop.machine.travel.z == (40.0, 160.0)
    assert list(shop.spindle.collets) == [8.0, 12.0]
    assert shop.tools["wide-facer"].stepover == 0.7
    assert shop.fence is not None
    assert (shop.fence.liftable, shop.fence.pieces[0]) == (True, (200.0, 420.0))
    board = documents.boards[0].model
    assert isinstance(board, BoardDocument)
    assert board.thickness is not None
    assert board.heights is not None
    assert board.thickness.rows[1][1] is None
    assert board.heights.along == (10.0, 300.0, 590.0, 880.0, 1170.0)
    assert board.edge_2 is not None
    assert all(200.0 < offset < 260.0 for offset in board.edge_2.offset)
    steps = documents.recipe.model.steps
    kinds = (FaceStep, FlipStep, FaceStep, EdgeStep, TurnStep)
    assert all(isinstance(step, kind) for step, kind in zip(steps, kinds, strict=False))
    sums = [each.evaluate(documents.values).value for _, each in documents.recipe.model.expressions()]
    assert sums == [29.0, 24.0, 24.0, 1150.0, 200.0, 27.0, 27.0, 1150.0, 200.0]


def test_later_stages_can_place_their_own_mistakes() -> None:
    """A locator leads from a path to the line and column of what was written."""
    documents = read_job(EXAMPLE / "job.yaml")
    board = documents.boards[0]
    mistake = board.mistake(("thickness", "rows", 1, 2), "contradiction", "the readings do not agree")
    assert isinstance(board.model, BoardDocument)
    assert board.model.thickness is not None
    reading = board.model.thickness.rows[1][2]
    text = board.text.split("\n")[mistake.line - 1]
    assert text[mistake.column - 1 :].startswith(f"{reading:g} mm]")


def test_mistakes_of_all_documents_come_together(job: Path) -> None:
    """One thing wrong in job, shop and board each, and a file that is missing: all in one answer."""
    _change(job, "width: 200 mm", "width: 200")
    _change(job, "[board.yaml]", "[board.yaml, bord.yaml]")
    _change(job.with_name("shop.yaml"), "rapid: 6 m/min", "rapid: 6 m/mni")
    _change(job.with_name("board.yaml"), "name: ash plank 3", "nam: ash plank 3")
    found = {(Path(each.file).name, each.line, each.code) for each in _refused(job)}
    assert found == {
        ("job.yaml", 5, "missing-file"),
        ("job.yaml", 8, "unit-missing"),
        ("shop.yaml", 9, "unknown-unit"),
        ("board.yaml", 2, "unknown-key"),
    }


@pytest.mark.parametrize(
    ("old", "new", "code", "words"),
    [
        ("thickness: 27 mm", "thicknes: 27 mm", "unknown-name", "did you mean 'thickness'?"),
        ("  thickness: 27 mm", "  # left out", "missing-key", "'thickness' is missing: finished thickness"),
        ("thickness: 27 mm", "thickness: 127 mm", "out-of-range", "at most 90 mm"),
        ("thickness: 27 mm", "thickness: -27 mm", "out-of-range", "at least 0 mm"),
        ("four-sides-square ", "four-side-square ", "unknown-name", "did you mean 'four-sides-square'?"),
        ("shop.yaml", "shpo.yaml", "missing-file", "did you mean 'shop.yaml'?"),
        ("shop: shop.yaml", "# no shop", "missing-key", "--shop"),
        ("shop.yaml", "../shop.yaml", "outside-folder", "command line"),
        ("shop.yaml", "/etc/passwd", "outside-folder", "command line"),
        ("shop.yaml", "C:/shop.yaml", "outside-folder", "command line"),
        ("shop.yaml", "~/shop.yaml", "outside-folder", "command line"),
        ("four-sides-square ", "../recipes/x.yaml ", "outside-folder", "command line"),
        ("shop.yaml", "board.yaml", "wrong-kind", "a board stands here, expected a shop"),
        ("[board.yaml]", "[board.yaml, board.yaml]", "repeated", "expected a name of its own"),
        ("[board.yaml]", "[[board.yaml]]", "wrong-type", "a list"),
    ],
)
def test_a_jobs_own_mistake_is_named(job: Path, old: str, new: str, code: str, words: str) -> None:
    """Values, names and paths that do not fit come with their place and what would be right."""
    _change(job, old, new)
    found = _refused(job)
    assert code in {each.code for each in found}
    assert any(words in f"{each.message}; {each.hint}" for each in found)


def test_a_link_out_of_the_folder_is_not_followed(
    job: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A link that leads elsewhere is outside the folder, however it is written."""
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    shop = job.with_name("shop.yaml")
    shutil.move(shop, elsewhere / "shop.yaml")
    shop.symlink_to(elsewhere / "shop.yaml")
    [mistake] = _refused(job)
    assert mistake.code == "outside-folder"
    assert read_job(job, shop=elsewhere / "shop.yaml").shop.model.name == "two-bench workshop"


def test_the_command_line_goes_before_the_job(job: Path, tmp_path: Path) -> None:
    """Another board and other values, named on the command line, stand in for the job's own."""
    points = tmp_path / "points.csv"
    points.write_text("x,y,bottom,top\n0,0,0,30\n", encoding="utf-8")
    documents = read_job(job, boards=[points], sets={"width": "7-1/2 in"})
    assert documents.values["width"] == Quantity(190.5, 1)
    assert isinstance(documents.boards[0].model, CsvBoard)


def test_a_bad_set_on_the_command_line_is_named(job: Path) -> None:
    """A misspelt input and a value without a unit are mistakes of the call, without a line."""
    found = _refused(job, sets={"widht": "3 mm", "width": "190"})
    assert [(each.file, each.line, each.code) for each in found] == [
        ("--set widht=3 mm", 0, "unknown-name"),
        ("--set width=190", 0, "unit-missing"),
    ]
    assert found[0].hint == "did you mean 'width'?"


def test_a_sum_that_fails_with_the_values_is_placed_in_the_recipe(job: Path, tmp_path: Path) -> None:
    """A recipe beside the job whose sum divides by what comes to zero: the place is in the recipe."""
    recipe = (recipes_folder() / "four-sides-square.yaml").read_text(encoding="utf-8")
    (tmp_path / "own.yaml").write_text(
        recipe.replace('to: "=width"', 'to: "=width * width / (length - 1150 mm)"'), encoding="utf-8"
    )
    _change(job, "recipe: four-sides-square", "recipe: own.yaml")
    [mistake] = _refused(job)
    assert (Path(mistake.file).name, mistake.code) == ("own.yaml", "division-by-zero")
    assert "length 1150 mm" in mistake.message


def test_shipped_recipes_are_found_by_name() -> None:
    """The two shipped recipes lie where the package, or the checkout, keeps them."""
    assert {"four-sides-square", "skim-the-bed"} <= set(shipped_names(recipes_folder()))


def test_a_broken_job_asks_for_nothing_else(job: Path) -> None:
    """Where the job's text is not YAML there is one mistake, not one for each thing it could not say."""
    _change(job, "recipe:", "recipe")
    [mistake] = _refused(job)
    assert mistake.code == "not-yaml"


def test_reading_the_example_is_quick() -> None:
    """Four documents in less than 60 ms of the processor, the middle of five runs."""
    spent = []
    for _ in range(5):
        began = time.process_time()
        read_job(EXAMPLE / "job.yaml")
        spent.append(time.process_time() - began)
    assert statistics.median(spent) < 0.060
