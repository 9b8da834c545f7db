"""The errors to expect from the machine. In: a job and its setups, or a packet. Out: `Expected`, tables.

Promise: kept apart from what the simulated board measures, and never used by the proof.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.budget.figures import FIGURES
from stockwright.budget.sums import budget, titled
from stockwright.budget.work import work_of
from stockwright.frozen import frozen
from stockwright.packet import model
from stockwright.packet.writing import Row

if TYPE_CHECKING:
    from stockwright.budget.sums import Sum
    from stockwright.job import Job, Tolerance
    from stockwright.packet.model import Packet
    from stockwright.packet.writing import Writing
    from stockwright.planning.setup import Setup

__all__ = ["ExpectedTable", "expected_of", "expected_tables"]

_SOURCE = {"guess": "a guess", "stated": "as the shop says", "measured": "measured"}


@frozen
class ExpectedTable:
    """One board's table, and what it means in sentences."""

    name: str
    rows: tuple[Row, ...]
    says: tuple[str, ...]


def expected_of(job: Job, setups: tuple[Setup, ...]) -> dict[str, list[model.Expected]]:
    """Return for each board its measures, in the order they are told."""
    return {
        board.name: [
            _expected(each, job.wanted.tolerance) for each in budget(job.shop, work_of(job, setups, board))
        ]
        for board in job.boards
    }


def _expected(total: Sum, tolerance: Tolerance) -> model.Expected:
    return model.Expected(
        name=total.name,
        of=total.of,
        asked=getattr(tolerance, total.name),
        expected=_number(total.expected),
        worst=_number(total.worst),
        shares=[
            model.Share(
                key=part.key, words=part.words, size=_number(part.size), kind=part.kind, source=part.source
            )
            for part in total.parts
        ],
    )


def _number(value: float) -> float:
    return round(value, model.DECIMALS) + 0.0


def expected_tables(packet: Packet, writing: Writing) -> list[ExpectedTable]:
    """Return what the sheet prints of the machine's errors, a table a board that has measures."""
    return [
        ExpectedTable(name, tuple(_row(each, writing) for each in measures), _says(measures, writing))
        for name, measures in packet.expected.items()
        if measures
    ]


def _row(each: model.Expected, writing: Writing) -> Row:
    title = titled(each.name, each.of)
    first = each.shares[0] if each.shares else None
    most = "" if first is None else f"{first.words}, {writing.fine(first.size)} ({_SOURCE[first.source]})"
    asked = "" if each.asked is None else writing.fine(each.asked)
    return Row(
        title[:1].upper() + title[1:], (asked, writing.fine(each.expected), writing.fine(each.worst), most)
    )


def _says(measures: list[model.Expected], writing: Writing) -> tuple[str, ...]:
    """Name what uses up most of its tolerance, and the test cut that tells it."""
    tight = [each for each in measures if each.asked and each.shares]
    if not tight:
        return ()
    worst = max(tight, key=lambda each: each.expected / (each.asked or 1.0))
    told = next((FIGURES[share.key] for share in worst.shares if share.key in FIGURES), None)
    if told is None:
        return ()
    share = next(share for share in worst.shares if share.key == told.key)
    what = (
        f"What counts most is {told.words} ({writing.fine(share.size)} in the {worst.name}, "
        f"{_SOURCE[share.source]}). A test cut tells it: {told.cut}; `stockwright shop check` makes a "
        "figure of it."
    )
    return (what,)
