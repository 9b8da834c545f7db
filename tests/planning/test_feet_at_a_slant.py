"""What holds a board stands where the wood runs along its side: of corners, tapers and lozenges, by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clampings import bounds, clamping
from stockwright.hold_downs import Stop
from stockwright.job import Zone
from stockwright.planning.beside import Placed, hold_beside

if TYPE_CHECKING:
    from stockwright.job import Side
    from stockwright.planning.clamping import Clamping

STOP = Stop("stop", 4, 30.0, 20.0, 12.0, 900.0)


def held(c: Clamping, side: Side) -> Placed:
    """Hold a board from one side, below 22 mm."""
    placed = Placed()
    hold_beside(c, Zone("low", (side,), 22.0, ()), (side,), (), placed, 0)
    return placed


def where(placed: Placed) -> dict[str, list[float]]:
    """Give the outline of everything placed by its name."""
    return {s.name: bounds(s) for s in placed.solids}


def test_a_stop_stands_where_the_end_runs_across() -> None:
    """Stops hold the half of an end that does not slant; an edge that narrows towards the end is no end."""
    stop = Stop("stop", 2, 30.0, 20.0, 12.0, 900.0)
    corner = shapely.Polygon([(0, 90), (60, 0), (600, 0), (600, 200), (0, 200)])
    assert where(held(clamping(stop, outline=corner), "end-1")) == {
        "stop 1 at end-1": [-20.0, 65.0, 0.0, 95.0],  # 25 mm beside a slant, on average 25 degrees
        "stop 2 at end-1": [-20.0, 157.0, 0.0, 187.0],
    }
    narrows = shapely.Polygon([(0, 0), (600, 0), (600, 200), (0, 130)])
    assert where(held(clamping(stop, outline=narrows), "end-1")) == {
        "stop 1 at end-1": [-20.0, 13.0, 0.0, 43.0],
        "stop 2 at end-1": [-20.0, 110.0, 0.0, 140.0],
    }


def test_a_side_that_slants_everywhere_is_held_by_nothing() -> None:
    """Along an end at 45 degrees every foot slides: refused with that angle, and what it may be."""
    lozenge = shapely.Polygon([(0, 0), (600, 0), (800, 200), (200, 200)])
    placed = held(clamping(STOP, outline=lozenge), "end-1")
    [found] = placed.found
    assert (found.rule, found.measured, found.limit) == ("no-room-for-clamps", 41.186, 30.0)
    assert "end-1 runs at a slant of 41.2 degrees or more, and beyond 30 degrees" in found.message
    assert placed.solids == []


def test_a_foot_may_be_longer_than_the_side_it_stands_at() -> None:
    """A stop of 30 mm stands square at the end of a strip of 20 mm, and one of 10 degrees may be held."""
    assert where(held(clamping(STOP, width=20.0), "end-1")) == {"stop 1 at end-1": [-20.0, -5.0, 0.0, 25.0]}
    slight = shapely.Polygon([(0, 0), (600, 0), (600, 200), (35, 200)])
    assert len(held(clamping(STOP, outline=slight), "end-1").solids) == 4
