"""Write anew what the proof says and reads. Then read the diff, and say in the commit why it moved.

Never in CI. A new line of a program goes into `read_of_awkward_lines.txt` by hand, with ` | ` behind it.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))
for page in (
    "said_of_faults",
    "said_of_odd_cases",
    "read_of_awkward_lines",
    "read_of_programs",
    "read_of_numbers",
):
    (HERE / f"{page}.txt").touch()

from as_read import page_of, pages_in
from proving.awkward_lines import LINES, PROGRAMS, line_as, read_as
from proving.odd_cases import CASES
from proving.odd_touches import TOUCHES
from proving.outcomes import outcome_as, outcome_of
from proving.test_faults_told_in_full import FAULTS
from proving.test_seeded_faults import DOCUMENTS, EDITS, edited, reasons, said
from proving.told_numbers import TOLD
from small_packet import small_document

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


def faults() -> dict[str, list[str]]:
    """Tell every seeded fault."""
    lines = [*(each[:3] for each in EDITS), *FAULTS]
    told = {f"{file}:{line} {text}": said(reasons(edited(file, line, text))) for file, line, text in lines}
    for apply, rule, *_ in DOCUMENTS:
        document = small_document()
        apply(document)
        told[f"{apply.__name__}, {rule}"] = said(reasons(document=document))
    return told


def write(name: str, told: Mapping[str, Iterable[str]]) -> None:
    """Write a page."""
    path = HERE / f"{name}.txt"
    path.write_text(page_of(told), encoding="utf-8")
    print(path.relative_to(HERE.parents[1]))


if __name__ == "__main__":
    write("said_of_faults", faults())
    write(
        "said_of_odd_cases", {name: outcome_as(outcome_of(case)) for name, case in (CASES | TOUCHES).items()}
    )
    write("read_of_programs", {name: read_as(*program) for name, program in PROGRAMS.items()})
    write("read_of_numbers", {name: list(tell()) for name, tell in TOLD.items()})
    asked = pages_in(HERE / "read_of_awkward_lines.txt")
    lines_of = {name: [each.partition(" | ")[0] for each in asked.get(name, [])] for name in LINES}
    write(
        "read_of_awkward_lines",
        {name: [line_as(name, line) for line in lines] for name, lines in lines_of.items()},
    )
