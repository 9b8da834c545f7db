"""What stands free between the supports of a board. In: supports. Out: `Span`s, each with its gap.

Public:
    Span(kind, start, end, length, beside, at, gap)     board frame, mm
    find_spans(board, plane, supports (k, 2)) -> tuple[Span, ...]
Promise: every stretch of the board's two long sides lies in exactly one span or overhang, and across the
grain every pair of supports and the widest overhang are there; how far wood can go down before it touches is
read from the measured underside, never assumed.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.shims import reach_at
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.slab import Rest
    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]
    Place = tuple[float, float]

Kind = Literal["span", "overhang", "span across", "overhang across"]

__all__ = ["Place", "Span", "find_spans"]

_SAME = 5.0  # mm; supports nearer to each other are one: narrower than any shim
_NEAR = 50.0  # mm along, within which supports stand beside each other: about a shim's length


@frozen
class Span:
    """A stretch without support: a "span" between two, an "overhang" beyond the last, along or "across".

    From `start` to `end` (the free end of an overhang), `length` mm; `beside` is the span that the overhang
    is the end of, 0 where there is none; pressed at `at` it goes down farthest, by no more than `gap`.
    """

    kind: Kind
    start: Place
    end: Place
    length: float
    beside: float
    at: Place
    gap: float


def find_spans(board: Board, plane: Rest, supports: Floats) -> tuple[Span, ...]:
    """Return the spans of `board` on its `supports` (k, 2), places where it bears on a shim or on `plane`.

    A support in the middle third of the width bears for either side that has none of its own there.
    """
    x_low, _, x_high, _ = board.bounds
    order = supports[np.lexsort((supports[:, 1], supports[:, 0]))]
    # A little inwards: at a slanting end the outline is a point.
    inset = min(_NEAR, (x_high - x_low) / 4.0)
    low, high = reach_at(board.outline, np.clip(order[:, 0], x_low + inset, x_high - inset))
    share = (order[:, 1] - low) / np.maximum(high - low, 1e-9)
    middle = order[(share >= 1.0 / 3.0) & (share <= 2.0 / 3.0)]
    own = order[share < 1.0 / 3.0], order[share > 2.0 / 3.0]
    free: list[_Free] = []
    for side in (_with(own[0], middle), _with(own[1], middle)):
        rail = _apart(side)
        free += [_Free("span", *ends) for ends in pairwise(rail)]
        if len(rail):
            ends = reach_at(board.outline[:, ::-1], rail[[0, -1], 1])
            first, last = np.array([ends[0][0], rail[0, 1]]), np.array([ends[1][1], rail[-1, 1]])
            free.append(_Free("overhang", rail[0], first, _between(rail[:2])))
            free.append(_Free("overhang", rail[-1], last, _between(rail[-2:])))
    free += _across(board, *own, order)
    free = [each for each in free if each.length > _SAME]
    if not free:
        return ()
    at = np.array([each.at for each in free])
    gaps = np.maximum(0.0, board.bottom_at(at) - at @ np.array([plane.a, plane.b]) - plane.c)
    return tuple(
        Span(
            each.kind, _place(each.start), _place(each.end), each.length, each.beside, _place(at), float(gap)
        )
        for each, at, gap in zip(free, at, gaps, strict=True)
    )


@frozen(eq=False)
class _Free:
    """A `Span` before it is known how far it can go down."""

    kind: Kind
    start: Floats
    end: Floats
    beside: float = 0.0

    @property
    def length(self) -> float:
        return float(np.hypot(*(self.end - self.start)))

    @property
    def at(self) -> Floats:
        return (self.start + self.end) / 2.0 if self.kind.startswith("span") else self.end


def _across(board: Board, near: Floats, far: Floats, every: Floats) -> list[_Free]:
    """Return the spans across the grain at the supports of both sides, and the widest overhang."""
    found = []
    if len(near) and len(far):
        along = np.abs(near[:, None, 0] - far[None, :, 0])
        for i, j in enumerate(np.argmin(along, axis=1)):
            if along[i, j] < _NEAR and far[j, 1] > near[i, 1]:
                found.append(_Free("span across", near[i], far[j]))
    beside = max((each.length for each in found), default=0.0)
    hanging = []
    for side, k in ((near, 0), (far, 1)):
        # A side that bears nowhere hangs over from whatever bears.
        bears = side if len(side) else every
        reach = reach_at(board.outline, bears[:, 0])[k]
        out = np.abs(reach - bears[:, 1])
        last = int(np.argmax(out)) if len(side) else int(np.argmin(out))
        end = np.array([bears[last, 0], reach[last]])
        hanging.append(_Free("overhang across", bears[last], end, beside))
    return [*found, max(hanging, key=lambda each: each.length)]


def _with(own: Floats, middle: Floats) -> Floats:
    """Return a side's own supports and those in the middle that have none of its own beside them, by x."""
    if len(own) and len(middle):
        middle = middle[np.abs(middle[:, None, 0] - own[None, :, 0]).min(axis=1) > _NEAR]
    every = np.vstack([own, middle])
    return every[np.argsort(every[:, 0], kind="stable")]


def _apart(places: Floats) -> Floats:
    """Return the places, in their order, without those that are one with the place before."""
    kept: list[Floats] = []
    for place in places:
        if not kept or place[0] - kept[-1][0] >= _SAME:
            kept.append(place)
    return np.array(kept).reshape(-1, 2)


def _between(places: Floats) -> float:
    return float(np.hypot(*(places[-1] - places[0])))


def _place(at: Floats) -> Place:
    return float(at[0]), float(at[1])
