"""What ripping and crosscutting leave of cup and bow.

Source: sagitta of a parabola, w^2 / 8R (textbook geometry): a strip of 1/n of the width keeps 1/n^2 of the
cup, and a length of 1/n keeps 1/n^2 of the bow; a slab loses one sagitta. That shops cut to rough size first
for this reason is common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.board.pieces import parts, whole
from stockwright.board.surface import Board


def arched(axis: int, sagitta: float) -> Board:
    """Return a board 24 mm thick, 1200 x 240 mm, arched along x (0) or across (1), read at 25 stations."""
    many, few = np.linspace(-1, 1, 25), np.linspace(-1, 1, 3)
    u, v = np.meshgrid(many if axis == 0 else few, few if axis == 0 else many, indexing="ij")
    low = sagitta * (1 - (u if axis == 0 else v) ** 2)
    outline = np.array([(0, 0), (1200, 0), (1200, 240), (0, 240)], dtype=float)
    return Board("arched", outline, 600 * (u[:, 0] + 1), 120 * (v[0] + 1), low + 24.0, low, 0.1)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_strips_keep_one_over_n_squared_of_the_cup(count: int) -> None:
    """A mm of cup costs a mm of thickness, in two strips a quarter, in three a ninth, in four a sixteenth."""
    board = arched(1, 1.0)
    found = parts(board, whole(board), 1, count)
    assert found.each == pytest.approx([24.0 - 1.0 / count**2] * count, abs=2e-3)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_lengths_keep_one_over_n_squared_of_the_bow(count: int) -> None:
    """The same holds for bow and crosscutting, the slabs being parallel to each piece's own chord."""
    board = arched(0, 4.0)
    found = parts(board, whole(board), count, 1)
    assert found.each == pytest.approx([24.0 - 4.0 / count**2] * count, abs=2e-3)


def test_ripping_does_nothing_for_bow_nor_crosscutting_for_cup() -> None:
    """Each cut helps the warp that runs across it, and leaves the other as it was."""
    bowed, cupped = arched(0, 4.0), arched(1, 1.0)
    assert parts(bowed, whole(bowed), 1, 3).size.thickness == pytest.approx(20.0, abs=1e-3)
    assert parts(cupped, whole(cupped), 3, 1).size.thickness == pytest.approx(23.0, abs=1e-3)
