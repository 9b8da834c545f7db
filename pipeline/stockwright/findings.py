"""What a check reports: one value for each finding, never a log line or an exception.

In: nothing. Out: the `Finding` type and the order in which findings are shown.
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.job import Job
    from stockwright.machine import Shop

__all__ = ["LEVELS", "Finding", "Level", "Refused", "severity", "told_of", "unrefused"]

Level = Literal["refuse", "warn", "note"]
LEVELS: tuple[Level, ...] = ("refuse", "warn", "note")  # worst first


@frozen
class Finding:
    """One result of one rule.

    `rule` names the bad thing in words joined by hyphens; `measured` and `limit` are the two numbers
    compared (mm unless the message says otherwise), None where nothing is compared; `setup` is the
    index of the setup, `program` its file name, `at` a place in the setup's work frame (mm).
    """

    rule: str
    level: Level
    message: str
    remedy: str
    measured: float | None = None
    limit: float | None = None
    setup: int | None = None
    program: str | None = None
    at: tuple[float, float, float] | None = None


def severity(finding: Finding) -> int:
    """Return the sorting key that puts the worst first and keeps ties in their order."""
    return LEVELS.index(finding.level)


class Refused(Exception):  # noqa: N818 - the trade's word for it
    """The job cannot go on: the findings found so far, at least one of them refusing. Exit code 1.

    `job` says how the person reads lengths, where it is known by then, or else the `shop`.
    """

    def __init__(
        self, findings: tuple[Finding, ...], job: Job | None = None, shop: Shop | None = None
    ) -> None:
        self.job, self.shop = job, shop
        self.findings = tuple(sorted(findings, key=severity))
        super().__init__("; ".join(f.message for f in self.findings))


def unrefused(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings, worst first; raise `Refused` where one of them refuses."""
    findings = tuple(sorted(findings, key=severity))
    if any(f.level == "refuse" for f in findings):
        raise Refused(findings)
    return findings


@contextlib.contextmanager
def told_of(job: Job) -> Iterator[None]:
    """Tell a refusal that is raised inside this block which job it is about."""
    try:
        yield
    except Refused as refused:
        refused.job = refused.job or job
        raise
