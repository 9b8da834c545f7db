"""A measured board's heights at the corners of cells, against the readings looked up point by point."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest

from small_packet import small_packet
from stockwright.packet.model import MeasuredBoard
from stockwright.proving.measured import cell_heights
from stockwright.proving.sweep import Grid

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


def board(many_x: int, many_y: int) -> MeasuredBoard:
    """Give a board of 60 x 40 with so many readings along and across, all of them different."""
    x, y = np.linspace(0.0, 60.0, many_x), np.linspace(0.0, 40.0, many_y)
    top = 30.0 + np.random.default_rng(many_x).uniform(-1.0, 1.0, (many_x, many_y))
    plain = small_packet().boards["plank"].model_dump()
    plain |= {"x": x.tolist(), "y": y.tolist(), "top": top.tolist(), "bottom": (top - 25.0).tolist()}
    plain["outline"] = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]
    return MeasuredBoard.model_validate(plain)


def laid(turns: int, tilt: float) -> Floats:
    """Give the matrix that turns the board about z by quarter turns, tilts it about x and y and shifts it."""
    c, s = math.cos(tilt), math.sin(tilt)
    about_x = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    about_y = np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])
    angle = turns * math.pi / 2
    about_z = np.array(
        [[math.cos(angle), -math.sin(angle), 0], [math.sin(angle), math.cos(angle), 0], [0, 0, 1]]
    )
    matrix = np.eye(4)
    matrix[:3, :3] = about_x @ about_y @ about_z
    matrix[:3, 3] = (7.0, -3.0, 2.0)
    return matrix


def read_at(of: MeasuredBoard, heights: Floats, x: float, y: float) -> float:
    """Look one height up: along each line of readings first, then between the lines."""
    lines = [float(np.interp(x, of.x, heights[:, j])) for j in range(len(of.y))]
    return float(np.interp(y, of.y, lines))


@pytest.mark.parametrize(("turns", "tilt"), [(0, 0.0), (1, 0.0), (0, 0.03), (3, -0.02), (2, 0.01)])
@pytest.mark.parametrize("many", [(4, 3), (1, 3), (4, 1), (20, 18)])
def test_corners_stand_where_the_readings_are(turns: int, tilt: float, many: tuple[int, int]) -> None:
    """Each cell's greatest and least corner lies on the measured surface, carried along with the board."""
    of = board(*many)
    top = np.array(of.top)
    matrix = laid(turns, tilt)
    corners = np.array([[x, y, 30.0, 1.0] for x in (0.0, 60.0) for y in (0.0, 40.0)]) @ matrix.T
    low = corners[:, :2].min(axis=0)
    grid = Grid(float(low[0]) + 2.0, float(low[1]) + 2.0, 9.0, 3, 3)
    for side in (1, -1):
        high_at, low_at, bend = cell_heights(of, top, side, matrix, grid)
        assert bend >= 0.0
        back = np.linalg.inv(matrix)
        for row in range(3):
            for column in range(3):
                found = []
                for up, right in ((0, 0), (0, 1), (1, 0), (1, 1)):
                    x, y = grid.x0 + 9.0 * (column + right), grid.y0 + 9.0 * (row + up)
                    z = 30.0
                    for _ in range(30):
                        bx, by, bz, _ = back @ np.array([x, y, z, 1.0])
                        z += (read_at(of, top, bx, by) - bz) / back[2, 2]
                    found.append(side * z)
                assert high_at[row, column] == pytest.approx(max(found), abs=1e-3)
                assert low_at[row, column] == pytest.approx(min(found), abs=1e-3)


def test_a_single_reading_bends_nowhere() -> None:
    """One height for the whole face is level; two along or across may bend between a cell's corners."""
    grid = Grid(2.0, 2.0, 9.0, 3, 3)
    for many, bends in (((1, 1), False), ((2, 1), True), ((1, 2), True)):
        of = board(*many)
        _, _, bend = cell_heights(of, np.array(of.top), 1, np.eye(4), grid)
        assert (bend > 0) is bends
