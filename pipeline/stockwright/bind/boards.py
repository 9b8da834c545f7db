"""Board documents, probing logs and lists of points -> `Board`.

In: a valid document. Out: the board, or what contradicts itself in its readings. Promise: each contradiction
is a mistake at its place, and names the place of the reading that it contradicts.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.documents.points import CsvBoard, ProbedBoard
from stockwright.mistakes import Mistake
from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from stockwright.board.outline import Lines
    from stockwright.board.problem import Path, Problem
    from stockwright.board.straightedge import Sighted
    from stockwright.board.surface import Board
    from stockwright.board.touched import Odd
    from stockwright.documents.board import BoardDocument, Straightedge
    from stockwright.documents.loaded import Loaded
    from stockwright.documents.points import Log

__all__ = ["bind_board"]

LONGEST, WIDEST, THICKEST = 30_000.0, 5_000.0, 400.0  # mm, of any board: common practice, no source
THINNEST_LISTED = 5.0  # mm: a list in inches says no more of any board; common practice, no source
_TOLD = 5  # touches left out that a note names one by one


def bind_board(
    loaded: Loaded[BoardDocument | CsvBoard | ProbedBoard],
) -> tuple[Board | None, list[Mistake]]:
    """Return the board, and what contradicts itself in its readings."""
    board, mistakes = _bound(loaded)
    if board is not None:
        mistakes = [*mistakes, *_too_large(loaded, board)]
    return board, mistakes


def _bound(
    loaded: Loaded[BoardDocument | CsvBoard | ProbedBoard],
) -> tuple[Board | None, list[Mistake]]:
    from stockwright.board.outline import voids_of

    model = loaded.model
    if isinstance(model, CsvBoard):
        return _from_points(loaded, model)
    if isinstance(model, ProbedBoard):
        document = model.document
        board, mistakes = _from_logs(loaded, model)
    else:
        document = model
        board, problems = _from_document(document)
        mistakes = [_mistake(loaded, p) for p in problems]
    if board is not None:
        moisture = None if document.moisture is None else round(document.moisture * 100, 6)
        board = replace(board, species=document.species, moisture=moisture, sawn=document.sawn)
        if document.voids:
            holes, problems = voids_of(board.outline, [(v.along, v.across) for v in document.voids])
            mistakes += [_mistake(loaded, p) for p in problems]
            board = replace(board, holes=holes)
    return board, mistakes


def _too_large(loaded: Loaded[BoardDocument | CsvBoard | ProbedBoard], board: Board) -> Iterator[Mistake]:
    """Yield what no board is: a digit or a unit is wrong, and the work would grow with it."""
    thick = float(board.top.max() - board.bottom.min())
    (x0, y0), (x1, y1) = board.outline.min(axis=0), board.outline.max(axis=0)
    for what, size, most in (
        ("long", x1 - x0, LONGEST),
        ("wide", y1 - y0, WIDEST),
        ("thick", thick, THICKEST),
    ):
        if size > most:
            message = f"the board would be {size:,.0f} mm {what}, expected at most {most:,.0f} mm"
            yield loaded.mistake((), "out-of-range", message, "is a digit or a unit wrong?")


def _from_points(
    loaded: Loaded[BoardDocument | CsvBoard | ProbedBoard], points: CsvBoard
) -> tuple[Board | None, list[Mistake]]:
    from stockwright.board.points import board_from_points

    board, problems = board_from_points(points.name, points.x, points.y, points.bottom, points.top)
    mistakes = [_mistake(loaded, p) for p in problems]
    thick = max((high - low for low, high in zip(points.bottom, points.top, strict=True)), default=0.0)
    if 0.0 < thick < THINNEST_LISTED:
        message = f"the board would be {thick:g} mm thick at most, and a list of points is in mm"
        hint = (
            "are these inches? multiply them by 25.4, or write a board's document, where lengths have units"
        )
        mistakes.append(loaded.mistake(("top",), "out-of-range", message, hint))
    return None if mistakes else board, mistakes


def _from_document(document: BoardDocument) -> tuple[Board | None, list[Problem]]:
    from stockwright.board.nominal import board_from_nominal
    from stockwright.board.readings import board_from_readings
    from stockwright.board.straightedge import board_from_straightedge

    lines = _lines(document)
    if document.nominal is not None:
        sizes = document.nominal
        return board_from_nominal(document.name, sizes.length, sizes.width, sizes.thickness), []
    if document.straightedge is not None:
        sighted = _sighted(document.straightedge)
        return board_from_straightedge(document.name, sighted, lines, document.uncertainty)
    heights, thickness = document.heights, document.thickness
    assert heights is not None
    assert thickness is not None
    return board_from_readings(
        document.name,
        lines,
        (heights.along, heights.across, heights.rows),
        thickness=thickness.rows,
        turned_over=document.turned_over.rows if document.turned_over else None,
        uncertainty=document.uncertainty,
    )


def _lines(document: BoardDocument) -> Lines:
    from stockwright.board.outline import Lines

    edge_1, edge_2, ends, size = document.edge_1, document.edge_2, document.ends, document.size
    return Lines(
        edge_1=None if edge_1 is None else (edge_1.along, edge_1.offset),
        edge_2=None if edge_2 is None else (edge_2.along, edge_2.offset),
        ends=None if ends is None else ((ends.end_1.near, ends.end_1.far), (ends.end_2.near, ends.end_2.far)),
        size=None if size is None else (size.length, size.width),
        ring=None if document.outline is None else (document.outline.along, document.outline.across),
    )


def _sighted(read: Straightedge) -> Sighted:
    """Return the readings with a sign in place of a word."""
    from stockwright.board.straightedge import Sighted, Twist

    def signed(reads: float, *, positive: bool) -> float:
        return reads if positive else -reads

    bow, cup, crook, wedge = read.bow, read.cup, read.crook, read.wedge
    twist, corners = read.twist, read.corners
    return Sighted(
        bow=None if bow is None else signed(bow.reads, positive=bow.hollow == "A"),
        cup=None if cup is None else signed(cup.reads, positive=cup.hollow == "A"),
        twist=None if twist is None else Twist(twist.reads, twist.high, twist.sticks, twist.apart),
        crook=None if crook is None else signed(crook.reads, positive=crook.hollow == "edge-1"),
        wedge=None if wedge is None else signed(wedge.reads, positive=wedge.thick == "edge-2"),
        corners=None
        if corners is None
        else ((corners.end_1.near, corners.end_1.far), (corners.end_2.near, corners.end_2.far)),
        thickness=read.thickness,
    )


def _from_logs(
    loaded: Loaded[BoardDocument | CsvBoard | ProbedBoard], model: ProbedBoard
) -> tuple[Board | None, list[Mistake]]:
    import numpy as np

    from stockwright.board.probing import Probed, board_from_probing

    asked = model.document.probed
    assert asked is not None
    callipers = asked.callipers
    probed = Probed(
        upper=_touches(model.upper.model, asked.units),
        lower=None if model.lower is None else _touches(model.lower.model, asked.units),
        thickness=asked.thickness,
        callipers=None
        if callipers is None
        else np.array([(c.along, c.across, c.thickness) for c in callipers]),
        lower_from_edge_2=asked.lower_y == "from-edge-2",
        drop=asked.drop_outliers,
    )
    board, problems, odd = board_from_probing(
        model.document.name, probed, _lines(model.document), model.document.uncertainty
    )
    logs = {"upper": model.upper} | ({} if model.lower is None else {"lower": model.lower})
    if board is not None and odd:
        board = replace(board, notes=(*board.notes, _left_out(odd, logs)))
    return board, [_mistake(loaded, p, logs) for p in problems]


def _touches(log: Log, units: str) -> NDArray[np.float64]:
    import numpy as np

    return np.column_stack([log.x, log.y, log.z]) * (INCH if units == "inch" else 1.0)


def _left_out(odd: Sequence[Odd], logs: dict[str, Loaded[Log]]) -> str:
    """Return the note that names the touches left out."""
    from pathlib import PurePath

    named = [
        f"{PurePath(logs[o.face].path).name} line {logs[o.face].model.lines[o.row]} (x {o.x:g} mm, y "
        f"{o.y:g} mm, "
        f"{abs(o.off):.1f} mm {'above' if o.off > 0 else 'below'} the touches round it)"
        for o in odd[:_TOLD]
    ]
    more = f" and {len(odd) - _TOLD} more" if len(odd) > _TOLD else ""
    verb = "touch was" if len(odd) == 1 else "touches were"
    return f"{len(odd)} {verb} left out, as the document asks: {', '.join(named)}{more}."


def _mistake(
    loaded: Loaded[BoardDocument | CsvBoard | ProbedBoard],
    problem: Problem,
    logs: dict[str, Loaded[Log]] | None = None,
) -> Mistake:
    """Return the mistake at the problem's place, with the places of what it contradicts in its message."""

    def place(path: Path) -> tuple[str, int, int]:
        log = (logs or {}).get(str(path[0])) if path else None
        if log is not None:
            return (log.path, *log.where(path[1:]))
        return (loaded.path, *loaded.where(path))

    others = [f"{file}:{line}" for file, line, _ in map(place, problem.against)]
    message = (
        f"{problem.message}, against {' and '.join(dict.fromkeys(others))}" if others else problem.message
    )
    return Mistake(*place(problem.path), problem.code, message, problem.hint)
