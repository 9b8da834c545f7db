"""A second reading of lines that say all they need, for the judge of mutants. In: a text. Out: `Script`.

From the post's page (posts/pages/spelled-out.md): the language is NISTIR 6556's, and the control it is for
may forget a mode, an axis or a feed between lines. So what a line leans on is not in its text: there it
stops.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mutants.second_text import Control, Script, StopsError

if TYPE_CHECKING:
    from decimal import Decimal

__all__ = ["whole_lines"]


def whole_lines(text: str) -> Script:
    """Read a whole program."""
    return _Forgetful().run(text)


class _Forgetful(Control):
    """A control of the report's language that keeps nothing but where it stands and what turns.

    At a stop a person may move it by hand: then it is as if it stood nowhere.
    """

    def __init__(self) -> None:
        super().__init__()
        self.named: set[str] = set()

    def act(self, g: dict[int, Decimal], m: dict[int, Decimal], w: dict[str, Decimal], number: int) -> bool:
        """Do one line, if it leans on no other."""
        axes = {axis for axis in "XYZ" if axis in w}
        if axes and (0 not in g or not self.named <= axes or (g[0] != 0 and "F" not in w)):
            raise StopsError("a move that leans on an earlier line")
        if m.get(2) in {3, 4} and "S" not in w:
            raise StopsError("a start that leans on an earlier speed")
        if g.get(2) == 91:
            raise StopsError("steps lean on the line before")
        self.named = set() if m.get(0) in {0, 1} or 1 in m else self.named | axes
        return super().act(g, m, w, number)
