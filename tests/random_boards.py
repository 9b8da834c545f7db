"""Random warped boards, the same for every test and bench. In: a scale of the warp. Out: `Board` objects.

The generator draws from `numpy.random.default_rng(7)`, one board after the other, in the order written below;
how strongly bow, cup, twist, wedge, taper and kink vary is common practice, no source. `k` scales the middle
surface with the noise of the readings in it, never the thickness.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from stockwright.board.surface import Board

__all__ = ["COUNT", "SCALES", "Drawn", "board_of", "drawn", "many_readings", "random_boards"]

Floats = NDArray[np.float64]

SEED = 7
COUNT = 500
SCALES = (1.0, 0.5, 0.25)
ALONG, ACROSS = 13, 5


@dataclass(frozen=True, eq=False)
class Drawn:
    """One board as drawn, mm: `middle` (13, 5) is the warped mid-surface with its noise, at k = 1.

    `thickness` (13, 5) lies half above and half below it; rows run along the `length`,
    columns across the `width`.
    """

    number: int
    length: float
    width: float
    nominal: float
    middle: Floats
    thickness: Floats


@cache
def drawn() -> tuple[Drawn, ...]:
    """Return all 500 boards as drawn."""
    rng = np.random.default_rng(SEED)
    # Rows across, columns along: the order in which the noise falls on the readings.
    u, v = np.meshgrid(np.linspace(-1.0, 1.0, ALONG), np.linspace(-1.0, 1.0, ACROSS))
    boards = []
    for number in range(COUNT):
        length, width, nominal = rng.uniform(600, 2400), rng.uniform(100, 300), rng.uniform(24, 54)
        m = length / 1000.0
        bow = rng.normal(0, 1) * m**2 / 2
        cup = rng.normal(0, 0.8) * width / 200
        twist = rng.normal(0, 1) * m * width / 200
        wedge = rng.normal(0, 0.3) * width / 200
        taper = rng.normal(0, 0.3) * m
        kink = rng.normal(0, 0.3) * m
        ph = rng.uniform(-0.6, 0.6)
        middle = bow * u**2 + cup * v**2 + twist * u * v + kink * np.abs(u - ph)
        thickness = nominal + wedge * v + taper * u
        over, under = rng.normal(0, 0.12, u.shape), rng.normal(0, 0.12, u.shape)
        middle, thickness = middle + (over + under) / 2.0, thickness + over - under
        boards.append(Drawn(number, length, width, nominal, middle.T, thickness.T))
    return tuple(boards)


def board_of(one: Drawn, k: float, uncertainty: float = 0.2) -> Board:
    """Return the board at scale `k`: its lowest place is at z = 0, its outline runs through its readings."""
    bottom = k * one.middle - one.thickness / 2.0
    bottom = bottom - bottom.min()
    x = np.linspace(0.0, one.length, ALONG)
    y = np.linspace(0.0, one.width, ACROSS)
    outline = np.array([(0.0, 0.0), (one.length, 0.0), (one.length, one.width), (0.0, one.width)])
    name = f"random-{one.number}"
    return Board(name, outline, x, y, bottom + one.thickness, bottom, uncertainty)


def random_boards(k: float, count: int = COUNT, uncertainty: float = 0.2) -> list[Board]:
    """Return the first `count` boards at scale `k`."""
    return [board_of(one, k, uncertainty) for one in drawn()[:count]]


def many_readings(board: Board, along: int, across: int, noise: float = 0.05) -> Board:
    """Return the same board read at `along` x `across` places, each with seeded noise of that spread, mm."""
    x, y = np.linspace(board.x[0], board.x[-1], along), np.linspace(board.y[0], board.y[-1], across)
    xx, yy = np.meshgrid(x, y, indexing="ij")
    places = np.column_stack([xx.ravel(), yy.ravel()])
    rng = np.random.default_rng(SEED)
    top, bottom = (
        read(places).reshape(along, across) + rng.normal(0.0, noise, (along, across))
        for read in (board.top_at, board.bottom_at)
    )
    return Board(board.name, board.outline, x, y, top, bottom, board.uncertainty)
