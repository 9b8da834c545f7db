"""What the program is built on: few libraries, declared, within ranges, under terms that suit its own.

All of it is read from what is installed and from the sources: no list is fetched.
"""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from functools import cache
from importlib import metadata
from typing import TYPE_CHECKING

import pytest
from packaging.requirements import Requirement

from example_jobs import ROOT
from source_trees import tree_of

if TYPE_CHECKING:
    from pathlib import Path

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
# Terms under which the parts may be given on together with a program under MIT terms: names by SPDX.
SUIT = {"MIT", "BSD-2-Clause", "BSD-3-Clause", "0BSD", "ISC", "Zlib", "CC0-1.0", "PSF-2.0", "Apache-2.0"}
MOST_DIRECT = 10
IMPORTED = {"pyyaml": "yaml", "typing-extensions": "typing_extensions"}  # where the two names differ
# What the suite may use of a library that another one brings.
BROUGHT = {"pydantic_core": "pydantic", "markupsafe": "jinja2"}


def plain(name: str) -> str:
    """Return a distribution's name as indexes compare it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def closure(name: str, found: set[str] | None = None) -> set[str]:
    """Return all that is installed because of `name`, itself included."""
    found = set() if found is None else found
    if plain(name) not in found:
        found.add(plain(name))
        for line in metadata.requires(name) or ():
            needed = Requirement(line)
            if needed.marker is None or needed.marker.evaluate({"extra": ""}):
                closure(needed.name, found)
    return found


def terms(name: str) -> set[str]:
    """Return the terms a distribution states, by SPDX."""
    said = metadata.metadata(name)
    text = next((said[key] for key in ("License-Expression", "License") if key in said), "")
    listed = [
        each.rpartition("::")[2].strip() for each in said.get_all("Classifier") or () if "License ::" in each
    ]
    words = {
        "MIT License": "MIT",
        "BSD License": "BSD-3-Clause",
        "ISC License (ISCL)": "ISC",
        "ISC License": "ISC",
    }
    words |= {"Apache Software License": "Apache-2.0"}
    if not text or text in words or "\n" in text:
        return {words.get(each, each) for each in (listed or [text])}
    return set(re.split(r"\s+(?:AND|OR)\s+", text.replace("(", "").replace(")", "")))


def test_the_libraries_are_few_and_within_ranges() -> None:
    """Each has a least version, and is there in a version that the range allows."""
    needed = [Requirement(line) for line in PROJECT["project"]["dependencies"]]
    assert len(needed) <= MOST_DIRECT
    for each in needed:
        assert any(part.operator in {">=", "==", "~="} for part in each.specifier), each
        assert each.specifier.contains(metadata.version(each.name)), each


def test_every_licence_is_listed_and_suits() -> None:
    """All that comes with the program, whatever brought it, stands in the list with its terms."""
    listed = {name: set(stated) for name, stated in PROJECT["tool"]["stockwright"]["licences"].items()}
    needed = [Requirement(line).name for line in PROJECT["project"]["dependencies"]]
    found = {name: terms(name) for each in needed for name in closure(each)}
    assert found == {name: stated for name, stated in listed.items() if name in found}
    assert set(listed) - set(found) <= {"colorama", "typing-extensions"}  # needed on some systems only
    assert set().union(*listed.values()) <= SUIT


@cache
def imports(folder: Path) -> dict[str, set[str]]:
    """Return what each file below `folder` imports, by the first part of its name."""
    found: dict[str, set[str]] = {}
    for path in sorted(folder.rglob("*.py")):
        for node in ast.walk(tree_of(path)):
            names = [each.name for each in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and not node.level and node.module:
                names = [node.module]
            for name in names:
                found.setdefault(name.partition(".")[0], set()).add(path.relative_to(ROOT).as_posix())
    return found


@pytest.mark.parametrize("folder", ["pipeline", "posts"])
def test_nothing_is_imported_that_is_not_declared(folder: str) -> None:
    """Python's own modules, the declared libraries, the two packages: nothing that happens to be there."""
    declared = {plain(Requirement(line).name) for line in PROJECT["project"]["dependencies"]}
    allowed = {IMPORTED.get(name, name) for name in declared} | {"stockwright", "stockwright_posts"}
    allowed |= {name for name, by in BROUGHT.items() if by in declared} | set(sys.stdlib_module_names)
    used = imports(ROOT / folder)
    assert {name: used[name] for name in sorted(set(used) - allowed)} == {}


def test_every_declared_library_is_used() -> None:
    """A library that nothing imports is none that the program needs."""
    declared = {plain(Requirement(line).name) for line in PROJECT["project"]["dependencies"]}
    used = imports(ROOT / "pipeline")
    assert {name for name in declared if IMPORTED.get(name, name) not in used} == set()


def test_type_hints_are_shipped() -> None:
    """Both packages say to type checkers that their hints are meant for others (PEP 561)."""
    for package in ("pipeline/stockwright", "posts/stockwright_posts"):
        assert (ROOT / package / "py.typed").is_file()
