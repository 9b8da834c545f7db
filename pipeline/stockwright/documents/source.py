"""YAML text -> plain tables, lists and text, with the place of every key and value.

In: a path. Out: a `Tree` of `Table`, `Items` and `Word`, still as written: `no`, `010` and `12:30` are text.
Promise: nothing in a document is run, copied or followed: no tags, no aliases, no merge keys; size, depth and
count are bounded before anything grows.
"""

from __future__ import annotations

import stat
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING

import yaml

from stockwright.documents.not_yaml import not_yaml, tabs
from stockwright.mistakes import Mistake

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

__all__ = [
    "MOST_MISTAKES",
    "Items",
    "Place",
    "Steps",
    "Table",
    "Tree",
    "Word",
    "clipped",
    "parse_yaml",
    "read_text",
]

LARGEST = 1_000_000  # bytes; a board of 20,000 points in three grids is some 600 kB
DEEPEST = 50  # tables and lists within each other; a recipe has 5
MOST_NODES = 100_000  # keys and values; that board has some 61,000
MOST_MISTAKES = 200  # of one document
LONGEST_SHOWN = 40  # characters of what stands in a document

Place = tuple[int, int]  # line and column, from 1
Steps = tuple["str | int", ...]


class Word(str):
    """A scalar as written. `quoted` tells `"no"` from `no`."""

    __slots__ = ("quoted",)
    quoted: bool


class Table(dict[str, object]):
    """A mapping: where it begins, and the place of each key and value."""

    def __init__(self, place: Place) -> None:
        super().__init__()
        self.place = place
        self.keys_at: dict[str, Place] = {}
        self.values_at: dict[str, Place] = {}
        self.known: Sequence[str] = ()  # the keys its model knows, filled in while it is validated


class Items(list[object]):
    """A list: where it begins, and the place of each item."""

    def __init__(self, place: Place) -> None:
        super().__init__()
        self.place = place
        self.values_at: list[Place] = []


def clipped(text: str) -> str:
    """Return the beginning of a text for a message, without anything that a terminal would obey."""
    short = text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."
    return "".join(each if each.isprintable() else f"\\u{ord(each):04x}" for each in short)


@dataclass
class Tree:
    """One document as read: `root` is what was understood, `mistakes` what was not.

    It is not `complete` where reading stopped early; then what it lacks means nothing.
    """

    path: str
    text: str
    root: Table = field(default_factory=lambda: Table((1, 1)))
    mistakes: list[Mistake] = field(default_factory=list)
    complete: bool = True

    def at(self, path: Steps) -> object:
        """Return the node at `path`; parts that are not in the document are skipped."""
        node: object = self.root
        for step in path:
            match node, step:
                case (Table(), str()) if step in node:
                    node = node[step]
                case (Items(), int()) if 0 <= step < len(node):
                    node = node[step]
        return node

    def mistake(self, place: Place, code: str, message: str, hint: str = "") -> None:
        """Note a mistake at a place."""
        self.mistakes.append(Mistake(self.path, place[0], place[1], code, message, hint))

    def where(self, path: Steps, *, key: bool = False) -> Place:
        """Return the place of the value at `path`, or of its key; of what holds it, where it is left out.

        Parts of `path` that are not in the document, such as the tag of a choice, are skipped.
        """
        node: object = self.root
        place = self.root.place
        for step in path:
            if isinstance(node, Table) and isinstance(step, str) and step in node:
                place = node.keys_at[step] if key and step == path[-1] else node.values_at[step]
                node = node[step]
            elif isinstance(node, Items) and isinstance(step, int) and 0 <= step < len(node):
                place = node.values_at[step]
                node = node[step]
        return place


def read_text(path: str, *, limit: int = LARGEST) -> tuple[str, list[Mistake]]:
    """Return a file's text, or the one mistake that kept it from being read.

    At most `limit` + 1 bytes are read, and only from a plain file, so that neither a huge file, a folder nor
    a pipe is waited for.
    """

    def refused(code: str, message: str, hint: str = "", place: Place = (0, 0)) -> tuple[str, list[Mistake]]:
        return "", [Mistake(path, place[0], place[1], code, message, hint)]

    file = Path(path)
    try:
        status = file.stat()
        if stat.S_ISDIR(status.st_mode):
            return refused("not-a-file", "a folder, expected a file", "name the document inside it")
        if not stat.S_ISREG(status.st_mode):
            return refused("not-a-file", "neither a file nor a folder, expected a file")
        with file.open("rb") as opened:
            raw = opened.read(limit + 1)
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return refused("missing-file", "no such file", _neighbour(file))
    except OSError as error:
        return refused("missing-file", f"cannot be read: {error.strerror or 'the system refuses'}")
    if len(raw) > limit:
        return refused("too-large", f"more than {limit:,} bytes, expected at most that many")
    if b"\0" in raw:
        if raw[:2] in {b"\xff\xfe", b"\xfe\xff"}:
            return refused("binary", "text in UTF-16, expected UTF-8", "save it as UTF-8")
        return refused("binary", "not text: it holds zero bytes", "is it the right file?")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        place = (before.count(b"\n") + 1, error.start - (before.rfind(b"\n") + 1) + 1)
        return refused("binary", f"byte {raw[error.start]:#04x} is not UTF-8 text", "save it as UTF-8", place)
    if not text.strip():
        return refused("empty", "nothing stands in it")
    return text, []


