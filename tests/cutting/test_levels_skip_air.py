"""Levels skip air: quicker than whole levels, as deep as may be, cut where the high places are."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from level_times import Face, faces, whole_levels
from random_boards import random_boards
from setups import face_setup, shop
from stockwright.cutting import cut
from stockwright.cutting.faces import face_depths
from stockwright.cutting.steps import levels
from stockwright.cutting.wood import Cells
from stockwright.motion.moves import moves
from sweeps import MM, depths, level_feeds

BOARDS = 20
# Of the time over whole levels, on these boards; the bench prints it over 300.
SAVED = {1.0: (0.25, 0.35), 0.5: (0.20, 0.35), 0.25: (0.10, 0.30)}


@pytest.mark.wide
@pytest.mark.parametrize("k", SAVED)
def test_skipping_air_saves_time_and_never_costs_any(k: float) -> None:
    """Against whole 1 mm levels: at least a share with the same levels, more with chosen; no face slower."""
    found = faces(random_boards(k, BOARDS, 0.0), stepdown=1.0, light=0.0)
    whole = np.array([face.seconds(whole_levels(face), skip_air=False) for face in found])
    same = np.array([face.seconds(whole_levels(face)) for face in found])
    chosen = np.array([face.seconds() for face in found])
    # A corner is taken as a stop where ways are weighed: a hundredth of a second each.
    assert (same <= whole + 0.05).all()
    assert (chosen <= whole + 0.05).all()
    assert 1 - same.sum() / whole.sum() >= SAVED[k][0]
    assert 1 - chosen.sum() / whole.sum() >= SAVED[k][1]


def least_time(face: Face, every: float) -> float:
    """Return the least time of any choice of levels on a lattice of depths, worked out level by level.

    The time of a level alone is taken, from and to the clear height.
    """
    steps, cut_ = face.ground.steps, face.cut
    last, top, deepest = steps.up(cut_.z), steps.up(cut_.ceiling), steps.down(cut_.stepdown)
    whole = face.seconds((last,))
    lattice = [*range(last + steps.down(cut_.light), top, steps.down(every)), top]
    # From the top down: the least time until all over a depth is gone.
    least = {top: 0.0}
    for depth in reversed(lattice[:-1]):
        own = face.seconds((depth, last)) - whole
        least[depth] = own + min(least[above] for above in least if above - depth <= deepest)
    return whole + least[lattice[0]]


def test_no_other_choice_of_levels_is_quicker() -> None:
    """Of all levels 0.1 mm apart a dynamic program finds none that take less, ways between levels aside."""
    for face in faces(random_boards(1.0, 3, 0.2), stepdown=2.0, light=0.5):
        *above, last = face_depths(face.cut, face.ground)
        whole = face.seconds((last,))
        own = [face.seconds((depth, last)) - whole for depth in above]
        assert whole + sum(own) <= 1.001 * least_time(face, 0.1)
        even = levels(face.ground.steps, face.cut.ceiling, above[-1] * MM, face.cut.stepdown)
        assert face.seconds() <= face.seconds((*even, last)) + 0.05


def test_uncertainty_raises_the_first_level_and_lowers_none() -> None:
    """Readings that may be 0.4 mm out add wood over the face: levels begin higher, and end where they did."""
    for seed in range(3):
        sure, unsure = (
            faces([random_boards(1.0, 3, u)[seed]], stepdown=1.0, light=0.5)[0] for u in (0.0, 0.4)
        )
        # Each face loses the uncertainty beyond what the seating needs, too: hence twice.
        over = [face.cut.ceiling - face.cut.z for face in (sure, unsure)]
        assert over[1] == pytest.approx(over[0] + 0.8, abs=0.002)
        highest = [float(face.cut.wood.max()) - face.cut.z for face in (sure, unsure)]
        assert highest[1] == pytest.approx(highest[0] + 0.8, abs=0.002)
        first = [face_depths(face.cut, face.ground)[0] * MM - face.cut.z for face in (sure, unsure)]
        assert first[1] >= first[0]


def test_one_region_is_finished_before_the_next() -> None:
    """Two high ends of a long board are cut one after the other, not line by line back and forth."""
    wood = np.full((81, 21), 30.4)
    wood[:8], wood[-8:] = 31.5, 31.5
    setup = face_setup(size=(1000.0, 200.0), wood=wood, stepdown=2.0, light=0.5)
    program = cut(setup, shop(), MM)[1]
    first = depths(program)[0]
    sides = [line[:, 0].mean() > 600.0 for z, line in level_feeds(program) if z == first]
    assert True in sides
    assert False in sides
    assert sum(a != b for a, b in pairwise(sides)) == 1


def test_near_regions_are_joined_and_far_ones_are_not() -> None:
    """Air between two high places is cut where that is quicker than going round, else passed over."""

    def lowered(gap: float) -> int:
        """Count how often the cutter is lowered to the first level."""
        count = int((200 + gap) / 10) + 1
        wood = np.full((count, 4), 30.2)
        wood[:10], wood[-10:] = 32.0, 32.0
        setup = face_setup(size=(200 + gap, 30.0), wood=wood, stepdown=2.0, light=0.5)
        program = cut(setup, shop(), MM)[1]
        columns = moves(program)
        down = (columns.end[:, 2] == depths(program)[0]) & (columns.start[:, 2] > columns.end[:, 2])
        return int(down.sum())

    assert lowered(100.0) == 1
    assert lowered(900.0) == 2


def test_parts_are_apart_by_more_than_the_room() -> None:
    """Cells nearer than the room are one part, by rows or by columns; all cells are in one part each."""
    rng = np.random.default_rng(3)
    u, v = np.arange(41.0) * 10, np.arange(21.0) * 10
    for _ in range(20):
        cells = Cells(u, v, rng.random((40, 20)) < 0.02)
        parts = cells.parts(25.0)
        total = np.sum([part.marked for part in parts], axis=0)
        assert np.array_equal(total, cells.marked)
        places = [np.argwhere(part.marked) for part in parts]
        for i, a in enumerate(places):
            for b in places[:i]:
                # Whole cells between two of them along the axis where they are farther apart.
                apart = np.abs(a[:, None] - b[None]).max(axis=2).min() - 1
                assert apart * 10.0 > 25.0
