"""What is wrong with a text that is no YAML, in words for whoever wrote it.

In: a text, and what the library's reader stumbled over. Out: mistakes in its tree, each with its place and,
where one is known, its cure. Promise: no text, however long or deep, keeps the slower reader busy.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import yaml

if TYPE_CHECKING:
    from stockwright.documents.source import Place, Tree

__all__ = ["not_yaml", "tabs"]

# Characters; the slow reader, asked only for its better message, needs 0.4 s for these
SLOW_READER_UP_TO = 100_000
_COLON = re.compile(r" *(?:- +)?(?P<key>[a-z][a-z0-9-]*) *(?::\S|：)")  # `rapid:60`, or a wide colon


def tabs(tree: Tree) -> bool:
    """Note the lines indented by anything but plain spaces, which alone YAML counts."""
    if "\t" not in tree.text and tree.text.isascii():
        return False
    for number, line in enumerate(tree.text.split("\n"), start=1):
        indent = line[: len(line) - len(line.lstrip())]
        odd = indent.rstrip("\r").lstrip(" ")[:1]
        if odd and line.strip() and not line.lstrip().startswith("#"):
            what = "a tab" if odd == "\t" else f"the wide or hard space U+{ord(odd):04X}"
            tree.mistake(
                (number, indent.index(odd) + 1),
                "tab",
                f"{what} stands in the indentation, expected spaces",
                "replace it by spaces, two for each level",
            )
    return bool(tree.mistakes)


def not_yaml(tree: Tree, error: yaml.YAMLError, deepest: int) -> None:
    """Note what the fast reader stumbled over, in the slow reader's better words where it is soon done."""
    if len(tree.text) <= SLOW_READER_UP_TO:
        try:
            depth = 0
            for event in yaml.parse(tree.text, Loader=yaml.SafeLoader):
                depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(
                    event, yaml.CollectionEndEvent
                )
                if depth > deepest:  # its time grows with the square of the depth
                    break
        except yaml.YAMLError as better:
            error = better
        except RecursionError:
            pass
    if isinstance(error, yaml.reader.ReaderError):
        before = tree.text[: error.position]
        place = (before.count("\n") + 1, len(before) - before.rfind("\n"))
        code = ord(error.character) if isinstance(error.character, str) else error.character
        tree.mistake(
            place, "binary", f"the character U+{code:04X} has no place in text", "is it the right file?"
        )
        return
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    place = (mark.line + 1, mark.column + 1) if mark else (0, 0)
    problem = getattr(error, "problem", None) or "it cannot be read"
    context = getattr(error, "context", None)
    if "'\\t'" in problem:
        tree.mistake(place, "tab", "a tab stands where YAML allows only spaces", "replace it by spaces")
        return
    opened = getattr(error, "context_mark", None)
    begun = place[0] if opened is None else opened.line + 1
    tree.mistake(
        place,
        "not-yaml",
        f"not YAML: {problem}{f' {context}' if context else ''}",
        _cure(problem, place, begun, tree.text),
    )


def _cure(problem: str, place: Place, begun: int, text: str) -> str:
    """Return what would mend it; `begun` is the line where what is being read begins."""
    if "could not find expected ':'" in problem:
        line = max(1, place[0] - 1)
        for number, each in enumerate(text.split("\n")[line - 1 : place[0]], line):
            if found := _COLON.match(each):
                return f"in line {number} write '{found['key']}: ', with a plain colon and a space behind it"
        return f"is a colon missing in line {line} or {place[0]}?"
    if "mapping values are not allowed" in problem:
        return "is a colon or a line break missing just before, or should the text stand in quotes?"
    if "<block end>" in problem:
        return "does this line begin as far in as the lines above it?"
    if "found unexpected end of stream" in problem or "quoted scalar" in problem:
        return "is a closing quote missing?"
    if "expected ',' or" in problem:
        opened = f", the one that closes what line {begun} opens" if begun != place[0] else ""
        return f"is a comma or a closing bracket missing{opened}?"
    if "cannot start any token" in problem:
        return "put the text in quotes"
    return ""
