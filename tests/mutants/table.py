"""What a run of mutants comes to, as a table. In: tried mutants. Out: Markdown, and the disagreements.

Promise: every mutant is in one of the columns, the unsure ones too.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mutants.damage import DRESSING, KINDS

if TYPE_CHECKING:
    from mutants.trial import Tried

__all__ = ["Table"]

COLUMNS = (
    ("harmful", True, "harmful, refused"),
    ("harmful", False, "harmful, passed"),
    ("harmless", False, "harmless, passed"),
    ("harmless", True, "harmless, refused"),
    ("unsure", True, "unsure, refused"),
    ("unsure", False, "unsure, passed"),
)


@dataclass
class Table:
    """Counts by kind; `odd` are the seeds at which the two judges disagree, or no reason names the line."""

    counts: Counter[tuple[str, str, bool]] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    odd: list[str] = field(default_factory=list)

    def add(self, one: Tried) -> None:
        """Count one mutant."""
        kind = one.mutant.kind
        self.counts[kind, one.judged, one.refused] += 1
        blocked = one.judged == "harmful" and one.refused
        self.right[kind] += blocked and one.line_right
        agreed = one.judged == "unsure" or (one.judged == "harmful") == one.refused
        if not agreed or (blocked and not one.line_right):
            said = sorted({harm.kind for harm in one.harms}), sorted({r.rule for r in one.reasons})
            self.odd.append(f"seed {one.mutant.seed}, {kind}: judged {one.judged} {said[0]}, proof {said[1]}")

    def all(self, judged: str, *, refused: bool) -> int:
        """Count a column over every kind."""
        return sum(n for (_, j, r), n in self.counts.items() if (j, r) == (judged, refused))

    def markdown(self) -> str:
        """Give the table: a row a kind, and the sum."""
        head = ["what was done", *(name for _, _, name in COLUMNS), "line right"]
        rows = [head, ["---", *["--:"] * (len(head) - 1)]]
        for kind in (*KINDS, *DRESSING):
            cells = [self.counts[kind, judged, refused] for judged, refused, _ in COLUMNS]
            rows.append([kind, *map(str, cells), f"{self.right[kind]} of {cells[0]}" if cells[0] else ""])
        totals = [self.all(judged, refused=refused) for judged, refused, _ in COLUMNS]
        rows.append(
            ["**all**", *(f"**{n}**" for n in totals), f"**{sum(self.right.values())} of {totals[0]}**"]
        )
        return "\n".join("| " + " | ".join(row) + " |" for row in rows)
