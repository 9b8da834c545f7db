"""What a cutter has passed over is the same area, put together few lines at a time or in one shape."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
import shapely

from cutters import end_mill
from programs import program
from setups import face_setup
from stockwright.checking.situation import Run
from stockwright.checking.swept import FEW, QUARTER, level_lines, swept
from stockwright.motion import Feed, Rapid
from stockwright.motion.moves import moves


@pytest.mark.parametrize("lines", [1, FEW, FEW + 1, 5 * FEW + 3])
def test_a_zigzag_in_pieces_is_the_zigzag(lines: int) -> None:
    """Passes closer than the cutter is wide, with their links, as one buffer of the whole chain has them."""
    corners = [(300.0 * ((i + 1) // 2 % 2), 5.0 * (i // 2), 10.0) for i in range(lines + 1)]
    made = program(Rapid(z=10.0), Rapid(x=0.0, y=0.0), Feed(np.array(corners[1:]), 900.0))
    run = Run(face_setup(), made, moves(made), ())
    area = swept((run,), partial(level_lines, low=9.0, high=11.0), lambda _tool: end_mill().radius)
    whole = shapely.buffer(shapely.LineString([c[:2] for c in corners]), end_mill().radius, quad_segs=QUARTER)
    assert area.symmetric_difference(whole).area == pytest.approx(0.0, abs=1e-6)
    assert area.area > 0
