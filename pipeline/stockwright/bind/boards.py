"""Board documents and lists of points -> `Board`.

Promise: readings that contradict each other are mistakes, each at its place in the document.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.documents.points import CsvBoard

if TYPE_CHECKING:
    from stockwright.board.readings import Problem
    from stockwright.board.surface import Board
    from stockwright.documents.board import BoardDocument
    from stockwright.documents.loaded import Loaded
    from stockwright.mistakes import Mistake

__all__ = ["bind_board"]


def bind_board(loaded: Loaded[BoardDocument | CsvBoard]) -> tuple[Board | None, list[Mistake]]:
    """Return the board, and what contradicts itself in its readings."""
    from stockwright.board.readings import board_from_points, board_from_readings

    document = loaded.model
    if isinstance(document, CsvBoard):
        board, problems = board_from_points(
            document.name, document.x, document.y, document.bottom, document.top
        )
        return board, [_points_mistake(loaded, p) for p in problems]
    line_1, line_2, ends, size = document.edge_1, document.edge_2, document.ends, document.size
    heights = document.heights
    board, problems = board_from_readings(
        document.name,
        None if line_1 is None else (line_1.along, line_1.offset),
        None if line_2 is None else (line_2.along, line_2.offset),
        None if ends is None else ((ends.end_1.near, ends.end_1.far), (ends.end_2.near, ends.end_2.far)),
        (heights.along, heights.across, heights.rows),
        thickness=document.thickness.rows,
        turned_over=document.turned_over.rows if document.turned_over else None,
        uncertainty=document.uncertainty,
        size=None if size is None else (size.length, size.width),
    )
    return board, [loaded.mistake(p.path, "contradiction", p.message, p.hint) for p in problems]


def _points_mistake(loaded: Loaded[BoardDocument | CsvBoard], problem: Problem) -> Mistake:
    row = next((step for step in problem.path if isinstance(step, int)), None)
    path: tuple[str | int, ...] = ("x",) if row is None else ("x", row)
    return loaded.mistake(path, "contradiction", problem.message, problem.hint)
