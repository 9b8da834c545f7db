"""A tree written as YAML text. In: words, lists and tables. Out: text that reads as the same tree."""

from __future__ import annotations

import yaml

from stockwright.documents.source import Items, Table, Word

__all__ = ["written"]

WIDTH = 110  # of a line; longer ones are wrapped
_SIGNS = frozenset({"*", "&", "!", "<<", "="})  # plain, they would be no text to a reader
SHORT = 3  # keys or items of plain words that stand on one line in { } or [ ]


def written(root: Table) -> str:
    """Return the text of a document; plain words stay plain, quoted ones quoted."""
    return yaml.serialize(_node(root, top=True), Dumper=_Dumper, width=WIDTH, allow_unicode=True)


class _Dumper(yaml.SafeDumper):
    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:  # noqa: ARG002, FBT
        return super().increase_indent(flow, False)  # lists stand two in


def _node(value: object, *, top: bool = False) -> yaml.Node:
    if isinstance(value, Table):
        pairs = [(_scalar(key), _node(each)) for key, each in value.items()]
        flat = not top and len(pairs) <= SHORT + 2 and all(isinstance(e, Word) for e in value.values())
        return yaml.MappingNode("tag:yaml.org,2002:map", pairs, flow_style=flat)
    if isinstance(value, Items):
        items = [_node(each) for each in value]
        flat = all(isinstance(e, Word) for e in value)
        return yaml.SequenceNode("tag:yaml.org,2002:seq", items, flow_style=flat)
    return _scalar(str(value), quoted=isinstance(value, Word) and value.quoted)


def _scalar(text: str, *, quoted: bool = False) -> yaml.ScalarNode:
    if quoted or text in _SIGNS:
        return yaml.ScalarNode("tag:yaml.org,2002:str", text, style='"')
    # The tag that a reader would guess, so that nothing is put before a plain word.
    tag = yaml.resolver.Resolver().resolve(yaml.ScalarNode, text, (True, False))  # type: ignore[no-untyped-call]
    return yaml.ScalarNode(tag, text)
