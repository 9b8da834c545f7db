"""Which tests run which lines: each file of tests is run once under coverage, in a process of its own.

In: files of tests. Out: `Reached`, one for each; kept as JSON, so that a second run watches only new
files. Promise: a test that does not pass by itself is never used to find a change.
"""

from __future__ import annotations

import ast
import hashlib
import json
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from strength.trying import QUIET

if TYPE_CHECKING:
    from collections.abc import Iterator

    from strength.changes import Change

__all__ = ["Reached", "holds", "kept", "lines_that_show", "read", "unused", "watch"]

COLLECTING = "collecting"
WHOLE = frozenset((0, 1, 5))  # pytest: all passed, some failed, none chosen; else the file could not be run


@dataclass(frozen=True)
class Reached:
    """What a file of tests runs: each test's seconds, and by test and by source file the lines.

    `failed` are tests that did not pass; lines run while the file is collected stand under `COLLECTING`.
    """

    file: str
    seconds: dict[str, float]
    failed: tuple[str, ...]
    lines: dict[str, dict[str, frozenset[int]]]

    def tests(self, path: str, wanted: frozenset[int]) -> frozenset[str]:
        """Give the tests that run one of the wanted lines of a source file."""
        return frozenset(
            name
            for name, by_path in self.lines.items()
            if name in self.seconds and name not in self.failed and wanted & by_path.get(path, frozenset())
        )


class _Watcher:
    """Tells coverage which test runs, and notes those that do not pass."""

    def __init__(self, cover: Any) -> None:
        self.cover = cover
        self.failed: dict[str, None] = {}
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        self.cover.switch_context(item.nodeid)
        try:
            return (yield)
        finally:
            self.cover.switch_context(COLLECTING)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration
        if report.failed:
            self.failed[report.nodeid] = None


def watch(root: Path, file: str, rooms: tuple[str, ...], out: Path) -> int:
    """Run one file of tests under coverage and write what it reached; return pytest's exit code.

    Called in a process of its own that has not imported the program yet.
    """
    watched = [str(root / "pipeline" / "stockwright" / room / "*") for room in rooms]
    cover = import_module("coverage").Coverage(data_file=None, include=watched, config_file=False)
    watcher = _Watcher(cover)
    cover.start()
    cover.switch_context(COLLECTING)
    options = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", *QUIET]
    code = int(pytest.main([*options, file], plugins=[watcher]))
    cover.stop()
    data = cover.get_data()
    lines: dict[str, dict[str, list[int]]] = {}
    for source in sorted(data.measured_files()):
        path = str(Path(source).relative_to(root))
        for line, contexts in sorted(data.contexts_by_lineno(source).items()):
            for context in contexts:
                lines.setdefault(context, {}).setdefault(path, []).append(line)
    if code not in WHOLE:
        return code
    sources = {path: digest(root / path) for path in sorted({p for by in lines.values() for p in by})}
    told = {"seconds": watcher.seconds, "failed": list(watcher.failed), "lines": lines, "sources": sources}
    out.parent.mkdir(parents=True, exist_ok=True)
    out.write_text(json.dumps(told), encoding="utf-8")
    return code


def unused(root: Path, file: str, out: Path) -> None:
    """Keep that a file of tests takes too long to be used."""
    out.parent.mkdir(parents=True, exist_ok=True)
    nothing: dict[str, object] = {
        "seconds": {},
        "failed": [],
        "lines": {},
        "sources": {file: digest(root / file)},
    }
    out.write_text(json.dumps(nothing), encoding="utf-8")


def kept(root: Path, file: str, folder: Path) -> Path:
    """Give where the reach of a file of tests is kept: another text of it is kept in another place."""
    return folder / f"{file.replace('/', '.')}.{digest(root / file)}.json"


def holds(root: Path, out: Path) -> bool:
    """Tell whether what was kept is still so: none of the source files it names has another text now."""
    if not out.exists():
        return False
    sources = json.loads(out.read_text(encoding="utf-8"))["sources"]
    return all((root / path).exists() and digest(root / path) == told for path, told in sources.items())


@cache
def digest(path: Path) -> str:
    """Give what tells one text of a file from another."""
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]


def read(file: str, path: Path) -> Reached:
    """Read what `watch` wrote."""
    told = json.loads(path.read_text(encoding="utf-8"))
    lines = {
        test: {source: frozenset(at) for source, at in by_path.items()}
        for test, by_path in told["lines"].items()
    }
    return Reached(file, told["seconds"], tuple(told["failed"]), lines)


def lines_that_show(root: Path, change: Change) -> frozenset[int]:
    """Give the lines of the module that have to run for a test to notice the change.

    Those of the statement itself; of a function's head, its body; of a name set outside of functions, the
    lines in functions that use it, and where none does, all lines in functions.
    """
    tree, inside = _tree(root, change.path)
    found: ast.stmt | None = None
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt) and _head(node)[0] <= change.line <= _head(node)[1]:
            found = node  # walked outside in, so the innermost is the last
    if isinstance(found, ast.FunctionDef) or found is None or change.line in inside:
        low, high = _head(found) if found is not None else (change.line, change.line)
        if isinstance(found, ast.FunctionDef):
            low, high = found.body[0].lineno, found.end_lineno or found.lineno
        return frozenset(range(low, high + 1))
    names = {n.id for n in ast.walk(found) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
    using = {
        n.lineno for n in ast.walk(tree) if isinstance(n, ast.Name) and n.id in names and n.lineno in inside
    }
    return frozenset(using or inside or range(found.lineno, (found.end_lineno or found.lineno) + 1))


@cache
def _tree(root: Path, path: str) -> tuple[ast.Module, frozenset[int]]:
    """Give the module as a tree, and the lines that are inside of functions."""
    tree = ast.parse((root / path).read_text(encoding="utf-8"))
    return tree, frozenset(line for node in ast.walk(tree) for line in _body(node))


def _body(node: ast.AST) -> Iterator[int]:
    if isinstance(node, ast.FunctionDef):
        yield from range(node.body[0].lineno, (node.end_lineno or node.lineno) + 1)


def _head(node: ast.stmt) -> tuple[int, int]:
    """Give the first and last line of a statement without the statements in it."""
    low = min([node.lineno, *(d.lineno for d in getattr(node, "decorator_list", []))])
    inner = [s.lineno for s in ast.walk(node) if isinstance(s, ast.stmt) and s is not node]
    high = node.end_lineno or node.lineno
    return low, max(low, min(inner) - 1) if inner else high
