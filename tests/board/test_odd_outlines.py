"""Boards of odd outlines are accounted for, as a table of points may give them."""

from __future__ import annotations

from itertools import permutations
from typing import TYPE_CHECKING

import pytest

from stockwright.cli import main

if TYPE_CHECKING:
    from pathlib import Path

CORNERS = [(0, 0), (400, 0), (400, 120), (0, 120)]


@pytest.mark.parametrize("three", sorted({tuple(sorted(p[:3])) for p in permutations(CORNERS)}))
def test_a_three_cornered_board_is_accounted_for(three: tuple[tuple[int, int], ...], tmp_path: Path) -> None:
    """Whichever corner is missing: an edge that is only a point has no crook, nothing is divided by it."""
    middle = tuple(sum(axis) / 3 for axis in zip(*three, strict=True))
    rows = [f"{x},{y},1,{30 + x / 400}" for x, y in (*three, middle)]
    path = tmp_path / "scrap.csv"
    path.write_text("\n".join(["x,y,bottom,top", *rows]), encoding="utf-8")
    assert main(["board", str(path)]) == 0
