"""A board measured as a list of points, or a face's probing log, from CSV files.

In: text with the columns `x,y,bottom,top`, or `x,y,z` for the touches of one face, in mm. Out: `CsvBoard` or
`Log`, and where each number stands. Promise: a row that cannot be understood is a mistake with its line, and
is never silently left out.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import field
from pathlib import PurePath
from typing import TYPE_CHECKING

from stockwright.documents.source import MOST_MISTAKES, Place, Steps, Tree
from stockwright.frozen import frozen
from stockwright.units import LONGEST_LENGTH

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stockwright.documents.board import BoardDocument
    from stockwright.documents.loaded import Loaded

__all__ = [
    "COLUMNS",
    "LARGEST_CSV",
    "LOG_COLUMNS",
    "CsvBoard",
    "Log",
    "ProbedBoard",
    "log_place_of",
    "place_of",
    "read_log",
    "read_points",
]

COLUMNS = ("x", "y", "bottom", "top")
LOG_COLUMNS = ("x", "y", "z")
LONGEST_NAME = 80  # characters, as of any name that a document says
LARGEST_CSV = 20_000_000  # bytes; some 700,000 points, far more than a probing log has
_NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?", re.ASCII)


@frozen
class CsvBoard:
    """Points of a board, mm: `bottom` and `top` are heights at (x, y), `lines` their lines in the file."""

    name: str
    x: list[float] = field(default_factory=list)
    y: list[float] = field(default_factory=list)
    bottom: list[float] = field(default_factory=list)
    top: list[float] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)


@frozen
class Log:
    """Touches of one face, in the units that the board's document says; `lines` are theirs in the file."""

    x: list[float] = field(default_factory=list)
    y: list[float] = field(default_factory=list)
    z: list[float] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)


@frozen
class ProbedBoard:
    """A board's document together with the logs that it names."""

    document: BoardDocument
    upper: Loaded[Log]
    lower: Loaded[Log] | None

    @property
    def name(self) -> str:
        """The board's name."""
        return self.document.name


def read_points(tree: Tree) -> CsvBoard:
    """Return the points of a CSV's text; mistakes are noted in the tree, `csv` for all."""
    made = CsvBoard(name=_named_for(tree.path))
    for number, line, values in _rows(tree, COLUMNS):
        if values[2] >= values[3]:
            tree.mistake(
                (number, _column(line, 3)),
                "csv",
                f"the top, {values[3]:g} mm, is not above the bottom, {values[2]:g} mm",
                "are the two columns exchanged?",
            )
            continue
        for column, value in zip((made.x, made.y, made.bottom, made.top), values, strict=True):
            column.append(value)
        made.lines.append(number)
    return made


def _named_for(path: str) -> str:
    """Return a board's name made of its file's: a name as any document's, whatever the file is called."""
    text = unicodedata.normalize("NFC", PurePath(path).stem)
    text = re.sub(r"[^\w .,()+-]", "-", text)[:LONGEST_NAME]
    return re.sub(r"^[\W_]+|[^\w.)+]+$", "", text) or "board"


def read_log(tree: Tree) -> Log:
    """Return the touches of a probing log's text; mistakes are noted in the tree, `csv` for all."""
    made = Log()
    for number, _, values in _rows(tree, LOG_COLUMNS):
        for column, value in zip((made.x, made.y, made.z), values, strict=True):
            column.append(value)
        made.lines.append(number)
    return made


def _rows(tree: Tree, columns: Sequence[str]) -> Iterator[tuple[int, str, list[float]]]:
    """Yield line number, line and numbers of each row; all else is noted in the tree."""
    headed = found = False
    for number, line in enumerate(tree.text.splitlines(), start=1):
        if not line.strip():
            continue
        cells = [cell.strip() for cell in line.split(",")]
        if not headed:
            headed = True
            if tuple(cells) != tuple(columns):
                _other_head(tree, number, line, cells, columns)
                return
            continue
        found = True
        values = _row(tree, number, line, cells, columns)
        if values is not None:
            yield number, line, values
        if len(tree.mistakes) >= MOST_MISTAKES:
            return
    if headed and not found:
        tree.mistake((1, 1), "empty", "no point stands below the first line")


def _other_head(tree: Tree, number: int, line: str, cells: list[str], columns: Sequence[str]) -> None:
    """Note that the first line is another one, and what is missing where it is the other kind of table's."""
    wanted = ",".join(columns)
    if tuple(cells) == LOG_COLUMNS:
        tree.mistake(
            (number, 1),
            "csv",
            f"a probing log of one face, expected '{wanted}': where the other face lies is missing, and "
            "the outline",
            "name it in a board's document: 'probed: {upper: "
            f"{PurePath(tree.path).name}, thickness: 38 mm}}' and 'size: {{length: 800 mm, width: 150 mm}}'",
        )
        return
    hint = "separate the columns by commas" if ";" in line or "\t" in line else ""
    if tuple(cells) == COLUMNS:
        hint = "a table with bottom and top is a whole board: name it with --board, or in the job's 'boards'"
    tree.mistake((number, 1), "csv", f"got '{line.strip()[:60]}', expected '{wanted}'", hint)


def place_of(tree: Tree, board: CsvBoard, path: Steps) -> Place:
    """Return where a number stands: `("top", 5)` is the sixth point's; `("top",)` the column's head."""
    return _place(tree, board.lines, COLUMNS, path)


def log_place_of(tree: Tree, log: Log, path: Steps) -> Place:
    """Return where a number of a log stands: `(5, "z")` is the sixth touch's."""
    return _place(tree, log.lines, LOG_COLUMNS, path)


def _place(tree: Tree, numbers: Sequence[int], columns: Sequence[str], path: Steps) -> Place:
    lines = tree.text.splitlines()
    head = next((n for n, line in enumerate(lines, 1) if line.strip()), 1)
    index = next((step for step in path if isinstance(step, int)), None)
    column = next((columns.index(step) for step in path if step in columns), 0)
    number = numbers[index] if index is not None and 0 <= index < len(numbers) else head
    return number, _column(lines[number - 1], column)


def _column(line: str, index: int) -> int:
    cells = line.split(",")
    before = sum(len(cell) + 1 for cell in cells[:index])
    cell = cells[index] if index < len(cells) else ""
    return before + len(cell) - len(cell.lstrip()) + 1


def _row(tree: Tree, number: int, line: str, cells: list[str], columns: Sequence[str]) -> list[float] | None:
    if len(cells) != len(columns):
        hint = "write the decimal point as '.'" if len(cells) > len(columns) else ""
        tree.mistake((number, 1), "csv", f"got {len(cells)} columns, expected {len(columns)}", hint)
        return None
    values: list[float] = []
    for index, cell in enumerate(cells):
        value = float(cell) if len(cell) <= 40 and _NUMBER.fullmatch(cell) else math.nan
        if not math.isfinite(value):
            got = f"got '{cell[:40]}'" if cell else "nothing stands"
            tree.mistake(
                (number, _column(line, index)),
                "csv",
                f"{got} for {columns[index]}, expected a number in mm without its unit",
            )
        elif abs(value) > LONGEST_LENGTH:
            message = f"got '{cell[:40]}' for {columns[index]}, expected at most {LONGEST_LENGTH:,.0f} mm"
            tree.mistake((number, _column(line, index)), "csv", message, "is a digit wrong?")
            value = math.nan
        values.append(value)
    return values if all(map(math.isfinite, values)) else None
