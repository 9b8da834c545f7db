"""The sources as trees, each parsed once for all tests that read them. In: a file. Out: its tree."""

from __future__ import annotations

import ast
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["tree_of"]


@cache
def tree_of(file: Path) -> ast.Module:
    """Return a file's tree; nobody changes it."""
    return ast.parse(file.read_text(encoding="utf-8"))
