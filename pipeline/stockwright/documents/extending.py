"""A recipe that extends another: its parent's tree with the named changes made in it.

In: the tree of a recipe that says `extends`, and a way to its parent. Out: one whole tree, as if it had been
written so, and the mistakes met on the way. Promise: only data moves; a chain of parents is short and never a
circle; what comes from the parent counts as written where the child says `extends`.

    extends: four-sides-square        a shipped recipe's name, or a file beside this one
    inputs: {length: {to: 5000 mm}}   tables are merged key by key
    leave-out: [steps.end-2, tolerance.flatness, inputs.width.to]
    steps:                            a list replaces the parent's as a whole; a table changes it
      change: {face B: {light: 0.2 mm}}
      before: {edge-1: [{pause: let it rest}]}
      after: {end-1: [...]}

A step is named by what it cuts or does: `face A`, `edge-1`, `end-2`, `bed surface`, `flip`, `turn`, `pause`;
the second of a name is `face A 2`.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from stockwright.documents.fields import nearest, shown
from stockwright.documents.source import Items, Table, Tree, Word

if TYPE_CHECKING:
    from stockwright.documents.source import Place

__all__ = ["DEEPEST_CHAIN", "child_schema", "labels", "merged"]

DEEPEST_CHAIN = 8  # recipes that extend each other; nobody follows more of them
MERGED = ("inputs", "tools", "holding", "tolerance", "finished")
CHANGES = ("change", "before", "after")
_NAMED = ("face", "edge", "end", "bed")  # steps that go by what they cut


def merged(child: Tree, parent: Tree) -> Tree:
    """Return the whole recipe that `child` makes of `parent`, a whole valid one; mistakes are noted in it."""
    place = child.root.values_at["extends"]
    whole = Tree(child.path, child.text + "\n" + parent.text, _copied(parent.root, place))
    whole.mistakes += child.mistakes
    whole.root.place = child.root.place
    merging = _Merging(child, whole, place)
    merging.leave_out()
    merging.tables()
    merging.steps()
    return whole


def labels(steps: object) -> list[str]:
    """Return the name by which each step goes."""
    seen: Counter[str] = Counter()
    found = []
    for step in steps if isinstance(steps, Items) else ():
        label = _label(step)
        seen[label] += 1
        found.append(label if seen[label] == 1 else f"{label} {seen[label]}")
    return found


def _label(step: object) -> str:
    if isinstance(step, Table):
        for key in _NAMED:
            if isinstance(value := step.get(key), Word):
                return f"{key} {value}" if key in {"face", "bed"} else str(value)
        for key in ("flip", "turn", "pause"):
            if key in step:
                return key
    return "step"


def child_schema(whole: dict[str, Any]) -> dict[str, Any]:
    """Return what an editor is told of a recipe that extends another, from what it is told of a whole one."""
    own = {key: whole["properties"][key] for key in ("stockwright", "name", "version", "about")}
    table = {"type": "object"}
    changes = dict.fromkeys(CHANGES, table)
    steps = {"type": "object", "properties": changes, "additionalProperties": False}
    return {
        "type": "object",
        "required": ["stockwright", "name", "version", "extends"],
        "additionalProperties": False,
        "properties": {
            **own,
            "extends": {"type": "string", "description": "a shipped recipe, or a file beside this one"},
            "leave-out": {
                "type": ["string", "array"],
                "items": {"type": "string"},
                "description": "what of the parent does not hold here, such as steps.end-2",
            },
            **{key: {**table, "description": f"changes of the parent's {key}"} for key in MERGED},
            "slide": whole["properties"]["slide"],
            "steps": {
                "anyOf": [whole["properties"]["steps"], steps],
                "description": "all the steps anew, or changes of the parent's",
            },
        },
    }


class _Merging:
    def __init__(self, child: Tree, whole: Tree, place: Place) -> None:
        self.child, self.whole, self.place = child, whole, place
        self.labels = labels(whole.root.get("steps"))  # as the parent has them, whatever is left out before

    def leave_out(self) -> None:
        """Take out what the child names: a section's entry, a key of it, a step, or a key of a step."""
        listed = self.child.root.get("leave-out", Items(self.place))
        if isinstance(listed, Word):
            places, listed = [self.child.root.values_at["leave-out"]], [listed]
        elif isinstance(listed, Items):
            places = listed.values_at
        else:
            place = self.child.root.values_at["leave-out"]
            self.whole.mistake(
                place, "wrong-type", f"got {shown(listed)}, expected a list", "as in [steps.end-2]"
            )
            return
        gone: list[str] = []
        for each, place in zip(listed, places, strict=True):
            if not isinstance(each, Word):
                self.whole.mistake(
                    place, "wrong-type", f"got {shown(each)}, expected a name such as steps.end-2"
                )
                continue
            section, _, rest = each.partition(".")
            if section == "steps":
                gone += self._step_out(rest, place)
            elif section in MERGED:
                self._entry_out(each, section, rest.split("."), place)
            else:
                wanted = ", ".join(("steps", *MERGED))
                message = f"got {shown(each)}, expected it to begin with one of {wanted}"
                self.whole.mistake(place, "unknown-name", message, nearest(section, ("steps", *MERGED)))
        steps = self.whole.root.get("steps")
        if isinstance(steps, Items):
            for label in dict.fromkeys(gone):
                at = self.labels.index(label)
                del steps[at], steps.values_at[at], self.labels[at]

    def _step_out(self, rest: str, place: Place) -> list[str]:
        label, _, key = rest.partition(".")
        if not self._known(label, place):
            return []
        if not key:
            return [label]
        steps = self.whole.root["steps"]
        assert isinstance(steps, Items)
        self._key_out(steps[self.labels.index(label)], key, place)
        return []

    def _entry_out(self, each: str, section: str, way: list[str], place: Place) -> None:
        node = self.whole.root.get(section)
        for step in way[:-1]:
            node = node.get(step) if isinstance(node, Table) else None
        if not way[0]:
            self.whole.mistake(
                place, "unknown-name", f"got {shown(each)}, expected what of it", "as in inputs.width"
            )
            return
        self._key_out(node, way[-1], place)

    def _key_out(self, node: object, key: str, place: Place) -> None:
        if not isinstance(node, Table) or key not in node:
            known = ", ".join(node) if isinstance(node, Table) else "nothing"
            message = f"the parent has no {shown(key)} there, expected one of {known}"
            self.whole.mistake(
                place, "unknown-name", message, nearest(key, list(node) if isinstance(node, Table) else [])
            )
            return
        del node[key], node.keys_at[key], node.values_at[key]

    def _known(self, label: str, place: Place) -> bool:
        if label in self.labels:
            return True
        message = f"the parent has no step {shown(label)}, expected one of {', '.join(self.labels)}"
        self.whole.mistake(place, "unknown-name", message, nearest(label, self.labels))
        return False

    def tables(self) -> None:
        """Merge what the child says of the sections, and its own name, version and about."""
        root, own = self.whole.root, self.child.root
        for key in ("stockwright", "name", "version"):
            if key not in own:  # a name of its own, or two recipes would go by one
                self.whole.mistake(own.place, "missing-key", f"'{key}' is missing", "")
        for key, value in own.items():
            if key in {"extends", "leave-out", "steps"}:
                continue
            if key in MERGED and isinstance(value, Table) and isinstance(root.get(key), Table):
                _merge(root[key], value, depth=2 if key in {"inputs", "tools", "holding"} else 1)
            else:
                _put(root, key, value, own)

    def steps(self) -> None:
        """Take the child's list of steps, or make its changes in the parent's."""
        own = self.child.root.get("steps")
        if own is None:
            return
        steps = self.whole.root.get("steps")
        if not isinstance(own, Table) or not isinstance(steps, Items):
            _put(self.whole.root, "steps", own, self.child.root)
            return
        for kind, changes in own.items():
            if kind not in CHANGES:
                message = f"got {shown(kind)}, expected one of {', '.join(CHANGES)}, or a list of steps"
                self.whole.mistake(own.keys_at[kind], "unknown-key", message, nearest(kind, CHANGES))
            elif not isinstance(changes, Table):
                message = f"got {shown(changes)}, expected a table of steps' names"
                self.whole.mistake(own.values_at[kind], "wrong-type", message, "as in {face A: ...}")
            else:
                for label, change in changes.items():
                    if self._known(label, changes.keys_at[label]):
                        self._change(steps, kind, label, change, changes.values_at[label])

    def _change(self, steps: Items, kind: str, label: str, change: object, place: Place) -> None:
        at = self.labels.index(label)
        if kind == "change":
            step = steps[at]
            if isinstance(change, Table) and isinstance(step, Table):
                _merge(step, change, depth=1)
            else:
                message = f"got {shown(change)}, expected the step's keys that change"
                self.whole.mistake(place, "wrong-type", message, "as in {stepdown: 1 mm}")
            return
        added = change if isinstance(change, Items) else Items(place)
        if added is not change:
            added.append(change)
            added.values_at.append(place)
        at += kind == "after"
        steps[at:at] = added
        steps.values_at[at:at] = added.values_at
        self.labels[at:at] = [""] * len(added)  # they have a place, and no name that could be meant


def _merge(into: object, table: Table, depth: int) -> None:
    """Put a table's keys into another; tables on both sides are merged, `depth` levels deep."""
    assert isinstance(into, Table)
    for key, value in table.items():
        if depth > 1 and isinstance(value, Table) and isinstance(into.get(key), Table):
            _merge(into[key], value, depth - 1)
        else:
            _put(into, key, value, table)


def _put(into: Table, key: str, value: object, source: Table) -> None:
    into[key] = value
    into.keys_at[key], into.values_at[key] = source.keys_at[key], source.values_at[key]


def _copied(node: object, place: Place) -> Table:
    """Return a deep copy of a table, every part of it placed at `place`."""
    copied = _copy(node, place)
    assert isinstance(copied, Table)
    return copied


def _copy(node: object, place: Place) -> object:
    if isinstance(node, Table):
        table = Table(place)
        for key, value in node.items():
            table[key] = _copy(value, place)
            table.keys_at[key] = table.values_at[key] = place
        return table
    if isinstance(node, Items):
        items = Items(place)
        items.extend(_copy(each, place) for each in node)
        items.values_at = [place] * len(node)
        return items
    return node
