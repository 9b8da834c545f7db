"""All that the check stage says of odd work, and every column of numbers that it says it from.

In: the situations. Out: by situation, lines. Promise: a number that moves, or changes places with another in
its column, moves a line: of each column its length, least, greatest, sum and the sum by place are told.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from as_read import finding_as_read
from checking.borders import BORDERS
from checking.odd_faults import odd_faults
from checking.odd_work import odd_work
from stockwright.checking import RULES
from stockwright.checking.chips import bounds_of, feed_ranges
from stockwright.checking.holds import at_best
from stockwright.checking.parts import parts_of
from stockwright.checking.paths import paths_of
from stockwright.checking.wood import wood_of
from stockwright.findings import severity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from stockwright.checking import Situation
    from stockwright.checking.situation import Run

__all__ = ["said_at_borders", "said_of_odd_work"]

NOTHING = 1e-9


@cache
def said_of_odd_work() -> dict[str, list[str]]:
    """Give what all rules find in each situation, worst first, and the columns that they look at."""
    return {name: [*_findings(of), *_columns(of)] for name, of in (odd_work() | odd_faults()).items()}


def said_at_borders() -> dict[str, list[str]]:
    """Give what each rule finds just beyond its border."""
    return {
        f"{border.rule.__name__} at {border.enough:g}, {k}": [
            line for finding in border.rule(border.make(border.beyond)) for line in finding_as_read(finding)
        ]
        for k, border in enumerate(BORDERS)
    }


def _findings(of: Situation) -> Iterator[str]:
    found = [finding for rule in RULES for finding in rule.find(of)]
    for finding in sorted(found, key=severity):
        yield from finding_as_read(finding)


def _columns(of: Situation) -> Iterator[str]:
    for setup in of.setups:
        wood = wood_of(setup)
        if wood is not None:
            places = f"x {_told(wood.x)}; y {_told(wood.y)}"
            yield f"wood: {places}; {_told(wood.height)}; scrap {_told(wood.scrap)}"
    for run in of.runs:
        yield from _moving(run, of)
    for touch in of.touches:
        at = " ".join(f"{v:.6g}" for v in touch.at)
        yield (
            f"touch: {touch.kind} {touch.setup} {touch.program} {touch.part} at {at}, {touch.height:.6g} in "
            f"{touch.wood:.6g}, slope {touch.slope:.6g}"
        )
    for load in of.loads:
        bites = load.bites
        stem = load.run.program.stem
        if not len(bites):
            continue
        for name in ("row", "width", "depth", "left", "wall"):
            yield f"bites of {stem}, {name}: {_told(getattr(bites, name))}"
        columns = ("chip", "side", "pull", "watts", "newton_metres", "light", "top", "width", "depth", "feed")
        for name in columns:
            yield f"load of {stem}, {name}: {_told(getattr(load, name))}"
        if len(load):
            (low, slow), (high, fast) = bounds_of(of, load)
            yield f"bounds of {stem}: {_number(low)} {slow}, {_number(high)} {fast}; {load.rpm:.6g} rpm"
    for stem, feed in feed_ranges(of).items():
        low, high, slow, fast = feed.told
        yield f"feed of {stem}: {low:.6g} ({slow}) to {high:.6g} ({fast})"
    for hold in of.holds:
        best = at_best(hold, of)
        weighs = f"{hold.board} of {hold.weight:.6g} N rubs {hold.friction:.6g}"
        yield f"{weighs}, loose {hold.loose}, {best.loose}"
        for name in ("asked", "pulled", "plane", "lift", "tip"):
            yield f"{hold.board}, {name}: {_told(getattr(hold, name))}; at best {_told(getattr(best, name))}"
        yield f"ends: {_told(hold.load.a)}; {_told(hold.load.b)}; {_told(hold.load.row)}"


def _moving(run: Run, of: Situation) -> Iterator[str]:
    """Tell the space that a program's moves may take, and what moves."""
    paths = paths_of(run.moves, of.machine, run.setup.work_origin)
    yield f"paths of {run.program.stem}: {_told(paths.a)}; {_told(paths.b)}; boxed {_told(paths.boxed)}"
    for part in parts_of(run.program.tool, of.machine, run.setup.work_origin[2]):
        area = 0.0 if part.outline is None else float(shapely.Polygon(part.outline).area)
        yield (
            f"part: {part.name}, {part.kind}, {part.radius:.6g}, {part.bottom:.6g} to {part.top:.6g}, "
            f"{part.cuts} {part.fixed} {part.soft} {area:.6g}"
        )


def _told(column: NDArray[Any]) -> str:
    """Tell a column by length, least, greatest, sum, and sum by place; infinite ones are counted only."""
    flat = np.asarray(column).ravel().astype(float)
    known = np.isfinite(flat)
    if not known.any():
        return f"{len(flat)} x -"
    values, places = flat[known], np.flatnonzero(known) + 1
    numbers = (values.min(), values.max(), values.sum(), (values * places).sum() / len(flat))
    least, most, total, by_place = (_number(float(number)) for number in numbers)
    return f"{len(flat)} x {least} to {most}, {total}, {by_place}"


def _number(value: float) -> str:
    """Tell a number to six digits; a last bit that is left of a difference is none."""
    return f"{value if abs(value) > NOTHING else 0.0:.6g}"