def parse_yaml(path: str, text: str) -> Tree:
    """Read a document's text into a tree; every mistake of form is in its `mistakes`."""
    tree = Tree(path, text)
    if tabs(tree):
        tree.complete = False
        return tree
    try:
        _Growing(tree).grow(yaml.parse(text, Loader=yaml.CSafeLoader))
    except _TooMuch:
        tree.complete = False
    except yaml.YAMLError as error:
        tree.complete = False
        not_yaml(tree, error, DEEPEST)
    del tree.mistakes[MOST_MISTAKES:]
    return tree


def _neighbour(file: Path) -> str:
    """Return a hint naming the file's nearest neighbour, if one is near."""
    try:
        names = {each.stem: each.name for each in sorted(file.parent.iterdir(), reverse=True)}
    except (OSError, ValueError):
        return ""
    close = get_close_matches(file.stem, names, n=1)  # without `.yaml`, in which all would be alike
    return f"did you mean '{names[close[0]]}'?" if close else ""


class _TooMuch(Exception):  # noqa: N818 - stops the reading, is no error of its own
    """A bound was passed; what was wrong is noted in the tree."""


class _Growing:
    """Builds a tree from YAML events with a stack of its own: no document can exhaust the program's."""

    def __init__(self, tree: Tree) -> None:
        self.tree = tree
        self.stack: list[Table | Items] = []
        # For each table the key that waits for its value; a key of None drops the value.
        self.pending: list[tuple[str | None, Place] | None] = []
        self.nodes = 0
        self.documents = 0

    def grow(self, events: Iterator[yaml.Event]) -> None:
        for event in events:
            if isinstance(event, yaml.ScalarEvent):
                self._properties(event)
                word = Word(event.value)
                word.quoted = bool(event.style)  # the fast reader says '' for a plain one, the slow one None
                self._value(word, _place(event))
            elif isinstance(event, yaml.MappingStartEvent):
                self._begin(event, Table(_place(event)))
            elif isinstance(event, yaml.SequenceStartEvent):
                self._begin(event, Items(_place(event)))
            elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
                self.stack.pop()
                self.pending.pop()
            elif isinstance(event, yaml.AliasEvent):
                self._alias(event)
                word = Word("")
                word.quoted = False
                self._value(word, _place(event))
            elif isinstance(event, yaml.DocumentStartEvent):
                self.documents += 1
                if self.documents == 2:
                    self.tree.mistake(
                        _place(event),
                        "not-yaml",
                        "a second document begins here, expected one",
                        "give it its own file",
                    )
                    raise _TooMuch
        if not self.documents:
            self.tree.mistake((1, 1), "empty", "nothing but comments stands in it")

    def _count(self, place: Place) -> None:
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self.tree.mistake(place, "too-large", f"more than {MOST_NODES:,} keys and values")
            raise _TooMuch

    def _begin(self, event: yaml.MappingStartEvent | yaml.SequenceStartEvent, node: Table | Items) -> None:
        self._properties(event)
        if len(self.stack) >= DEEPEST:
            self.tree.mistake(node.place, "too-deep", f"tables and lists nested deeper than {DEEPEST}")
            raise _TooMuch
        self._value(node, node.place)
        self.stack.append(node)
        self.pending.append(None)

    def _properties(self, event: yaml.ScalarEvent | yaml.MappingStartEvent | yaml.SequenceStartEvent) -> None:
        if event.anchor is not None:
            self._alias(event)
        if event.tag is not None:
            self.tree.mistake(
                _place(event),
                "tag",
                f"the tag '{clipped(event.tag.replace('tag:yaml.org,2002:', '!!'))}', expected a plain value",
                "leave out the word beginning with '!', or put the text in quotes",
            )

    def _alias(self, event: yaml.NodeEvent) -> None:
        sign = "*" if isinstance(event, yaml.AliasEvent) else "&"
        self.tree.mistake(
            _place(event),
            "alias",
            f"'{sign}{clipped(event.anchor or '')}', expected a value: nothing refers to another part",
            "write the value out, or put the text in quotes",
        )

    def _value(self, node: object, place: Place) -> None:
        self._count(place)
        if not self.stack:
            if isinstance(node, Table):
                self.tree.root = node
            else:
                self.tree.mistake(
                    place,
                    "wrong-type",
                    "a document is a table of keys and values",
                    "begin with 'stockwright: '",
                )
            return
        parent = self.stack[-1]
        if isinstance(parent, Items):
            parent.append(node)
            parent.values_at.append(place)
            return
        waiting = self.pending[-1]
        if waiting is None:
            self._key(node, place)
            return
        self.pending[-1] = None
        key, key_place = waiting
        if key is None:
            return
        parent[key] = node
        parent.keys_at[key] = key_place
        parent.values_at[key] = place

    def _key(self, node: object, place: Place) -> None:
        parent = self.stack[-1]
        assert isinstance(parent, Table)
        kept: str | None = None
        if not isinstance(node, Word):
            self.tree.mistake(place, "bad-key", "a table or a list stands where a key is expected")
        elif node == "<<" and not node.quoted:
            self.tree.mistake(
                place,
                "alias",
                "'<<' merges nothing here: a document refers to no other part",
                "write the keys out",
            )
        elif node in parent:
            first = parent.keys_at[node]
            self.tree.mistake(
                place,
                "duplicate-key",
                f"'{clipped(node)}' stands here again; it stands first in line {first[0]}",
                "keep one of the two",
            )
        else:
            kept = str(node)
        self.pending[-1] = (kept, place)


def _place(event: yaml.Event) -> Place:
    mark = event.start_mark
    assert mark is not None
    return (mark.line + 1, mark.column + 1)
