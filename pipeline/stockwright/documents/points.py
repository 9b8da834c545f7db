"""A board measured as a list of points, from a CSV file.

In: text with the columns `x,y,bottom,top` in mm. Out: `CsvBoard`, and where each number stands. Promise: a
row that cannot be understood is a mistake with its line, never left out in silence.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from pathlib import PurePath

from stockwright.documents.source import MOST_MISTAKES, Place, Steps, Tree

__all__ = ["COLUMNS", "LARGEST_CSV", "CsvBoard", "read_points"]

COLUMNS = ("x", "y", "bottom", "top")
LARGEST_CSV = 20_000_000  # bytes; some 700,000 points, far more than a probing log has
_NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?", re.ASCII)


@dataclass(frozen=True)
class CsvBoard:
    """Points of a board, mm: `bottom` and `top` are heights at (x, y), `lines` their lines in the file."""

    name: str
    x: list[float] = field(default_factory=list)
    y: list[float] = field(default_factory=list)
    bottom: list[float] = field(default_factory=list)
    top: list[float] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)


def read_points(tree: Tree) -> CsvBoard:
    """Return the points of a CSV's text; mistakes are noted in the tree, `csv` for all."""
    made = CsvBoard(name=PurePath(tree.path).stem)
    columns = (made.x, made.y, made.bottom, made.top)
    headed = False
    for number, line in enumerate(tree.text.splitlines(), start=1):
        if not line.strip():
            continue
        cells = [cell.strip() for cell in line.split(",")]
        if not headed:
            headed = True
            if tuple(cells) != COLUMNS:
                hint = "separate the columns by commas" if ";" in line or "\t" in line else ""
                tree.mistake(
                    (number, 1), "csv", f"got '{line.strip()[:60]}', expected 'x,y,bottom,top'", hint
                )
                return made
            continue
        values = _row(tree, number, line, cells)
        if len(tree.mistakes) >= MOST_MISTAKES:
            return made
        if values is not None:
            for column, value in zip(columns, values, strict=True):
                column.append(value)
            made.lines.append(number)
    if headed and not made.lines and not tree.mistakes:
        tree.mistake((1, 1), "empty", "no point stands below the first line")
    return made


def place_of(tree: Tree, board: CsvBoard, path: Steps) -> Place:
    """Return where a number stands: `("top", 5)` is the sixth point's; `("top",)` the column's head."""
    head = next((n for n, line in enumerate(tree.text.splitlines(), 1) if line.strip()), 1)
    index = next((step for step in path if isinstance(step, int)), None)
    column = next((COLUMNS.index(step) for step in path if step in COLUMNS), 0)
    number = board.lines[index] if index is not None and 0 <= index < len(board.lines) else head
    return number, _column(tree.text.splitlines()[number - 1], column)


def _column(line: str, index: int) -> int:
    cells = line.split(",")
    before = sum(len(cell) + 1 for cell in cells[:index])
    cell = cells[index] if index < len(cells) else ""
    return before + len(cell) - len(cell.lstrip()) + 1


def _row(tree: Tree, number: int, line: str, cells: list[str]) -> list[float] | None:
    if len(cells) != len(COLUMNS):
        hint = "write the decimal point as '.'" if len(cells) == 2 * len(COLUMNS) else ""
        tree.mistake((number, 1), "csv", f"got {len(cells)} columns, expected {len(COLUMNS)}", hint)
        return None
    values: list[float] = []
    for index, cell in enumerate(cells):
        value = float(cell) if len(cell) <= 40 and _NUMBER.fullmatch(cell) else math.nan
        if not math.isfinite(value):
            tree.mistake(
                (number, _column(line, index)),
                "csv",
                f"got '{cell[:40]}' for {COLUMNS[index]}, expected a number in mm without its unit",
            )
        values.append(value)
    if not all(map(math.isfinite, values)):
        return None
    if values[2] >= values[3]:
        tree.mistake(
            (number, _column(line, 3)),
            "csv",
            f"the top, {values[3]:g} mm, is not above the bottom, {values[2]:g} mm",
            "are the two columns exchanged?",
        )
        return None
    return values
