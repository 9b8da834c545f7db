"""Small linear programs. In: cost, rows, bounds. Out: the optimum. The one door to the solver.

Promise: the solver is imported here, late; it runs on one thread and prints nothing, not even from C.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["FEASIBLE", "InfeasibleError", "Unit", "extremes", "grow", "minimise"]

FEASIBLE = 1e-9  # mm; how far the solver may overstep a row; far below any measuring


_FEW = 150  # rows that the solver takes at once faster than a few at a time: measured on 39 points of a board
_AT_ONCE = 6


class InfeasibleError(ValueError):
    """No point satisfies the rows, or the optimum is not finite."""


@contextlib.contextmanager
def _mute() -> Iterator[None]:
    """Send file descriptor 1 to nowhere: some releases greet on C's standard output on first use."""
    try:
        kept = os.dup(1)
    except OSError:  # standard output is closed: nothing can be printed
        yield
        return
    sys.stdout.flush()
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        with contextlib.suppress(OSError, TypeError, AttributeError):
            ctypes.CDLL(None).fflush(None)
        os.dup2(kept, 1)
        os.close(nowhere)
        os.close(kept)


@cache
def _solver() -> tuple[Any, Any]:
    with _mute():
        import highspy

        highs: Any = highspy.Highs()  # type: ignore[no-untyped-call]
        highs.silent()
        for option, value in (
            ("threads", 1),
            ("presolve", "off"),  # rows are few: constraint generation has chosen them
            ("solver", "simplex"),  # a vertex, so that contacts are sharp
            ("random_seed", 0),
            ("primal_feasibility_tolerance", FEASIBLE),
            ("dual_feasibility_tolerance", FEASIBLE),
        ):
            highs.setOptionValue(option, value)
    return highspy, highs


def minimise(cost: ArrayLike, rows: ArrayLike, most: ArrayLike, low: ArrayLike, high: ArrayLike) -> Floats:
    """Return x (n,) that minimises cost @ x subject to rows @ x <= most and low <= x <= high.

    `rows` is (m, n); infinite bounds are np.inf. Raises `InfeasibleError` where there is no finite optimum.
    """
    highspy, highs = _solver()
    matrix = np.ascontiguousarray(rows, dtype=float)
    count, size = matrix.shape
    program = highspy.HighsLp()
    program.num_col_, program.num_row_ = size, count
    program.col_cost_ = np.asarray(cost, dtype=float)
    program.col_lower_ = np.asarray(low, dtype=float)
    program.col_upper_ = np.asarray(high, dtype=float)
    program.row_lower_ = np.full(count, -np.inf)
    program.row_upper_ = np.asarray(most, dtype=float)
    where = matrix != 0.0
    program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    program.a_matrix_.start_ = np.concatenate([[0], np.cumsum(where.sum(axis=1))]).astype(np.int32)
    program.a_matrix_.index_ = np.nonzero(where)[1].astype(np.int32)
    program.a_matrix_.value_ = matrix[where]
    highs.clearModel()
    highs.passModel(program)
    highs.run()
    if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        raise InfeasibleError(str(highs.getModelStatus()))
    return np.asarray(highs.getSolution().col_value, dtype=float)


def grow(
    cost: ArrayLike, rows: Floats, most: Floats, low: ArrayLike, high: ArrayLike, start: NDArray[np.intp]
) -> Floats:
    """Return what `minimise` returns, for very many rows: rows are added only as they turn out violated.

    `start` are the indices of the rows to begin with; `low` and `high` should be finite, since the first
    few rows alone may not hold the optimum. Ends after finitely many rounds: each adds rows.
    """
    if len(rows) <= _FEW:
        return minimise(cost, rows, most, low, high)
    chosen = np.zeros(len(rows), dtype=bool)
    chosen[start] = True
    while True:
        x = minimise(cost, rows[chosen], most[chosen], low, high)
        over = np.where(chosen, -np.inf, rows @ x - most)
        worst = np.argsort(-over, kind="stable")[:_AT_ONCE]
        worst = worst[over[worst] > FEASIBLE]
        if len(worst) == 0:
            return x
        chosen[worst] = True


def extremes(points: Floats, heights: Floats) -> NDArray[np.intp]:
    """Return indices of points that reach farthest in 8 directions, and of the lowest and highest."""
    angle = np.arange(8) * np.pi / 4.0
    reach = points @ np.vstack([np.cos(angle), np.sin(angle)])
    found = [*np.argmax(reach, axis=0), int(np.argmin(heights)), int(np.argmax(heights))]
    return np.unique(np.asarray(found, dtype=np.intp))


@dataclass(frozen=True)
class Unit:
    """Centre and half-size of the points, so that the solver sees coordinates in [-1, 1]."""

    x: float
    y: float
    sx: float
    sy: float

    @classmethod
    def of(cls, points: Floats) -> Unit:
        """Return the unit of `points` (n, 2)."""
        low, high = points.min(axis=0), points.max(axis=0)
        half = np.where(high - low > 1e-9, (high - low) / 2.0, 1.0)
        return cls(*(float(v) for v in (*(low + high) / 2.0, *half)))

    def scaled(self, points: Floats) -> Floats:
        """Return the points (n, 2) in units."""
        result: Floats = (np.atleast_2d(points) - [self.x, self.y]) / [self.sx, self.sy]
        return result

    def slopes(self, p: float, q: float) -> tuple[float, float]:
        """Return slopes per mm of a plane with slopes `p`, `q` per unit."""
        return float(p / self.sx), float(q / self.sy)

    def at_origin(self, p: float, q: float, c: float) -> float:
        """Return the height at x = y = 0 of the plane p u + q v + c."""
        a, b = self.slopes(p, q)
        return float(c - a * self.x - b * self.y)
