"""A board's document says in one of four ways what the board is like, or is told what does not fit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import jsonschema
import pytest
import yaml

from example_jobs import EXAMPLES
from stockwright.documents import read_board, schema
from stockwright.documents.points import ProbedBoard
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from pathlib import Path

HEAD = "stockwright: board/1\nname: plank\n"
SIZE = "size: {length: 800 mm, width: 150 mm}\n"
GRID = """\
heights: {along: [10 mm, 790 mm], across: [10 mm, 140 mm], rows: [[30 mm, 30 mm], [30 mm, 31 mm]]}
thickness: {rows: [[28 mm, 28 mm], [28 mm, -]]}
"""
PROBED = "probed: {upper: log.csv, thickness: 28 mm}\n"
SIGHTED = "straightedge: {bow: {reads: 2 mm, hollow: A}, thickness: 28 mm}\n"
NOMINAL = "nominal: {length: 3 ft, width: 6 in, thickness: 1-1/2 in}\nsurface: rough\n"
LOG = "x,y,z\n10,10,30\n790,10,30.5\n790,140,31\n10,140,30\n"


def _read(folder: Path, text: str, log: str = LOG) -> list[Mistake]:
    (folder / "log.csv").write_text(log, encoding="utf-8")
    file = folder / "b.yaml"
    file.write_text(text, encoding="utf-8")
    try:
        read_board(file)
    except InputError as error:
        return list(error.mistakes)
    return []


@pytest.mark.parametrize("way", [SIZE + GRID, SIZE + PROBED, SIZE + SIGHTED, NOMINAL])
def test_each_way_is_enough_and_fits_the_schema(tmp_path: Path, way: str) -> None:
    """A document in any one way is valid to the reader and to an editor; two ways at once are to neither."""
    assert _read(tmp_path, HEAD + way) == []
    jsonschema.validate(yaml.safe_load(HEAD + way), schema("board"))
    both = yaml.safe_load(HEAD + way + (NOMINAL if way != NOMINAL else SIZE + SIGHTED))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(both, schema("board"))


def test_the_logs_are_read_with_the_document(tmp_path: Path) -> None:
    """The board that is read holds its document and the touches of its log, each with its place."""
    assert _read(tmp_path, HEAD + SIZE + PROBED) == []
    board = read_board(tmp_path / "b.yaml").model
    assert isinstance(board, ProbedBoard)
    assert board.name == "plank"
    assert (board.upper.model.x, board.upper.model.z) == (
        [10.0, 790.0, 790.0, 10.0],
        [30.0, 30.5, 31.0, 30.0],
    )
    assert board.upper.where((2, "z")) == (4, 9)
    assert board.lower is None


# What stands in the document; line, column, code, and words of the message or hint.
ONE_EACH = [
    (SIZE, 1, 1, "missing-key", "heights, probed, straightedge, nominal"),
    (SIZE + GRID.partition("thickness")[0], 1, 1, "missing-key", "'thickness' is missing"),
    (SIZE + GRID[GRID.index("thickness") :], 1, 1, "missing-key", "'heights' is missing"),
    (SIZE + GRID.replace("heights", "heigths"), 4, 1, "unknown-key", "did you mean 'heights'?"),
    (SIZE + GRID + SIGHTED, 6, 15, "contradiction", "'heights' in line 4"),
    (SIZE + PROBED + SIGHTED, 5, 15, "contradiction", "'probed' in line 4"),
    (SIZE + PROBED.replace(", thickness: 28 mm", ""), 4, 9, "missing-key", "expected 'callipers'"),
    (
        SIZE + PROBED.replace("28 mm}", "28 mm, callipers: [{along: 1 mm, across: 1 mm, thickness: 9 mm}]}"),
        4,
        37,
        "contradiction",
        "'callipers' in line 4",
    ),
    (SIZE + PROBED.replace("log.csv", "lgo.csv"), 4, 17, "missing-file", "did you mean 'log.csv'?"),
    (SIZE + PROBED.replace("log.csv", "../log.csv"), 4, 17, "outside-folder", "leaves this file's folder"),
    (SIZE + PROBED.replace("log.csv", "/log.csv"), 4, 17, "outside-folder", "starts at this file's folder"),
    (SIZE + SIGHTED.replace("hollow: A", "hollow: up"), 4, 43, "unknown-word", "expected one of A, B"),
    (SIZE + SIGHTED.replace("2 mm", "-2 mm"), 4, 29, "out-of-range", "at least 0 mm"),
    (SIZE + SIGHTED.replace("bow", "bwo"), 4, 16, "unknown-key", "did you mean 'bow'?"),
    (
        "edge-1: {along: [0 mm, 9 mm], offset: [0 mm, 0 mm]}\n"
        "edge-2: {along: [0 mm, 9 mm], offset: [9 mm, 9 mm]}\n"
        "ends: {end-1: {near: 0 mm, far: 0 mm}, end-2: {near: 9 mm, far: 9 mm}}\n"
        + SIGHTED.replace("bow: {reads: 2 mm, hollow: A}", "crook: {reads: 2 mm, hollow: edge-1}"),
        6,
        23,
        "contradiction",
        "'edge-1' in line 3",
    ),
    (NOMINAL.replace("surface: rough\n", ""), 1, 1, "missing-key", "write 'surface: rough'"),
    (NOMINAL.replace("rough", "smooth"), 4, 10, "unknown-word", "expected 'rough'"),
    (NOMINAL + "uncertainty: 1 mm\n", 5, 14, "contradiction", "nothing was read"),
    (NOMINAL + SIZE, 5, 7, "contradiction", "'nominal' in line 3"),
    (SIZE + SIGHTED + "surface: rough\n", 5, 10, "contradiction", "belongs to 'nominal'"),
]


@pytest.mark.parametrize(("text", "line", "column", "code", "words"), ONE_EACH)
def test_one_thing_wrong_is_one_mistake(
    tmp_path: Path, text: str, line: int, column: int, code: str, words: str
) -> None:
    """One thing that does not fit: one mistake, at its place, with what would be right."""
    [mistake] = _read(tmp_path, HEAD + text)
    assert (mistake.code, mistake.line, mistake.column) == (code, line, column)
    assert words in f"{mistake.message}; {mistake.hint}"


def test_a_logs_mistakes_come_with_the_documents(tmp_path: Path) -> None:
    """A misspelt key in the document and two bad rows in its log: three mistakes, each in its own file."""
    log = "x,y,z\n10,10,\n790,10,3 0\n790,140,31\n"
    found = _read(tmp_path, HEAD + SIZE + PROBED.replace("thickness:", "thicknes:"), log)
    assert [(m.file.rsplit("/", 1)[-1], m.line, m.code) for m in found] == [
        ("b.yaml", 4, "unknown-key"),
        ("log.csv", 2, "csv"),
        ("log.csv", 3, "csv"),
    ]
    assert "nothing stands for z" in found[-2].message


@pytest.mark.parametrize("head", ["x;y;z", "x,y", "X,Y,Z", "x,z,y", "x,y,bottom,top"])
def test_a_logs_first_line_is_exactly_its_columns(tmp_path: Path, head: str) -> None:
    """Another first line is refused: exchanged columns would be another board."""
    [mistake] = _read(tmp_path, HEAD + SIZE + PROBED, LOG.replace("x,y,z", head))
    assert (mistake.code, mistake.line) == ("csv", 1)
    assert "x,y,z" in mistake.message


def test_the_examples_show_every_way() -> None:
    """Among the example boards each of the four ways has one."""
    texts = [path.read_text(encoding="utf-8") for path in EXAMPLES.rglob("*.yaml")]
    for way in ("heights:", "probed:", "straightedge:", "nominal:"):
        assert any(f"\n{way}" in text for text in texts), way
