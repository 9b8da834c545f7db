"""A job whose boards become different parts: its entries read, and every mistake in them with its place."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from stockwright.documents import Documents, read_job
from stockwright.documents.expressions import Quantity
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from pathlib import Path

HEAD = """\
stockwright: job/1
name: two parts
recipe: four-sides-square
shop: shop.yaml
"""
COMMON = "set: {length: 270 mm, width: 110 mm, thickness: 20 mm}\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Copy a shop and two boards."""
    made = tmp_path_factory.mktemp("parts")
    for name in ("shop.yaml", "board-1.yaml", "board-5.yaml"):
        shutil.copy(EXAMPLES / "spice-rack" / name, made)
    return made


def read(folder: Path, rest: str, **more: object) -> Documents:
    """Read a job of these lines after its head."""
    (folder / "job.yaml").write_text(HEAD + rest, encoding="utf-8")
    return read_job(folder / "job.yaml", **more)  # type: ignore[arg-type]


def mistakes(folder: Path, rest: str, **more: object) -> list[tuple[int, int, str, str, str]]:
    """Give a job's mistakes: line, column, code, message, hint."""
    with pytest.raises(InputError) as caught:
        read(folder, rest, **more)
    return [(m.line, m.column, m.code, m.message, m.hint) for m in caught.value.mistakes]


def lengths(documents: Documents) -> list[tuple[str, float, float]]:
    """Give of each board its part, its length and its width, mm."""
    return [(a.part, a.values["length"].value, a.values["width"].value) for a in documents.asked]


def test_an_entry_goes_before_the_job_and_the_job_answers_the_rest(folder: Path) -> None:
    """A part's own length holds for its board, and what it does not say is as the job says."""
    boards = "boards: [board-1.yaml, {board: board-5.yaml, part: rail, set: {length: 9 in}}]\n"
    documents = read(folder, boards + COMMON)
    assert lengths(documents) == [("", 270.0, 110.0), ("rail", 228.6, 110.0)]
    assert [each.model.name for each in documents.boards] == ["shelf 1", "shelf 5"]
    assert documents.values["length"] == Quantity(270.0, 1)


def test_one_entry_may_name_several_boards(folder: Path) -> None:
    """A list of boards is one part of which there are as many; a lone table needs no brackets."""
    lone = "boards: {board: [board-1.yaml, board-5.yaml], part: shelf, set: {width: 90 mm}}\n"
    assert lengths(read(folder, lone + COMMON)) == [("shelf", 270.0, 90.0)] * 2


def test_what_every_entry_says_the_job_need_not(folder: Path) -> None:
    """Where each part has its own length, none stands below the job's `set`."""
    boards = (
        "boards: [{board: board-1.yaml, set: {length: 1 ft}}, {board: board-5.yaml, set: {length: 240 mm}}]\n"
    )
    found = lengths(read(folder, boards + "set: {width: 110 mm, thickness: 20 mm}\n"))
    assert [length for _, length, _ in found] == pytest.approx([304.8, 240.0])


def test_the_call_goes_before_both(folder: Path) -> None:
    """A value of the command line holds for every board, whatever its entry says."""
    boards = "boards: [board-1.yaml, {board: board-5.yaml, set: {length: 240 mm}}]\n"
    found = lengths(read(folder, boards + COMMON, sets={"length": "250 mm"}))
    assert [length for _, length, _ in found] == [250.0, 250.0]


def test_boards_of_the_call_have_no_entry(folder: Path) -> None:
    """A board named on the command line is cut as the job says, and no entry counts."""
    boards = "boards: [{board: board-5.yaml, set: {length: 240 mm}}]\n"
    documents = read(folder, boards + COMMON, boards=[folder / "board-1.yaml"])
    assert (documents.asked, documents.values["length"].value) == ((), 270.0)


def test_names_alone_ask_nothing_of_their_own(folder: Path) -> None:
    """A job as it always was has no values by board."""
    assert read(folder, "boards: [board-1.yaml, board-5.yaml]\n" + COMMON).asked == ()


def test_every_mistake_of_every_entry_comes_with_its_place(folder: Path) -> None:
    """An unknown input, a unit, a key, a range and a repeated board are all told at once."""
    rest = (
        "boards:\n"
        "  - {board: board-1.yaml, part: shelf, set: {lenght: 240 mm}}\n"
        "  - {board: board-5.yaml, parts: rail, set: {length: 240, width: 9 m}}\n"
        "  - {part: rail}\n"
        "  - {board: board-1.yaml}\n"
    )
    found = mistakes(folder, rest + COMMON)
    places = {(line, column, code): (message, hint) for line, column, code, message, hint in found}
    assert places[6, 46, "unknown-name"] == (
        "the recipe has no input 'lenght', expected one of length, width, thickness",
        "did you mean 'length'?",
    )
    assert places[7, 27, "unknown-key"][1] == "did you mean 'part'?"
    assert places[7, 54, "unit-missing"][0].startswith("got '240'")
    assert "expected at most 600 mm" in places[7, 66, "out-of-range"][0]
    assert places[8, 5, "missing-key"][0] == "'board' is missing"
    assert any(code == "repeated" for *_, code, _, _ in found)
    assert len(found) == 6


def test_what_one_board_lacks_is_told_at_its_entry(folder: Path) -> None:
    """A length that only one part has is missing for the other, at that one's entry."""
    rest = "boards: [{board: board-1.yaml, set: {length: 240 mm}}, {board: board-5.yaml, part: rail}]\n"
    ((line, column, code, message, _),) = mistakes(folder, rest + "set: {width: 9 cm, thickness: 20 mm}\n")
    assert (line, column, code) == (5, 56, "missing-key")
    assert message.startswith("'length' is missing for the boards of this entry: ")


def test_what_stands_behind_an_entry_is_read_too(folder: Path) -> None:
    """A value of the job that every entry stands before is still a mistake where it is none."""
    boards = "boards: [{board: board-1.yaml, set: {length: 240 mm}}]\n"
    rest = boards + "set: {length: long, width: 9 cm, thickness: 20 mm}\n"
    ((line, column, _, message, _),) = mistakes(folder, rest)
    assert (line, column) == (6, 15)
    assert "long" in message


def test_a_question_is_put_once_for_all_boards(folder: Path) -> None:
    """What is given nowhere is asked once, and the answer holds for every entry without its own."""
    from stockwright.documents import gather

    asked: list[str] = []

    def ask(question: str) -> str:
        asked.append(question)
        return "20 mm"

    boards = "boards: [{board: board-1.yaml, part: a}, {board: board-5.yaml, part: b}]\n"
    (folder / "job.yaml").write_text(HEAD + boards + "set: {length: 24 cm, width: 9 cm}\n", encoding="utf-8")
    found = gather(folder / "job.yaml", ask=ask)
    assert found.documents is not None
    assert [each.values["thickness"].value for each in found.documents.asked] == [20.0, 20.0]
    assert len(asked) == 1
