"""Which second reading goes with a program. In: a reader's name, a text. Out: `Script`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mutants.second_blocks import blocks
from mutants.second_rows import rows
from mutants.second_statements import statements
from mutants.second_text import Script, script
from mutants.second_whole_lines import whole_lines

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["SECOND"]

SECOND: dict[str, Callable[[str], Script]] = {
    "cldata": statements,
    "iso-6983": blocks,
    "motion-table": rows,
    "rs274-ngc": script,
    "spelled-out": whole_lines,
}
