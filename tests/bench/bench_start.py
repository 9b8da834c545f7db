"""How fast the command answers, beside what cannot be had faster. `make bench` prints the figures.

The version against bare Python; help against the smallest program that the same library makes; the
libraries of the stages by themselves.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

from timed_runs import machine, side_by_side

if TYPE_CHECKING:
    from pathlib import Path

RUNS = 15
SMALLEST = """
import typer
app = typer.Typer(rich_markup_mode=None, pretty_exceptions_enable=False, add_completion=False)
@app.callback()
def top() -> None:
    "Do things."
@app.command()
def one(name: str) -> None:
    "Do one thing."
@app.command()
def two(name: str) -> None:
    "Do another."
app()
"""
LIBRARIES = "import numpy, shapely, pydantic, typer, yaml, jinja2, highspy; pydantic.BaseModel"


@pytest.fixture
def smallest(tmp_path: Path) -> str:
    """Write the smallest program of two commands with the library that reads our command line."""
    file = tmp_path / "smallest.py"
    file.write_text(SMALLEST, encoding="utf-8")
    return str(file)


def test_how_fast_it_answers(tmp_path: Path, smallest: str) -> None:
    """Print the processor's time of each answer, and the ratios that are promised."""
    python, ours = sys.executable, [sys.executable, "-m", "stockwright"]
    commands = {
        "python -c pass": [python, "-c", "pass"],
        "stockwright --version": [*ours, "--version"],
        "the smallest program, --help": [python, smallest, "--help"],
        "the smallest program, one --help": [python, smallest, "one", "--help"],
        "stockwright --help": [*ours, "--help"],
        "stockwright make --help": [*ours, "make", "--help"],
        "the libraries, imported": [python, "-c", LIBRARIES],
    }
    taken = side_by_side(commands, tmp_path / "bytecode", RUNS)
    print(f"\n{machine()}; processor, clock (least of {RUNS}), memory")
    for name, each in taken.items():
        print(
            f"  {name:<34} {each.processor * 1000:6.0f} ms {each.clock * 1000:6.0f} ms {each.memory:6.0f} MB"
        )
    for ours_, other, goal in (
        ("stockwright --version", "python -c pass", 3.0),
        ("stockwright --help", "the smallest program, --help", 1.3),
        ("stockwright make --help", "the smallest program, one --help", 1.3),
    ):
        ratio = taken[ours_].processor / taken[other].processor
        print(f"  {ours_} is {ratio:.2f} times {other}; the goal is {goal:g}")
