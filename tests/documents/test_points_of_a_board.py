"""A CSV of measured points is read whole, or every bad row is named."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from stockwright.documents.load import read_board
from stockwright.documents.points import CsvBoard
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from pathlib import Path

GOOD = "x,y,bottom,top\n0,0,1.5,30\n\n 10 , 0, 1.25, 31e0\n0,10,-0.5,30.75\n"


def test_points_are_read_with_their_places(tmp_path: Path) -> None:
    """Four columns of numbers, blank lines skipped, each number's line and column known."""
    file = tmp_path / "plank.csv"
    file.write_text(GOOD, encoding="utf-8")
    loaded = read_board(file)
    board = loaded.model
    assert isinstance(board, CsvBoard)
    assert (board.name, board.x, board.y) == ("plank", [0.0, 10.0, 0.0], [0.0, 0.0, 10.0])
    assert (board.bottom, board.top, board.lines) == ([1.5, 1.25, -0.5], [30.0, 31.0, 30.75], [2, 4, 5])
    assert loaded.where(("bottom", 1)) == (4, 10)
    assert loaded.mistake(("top", 2), "csv", "too thin").line == 5


@pytest.mark.parametrize(
    ("stem", "name"),
    [
        ("oak (2), left", "oak (2), left"),
        ("Eiche_u\u0308ber 3", "Eiche_\u00fcber 3"),  # as some systems write file names
        ("a\x1b[31mb\u202ec", "a--31mb-c"),
        ("--=+1' ", "1"),
        ("<script>", "script"),
        ("x" * 90, "x" * 80),
        ("%&", "board"),
    ],
)
def test_a_board_is_named_for_its_file_by_a_name_that_any_page_takes(
    stem: str, name: str, tmp_path: Path
) -> None:
    """Letters, digits and the signs of names stay, all else gives way: a file may be called anything."""
    file = tmp_path / f"{stem}.csv"
    file.write_text(GOOD, encoding="utf-8")
    assert read_board(file).model.name == name


def test_a_decimal_comma_is_told(tmp_path: Path) -> None:
    """One comma too many in a row is taken for a decimal comma, and the point is proposed."""
    file = tmp_path / "p.csv"
    file.write_text("x,y,bottom,top\n0,0,1,30,5\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_board(file)
    assert [(each.line, each.hint) for each in caught.value.mistakes] == [
        (2, "write the decimal point as '.'")
    ]


def test_every_bad_row_is_named(tmp_path: Path) -> None:
    """Not a number, not finite, too few columns, upside down: one mistake for each, in file order."""
    file = tmp_path / "p.csv"
    file.write_text(
        "x,y,bottom,top\n0,0,1,30\n1,0,nan,30\n1,0,1\n1,0,30,29\n1,x,1,inf\n1;2;3;4\n", encoding="utf-8"
    )
    with pytest.raises(InputError) as caught:
        read_board(file)
    places = [(each.line, each.column) for each in caught.value.mistakes]
    assert places == [(3, 5), (4, 1), (5, 8), (6, 3), (6, 7), (7, 1)]
    assert {each.code for each in caught.value.mistakes} == {"csv"}


@pytest.mark.parametrize("head", ["x;y;bottom;top", "x,y,top,bottom", "0,0,1,30", "X,Y,Bottom,Top"])
def test_the_first_line_must_name_the_columns(tmp_path: Path, head: str) -> None:
    """A table whose first line is another is refused: exchanged columns would turn the board inside out."""
    file = tmp_path / "p.csv"
    file.write_text(f"{head}\n0,0,1,30\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_board(file)
    [mistake] = caught.value.mistakes
    assert (mistake.code, mistake.line) == ("csv", 1)
    assert "x,y,bottom,top" in mistake.message


def test_a_table_without_points_is_empty(tmp_path: Path) -> None:
    """Only the first line, and nothing below it, is no board."""
    file = tmp_path / "p.csv"
    file.write_text("x,y,bottom,top\n", encoding="utf-8")
    with pytest.raises(InputError, match="empty: no point"):
        read_board(file)
