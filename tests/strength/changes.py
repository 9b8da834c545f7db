"""The changes that are tried on a module: one operator of the mutation library, at one place.

In: a source file. Out: `Change`s in the order of the file, and the text that each makes of it. Promise: the
library does the changing; here is only said which of its operators count and which places are never run
(annotations, protocols, imports for the type checker).
"""

from __future__ import annotations

import ast
import hashlib
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

__all__ = ["Change", "altered", "changes_of", "module_of"]

ARITHMETIC = ("Add", "Sub", "Mul", "Div", "FloorDiv", "Mod", "Pow")
ORDER = ("Eq", "NotEq", "Lt", "LtE", "Gt", "GtE")
# Arithmetic for bits (1.5 << 2) only ever raises, and `is` for `==` tells the same of small numbers: the
# first would flatter the figure, the second spoil it. Of sums each becomes its opposite and one more.
PAIRS = {
    "ReplaceBinaryOperator": (
        ("Add", "Sub"),
        ("Add", "Mul"),
        ("Sub", "Add"),
        ("Sub", "Div"),
        ("Mul", "Div"),
        ("Mul", "Add"),
        ("Div", "Mul"),
        ("Div", "Sub"),
        ("FloorDiv", "Mul"),
        ("FloorDiv", "Div"),
        ("Mod", "Mul"),
        ("Mod", "FloorDiv"),
        ("Pow", "Mul"),
        ("Pow", "Div"),
        ("BitOr", "BitAnd"),
        ("BitAnd", "BitOr"),
        ("BitXor", "BitOr"),
    ),
    "ReplaceComparisonOperator": (
        *((a, b) for a in ORDER for b in ORDER if a != b),
        ("Is", "IsNot"),
        ("IsNot", "Is"),
    ),
    "ReplaceUnaryOperator": (
        ("USub", "UAdd"),
        ("Delete", "USub"),
        ("Delete", "Not"),
        ("Delete", "Invert"),
    ),
}
OTHERS = (
    "AddNot",
    "ExceptionReplacer",
    "NumberReplacer",
    "RemoveDecorator",
    "ReplaceAndWithOr",
    "ReplaceBreakWithContinue",
    "ReplaceContinueWithBreak",
    "ReplaceFalseWithTrue",
    "ReplaceOrWithAnd",
    "ReplaceTrueWithFalse",
    "ZeroIterationForLoop",
)
OPERATORS = tuple(
    sorted([*OTHERS, *(f"{kind}_{a}_{b}" for kind, pairs in PAIRS.items() for a, b in pairs)]),
)


@dataclass(frozen=True)
class Change:
    """One operator at one of its places in a module; `line` from 1; `digest` is of the module's text."""

    path: str
    operator: str
    occurrence: int
    line: int
    digest: str

    @property
    def key(self) -> str:
        """What the change is called in the file of results."""
        return f"{self.path} {self.digest} {self.operator} {self.occurrence}"


def module_of(path: str) -> str:
    """Give the dotted name of a source file below `pipeline/`."""
    return path.removeprefix("pipeline/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def changes_of(root: Path, path: str) -> Iterator[Change]:
    """Yield each change of a module that could be noticed by running it."""
    text = (root / path).read_text(encoding="utf-8")
    digest = hashlib.sha256(text.encode()).hexdigest()[:12]
    library, tree = import_module("cosmic_ray.ast"), import_module("cosmic_ray.ast").get_ast(text)
    never_run = list(_never_run(ast.parse(text)))
    for operator in OPERATORS:
        made = _operator(operator)
        places = (at for node in library.ast_nodes(tree) for at, _ in made.mutation_positions(node))
        for occurrence, (line, column) in enumerate(places):
            if not any(low <= (line, column) < high for low, high in never_run):
                yield Change(path, operator, occurrence, line, digest)


def altered(root: Path, change: Change) -> str:
    """Give the module's text as the change makes it."""
    text = (root / change.path).read_text(encoding="utf-8")
    mutating = import_module("cosmic_ray.mutating")
    made: str | None = mutating.mutate_code(text, _operator(change.operator), change.occurrence)
    if made is None:
        raise LookupError(f"{change.key} is not there")
    return made


@cache
def _operator(name: str) -> Any:
    return import_module("cosmic_ray.plugins").get_operator(f"core/{name}")()


def _for_readers(node: ast.ClassDef | ast.If) -> bool:
    """Tell whether a statement is there for the type checker and for people only."""
    if isinstance(node, ast.If):
        return ast.unparse(node.test) == "TYPE_CHECKING"
    return any(ast.unparse(base) == "Protocol" for base in node.bases)


def _never_run(tree: ast.Module) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Yield from and to, as (line, column), of what no run of the module evaluates."""
    for node in ast.walk(tree):
        never: list[ast.expr | ast.stmt | None] = []
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            never.append(node.returns)
        elif isinstance(node, ast.arg | ast.AnnAssign):
            never.append(node.annotation)
        elif isinstance(node, ast.ClassDef | ast.If) and _for_readers(node):
            never.append(node)
        for each in never:
            if each is not None:
                end = (each.end_lineno or each.lineno, each.end_col_offset or 0)
                yield (each.lineno, each.col_offset), end
