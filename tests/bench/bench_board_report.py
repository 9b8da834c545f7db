"""How long a board's whole account and its picture take. Run with `make bench`."""

from __future__ import annotations

import platform
import time
from pathlib import Path

import numpy as np

from stockwright.bind import bind_board
from stockwright.board.account import account
from stockwright.board.picture import svg
from stockwright.board.report import report
from stockwright.board.surface import Board
from stockwright.board.telling import board_lines
from stockwright.documents import read_board

EXAMPLE = Path(__file__).parents[2] / "examples" / "stair-tread" / "board.yaml"


def dense() -> Board:
    """Return a board of 20,000 knots, as a probing log of 100,000 touches becomes."""
    x, y = np.linspace(0, 1800, 400), np.linspace(0, 240, 50)
    rng = np.random.default_rng(7)
    u, v = np.meshgrid(x / 900 - 1, y / 120 - 1, indexing="ij")
    low = 2 * u**2 + v**2 + 1.5 * u * v + rng.normal(0, 0.05, u.shape)
    outline = np.array([(0, 0), (1800, 0), (1800, 240), (0, 240)], dtype=float)
    return Board("dense", outline, x, y, low + 30 + rng.normal(0, 0.05, u.shape), low, 0.2)


def test_time_of_an_account() -> None:
    """The account of 15 readings, solver loaded, takes well under half a second."""
    board, _ = bind_board(read_board(EXAMPLE))
    assert board is not None
    account(board)
    print(f"\n{platform.platform()}, Python {platform.python_version()}")
    for name, measured, rounds in (("15 readings", board, 10), ("20,000 knots", dense(), 2)):
        times = []
        for _ in range(rounds):
            start = time.perf_counter()
            found = account(measured)
            list(board_lines([report(found)]))
            times.append(time.perf_counter() - start)
        start = time.perf_counter()
        size = len(svg([found]))
        drawn = time.perf_counter() - start
        print(
            f"{name}: account {1000 * float(np.median(times)):.0f} ms median of {rounds}, "
            f"picture {1000 * drawn:.0f} ms, {size / 1000:.0f} kB"
        )
        if name == "15 readings":
            assert float(np.median(times)) < 0.5
