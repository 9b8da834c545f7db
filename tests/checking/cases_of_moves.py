"""A bad situation for every rule about moves and what stands, and the same one after its remedy.

In: nothing. Out: `CASES`; each cure is given the numbers that the remedy's text says, in order.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from checking.cases_of_tools import Case
from cutters import end_mill, facer
from setups import edge_setup, face_setup, shop, solid
from setups import rectangle as box
from situations import hand, situation
from stockwright.checking import coverage, entry, standing, travel
from stockwright.cutting import cut

if TYPE_CHECKING:
    from stockwright.checking import Situation
    from stockwright.planning.setup import Setup

__all__ = ["CASES"]


def _passes(apart: float = 35.0, over: float = 40.0) -> Situation:
    """Two or three hand-driven passes over a face 100 wide whose cutter clears 50; `over` at each end."""
    setup = face_setup()
    stops: list[tuple[str, float | None, float | None, float | None]] = [("rapid", None, None, 60.0)]
    for y in np.arange(85.0, 176.0 + apart, apart):
        stops += [("rapid", 100.0 - over, float(y), None), ("feed", 100.0 - over, float(y), 30.0)]
        stops += [("feed", 400.0 + over, float(y), 30.0), ("rapid", None, None, 60.0)]
    return situation(setup, shop(), (hand(setup, facer(), *stops),))


def _along(
    *, out: float = 6.0, before: float = 40.0, depth: float = -1.0, waste: float = 6.0, further: float = 0.0
) -> Situation:
    """One pass along the far edge, its centre `out` from the wall at y = 180 - waste.

    A second pass runs `further` out where that is not 0; `before` is how far both run past the wood's ends.
    """
    setup = edge_setup(waste=waste)
    y = 180.0 - waste + out
    stops: list[tuple[str, float | None, float | None, float | None]] = []
    for each in [y + further, y] if further else [y]:
        stops += [("rapid", None, None, 60.0), ("rapid", 100.0 - before, each, None)]
        stops += [("feed", 100.0 - before, each, depth), ("feed", 400.0 + before, each, depth)]
    return situation(setup, shop(), (hand(setup, end_mill(), *stops, ("rapid", None, None, 60.0)),))


def _clamp(x: float = 0.0, y: float = 0.0, top: float = 50.0) -> Situation:
    """Face a board with one clamp beside its far edge, shifted by (x, y)."""
    clamp = solid("side clamp 1", box(220 + x, 182 + y, 280 + x, 232 + y), top=top)
    setup = replace(face_setup(solids=(clamp,)), clear_z=70.0)
    return situation(setup, shop())


def _stop(x: float = 0.0) -> Situation:
    """Cut the left end, where a low stop stands in the way of the cutter's tip."""
    stop = solid("end stop", box(60 + x, 120, 100 + x, 140), top=14.0, kind="stop")
    return situation(edge_setup(sides=("left",), solids=(stop,)), shop())


def _two(shift: float = 0.0) -> Situation:
    one = solid("side clamp 1", box(220, 190, 280, 240))
    other = solid("side clamp 2", box(270 + shift, 190, 330 + shift, 240))
    # The remedy names the first one: it is moved to the left.
    moved = replace(one, outline=one.outline - [shift, 0.0])
    return situation(
        face_setup(solids=(moved, replace(other, outline=other.outline - [shift, 0.0]))), shop(), ()
    )


def _in_wood(shift: float = 0.0) -> Situation:
    clamp = solid("side clamp 1", box(220, 175 + shift, 280, 225 + shift))
    return situation(face_setup(solids=(clamp,)), shop(), ())


def _spans(
    x: tuple[float, float] = (0.0, 1400.0),
    y: tuple[float, float] = (0.0, 900.0),
    z: tuple[float, float] = (40.0, 180.0),
    mark: tuple[float, float] = (200.0, 140.0),
    stickout: float = 44.0,
) -> Situation:
    """Face a board on a machine of so much travel, without the outline before; it parks at the mark."""
    tool = facer(stickout=stickout)
    own = shop(tools=(tool,), travel=(x, y, z), mark=mark, park=mark)
    setup = face_setup(tool=tool, shop=own)
    return situation(setup, own, cut(setup, own, 0.01)[1:])


def _deep(bottom: float, spoilboard: float = 6.0) -> Situation:
    setup = edge_setup(bottom=bottom)
    return situation(setup, shop(spoilboard=spoilboard))


def _plunge(y: float = 130.0) -> Situation:
    setup = face_setup()
    stops = (("rapid", None, None, 60.0), ("rapid", 250.0, y, None), ("feed", 250.0, y, 32.0))
    return situation(setup, shop(), (hand(setup, facer(), *stops),))


