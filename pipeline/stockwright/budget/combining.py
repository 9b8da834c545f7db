"""Uncertainties combined. In: half-widths, readings. Out: standard and expanded uncertainties, mm.

The method is that of NIST Technical Note 1297 (1994 edition): a bound is a rectangular distribution, readings
have the standard deviation of their mean, parts are combined by the root sum of squares, and the whole is
expanded by k = 2, or by Student's t for as many degrees of freedom as the readings leave (its appendix B).
"""

from __future__ import annotations

import bisect
import math
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

__all__ = ["COVERAGE", "Kind", "coverage_factor", "expanded", "of_readings", "standard"]

Kind = Literal["rectangular", "normal"]
COVERAGE = 2.0  # k, about 95 %: NIST TN 1297, section 6

# Student's t for 95.45 % by degrees of freedom: NIST TN 1297, table B.1 (from memory; a test integrates it).
_T = (
    (1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (6, 2.52), (7, 2.43), (8, 2.37), (9, 2.32),
    (10, 2.28), (11, 2.25), (12, 2.23), (13, 2.21), (14, 2.20), (15, 2.18), (16, 2.17), (17, 2.16),
    (18, 2.15), (19, 2.14), (20, 2.13), (25, 2.11), (30, 2.09), (35, 2.07), (40, 2.06), (50, 2.05),
    (100, 2.025),
)  # fmt: skip


def standard(half: float, kind: Kind) -> float:
    """Return the standard uncertainty of a part: `half` is a bound, or of a normal one its k = 2 value."""
    return half / math.sqrt(3) if kind == "rectangular" else half / COVERAGE


def expanded(parts: Iterable[float], factor: float = COVERAGE) -> float:
    """Return the expanded uncertainty of standard ones, by the root sum of squares."""
    return factor * math.sqrt(math.fsum(part * part for part in parts))


def coverage_factor(freedom: float) -> float:
    """Return what to expand by for so many degrees of freedom: k = 2 where they are many."""
    if freedom > _T[-1][0] * 10:
        return COVERAGE
    place = bisect.bisect_right([n for n, _ in _T], math.floor(freedom + 1e-9))
    return _T[max(place - 1, 0)][1]


def of_readings(readings: Sequence[float], reads: float) -> tuple[float, float]:
    """Return the mean of two or more readings and its expanded uncertainty.

    `reads` is how finely one can be read, a bound to either side; it is in every reading alike and does not
    average out. Effective degrees of freedom by Welch and Satterthwaite (NIST TN 1297, B.3).
    """
    count = len(readings)
    mean = math.fsum(readings) / count
    scatter = math.sqrt(math.fsum((each - mean) ** 2 for each in readings) / (count - 1) / count)
    fine = standard(reads, "rectangular")
    both = math.hypot(scatter, fine)
    freedom = math.inf if scatter == 0.0 else (count - 1) * (both / scatter) ** 4
    return mean, coverage_factor(freedom) * both
