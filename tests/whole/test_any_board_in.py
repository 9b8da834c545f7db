"""Fifty rough boards of all sizes through the example's shop: each proven or honestly refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from honest_refusals import proven_or_honestly_refused
from rough_boards import rough

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize(
    "seed", [*range(4), *(pytest.param(n, marks=pytest.mark.wide) for n in range(4, 50))]
)
def test_a_board_is_proven_or_honestly_refused(seed: int, tmp_path: Path) -> None:
    """A generated board and a size give a proven packet, or reasons with both numbers and a cure."""
    board = rough(seed)
    path = tmp_path / "board.yaml"
    path.write_text(board.text)
    values = {
        "length": f"{board.length:g} mm",
        "width": f"{board.width:g} mm",
        "thickness": f"{board.thickness:g} mm",
    }
    # Two clamps with 900 N each, and a cutter that may push with 126 N at a corner.
    proven_or_honestly_refused(path, values, "holding-too-weak")
