"""Machine time that skipping air saves over whole levels, on 300 random boards. `make bench` prints it.

Both faces of each board in its thickest seating; 50 mm cutter in 40 mm steps, 100 mm/s, 200 mm/s rapid,
500 mm/s2. Whole levels go over the whole face, 1 mm apart from the highest wood down; the last is the same.
"""

from __future__ import annotations

import platform
import time

import numpy as np
import pytest

from level_times import able, faces, whole_levels
from random_boards import SCALES, random_boards

BOARDS = 300


@pytest.mark.parametrize("k", SCALES)
@pytest.mark.parametrize(("light", "uncertainty"), [(0.0, 0.0), (0.5, 0.2)])
def test_time_saved_over_whole_levels(k: float, light: float, uncertainty: float) -> None:
    """Print time saved in all and on the worst board, and how long the cut stage takes for a face."""
    # The same boards in every row: one that is refused at either stepdown is left out.
    boards = random_boards(k, BOARDS, uncertainty)
    for stepdown in (1.0, 2.0):
        boards = able(boards, stepdown=stepdown, light=light)
    one = faces(boards, stepdown=1.0, light=light)
    two = faces(boards, stepdown=2.0, light=light)
    whole_one = np.array([face.seconds(whole_levels(face, 1.0), skip_air=False) for face in one])
    whole_two = np.array([face.seconds(whole_levels(face, 2.0), skip_air=False) for face in two])
    same = np.array([face.seconds(whole_levels(face, 1.0)) for face in one])
    began = time.process_time()
    for face in one:
        face.nodes()
    each = (time.process_time() - began) / len(one)
    chosen_one = np.array([face.seconds() for face in one])
    chosen_two = np.array([face.seconds() for face in two])
    print(f"\n{platform.machine()}, Python {platform.python_version()}: ", end="")
    print(f"{len(boards)} of {BOARDS} boards (the others cannot be held, or spring), k {k:g}, ", end="")
    print(f"last level {light:g} mm, uncertainty {uncertainty:g} mm")
    print(
        f"  whole levels of 1 mm: {whole_one.mean():.0f} s a face; chosen levels cut in {1000 * each:.1f} ms"
    )
    for what, times, whole in (
        ("the same levels of 1 mm", same, whole_one),
        ("chosen levels, 1 mm at most, against 1 mm", chosen_one, whole_one),
        ("chosen levels, 2 mm at most, against 2 mm", chosen_two, whole_two),
        ("chosen levels, 2 mm at most, against 1 mm", chosen_two, whole_one),
    ):
        saved, worst = 1 - times.sum() / whole.sum(), 1 - (times / whole).max()
        print(f"  {what:<42} {saved:6.1%} in all, {worst:6.1%} on the worst face")
