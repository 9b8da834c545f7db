"""What a program's text has said so far.

In: motion, node by node. Out: what still holds and need not be said again. Promise: anything that a person or
the machine may have changed meanwhile counts as unknown.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stockwright.motion.nodes import Node, Program
    from stockwright.posting.traits import Units

__all__ = ["Said"]


@dataclass
class Said:
    """The memory of one program being written.

    `at` holds whole counts of the resolution, None where no word has stated the axis; `word` the motion word
    that holds, `feed` the F that holds (a count), both None where they must be said again; `last` is the last
    line that acts; `top` the height at which the program goes about, a count, None where it never moves up.
    """

    program: Program
    units: Units
    at: list[int | None] = field(default_factory=lambda: [None, None, None])
    word: str | None = None
    feed: int | None = None
    before: Node | None = None
    after: Node | None = None
    last: str = ""
    top: int | None = None

    def forget(self) -> None:
        """Say everything again from here on: somebody else may have moved the machine."""
        self.at = [None, None, None]
        self.word = self.feed = None
