"""The page that describes the package room by room. In: docstrings of its rooms and files. Out: one page.

Promise: every room and every file of the top folder is on it once; a new one cannot be forgotten.
"""

from __future__ import annotations

import ast
from pathlib import Path

__all__ = ["rooms_page"]

PACKAGE = Path(__file__).parents[1] / "pipeline" / "stockwright"
SECTIONS = (
    (
        "The flow",
        "A job goes through these in this order; `run.py` lists them, and no stage reaches back.",
        "run.py documents bind planning cutting checking posting proving packet",
    ),
    (
        "What the stages hand on",
        "Frozen values in mm, mm/min, rpm, N, W and degrees, and what is computed from them.",
        (
            "job.py machine.py tooling.py hold_downs.py board motion forces traces.py findings.py "
            "mistakes.py units.py miswritten.py words.py frozen.py"
        ),
    ),
    (
        "Flows of their own",
        "Each starts from other inputs, and uses the same rooms and the same proof.",
        "batching probing recutting fitting budget playback sharing starting trying conformance",
    ),
    (
        "What the user sees",
        "",
        "entry.py __main__.py cli.py calls explaining progress.py memory.py __init__.py",
    ),
)


def rooms_page() -> str:
    """Return the page. Raises `ValueError` where a room or a file has no place on it, or none is there."""
    told = [name for _, _, names in SECTIONS for name in names.split()]
    there = [
        path.name for path in PACKAGE.iterdir() if path.suffix == ".py" or (path / "__init__.py").is_file()
    ]
    if sorted(told) != sorted(there):
        raise ValueError(f"not on the page of rooms, or there no more: {sorted(set(told) ^ set(there))}")
    lines = ["# stockwright, room by room", ""]
    for title, says, names in SECTIONS:
        head = ("| where | what it is | in, and out | promise |", "| --- | --- | --- | --- |")
        lines += [f"## {title}", "", *((says, "") if says else ()), *head]
        lines += [f"| {' | '.join((_link(name), *_about(name)))} |" for name in names.split()]
        lines += [""]
    return "\n".join(lines)


def _link(name: str) -> str:
    if name.endswith(".py"):
        return f"[`{name}`]({name})"
    page = f"{name}/README.md" if (PACKAGE / name / "README.md").is_file() else f"{name}/__init__.py"
    return f"[`{name}/`]({page})"


def _about(name: str) -> tuple[str, str, str]:
    """Give what a docstring says: what it is, what goes in and comes out, what is promised."""
    file = PACKAGE / name if name.endswith(".py") else PACKAGE / name / "__init__.py"
    whole = ast.get_docstring(ast.parse(file.read_text(encoding="utf-8"))) or ""
    told = " ".join(" ".join(part for part in whole.split("\n\n") if not part.startswith("    ")).split())
    told, _, promise = told.replace("|", "\\|").partition("Promise: ")
    what, _, passes = told.partition("In: ")
    return what.strip(), f"In: {passes}".strip() if passes else "", promise[:1].upper() + promise[1:]