def _through(z: float) -> Situation:
    setup: Setup = face_setup()
    stops = (("rapid", None, None, 60.0), ("rapid", 60.0, 100.0, None), ("rapid", None, None, z))
    back = (("rapid", 440.0, None, None), ("rapid", None, None, 60.0))
    return situation(setup, shop(), (hand(setup, facer(), *stops, *back),))


CLAMP = solid("side clamp 1", box(220, 182, 280, 232))

CASES: tuple[Case, ...] = (
    Case(
        "a high clamp beside a face, moved away",
        standing.hold_down_in_the_way,
        _clamp(),
        lambda n: _clamp(y=n[0]),
    ),
    Case(
        "a high clamp beside a face, lowered",
        standing.hold_down_in_the_way,
        _clamp(),
        lambda n: _clamp(top=n[1]),
    ),
    Case(
        "a low stop where the tip passes",
        standing.hold_down_in_the_way,
        _stop(),
        lambda n: _stop(x=-n[0]),
    ),
    Case("two clamps in one place", standing.solids_overlap, _two(), lambda n: _two(n[1])),
    Case("a clamp in the wood", standing.solids_overlap, _in_wood(), lambda n: _in_wood(n[1])),
    Case(
        "nothing holds the board",
        standing.held_by_nothing,
        situation(face_setup(), shop(), ()),
        lambda _: situation(face_setup(solids=(CLAMP,)), shop(), ()),
    ),
    Case(
        "too far left",
        travel.leaves_the_travel,
        _spans(x=(290.0, 1400.0)),
        lambda n: _spans(x=(290.0, 1400.0), mark=(200.0 + n[0], 140.0)),
    ),
    Case(
        "too far right",
        travel.leaves_the_travel,
        _spans(x=(0.0, 580.0)),
        lambda n: _spans(x=(0.0, 580.0), mark=(200.0 - n[0], 140.0)),
    ),
    Case(
        "too near",
        travel.leaves_the_travel,
        _spans(y=(230.0, 900.0)),
        lambda n: _spans(y=(230.0, 900.0), mark=(200.0, 140.0 + n[0])),
    ),
    Case(
        "too far away",
        travel.leaves_the_travel,
        _spans(y=(0.0, 297.5)),
        lambda n: _spans(y=(0.0, 297.5), mark=(200.0, 140.0 - n[0])),
    ),
    Case(
        "too high",
        travel.leaves_the_travel,
        _spans(z=(40.0, 105.0)),
        lambda n: _spans(z=(40.0, 105.0), stickout=44.0 - n[0]),
    ),
    Case(
        "too low",
        travel.leaves_the_travel,
        _spans(z=(100.0, 200.0)),
        lambda n: _spans(z=(100.0, 200.0), stickout=44.0 + n[0]),
    ),
    Case("through the spoilboard", travel.cut_below_bed, _deep(-8.0), lambda n: _deep(-8.0 + n[0])),
    Case("deeper than asked", travel.cut_below_bed, _along(depth=-2.5), lambda n: _along(depth=-2.5 + n[0])),
    Case(
        "a facing cutter set down on the board",
        entry.plunge_without_centre_edges,
        _plunge(),
        lambda n: _plunge(180.0 + n[0]),
    ),
    Case("a rapid through the board", entry.rapid_into_wood, _through(33.0), lambda n: _through(33.0 + n[0])),
    Case("ridges between passes", coverage.face_not_covered, _passes(54.0), lambda n: _passes(54.0 - n[0])),
    Case(
        "ends not reached",
        coverage.face_not_covered,
        _passes(35.0, -30.0),
        lambda n: _passes(35.0, -30.0 + n[0]),
    ),
    Case(
        "a wall's end not reached",
        coverage.edge_not_cleared,
        _along(before=-10.0),
        lambda n: _along(before=-10.0 + n[0]),
    ),
    Case(
        "a skin left on a wall", coverage.edge_not_cleared, _along(out=6.2), lambda n: _along(out=6.2 - n[0])
    ),
    Case("a gouge in a wall", coverage.wall_cut_into, _along(out=5.9), lambda n: _along(out=5.9 + n[0])),
    Case(
        "a strip cut off whole",
        coverage.loose_piece,
        _along(waste=15.0),
        lambda n: _along(waste=15.0, further=n[0]),
    ),
    Case(
        "waste for the saw",
        coverage.wide_waste,
        situation(edge_setup(waste=40.0), shop(), ()),
        lambda n: situation(edge_setup(waste=40.0 - n[0]), shop(), ()),
        "note",
    ),
)
