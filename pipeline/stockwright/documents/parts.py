"""The boards that a job names, each with what its entry says for it alone. In: a job's tree. Out: `Named`s.

Promise: an entry is a file's name or a table. Any other entry, and one with mistakes, is skipped here; it is
reported where the document is validated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.documents.source import Table, Word
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.source import Steps, Tree

__all__ = ["AskedOfBoard", "Named", "named_boards", "said_of_some"]


@frozen
class AskedOfBoard:
    """What is asked of one board: the name of its part, "" for none, and the values of the inputs."""

    part: str
    values: Mapping[str, Quantity]


@frozen
class Named:
    """A board's file, and where it is named, None on the command line; `entry` is the path of a part's."""

    file: str
    at: Steps | None
    entry: Steps | None = None
    part: str = ""


def named_boards(tree: Tree) -> Iterator[Named]:
    """Yield every board in the order in which the job names them."""
    entries = tree.root.get("boards")
    if isinstance(entries, Word | Table):
        entries = [entries]
    if not isinstance(entries, list):
        return
    for index, entry in enumerate(entries):
        at: Steps = ("boards", index)
        if isinstance(entry, Word) and entry:
            yield Named(str(entry), at)
        elif isinstance(entry, Table):
            part = entry.get("part")
            files = entry.get("board")
            for number, file in enumerate(
                [files] if isinstance(files, Word) else files if isinstance(files, list) else ()
            ):
                if isinstance(file, Word) and file:
                    yield Named(
                        str(file), (*at, "board", number), at, str(part) if isinstance(part, Word) else ""
                    )


def said_of_some(tree: Tree, entries: Iterable[Steps | None]) -> frozenset[str]:
    """Return the inputs that any of these entries gives a value of its own."""
    tables = [tree.at((*entry, "set")) for entry in entries if entry is not None]
    holders = [tree.at(entry) for entry in entries if entry is not None]
    return frozenset(
        name
        for table, holder in zip(tables, holders, strict=True)
        if isinstance(table, Table) and table is not holder
        for name in table
    )
