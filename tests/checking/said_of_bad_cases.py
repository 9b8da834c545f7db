"""All that the check stage says of every bad situation, and of the same one cured.

In: the cases. Out: by case, lines; a finding that was told further up is named by its rule only.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from as_read import finding_as_read
from checking import cases_of_accuracy, cases_of_forces, cases_of_moves, cases_of_tools
from situations import found, numbers
from stockwright.checking import check
from stockwright.checking.chips import feed_ranges

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from stockwright.checking import Situation

__all__ = ["said"]


@cache
def said() -> dict[str, list[str]]:
    """Give what all rules find in each situation, worst first, and what they found it from."""
    told: dict[str, list[str]] = {}
    seen: set[str] = set()
    for case in (
        *cases_of_tools.CASES,
        *cases_of_moves.CASES,
        *cases_of_accuracy.CASES,
        *cases_of_forces.CASES,
    ):
        cured = case.cure(numbers(found(case.rule, case.bad)[0].remedy))
        name = f"{case.rule.__name__}: {case.what}"
        for whose, situation in ((name, case.bad), (f"{name}; cured", cured)):
            told[whose] = [*_findings(situation, seen), *_figures(situation)]
    return told


def _findings(situation: Situation, seen: set[str]) -> Iterator[str]:
    for finding in check(situation):
        lines = finding_as_read(finding)
        whole = "\n".join(lines)
        yield from [f"{finding.level} {finding.rule}, as above"] if whole in seen else lines
        seen.add(whole)


def _figures(situation: Situation) -> Iterator[str]:
    """Say what moves take and ask, how it is held, and how far the feed may be turned."""
    for load in situation.loads:
        if len(load):
            bites = load.bites
            yield (
                f"{load.run.program.stem}: {_sums(len(bites), bites.width, bites.depth, bites.left)}; asks "
                f"{_sums(len(load), load.side, load.pull, load.watts, load.newton_metres)}, "
                f"top {load.top.sum():.6g}, light {int(load.light.sum())}"
            )
    for hold in situation.holds:
        yield f"{hold.board} is held {_sums(len(hold.plane), hold.plane, hold.lift, hold.tip)} times"
    for stem, feed in feed_ranges(situation).items():
        yield (f"feed of {stem}: {feed.low:.6g} ({feed.slow}) to {feed.high:.6g} ({feed.fast})")


def _sums(count: int, *columns: NDArray[Any]) -> str:
    """Tell columns by their length, their least, their greatest and their sums, infinite ones left out."""
    told = []
    for column in columns:
        known = column[np.isfinite(column)].astype(float)
        told.append(f"{known.min():.5g}-{known.max():.5g} ({known.sum():.5g})" if len(known) else "-")
    return f"{count} x {', '.join(told)}"
