"""Values that are not given: the range that a shop can do.

In: a bench, what is given. Out: base values, ranges. mm or plain numbers. Promise: both ends of a range were
tried, and what was tried beyond them is named with the rule that refuses it; nothing is claimed of the values
in between.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stockwright.documents.expressions import ExpressionError, Quantity
from stockwright.documents.recipe import BedStep
from stockwright.documents.values import values_of
from stockwright.fitting.trial import BOARD_SIZES, Tried, job_tree, sizes_of
from stockwright.frozen import frozen
from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.source import Tree
    from stockwright.findings import Finding
    from stockwright.fitting.trial import Bench
    from stockwright.mistakes import Mistake
    from stockwright.units import System

__all__ = ["Open", "Range", "Search", "open_inputs"]

# Where a recipe says no limit: what is a board at all; common practice, no source.
BOARD_LIMITS = {"length": (150.0, 3000.0), "width": (30.0, 600.0), "thickness": (6.0, 90.0)}
NO_LIMITS = {"length": (1.0, 1000.0), "number": (0.1, 10.0), "count": (1.0, 10.0)}
BASES = (0.5, 0.25, 0.75, 0.1, 0.0)  # where between its limits an input is tried first, by its logarithm
MOST_TRIES = 9  # for one end of one range
# In these steps, mm, a person writes a length below 100 mm, and a longer one.
WRITTEN: dict[System, tuple[float, float]] = {"mm": (0.1, 1.0), "inch": (0.005 * INCH, 0.05 * INCH)}
NEAR = 0.01  # of a size: a range's end is told no finer


@frozen
class Open:
    """A value that nobody gave: an input, or a size of the board that the recipe leaves as it is.

    `units` are the shop's, in which lengths are written.
    """

    name: str
    ask: str
    kind: str
    low: float
    high: float
    of_board: bool = False
    units: System = "mm"

    def at(self, share: float) -> float:
        """Return the value a share of the way from `low` to `high`, by its logarithm."""
        low = max(self.low, self.high * 1e-3, 1e-6)
        return self.tidy(low * (max(self.high, low) / low) ** share)

    def tidy(self, value: float) -> float:
        """Return a value as one would write it, never outside the limits."""
        fine, coarse = WRITTEN[self.units if self.kind == "length" else "mm"]
        step = coarse if self.kind == "count" or value >= 100 else fine
        return min(max(round(round(value / step) * step, 6), self.low), self.high)

    @property
    def fine(self) -> float:
        """The smallest difference that matters."""
        return 1.0 if self.kind == "count" else 0.5


@frozen(eq=False)
class Range:
    """Between which values an open one was tried and passes, and what refuses beyond; None at a limit."""

    of: Open
    low: float
    high: float
    below: tuple[float, Finding] | None = None
    above: tuple[float, Finding] | None = None


def open_inputs(tree: Tree, bench: Bench, sets: Mapping[str, str]) -> tuple[tuple[Open, ...], list[Mistake]]:
    """Return the inputs that are given nowhere, and the mistakes of those that are.

    A limit that is a sum of other inputs counts as none here: the values themselves are judged by it.
    """
    recipe = bench.recipe.model
    found = []
    for name, each in recipe.inputs.items():
        if name in sets or each.default is not None:
            continue
        low, high = (limit.value if isinstance(limit, Quantity) else None for limit in (each.low, each.high))
        usual = NO_LIMITS[each.kind]
        if each.kind == "length" and low is None and high is None:
            usual = (10.0, 1000.0)
        low = low if low is not None else min(usual[0], high) if high is not None else usual[0]
        high = high if high is not None else max(usual[1], low)
        found.append(Open(name, each.ask, each.kind, low, high, units=bench.shop.model.units))
    _, mistakes = values_of(job_tree(), tree, sets)
    said = [m for m in mistakes if not (m.code == "missing-key" and m.file == "(fit)")]
    return tuple(found), said


@dataclass
class Search:
    """Tries values on a bench, each set of them once."""

    bench: Bench
    tree: Tree
    sets: Mapping[str, str]
    opened: tuple[Open, ...]
    seen: dict[tuple[tuple[str, float], ...], Tried] = field(default_factory=dict)

    def values(self, at: Mapping[str, float]) -> dict[str, Quantity] | None:
        """Return every input's value; None where one is outside what the recipe allows."""
        said = {o.name: _text(o, at[o.name]) for o in self.opened if not o.of_board}
        return values_of(job_tree(), self.tree, {**said, **self.sets})[0]

    def mistakes(self, at: Mapping[str, float]) -> list[Mistake]:
        """Return what is wrong with the values themselves."""
        said = {o.name: _text(o, at[o.name]) for o in self.opened if not o.of_board}
        return values_of(job_tree(), self.tree, {**said, **self.sets})[1]

    def board_sizes(self) -> tuple[Open, ...]:
        """Return what of a board's size the recipe leaves as it is, to be searched like an input."""
        units = self.bench.shop.model.units
        if self.bench.boards or all(isinstance(s, BedStep) for s in self.bench.recipe.model.steps):
            return ()
        values = self.values({o.name: o.at(0.5) for o in self.opened})
        try:
            sizes = sizes_of(self.bench.recipe.model, values) if values is not None else {}
        except ExpressionError:
            sizes = {}
        return tuple(
            Open(f"the board's {m}", f"{m} of the board", "length", *BOARD_LIMITS[m], True, units)
            for m in BOARD_SIZES
            if sizes.get(m, 0.0) is None
        )

    def tried(self, at: Mapping[str, float]) -> Tried:
        """Try values of everything that is open."""
        key = tuple(sorted(at.items()))
        if key not in self.seen:
            values = self.values(at)
            if values is None:
                self.seen[key] = Tried(tuple(_not_allowed(m) for m in self.mistakes(at)))
            else:
                board = {m: at.get(f"the board's {m}", BOARD_SIZES[m]) for m in BOARD_SIZES}
                self.seen[key] = self.bench.tried(values, board)
        return self.seen[key]

    def base(self) -> tuple[dict[str, float], Tried]:
        """Return values that pass, or those refused for the fewest reasons, the first of them."""
        best: tuple[dict[str, float], Tried] | None = None
        for share in BASES if self.opened else BASES[:1]:
            at = {o.name: o.at(share) for o in self.opened}
            tried = self.tried(at)
            if tried.passes:
                return at, tried
            if best is None or len(tried.refused) < len(best[1].refused):
                best = at, tried
        assert best is not None
        return best

    def range_of(self, each: Open, base: Mapping[str, float]) -> Range:
        """Return how far one open value goes either way, the others as they are at `base`."""
        low, below = self.furthest(each, base, each.low)
        high, above = self.furthest(each, base, each.high)
        return Range(each, low, high, below, above)

    def furthest(
        self, each: Open, base: Mapping[str, float], far: float
    ) -> tuple[float, tuple[float, Finding] | None]:
        """Return the furthest value towards `far` that passes, and what refuses the next one tried."""
        good = base[each.name]
        tried = self.tried({**base, each.name: far})
        if tried.passes:
            return far, None
        bad, why = far, tried
        for _ in range(MOST_TRIES):
            if abs(bad - good) <= max(each.fine, NEAR * abs(good)):
                break
            middle = each.tidy(_next(good, bad, why))
            if middle in {good, bad}:
                break
            tried = self.tried({**base, each.name: middle})
            if tried.passes:
                good = middle
            else:
                bad, why = middle, tried
        return good, (bad, why.refused[0])

    def nearest(self, each: Open, base: Mapping[str, float], given: float) -> float | None:
        """Return the passing value nearest to a given one that does not pass; None where none is found."""
        for far in (each.low, each.high):
            for share in (0.25, 0.5, 1.0):
                good = each.tidy(given * (max(far, 1e-6) / given) ** share)
                if good != given and self.tried({**base, each.name: good}).passes:
                    return self.furthest(each, {**base, each.name: good}, given)[0]
        return None


def _next(good: float, bad: float, why: Tried) -> float:
    """Return what to try next: where travel refused, as much nearer as it was over, else the middle."""
    first = why.refused[0]
    if first.rule == "leaves-the-travel" and first.measured is not None and first.limit is not None:
        over = abs(first.measured - first.limit)
        # A board in the middle of the bed grows to both sides: twice as much is too long.
        guess = bad - math.copysign(2 * over + 1.0, bad - good)
        if min(good, bad) < guess < max(good, bad):
            return guess
    if good > 0 and bad > 0 and max(good, bad) > 4 * min(good, bad):
        return math.sqrt(good * bad)
    return (good + bad) / 2


def _text(each: Open, value: float) -> str:
    if each.kind == "count":
        return f"{value:.0f}"
    return f"{value:.6g}" + (" mm" if each.kind == "length" else "")


def _not_allowed(mistake: Mistake) -> Finding:
    from stockwright.findings import Finding

    return Finding(
        rule=mistake.code,
        level="refuse",
        message=mistake.message,
        remedy=mistake.hint or "take another value",
    )
