"""The proof shares nothing with what it judges."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import stockwright.proving
from source_trees import tree_of

FOLDER = Path(stockwright.proving.__file__).parent
FORBIDDEN = (
    "stockwright.planning",
    "stockwright.cutting",
    "stockwright.checking",
    "stockwright.motion",
    "stockwright.posting",
    "stockwright_posts",
)


def imported(file: Path) -> set[str]:
    """Give every module a file imports, wherever in it."""
    found: set[str] = set()
    for node in ast.walk(tree_of(file)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file.name} imports relatively"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@pytest.mark.parametrize("file", sorted(FOLDER.rglob("*.py")), ids=lambda path: str(path.name))
def test_no_part_of_the_proof_imports_a_writer(file: Path) -> None:
    """No file of the proof imports planning, cutting, checking, motion, posting or posts."""
    assert not [name for name in imported(file) if name.startswith(FORBIDDEN)]


def test_of_the_project_only_the_packet_model_is_used() -> None:
    """Outside its own folder the proof imports nothing but the packet's types, and how values are frozen."""
    own = {
        name
        for file in FOLDER.rglob("*.py")
        for name in imported(file)
        if name.startswith("stockwright") and not name.startswith("stockwright.proving")
    }
    assert own
    assert all(name.startswith(("stockwright.packet.model", "stockwright.frozen")) for name in own)
