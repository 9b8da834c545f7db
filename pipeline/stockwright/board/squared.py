"""The largest rectangle in a crooked outline. In: outlines. Out: `Squared`, and how to lay it out.

Public:
    Squared(length, width, angle, x0, y0)       .corners() -> (4, 2), .parts(lengthwise, crosswise) -> tuple
    squared(outlines) -> Squared                `outlines` is (k, 2) or several: it lies inside all of them
    from_edge(outline, xy (n, 2)) -> (n,)       how far each place lies in from edge-1, measured across
Promise: the rectangle lies inside every outline, whatever its shape; that none is larger is a search's word.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Squared", "from_edge", "squared"]

_SKEWEST = 6.0  # degrees; x lies along the grain, so a board is not laid farther askew
_FIRST = 1.0  # degrees between the first tries
_LAST = 2e-4  # degrees: 0.004 mm a metre
_PLACES = 64  # along, for the ends of the window
_CLOSE = 1e-3  # mm; the last step of the window's ends
_INSIDE = 1e-6  # mm; taken off all round, so that rounding keeps the rectangle inside


@frozen
class Squared:
    """A rectangle: its corner (edge-1 meets end-1) at `x0`, `y0`; `angle` degrees from x to its edge-1."""

    length: float
    width: float
    angle: float
    x0: float
    y0: float

    def corners(self) -> Floats:
        """Return the (4, 2) corners, anticlockwise from edge-1's corner at end-1."""
        return _placed(self, np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]))

    def parts(self, lengthwise: int, crosswise: int) -> tuple[Floats, ...]:
        """Return the corners (4, 2) of equal parts: so many along the length, so many across the width."""
        unit = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
        size = np.array([lengthwise, crosswise], dtype=float)
        return tuple(
            _placed(self, (unit + np.array([i, j])) / size)
            for i in range(lengthwise)
            for j in range(crosswise)
        )


def _placed(at: Squared, share: Floats) -> Floats:
    c, s = np.cos(np.radians(at.angle)), np.sin(np.radians(at.angle))
    local = share * np.array([at.length, at.width])
    placed: Floats = local @ np.array([[c, s], [-s, c]]) + np.array([at.x0, at.y0])
    return placed


def squared(outlines: Floats | Sequence[Floats]) -> Squared:
    """Return the rectangle of greatest area, its edges within a few degrees of the outlines' x axis.

    Where the outlines have nothing in common it is a point amid them, of no length and no width.
    """
    shapes = [outlines] if isinstance(outlines, np.ndarray) and outlines.ndim == 2 else list(outlines)
    tried = np.arange(-_SKEWEST, _SKEWEST + _FIRST / 2.0, _FIRST)
    best = _best(_window(shapes, float(angle)) for angle in tried)
    if best[0] <= 0.0:
        x, y = np.concatenate(shapes).mean(axis=0)
        return Squared(0.0, 0.0, 0.0, float(x), float(y))
    step = _FIRST / 2.0
    while step > _LAST:
        better = _best([best, _window(shapes, best[1] - step), _window(shapes, best[1] + step)])
        if better[1] == best[1]:
            step /= 2.0
        best = better
    # The window's ends stood on a raster so far.
    pitch = float(np.ptp(np.concatenate(shapes)[:, 0])) / _PLACES
    while pitch > _CLOSE:
        near = [_window(shapes, best[1] + turn, (best, pitch)) for turn in (0.0, -step, step)]
        better = _best([best, *near])
        if better[0] <= best[0]:
            pitch /= 3.0
        best = better
    _, angle, left, right, low, high = best
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    left, low = left + _INSIDE, low + _INSIDE
    return Squared(
        length=max(right - left - _INSIDE, 0.0),
        width=max(high - low - _INSIDE, 0.0),
        angle=angle,
        x0=float(c * left - s * low),
        y0=float(s * left + c * low),
    )


_Window = tuple[float, float, float, float, float, float]  # area, angle, left, right, low, high


def _best(windows: Iterable[_Window]) -> _Window:
    return max(windows, key=lambda window: window[0])


def _window(shapes: Sequence[Floats], angle: float, around: tuple[_Window, float] | None = None) -> _Window:
    """Return the largest rectangle at that angle whose ends stand at tried places, turned coordinates.

    Between neighbouring corners of the outline its sides are straight, so with every corner among the tried
    places the least room over a window is found at tried places: what is found fits exactly.
    """
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    turned = [shape @ np.array([[c, -s], [s, c]]) for shape in shapes]
    # Beyond the end of any one of the outlines nothing lies inside all of them.
    first = max(float(shape[:, 0].min()) for shape in turned)
    last = min(float(shape[:, 0].max()) for shape in turned)
    if first >= last:
        return 0.0, angle, first, first, 0.0, 0.0
    corners = np.clip(np.concatenate(turned)[:, 0], first, last)
    if around is None:
        tried = np.linspace(first, last, _PLACES)
    else:
        (_, _, left, right, _, _), pitch = around
        near = np.linspace(-pitch, pitch, 7)
        tried = np.clip(np.concatenate([left + near, right + near]), first, last)
    at = np.unique(np.concatenate([tried, corners]))
    floor, ceiling = _room(np.concatenate([_sides(shape) for shape in turned]), at)
    # Row i, column j: the window from place i to place j.
    later = np.arange(len(at))[None, :] >= np.arange(len(at))[:, None]
    low = np.maximum.accumulate(np.where(later, floor[None, :], -np.inf), axis=1)
    high = np.minimum.accumulate(np.where(later, ceiling[None, :], np.inf), axis=1)
    length = at[None, :] - at[:, None]
    area = np.where(later, length * np.maximum(high - low, 0.0), 0.0)
    i, j = (int(k) for k in np.unravel_index(int(np.argmax(area)), area.shape))
    return float(area[i, j]), angle, float(at[i]), float(at[j]), float(low[i, j]), float(high[i, j])


def _sides(outline: Floats) -> Floats:
    """Return an outline's sides, (k, 2 ends, 2)."""
    return np.stack([outline, np.roll(outline, -1, axis=0)], axis=1)


def _room(sides: Floats, at: Floats) -> tuple[Floats, Floats]:
    """Return the highest side below the wood and the lowest above it at each x of `at`.

    The outline is anticlockwise: sides that run towards +x lie below the wood. Where it folds back on
    itself the innermost side counts, so the room is never taken too large.
    """
    first, run = sides[:, 0], sides[:, 1] - sides[:, 0]
    upright = np.abs(run[:, 0]) < 1e-12
    first, run = first[~upright], run[~upright]
    share = (at[None, :] - first[:, :1]) / run[:, :1]
    y = first[:, 1:] + share * run[:, 1:]
    # A hair of overlap, so that no place between two sides is missed.
    on = (share >= -1e-12) & (share <= 1.0 + 1e-12)
    below = (run[:, 0] > 0.0)[:, None]
    floor = np.where(on & below, y, -np.inf).max(axis=0)
    ceiling = np.where(on & ~below, y, np.inf).min(axis=0)
    return floor, ceiling


def from_edge(outline: Floats, xy: Floats) -> Floats:
    """Return how far each place (n, 2) lies in from edge-1 (low y) of the outline, measured across, mm.

    Beyond the outline's ends it counts as at the nearer end.
    """
    floor, _ = _room(_sides(outline), np.clip(xy[:, 0], outline[:, 0].min(), outline[:, 0].max()))
    return np.asarray(xy[:, 1] - floor, dtype=float)
