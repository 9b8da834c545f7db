"""Warp as the trade measures it. In: `Board`. Out: `Warps`, each with its place and a sentence.

Public:
    Warp(kind, value, x, y, where)      mm; kind "bow" | "cup" | "twist" | "crook" | "wedge"
    Warps(bow, cup, twist, crook, wedge, face_a, face_b)    face_a, face_b: `flatness.Zone`
    warps(board) -> Warps
Definitions: softwood grading-rule text on warp. Bow: a face's deviation, flatwise, from a straight line end
to end; cup: from a straight line edge to edge; crook: an edge's deviation, edgewise, from a straight line
end to end, each where it is greatest; twist: how far one corner stands off a flat surface on which the other
end's edges rest. Wedge, a fault of thickness rather than warp: common practice, no source.
Promise: seen from readings only; what lies between them is in `Board.uncertainty`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.flatness import Zone, zone
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["Warp", "Warps", "warps"]

Kind = Literal["bow", "cup", "twist", "crook", "wedge"]


@frozen
class Warp:
    """One warp: `value` mm (never negative), where it is greatest (board frame), and in words."""

    kind: Kind
    value: float
    x: float
    y: float
    where: str


@frozen
class Warps:
    """All warps of a board, face A looked at for bow, cup and twist, and the flatness of both faces."""

    bow: Warp
    cup: Warp
    twist: Warp
    crook: Warp
    wedge: Warp
    face_a: Zone
    face_b: Zone


def warps(board: Board) -> Warps:
    """Measure the board at its stations."""
    xx, yy = np.meshgrid(board.x, board.y, indexing="ij")
    return Warps(
        bow=_bow(board),
        cup=_cup(board),
        twist=_twist(board),
        crook=_crook(board),
        wedge=_wedge(board),
        face_a=zone(np.column_stack([xx.ravel(), yy.ravel(), board.top.ravel()])),
        face_b=zone(np.column_stack([xx.ravel(), yy.ravel(), board.bottom.ravel()])),
    )


def _off_chord(at: Floats, lines: Floats) -> Floats:
    """Return by how much `lines` (n, k), read at `at` (n,), lie above the chord between their ends."""
    share = ((at - at[0]) / (at[-1] - at[0]))[:, None]
    off: Floats = lines - (lines[0] * (1.0 - share) + lines[-1] * share)
    return off


def _greatest(off: Floats) -> tuple[int, int]:
    i, j = np.unravel_index(int(np.argmax(np.abs(off))), off.shape)
    return int(i), int(j)


def _bow(board: Board) -> Warp:
    off = _off_chord(board.x, board.top)
    i, j = _greatest(off)
    x, y, value = float(board.x[i]), float(board.y[j]), float(off[i, j])
    way = "up" if value > 0 else "down"
    return Warp("bow", abs(value), x, y, f"face A arches {way} end to end, most at {y:.0f} mm across")


def _cup(board: Board) -> Warp:
    off = _off_chord(board.y, board.top.T).T
    i, j = _greatest(off)
    x, y, value = float(board.x[i]), float(board.y[j]), float(off[i, j])
    shape = "crowned" if value > 0 else "hollow"
    return Warp("cup", abs(value), x, y, f"face A is {shape} edge to edge, most at {x:.0f} mm along")


def _twist(board: Board) -> Warp:
    # A tilt of the whole board cancels in this sum.
    gap = float(board.top[0, 0] + board.top[-1, -1] - board.top[-1, 0] - board.top[0, -1])
    far = gap >= 0.0
    x, y = float(board.x[-1]), float(board.y[-1] if far else board.y[0])
    corner = "far" if far else "near"
    return Warp("twist", abs(gap), x, y, f"with end-1 flat down, end-2's {corner} corner stands off")


def _crook(board: Board) -> Warp:
    found = [Warp("crook", 0.0, 0.0, 0.0, "both edges are straight")]
    for name, line in zip(("edge-1", "edge-2"), _edges(board.outline), strict=True):
        p, run = line[0], line[-1] - line[0]
        length = float(np.hypot(*run))
        if length == 0.0:
            continue  # a three-cornered piece: on this side it has no edge, only a corner
        off = ((line - p) @ np.array([-run[1], run[0]])) / length
        k = int(np.argmax(np.abs(off)))
        x, y = (float(v) for v in line[k])
        hollow = (off[k] > 0) == (name == "edge-1")
        shape = "hollow" if hollow else "crowned"
        where = f"{name} is {shape} end to end, most at {x:.0f} mm along"
        found.append(Warp("crook", abs(float(off[k])), x, y, where))
    return max(found, key=lambda warp: warp.value)


def _edges(outline: Floats) -> tuple[Floats, Floats]:
    """Return edge-1 and edge-2 of an anticlockwise outline, corner to corner, each in the sense of rising x.

    A corner is the place that reaches farthest into its quarter, scaled to the board's sides.
    """
    low, size = outline.min(axis=0), np.ptp(outline, axis=0)
    uv = (outline - low) / size * 2.0 - 1.0
    corners = [
        int(np.argmax(uv @ np.array(way))) for way in ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
    ]
    rolled = np.roll(outline, -corners[0], axis=0)
    _, right, top, left = [(c - corners[0]) % len(outline) for c in corners]
    if left == 0:  # both corners of end-1 are one: edge-2 leads back to where edge-1 begins
        rolled, left = np.vstack([rolled, rolled[:1]]), len(outline)
    return rolled[: right + 1], rolled[top : left + 1][::-1]


def _wedge(board: Board) -> Warp:
    thick = board.top - board.bottom
    off = thick[:, -1] - thick[:, 0]
    i = int(np.argmax(np.abs(off)))
    side = "edge-2" if off[i] > 0 else "edge-1"
    x, y = float(board.x[i]), float(board.y[-1] if off[i] > 0 else board.y[0])
    return Warp("wedge", abs(float(off[i])), x, y, f"thicker at {side}, most at {x:.0f} mm along")
