"""What a run of mutants comes to, as tables. In: tried mutants. Out: Markdown, and the disagreements.

Promise: every mutant is in one of the columns, the unsure ones too.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mutants.damage import EVERY_KIND
from mutants.small_jobs import JOBS

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["Row", "Table"]

COLUMNS = (
    ("harmful", True, "harmful, refused"),
    ("harmful", False, "harmful, passed"),
    ("harmless", False, "harmless, passed"),
    ("harmless", True, "harmless, refused"),
    ("unsure", True, "unsure, refused"),
    ("unsure", False, "unsure, passed"),
)


@dataclass(frozen=True)
class Row:
    """What came of one mutant: whose it is, what both judges say, whether a reason names the right line."""

    seed: int
    job: int
    kind: str
    judged: str
    refused: bool
    line_right: bool
    harms: list[str]
    rules: list[str]


@dataclass
class Table:
    """Counts by kind, post and recipe.

    `odd` are the seeds at which the judges disagree, or no reason names the line; `unsure` are the seeds at
    which the second judge is not sure and the proof refuses nothing.
    """

    counts: dict[str, Counter[tuple[str, str, bool]]] = field(default_factory=dict)
    right: dict[str, Counter[str]] = field(default_factory=dict)
    odd: list[str] = field(default_factory=list)
    unsure: list[str] = field(default_factory=list)

    def add(self, one: Row) -> None:
        """Count one mutant."""
        job = JOBS[one.job]
        blocked = one.judged == "harmful" and one.refused
        for of, name in (("done", one.kind), ("post", job.post), ("recipe", job.recipe)):
            self.counts.setdefault(of, Counter())[name, one.judged, one.refused] += 1
            self.right.setdefault(of, Counter())[name] += blocked and one.line_right
        agreed = one.judged == "unsure" or (one.judged == "harmful") == one.refused
        told = self.odd if not agreed or (blocked and not one.line_right) else self.unsure
        if told is self.odd or (one.judged == "unsure" and not one.refused):
            told.append(
                f"seed {one.seed}, {one.kind}, job {one.job} {job.name}: "
                f"judged {one.judged} {one.harms}, proof {one.rules}"
            )

    def all(self, judged: str, *, refused: bool) -> int:
        """Count a column over every kind."""
        return sum(n for (_, j, r), n in self.counts["done"].items() if (j, r) == (judged, refused))

    def lines_right(self) -> int:
        """Count the harmful ones that are refused at the right line."""
        return sum(self.right["done"].values())

    def markdown(self) -> str:
        """Give the tables: a row a kind and the sum; a row a post; a row a recipe."""
        posts, recipes = (
            dict.fromkeys(each) for each in zip(*((j.post, j.recipe) for j in JOBS), strict=True)
        )
        tables = [
            self._table("done", "what was done", EVERY_KIND),
            self._table("post", "post", sorted(posts)),
            self._table("recipe", "recipe", sorted(recipes)),
        ]
        return "\n\n".join(tables)

    def _table(self, of: str, title: str, names: Iterable[str]) -> str:
        head = [title, *(name for _, _, name in COLUMNS), "line right"]
        rows = [head, ["---", *["--:"] * (len(head) - 1)]]
        for name in names:
            cells = [self.counts[of][name, judged, refused] for judged, refused, _ in COLUMNS]
            rows.append([name, *map(str, cells), f"{self.right[of][name]} of {cells[0]}" if cells[0] else ""])
        totals = [self.all(judged, refused=refused) for judged, refused, _ in COLUMNS]
        rows.append(["**all**", *(f"**{n}**" for n in totals), f"**{self.lines_right()} of {totals[0]}**"])
        return "\n".join("| " + " | ".join(row) + " |" for row in rows)
