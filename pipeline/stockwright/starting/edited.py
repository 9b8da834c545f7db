"""A document's own text with a few of its values said anew.

In: a text that reads without a mistake, and values by their way in it. Out: the text, every word and comment
that nobody changed as it stood. Promise: only the values named change; a table missing on the way is added.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import yaml

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["edited"]

Way = tuple[str, ...]


def edited(text: str, changes: Mapping[Way, str]) -> str:
    """Return a text with other values; each is given as it is to stand in the document, on one line."""
    for way, value in changes.items():
        text = _one(text, way, value)
    return text


def _one(text: str, way: Way, value: str) -> str:
    node = yaml.compose(text, Loader=yaml.CSafeLoader)
    assert isinstance(node, yaml.MappingNode)
    for depth, key in enumerate(way):
        found = next((each for name, each in node.value if name.value == key), None)
        if isinstance(found, yaml.MappingNode) and depth < len(way) - 1:
            node = found
            continue
        if found is not None:
            start, end = found.start_mark.index, found.end_mark.index
            end = start + len(text[start:end].rstrip())  # the last line of folded text has its break with it
            return text[:start] + value + text[end:]
        break
    for key in reversed(way[depth + 1 :]):
        value = f"{{{key}: {value}}}"
    new, start = f"{way[depth]}: {value}", node.start_mark.index
    if node.flow_style:
        return f"{text[: start + 1]}{new}{', ' if node.value else ''}{text[start + 1 :]}"
    if depth == 0:
        return f"{text.rstrip()}\n\n{new}\n"
    return f"{text[:start]}{new}\n{' ' * node.start_mark.column}{text[start:]}"
