"""Finds the parents of a recipe and makes one whole tree of them.

In: a tree that says `extends`. Out: the tree as if it had been written whole. Promise: a parent is a shipped
recipe or lies in the child's folder; it must be valid by itself, or its mistakes are reported under its own
name; a circle of parents, or too long a chain, is reported as such.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from stockwright.documents.extending import DEEPEST_CHAIN, merged
from stockwright.documents.fields import nearest, shown
from stockwright.documents.folder import ELSEWHERE, elsewhere
from stockwright.documents.loaded import validate
from stockwright.documents.shipped import shipped_names
from stockwright.documents.source import Tree, Word, parse_yaml, read_text

if TYPE_CHECKING:
    from stockwright.documents.source import Place
    from stockwright.mistakes import Mistake

__all__ = ["parent_of", "told_of_parent", "whole_recipe"]


def whole_recipe(
    tree: Tree, path: str, shipped: Path, before: tuple[tuple[Path, str], ...] = ()
) -> tuple[Tree, list[Mistake]]:
    """Return the whole recipe of a tree that extends another; or that tree, and why no whole could be made.

    `path` is where the tree was read from, `shipped` the folder of the recipes that go by name alone,
    `before` the recipes that led here: where each lies, and the name it is shown by.
    """
    here = (*before, (Path(path).resolve(), str(tree.root.get("name", tree.path))))
    found = parent_of(tree, Path(path).parent, shipped)
    if found is None:
        return tree, tree.mistakes
    where, display = found
    names = [name for _, name in here]
    place = tree.root.values_at["extends"]
    if where.resolve() in [file for file, _ in here]:
        tree.mistake(place, "circle", f"recipes extend each other: {' -> '.join([*names, display])}", _OUT)
        return tree, tree.mistakes
    if len(here) >= DEEPEST_CHAIN:
        message = f"{len(here) + 1} recipes extend each other in a row, expected at most {DEEPEST_CHAIN}"
        tree.mistake(place, "too-deep", message, "write some of them out: recipes show --resolved")
        return tree, tree.mistakes
    text, wrong = read_text(str(where))
    if wrong:
        for each in wrong:
            tree.mistake(place, each.code, f"{display}: {each.message}", each.hint)
        return tree, tree.mistakes
    parent = parse_yaml(display, text)
    if "extends" in parent.root:
        parent, above = whole_recipe(parent, str(where), shipped, here)
        if above:
            return tree, [*tree.mistakes, *above]
    if validate(parent, "recipe") is None:
        return tree, [*tree.mistakes, *parent.mistakes]
    return merged(tree, parent), []


def told_of_parent(tree: Tree, place: Place) -> None:
    """Say of the mistakes at `place`, where the child says `extends`, that they lie in the parent."""
    tree.mistakes[:] = [
        replace(each, message=f"the parent does not fit these changes: {each.message}")
        if (each.line, each.column) == place
        else each
        for each in tree.mistakes
    ]


def parent_of(tree: Tree, folder: Path, shipped: Path) -> tuple[Path, str] | None:
    """Return where a recipe's parent lies and how it is shown; None, the mistake noted, where nothing is."""
    name, place = tree.root["extends"], tree.root.values_at["extends"]
    if not isinstance(name, Word) or not name:
        tree.mistake(place, "wrong-type", f"got {shown(name)}, expected a recipe's name or file")
        return None
    if "/" in name or name.endswith((".yaml", ".yml")):
        if wrong := elsewhere(name, folder):
            tree.mistake(place, "outside-folder", wrong, ELSEWHERE)
            return None
        return folder / name, str(Path(tree.path).parent / name)
    names = shipped_names(shipped)
    if name not in names:
        message = f"no shipped recipe is called {shown(name)}, expected one of {', '.join(names)}, or a path"
        tree.mistake(place, "unknown-name", message, nearest(name, names))
        return None
    return shipped / f"{name}.yaml", f"recipes/{name}.yaml"


_OUT = "let one of them stand by itself"
