"""A natural edge is read all the way round, with the places inside it that have no wood."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from stockwright.board.outline import Lines, outline_of, voids_of

ROUND = ([0.0, 300.0, 640.0, 700.0, 350.0, 20.0], [10.0, 0.0, 20.0, 180.0, 200.0, 190.0])


def test_an_outline_is_anticlockwise_from_its_first_corner_either_way() -> None:
    """Read one way round or the other, or closed by its first corner again, it is the same outline."""
    forth, problems = outline_of(Lines(ring=ROUND))
    back, _ = outline_of(Lines(ring=([ROUND[0][0], *ROUND[0][:0:-1]], [ROUND[1][0], *ROUND[1][:0:-1]])))
    closed, _ = outline_of(Lines(ring=([*ROUND[0], ROUND[0][0]], [*ROUND[1], ROUND[1][0]])))
    assert problems == []
    assert forth is not None
    assert shapely.is_ccw(shapely.LinearRing(forth))
    assert forth[0].tolist() == [0.0, 10.0]
    np.testing.assert_array_equal(forth, back)
    np.testing.assert_array_equal(forth, closed)


@pytest.mark.parametrize(
    ("along", "across", "words"),
    [
        ([0.0, 600.0, 0.0, 600.0], [0.0, 200.0, 200.0, 0.0], "crosses itself: its side from corner 1"),
        ([0.0, 300.0, 600.0], [0.0, 0.0, 0.0], "encloses no area"),
        ([0.0, 300.0, 300.0, 0.0], [0.0, 0.0, 0.0, 90.0], "the same place twice"),
    ],
)
def test_an_outline_that_is_none_is_a_problem(along: list[float], across: list[float], words: str) -> None:
    """One that crosses itself, has no area or stands still is told with the corner where it does."""
    outline, [problem] = outline_of(Lines(ring=(along, across)))
    assert outline is None
    assert words in problem.message
    assert problem.path[:2] == ("outline", "along")


def test_voids_lie_inside_and_apart() -> None:
    """A void beyond the rim and one that meets another are told; a good one becomes a hole."""
    outline, _ = outline_of(Lines(ring=ROUND))
    assert outline is not None
    good = ([100.0, 200.0, 150.0], [80.0, 80.0, 150.0])
    over = ([600.0, 800.0, 650.0], [80.0, 80.0, 150.0])
    holes, problems = voids_of(outline, [good])
    assert (len(holes), problems) == (1, [])
    _, problems = voids_of(outline, [good, over, good])
    assert [(p.path, p.against) for p in problems] == [(("voids", 1), ()), (("voids", 2), (("voids", 0),))]
