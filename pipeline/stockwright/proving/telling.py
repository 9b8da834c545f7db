"""Reasons described as a person at the board looks for them.

In: a `Reason`, the boards as they lay. Out: the same reason with its place in words. Promise: the place is
given from the board's own ends and sides as they then were; the line's text is quoted as it stands in the
file; nothing else of a reason changes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Reason
    from stockwright.proving.contact import Lying
    from stockwright.proving.program import Moves, Reading

__all__ = ["placed", "quoted"]

# What a wrong height brings about, while the line itself often names only x or y.
OF_DEPTH = frozenset({"cut-too-deep", "cuts-too-thick", "rapid-through-wood", "spots-left", "wall-left"})
LONGEST = 100  # characters of a line that are quoted; a block is rarely longer


def quoted(reason: Reason, texts: Mapping[str, str], readings: Mapping[str, Reading]) -> Reason:
    """Add the text of the line that a reason names, and of the one that its height comes from."""
    if reason.program is None or reason.line is None or reason.program not in texts:
        return reason
    lines = texts[reason.program].split("\n")
    if not 1 <= reason.line <= len(lines):
        return reason
    block = _short(lines[reason.line - 1])
    if reason.rule in OF_DEPTH and reason.program in readings:
        since = _height_since(readings[reason.program].moves, reason.line)
        if since is not None and since < reason.line:
            block += f" (at this height since line {since}: {_short(lines[since - 1])})"
    return reason.model_copy(update={"block": block})


def _short(line: str) -> str:
    text = line.strip()
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}..."


def _height_since(moves: Moves, line: int) -> int | None:
    """Give the line whose move last changed the height of the tip, up to `line`."""
    rose = moves.start[:, 2] != moves.end[:, 2]  # an unknown height is changed by any
    found = np.flatnonzero((moves.line <= line) & rose)
    return int(moves.line[found[-1]]) if len(found) else None


def placed(reason: Reason, boards: Sequence[tuple[Lying, BaseGeometry]]) -> Reason:
    """Add where on a board a reason's place is. `boards`: each with its outline (work frame) beforehand."""
    if reason.at is None or not boards:
        return reason
    point = shapely.Point(reason.at[:2])
    lying, outline = min(boards, key=lambda pair: float(pair[1].distance(point)))
    if lying.wood.name is None:
        return reason.model_copy(update={"place": "on the bed"})
    here = lying.lay.to_grid @ np.array([*reason.at, 1.0])
    # The outline goes to the grid at the height of the place: a tilt moves both alike.
    corners = np.array([[x, y, reason.at[2], 1.0] for x, y in shapely.get_coordinates(outline)])
    moved = corners @ lying.lay.to_grid.T
    words = []
    for axis, names in enumerate((("end-1", "end-2"), lying.wood.sides)):
        low, high = float(moved[:, axis].min()), float(moved[:, axis].max())
        words.append(_from_side(float(here[axis]), low, high, names))
    name = lying.wood.name
    return reason.model_copy(update={"board": name, "place": f"{name}, {words[0]} and {words[1]}"})


def _from_side(at: float, low: float, high: float, names: tuple[str, str]) -> str:
    """Say how far a place is from the nearer of two sides."""
    name, inside = (names[0], at - low) if at - low <= high - at else (names[1], high - at)
    if abs(inside) < 0.5:  # nobody marks a place closer
        return f"at {name}"
    return f"{abs(inside):.0f} mm {'from' if inside > 0 else 'beyond'} {name}"
