"""What of a recipe that is followed goes into one that cuts other sides, or is held otherwise.

In: the recipe's whole tree. Out: its tools, heights, tolerances and what its steps say of each side, in its
own words, and what of them was never used. Promise: what has no place in the new recipe is named, never lost
in silence.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stockwright.documents.extending import labels
from stockwright.documents.source import Items, Table, Word
from stockwright.starting.writing import plain, quoted

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

__all__ = ["Kept", "flow"]

_SIDES = ("face", "edge", "end")
# What the new recipe says itself
_STRUCTURE = frozenset({*_SIDES, "tool", "to", "zero", "hold", "turn", "flip"})
_SUM = re.compile(r'"=([^"]*)"')
_NAME = re.compile(r"[a-z][a-z0-9-]*")


def flow(value: object) -> str:
    """Return a part of a document on one line, its words as they were written."""
    if isinstance(value, Table):
        return f"{{{', '.join(f'{key}: {flow(each)}' for key, each in value.items())}}}"
    if isinstance(value, Items):
        return f"[{', '.join(flow(each) for each in value)}]"
    word = str(value)
    return quoted(word) if isinstance(value, Word) and value.quoted else plain(word)


@dataclass
class Kept:
    """A recipe's tree, and which keys of its steps were used of it. `Kept(None)`: none is followed."""

    root: Table | None = None
    used: set[tuple[int, str]] = field(default_factory=set)

    def cuts(self, side: str) -> list[tuple[int, Table]]:
        """Return the steps that cut a side, each with its number."""
        return [(at, step) for at, step in enumerate(self._steps()) if side in map(step.get, _SIDES)]

    def of_side(self, side: str, keys: Iterable[str], later: int = 0, but: str = "") -> list[str]:
        """Return what the recipe says by `keys` where it cuts a side; it is cut `later` times more after it.

        Each as `key: value`, in the recipe's own order; a value of `but` is left where it is.
        """
        cuts = self.cuts(side)
        if not cuts:
            return []
        at, step = cuts[max(len(cuts) - 1 - later, 0)]
        wanted = [key for key in step if key in keys and step[key] != but]
        self.used |= {(at, key) for key in wanted}
        return [f"{key}: {flow(step[key])}" for key in wanted]

    def tool(self, does: str) -> str:
        """Return the first kind of tool that does it, or nothing."""
        for each in self._table("tools").values():
            if isinstance(each, Table) and each.get("does") == does:
                return flow(each)
        return ""

    def rest(self) -> list[str]:
        """Return what is said of the rest between two visits: the pause, and how far a board moves."""
        for at, step in enumerate(self._steps()):
            if "moved" in step:
                self.used |= {(at, "pause"), (at, "moved")}
                return [quoted(str(step["pause"])), flow(step["moved"])]
        return []

    def below(self, sides: list[str]) -> str:
        """Return how high what holds just these sides may stand, or nothing."""
        for zone in self._table("holding").values():
            if isinstance(zone, Table) and zone.get("where") == sides and "below" in zone:
                return flow(zone["below"])
        return ""

    def tolerance(self, key: str) -> str:
        """Return what a size may be out by, or nothing."""
        said = self._table("tolerance").get(key)
        return "" if said is None else flow(said)

    def slides(self) -> bool:
        """Whether a board may be slid along."""
        return self.root is not None and self.root.get("slide") == "yes"

    def input(self, name: str) -> Table:
        """Return what an input says, or an empty table."""
        said = self._table("inputs").get(name)
        return said if isinstance(said, Table) else Table((1, 1))

    def inputs_of(self, text: str, there: Iterable[str]) -> Iterator[tuple[str, str]]:
        """Yield the inputs that sums in a text name and that are not `there`, with what the recipe says."""
        seen, texts = set(there), [text]
        while texts:
            for name in (n for each in _SUM.findall(texts.pop()) for n in _NAME.findall(each)):
                if name not in seen and (said := self.input(name)):
                    seen.add(name)
                    texts.append(flow(said))
                    yield name, texts[-1]

    def left(self, cut: Iterable[str]) -> list[str]:
        """Return what it says and the new recipe, with these sides `cut`, does not, as `end-2: together`."""
        found = []
        root = self.root or Table((1, 1))
        for at, (label, step) in enumerate(zip(labels(root.get("steps")), self._steps(), strict=True)):
            over = [key for key in step if key not in _STRUCTURE and (at, key) not in self.used]
            side = next((str(step[key]) for key in _SIDES if key in step), None)
            if side is not None and side not in cut:
                continue  # it was answered that it stays as it is
            if over and not _STRUCTURE & step.keys():
                found.append(label)  # a pause, whole
            elif over:
                found.append(f"{label}: {', '.join(over)}")
        return [*found, *(key for key in ("already",) if key in root)]

    def _steps(self) -> list[Table]:
        steps = self.root.get("steps") if self.root is not None else None
        return [step for step in steps if isinstance(step, Table)] if isinstance(steps, Items) else []

    def _table(self, key: str) -> Table:
        said = self.root.get(key) if self.root is not None else None
        return said if isinstance(said, Table) else Table((1, 1))
