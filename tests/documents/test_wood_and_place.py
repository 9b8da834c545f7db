"""What a board's document says of its wood and a job's of the piece's future place."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest

from example_jobs import EXAMPLES, bound
from stockwright.documents.load import read_document
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from pathlib import Path

SHELF = EXAMPLES / "alcove-shelf"


def _mistakes(folder: Path, kind: str, text: str) -> tuple[Mistake, ...]:
    file = folder / "d.yaml"
    file.write_text(text)
    with pytest.raises(InputError) as caught:
        read_document(file, kind)
    return cast("tuple[Mistake, ...]", tuple(caught.value.mistakes))


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "code", "words"),
    [
        ("oak-white", "oak-whit", 4, 10, "unknown-word", "did you mean 'oak-white'?"),
        ("oak-white", "White oak", 4, 10, "unknown-word", "did you mean 'oak-white'?"),
        ("oak-white", "zzz", 4, 10, "unknown-word", "leave it out"),
        ("moisture: 11 %", "moisture: 11", 5, 11, "unit-missing", "write '11 %'"),
        ("moisture: 11 %", "moisture: 0 %", 5, 11, "out-of-range", "more than 0 %"),
        ("sawn: flat", "sawn: flt", 6, 7, "unknown-word", "did you mean 'flat'?"),
        ("species: oak-white\n", "", 4, 11, "missing-key", "'species: oak-white'"),
    ],
)
def test_a_mistake_in_the_wood_has_its_place(
    tmp_path: Path, old: str, new: str, line: int, column: int, code: str, words: str
) -> None:
    """A wrong species, moisture or sawing is one mistake with line, column and what would be right."""
    text = (SHELF / "board.yaml").read_text()
    assert old in text
    [mistake] = _mistakes(tmp_path, "board", text.replace(old, new, 1))
    assert (mistake.line, mistake.column, mistake.code) == (line, column, code)
    assert words in f"{mistake.message}; {mistake.hint}"


@pytest.mark.parametrize(
    ("place", "code", "words"),
    [
        ("{temperature: 20 C}", "missing-key", "'humidity' is missing"),
        ("{humidity: 45 %}", "missing-key", "'temperature' is missing"),
        ("{}", "missing-key", "place: {moisture: 8 %}"),
        ("{moisture: 8 %, humidity: 45 %}", "contradiction", "expected one of them"),
        ("{temperature: 20, humidity: 45 %}", "unit-missing", "write '20 C'"),
        ("{temperature: 20 celsius, humidity: 45 %}", "unknown-unit", "did you mean 'C'?"),
        ("{temperature: 200 F, humidity: 45 %}", "out-of-range", "at most 60 C"),
        ("{temperature: 20 C, humidity: 100 %}", "out-of-range", "at most 95 %"),
    ],
)
def test_a_mistake_in_the_place_is_told(tmp_path: Path, place: str, code: str, words: str) -> None:
    """A place half said, said twice, without units or beyond the handbook's table is a mistake."""
    text = f"stockwright: job/1\nname: shelf\nrecipe: two-visits\nshop: shop.yaml\nplace: {place}\n"
    [mistake] = _mistakes(tmp_path, "job", text)
    assert (mistake.line, mistake.code) == (5, code)
    assert words in f"{mistake.message}; {mistake.hint}"


def test_wood_and_place_reach_the_job() -> None:
    """Species, moisture in % and sawing come to the board; 20 C and 45 % to 8.5 % at its place."""
    job, _ = bound(SHELF / "job.yaml")
    [board] = job.boards
    assert (board.species, board.moisture, board.sawn) == ("oak-white", 11.0, "flat")
    assert job.place == pytest.approx(8.485, abs=0.005)


def test_degrees_of_either_scale_are_the_same_place(tmp_path: Path) -> None:
    """68 F is 20 C, so the wood comes to the same moisture there."""
    for name in ("board.yaml", "shop.yaml"):
        (tmp_path / name).write_text((SHELF / name).read_text())
    text = (SHELF / "job.yaml").read_text()
    assert "20 C" in text
    (tmp_path / "job.yaml").write_text(text.replace("20 C", "68 F", 1))
    there, here = bound(tmp_path / "job.yaml")[0].place, bound(SHELF / "job.yaml")[0].place
    assert there == pytest.approx(here)
