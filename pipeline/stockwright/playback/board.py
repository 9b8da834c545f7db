"""What a page needs of the wood before the first cut. In: measured boards, a bed to skim. Out: plain values.

Promise: the board as measured, in its own frame, thinned to what a screen can show; the page itself makes the
cells and cuts them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from stockwright.packet.model import PlaneGoal
from stockwright.playback.packing import packed_path, quantised

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import MeasuredBoard, Packet, Setup

    Floats = NDArray[np.float64]

__all__ = ["MOST_READINGS", "bed_of", "board_of"]

MOST_READINGS = 24_000  # of all boards together; on a screen of 1280 dots more are not seen
LEAST_READINGS = 64  # of one board, however many there are
MOST_CORNERS = 2_000  # of one board's outline
SAME_LINE = 0.02  # mm: corners of an outline that stand out less are left out


def board_of(name: str, board: MeasuredBoard, share: int) -> dict[str, Any]:
    """Give a measured board, `share` readings a face at most, board frame."""
    top, bottom = np.array(board.top), np.array(board.bottom)
    rows, columns = _kept(len(board.x), len(board.y), max(LEAST_READINGS, share))
    return {
        "name": name,
        "outline": _rings(shapely.Polygon(board.outline, board.holes)),
        "x": [round(board.x[i], 2) for i in rows],
        "y": [round(board.y[j], 2) for j in columns],
        "top": _heights(top[np.ix_(rows, columns)]),
        "bottom": _heights(bottom[np.ix_(rows, columns)]),
    }


def bed_of(packet: Packet, setup: Setup) -> dict[str, Any] | None:
    """Give the bed's own wood where a setup skims it, work frame of that setup; None where it does not."""
    regions = [goal for goal in setup.goals if isinstance(goal, PlaneGoal) and goal.board is None]
    if not regions:
        return None
    area = shapely.union_all([shapely.Polygon(goal.region).buffer(0) for goal in regions])
    surface = -setup.work_origin[2]
    x0, y0, x1, y1 = area.bounds
    level = np.full((2, 2), surface)
    deep = min(surface, *(goal.z for goal in regions)) - packet.machine.spoilboard
    return {
        "name": "the bed",
        "outline": _rings(area),
        "x": [round(x0, 2), round(x1, 2)],
        "y": [round(y0, 2), round(y1, 2)],
        "top": _heights(level),
        "bottom": _heights(np.full((2, 2), deep)),
    }


def _heights(values: Floats) -> str:
    return packed_path(quantised(values.ravel()))


def _kept(n: int, m: int, most: int) -> tuple[list[int], list[int]]:
    """Return which rows and columns to keep: evenly spread, ends included."""
    step = 1
    while True:
        rows = sorted({*range(0, n, step), n - 1})
        columns = sorted({*range(0, m, step), m - 1})
        if len(rows) * len(columns) <= most or (len(rows) <= 2 and len(columns) <= 2):
            return rows, columns
        step += 1


def _rings(area: BaseGeometry) -> list[list[list[float]]]:
    """Give all rings of an area; what lies inside an odd number of them is wood."""
    within = SAME_LINE
    simple = shapely.simplify(area, within)
    while shapely.get_num_coordinates(simple) > MOST_CORNERS and within < 1.0:
        within *= 2
        simple = shapely.simplify(area, within)
    found = []
    for part in shapely.get_parts(simple):
        if part.geom_type == "Polygon":
            found += [
                [[round(x, 2), round(y, 2)] for x, y in list(ring.coords)[:-1]]
                for ring in (part.exterior, *part.interiors)
            ]
    return found
