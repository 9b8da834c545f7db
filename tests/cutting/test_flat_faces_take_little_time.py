"""A flat face takes hardly longer than the fewest passes and their links could."""

from __future__ import annotations

import math

import pytest

from cutters import facer
from level_times import Face
from setups import face_setup, shop
from stockwright.cutting.ground import ground
from stockwright.planning.setup import FaceCut
from stockwright.tooling import OVERLAP
from sweeps import MM


def from_rest(length: float, speed: float, acceleration: float) -> float:
    """Return the time of a way from rest to rest, s: uniform acceleration, textbook kinematics."""
    reached = length >= speed * speed / acceleration
    return length / speed + speed / acceleration if reached else 2 * math.sqrt(length / acceleration)


@pytest.mark.parametrize("stepover", [20.0, 30.0, 40.0])
def test_a_flat_face_takes_little_more_than_its_fewest_passes(stepover: float) -> None:
    """One level, 50 mm cutter: raising and lowering counted, at most 1.15 of the fewest passes' time.

    The fewest bite a stepover each and run from where their end discs clear the corners; half of what
    neighbours overlap is kept back once.
    """
    feed, acceleration, radius = 6000.0, 400.0, 25.0
    tool = facer(feed=feed, stepover=stepover)
    own = shop(tools=(tool,), travel=((0.0, 2600.0), (0.0, 900.0), (40.0, 180.0)))
    for length, width in ((600.0, 95.0), (850.0, 141.0), (1200.0, 219.0), (1800.0, 299.0), (2000.0, 610.0)):
        setup = face_setup(shop=own, tool=tool, size=(length, width), z=30.0, ceiling=30.4)
        [cut] = setup.cuts
        assert isinstance(cut, FaceCut)
        passes = math.ceil((width + OVERLAP / 2) / stepover)
        over = math.sqrt(radius**2 - (stepover / 2) ** 2)
        fewest = passes * from_rest(length - 2 * over, feed / 60, acceleration)
        fewest += (passes - 1) * from_rest(stepover, feed / 60, acceleration)
        assert fewest <= Face("board", cut, ground(setup, own, MM)).seconds() <= 1.15 * fewest
