"""The findings on boards that are refused. In: findings by board. Out: findings.

Promise: every board's findings are reported under its name, and what concerns the shop is reported once;
where one board cannot give the size, the size that all of them can give is named too.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import floor
from typing import TYPE_CHECKING

from stockwright.batching.merging import in_order
from stockwright.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.job import Job

__all__ = ["left_out", "refusal", "with_common_size"]

# Rule -> measure, and the parts of a mm in which its own remedy names a size.
SIZES = {
    "board-too-thin": ("thickness", 10),
    "board-too-narrow": ("width", 1),
    "board-too-short": ("length", 1),
}


def refusal(boards: Mapping[str, tuple[Finding, ...]], bed: tuple[Finding, ...] = ()) -> tuple[Finding, ...]:
    """Return all findings on the boards that are refused, and on the bed."""
    said = Counter((f.rule, f.message) for found in (*boards.values(), bed) for f in set(found))
    told: dict[Finding, None] = {}
    for name, found in (*boards.items(), ("", bed)):
        for f in found:
            of_shop = f.setup is None and said[f.rule, f.message] > 1
            named = of_shop or name in f.message
            told[f if named else replace(f, message=f"{name}: {f.message}")] = None
    return tuple(sorted(told, key=in_order))


def left_out(name: str, why: tuple[Finding, ...]) -> Finding:
    """Return the warning of a board that is refused and left out."""
    worst = [f for f in why if f.level == "refuse"]
    first = worst[0]
    more = f", and {len(worst) - 1} more" if len(worst) > 1 else ""
    return Finding(
        rule="board-left-out",
        level="warn",
        message=f"{name} is left out, no file cuts it: {first.rule}: {first.message}{more}",
        remedy=f"{first.remedy}; then make a packet for it by itself, with --board",
    )


def with_common_size(findings: tuple[Finding, ...], job: Job) -> tuple[Finding, ...]:
    """Return the findings; one on a single board's size also says what size all the boards can give."""
    wishes = {job.of(board.name).wanted for board in job.boards}
    if len(job.boards) < 2 or len(wishes) > 1:
        return findings
    given: dict[str, list[float]] = {}
    for f in findings:
        if f.rule in SIZES and f.level == "refuse" and f.measured is not None and f.limit is not None:
            measure, parts = SIZES[f.rule]
            wanted = getattr(job.wanted, measure)
            # What comes off in a later visit is not in the finished size.
            later = 0.0 if wanted is None else f.limit - wanted
            given.setdefault(f.rule, []).append(floor((f.measured - later) * parts) / parts)
    return tuple(
        replace(f, remedy=f"{f.remedy}; {_all(f.rule, min(given[f.rule]))}") if f.rule in given else f
        for f in findings
    )


def _all(rule: str, size: float) -> str:
    measure, parts = SIZES[rule]
    number = f"{size:.1f}" if parts > 1 else f"{size:.0f}"
    return f"at {number} mm {measure} every board of this job gives it"
