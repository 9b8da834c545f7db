"""Small linear programs. In: cost, rows, bounds. Out: the optimum. The one door to the solver.

Promise: the solver is imported here, late; it runs on one thread and prints nothing, not even from C.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["FEASIBLE", "InfeasibleError", "Program", "Unit", "minimise"]

FEASIBLE = 1e-9  # mm; how far the solver may overstep a row; far below any measuring


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
    program = Program(np.asarray(rows, dtype=float), np.asarray(most, dtype=float), low, high)
    return program.solve(cost)


class Program:
    """A program in the solver: rows may be added, cost and limits change, and it goes on from where it was.

    There is one solver: when the next program is begun, `in_solver` of this one ends.
    """

    _latest: ClassVar[Program | None] = None

    def __init__(self, rows: Floats, most: Floats, low: ArrayLike, high: ArrayLike) -> None:
        highspy, self._highs = _solver()
        self._optimal = highspy.HighsModelStatus.kOptimal
        count, size = rows.shape
        program = highspy.HighsLp()
        program.num_col_, program.num_row_ = size, count
        program.col_cost_ = np.zeros(size)
        program.col_lower_ = np.asarray(low, dtype=float)
        program.col_upper_ = np.asarray(high, dtype=float)
        program.row_lower_ = np.full(count, -np.inf)
        program.row_upper_ = most
        program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        start, index, value = _sparse(rows)
        program.a_matrix_.start_ = np.append(start, len(index)).astype(np.int32)
        program.a_matrix_.index_ = index
        program.a_matrix_.value_ = value
        self._columns = np.arange(size, dtype=np.int32)
        self._highs.clearModel()
        self._highs.passModel(program)
        Program._latest = self

    @property
    def in_solver(self) -> bool:
        """Whether no other program was begun since."""
        return Program._latest is self

    def add(self, rows: Floats, most: Floats) -> None:
        """Add rows (m, n)."""
        start, index, value = _sparse(rows)
        count = len(rows)
        self._highs.addRows(count, np.full(count, -np.inf), most, len(index), start, index, value)

    def limit(self, first: int, most: Floats) -> None:
        """Give rows, from the `first` one on, other limits."""
        for row, value in enumerate(most.tolist(), start=first):
            self._highs.changeRowBounds(row, -np.inf, value)

    def solve(self, cost: ArrayLike) -> Floats:
        """Return the optimum; raises `InfeasibleError` where there is no finite one."""
        self._highs.changeColsCost(len(self._columns), self._columns, np.asarray(cost, dtype=float))
        self._highs.run()
        if self._highs.getModelStatus() != self._optimal:
            raise InfeasibleError(str(self._highs.getModelStatus()))
        return np.array(self._highs.getSolution().col_value, dtype=float)


def _sparse(rows: Floats) -> tuple[NDArray[np.int32], NDArray[np.int32], Floats]:
    """Return where each row starts, the columns and the values of what is not zero."""
    where = rows != 0.0
    ends = np.cumsum(where.sum(axis=1))
    start = np.concatenate([[0], ends[:-1]]).astype(np.int32)
    return start, np.nonzero(where)[1].astype(np.int32), rows[where]


@frozen
class Unit:
    """Centre and half-size of the points, so that the solver sees coordinates in [-1, 1]."""

    x: float
    y: float
    sx: float
    sy: float

    @classmethod
    def of(cls, points: Floats) -> Unit:
        """Return the unit of `points` (n, 2)."""
        # Column by column: ten times as fast as along the first axis of very many points.
        low = np.array([points[:, 0].min(), points[:, 1].min()])
        high = np.array([points[:, 0].max(), points[:, 1].max()])
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
