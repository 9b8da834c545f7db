"""Whether the machine is accurate enough for what is asked. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stockwright.budget.figures import FIGURES
from stockwright.budget.sums import budget
from stockwright.budget.work import work_of
from stockwright.findings import Finding

if TYPE_CHECKING:
    from stockwright.budget.sums import Contributor, Sum
    from stockwright.checking.situation import Situation

__all__ = ["tolerance_not_reachable"]

SPARE = 1.1  # a wider tolerance is cut with less care, and comes out a little wider; our own choice

_SOURCE = {
    "guess": "guessed, for nobody has said",
    "stated": "as the shop's document says",
    "measured": "as it was measured",
}


def tolerance_not_reachable(situation: Situation) -> tuple[Finding, ...]:
    """The machine's own errors add up to more than the recipe lets a board be out by.

    A lean of the spindle, axes out of square, a bed that is not parallel to the machine's motion come out in
    every board, however well it is clamped. Where what is stated or measured is already too much, the job is
    refused; where it is too much only together with guesses, it is a warning. Cure: put right what counts
    most, or measure it with the test cut that is named and write that into the shop's document; or ask for
    less.
    """
    asked = situation.job.wanted.tolerance
    found: dict[tuple[str, str, str], Finding] = {}
    for board in situation.job.boards:
        for total in budget(situation.job.shop, work_of(situation.job, situation.setups, board)):
            limit = getattr(asked, total.name)
            if limit is None or total.expected <= limit:
                continue
            refused = total.known > limit
            out = total.known if refused else total.expected
            found.setdefault(
                (board.name, total.name, "refuse" if refused else "warn"),
                Finding(
                    rule="tolerance-not-reachable",
                    level="refuse" if refused else "warn",
                    message=_says(board.name, total, out, limit, refused=refused),
                    remedy=_remedy(total, max(out, total.expected), refused=refused),
                    measured=round(out, 3),
                    limit=round(limit, 3),
                ),
            )
    return tuple(found.values())


def _says(board: str, total: Sum, out: float, limit: float, *, refused: bool) -> str:
    first = _most(total, refused=refused)
    return (
        f"{board}: {total.title} can be expected within {out:.2f} mm on this machine, and {limit:g} mm is "
        f"asked; most of it is {first.words} ({first.size:.2f} mm, {_SOURCE[first.source]})"
    )


def _most(total: Sum, *, refused: bool) -> Contributor:
    """Return what counts most; where a job is refused, of what was stated or measured."""
    return next(part for part in total.parts if not refused or part.source != "guess")


def _remedy(total: Sum, out: float, *, refused: bool) -> str:
    """Say first the tolerance that would do, guesses and all, then what to put right or to measure."""
    enough = math.ceil(out * SPARE * 100 - 1e-6) / 100
    return f"ask for {total.name} within {enough:g} mm; or {_put_right(_most(total, refused=refused))}"


READS = "read heights more closely, and write `reads` into the shop's document below `slide`"
# By what it is called, what to do about what is no figure of the machine's.
UNMEASURED = {
    " bending": "take a stiffer cutter, or let it stick out less",
    "fence": "joint the fence in place, and write its `straightness` into the shop's document",
    "how far": "find the board again more closely, and write `within` into the shop's document below `slide`",
    "where the board was slid": READS,
    "leaning on the next": READS,
    "where its parts meet": READS,
}


def _put_right(part: Contributor) -> str:
    if not part.key:
        return next((cure for word, cure in UNMEASURED.items() if word in part.words), f"see to {part.words}")
    told = FIGURES[part.key]
    where = f"write it into the shop's document as `{told.key}` below `machine: errors`"
    if part.source == "guess":
        return f"find out: {told.cut}; {where}"
    return f"put it right, then measure: {told.cut}; {where}"
