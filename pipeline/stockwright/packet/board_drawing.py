"""A board before and after: the finished piece inside the rough board, from above and from the side.

In: a packet and one of its boards. Out: SVG. Promise: outlines are the packet's own, board frame, one scale.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.packet.drawing import ALONG, Canvas, Window
from stockwright.packet.model import PlaneGoal
from stockwright.packet.plan_words import LOWEST_FOR_TWO, write_side_names
from stockwright.packet.wood import wood_in

if TYPE_CHECKING:
    from markupsafe import Markup

    from stockwright.packet.model import Lies, MeasuredBoard, Packet, Setup
    from stockwright.packet.writing import Writing

__all__ = ["HALF", "WIDE", "draw_board"]

Point = tuple[float, float]
WIDE, TALL = 186.0, 62.0  # paper mm
HALF = 90.0  # paper mm: how wide one of two side by side is
BETWEEN = 9.0  # paper mm between the view from above and the one from the side: a name stands there
ABOVE, ABOVE_LOW = 9.0, 13.5  # paper mm over a board: a dimension; where it is low, its edge's name too
BELOW = 3.0
NARROW = 40.0  # paper mm: what holds the names of both ends and of an edge between them
SIDES = {"edge-1": "near", "edge-2": "far", "end-1": "left", "end-2": "right"}


def draw_board(
    packet: Packet, name: str, number: int, writing: Writing, tall: float = TALL, wide: float = WIDE
) -> Markup:
    """Return the drawing of board `name`, the `number`th of the sheet, `wide` and at most `tall` paper mm."""
    board = packet.boards[name]
    lying = [(setup, lie) for setup in packet.setups for lie in setup.lies if lie.board == name]
    (x0, y0), (x1, y1) = np.min(board.outline, axis=0).tolist(), np.max(board.outline, axis=0).tolist()
    profile = _profile(board)
    thick = float(np.ptp(profile[:, 1:]))
    # The side view stands below the other at a distance on paper, whatever the scale comes to.
    room = (wide - 44.0, tall - ABOVE - BELOW - BETWEEN)
    scale = min(room[0] / (x1 - x0), room[1] / (y1 - y0 + thick))
    low = scale * (y1 - y0) <= LOWEST_FOR_TWO
    above = ABOVE_LOW if low else ABOVE
    # Room for the ends' names outside.
    right, beside = (42.0, 16.0) if low or scale * (x1 - x0) < NARROW else (30.0, 5.0)
    drop = y0 - BETWEEN / scale - float(profile[:, 2].max())
    corner = (x0, drop + float(profile[:, 1].min()))
    window = Window(corner, (x1, y1), left=14.0, right=right, above=above, below=BELOW)
    canvas = Canvas(f"board-{number}", f"{name}, before and after", window, wide, tall + above - ABOVE)
    canvas.polygon("board", board.outline, name)
    if lying:
        _finished(canvas, packet, name, lying[0], writing)
    for hole in board.holes:
        canvas.polygon("paper", hole, "hole")
    _side_view(canvas, profile, lying, name, drop)
    canvas.span_across(x0, x1, 5.6, writing.length(x1 - x0), (y1, y1))
    across = canvas.at((x1, 0.0))[0] + beside
    canvas.span_up(y0, y1, across, writing.length(y1 - y0), edge=(x1, x1))
    write_side_names(canvas, board.outline, SIDES, set(), ())
    middle = drop + float(profile[:, 1:].mean())
    canvas.word((canvas.at((x1, 0.0))[0] + 3.0, canvas.at((0.0, middle))[1]), "from edge-1", "quiet", "start")
    return canvas.svg()


def _profile(board: MeasuredBoard) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Return (n, 3): place along the grain, lower and upper height, through the board's middle."""
    ends = np.array(board.outline)[:, 0]
    middle = len(board.y) // 2
    rows = np.stack([board.x, np.array(board.bottom)[:, middle], np.array(board.top)[:, middle]], axis=1)
    first, last = rows[0].copy(), rows[-1].copy()
    first[0], last[0] = min(first[0], ends.min()), max(last[0], ends.max())
    return np.vstack([first, rows, last])


def _finished(canvas: Canvas, packet: Packet, name: str, lying: tuple[Setup, Lies], writing: Writing) -> None:
    setup, lie = lying
    wood = wood_in(packet, setup, name)
    back = np.linalg.inv(np.array(lie.matrix))
    height = (wood.top + wood.bottom) / 2
    piece = [tuple((back @ np.array([x, y, height, 1.0]))[:2].tolist()) for x, y in wood.piece]
    canvas.polygon("cut-now piece", piece, f"{name}, finished")
    wanted = packet.wanted.get(name)
    if wanted is not None:
        told = writing.sizes((wanted.length, wanted.width, wanted.thickness))
        low, high = np.min(piece, axis=0), np.max(piece, axis=0)
        # Else it stands in the table below the drawing only.
        told = canvas.fitting((told, ""), "strong", float(high[0] - low[0]) * canvas.scale)
        if told:
            canvas.word(canvas.at(tuple(((low + high) / 2).tolist())), told, "strong", tries=ALONG)


def _side_view(
    canvas: Canvas,
    profile: np.ndarray[tuple[int, int], np.dtype[np.float64]],
    lying: list[tuple[Setup, Lies]],
    name: str,
    drop: float,
) -> None:
    lower = [(float(x), float(z) + drop) for x, z, _ in profile]
    upper = [(float(x), float(z) + drop) for x, _, z in profile[::-1]]
    canvas.polygon("board", lower + upper, f"{name} from the side")
    for setup, lie in lying:
        back = np.linalg.inv(np.array(lie.matrix))
        for goal in setup.goals:
            if not isinstance(goal, PlaneGoal) or goal.board != name:
                continue
            corners = np.array([[x, y, goal.z, 1.0] for x, y in goal.region]) @ back.T
            ends = corners[[corners[:, 0].argmin(), corners[:, 0].argmax()]]
            canvas.line("piece", [(float(p[0]), float(p[2]) + drop) for p in ends], goal.cut)
