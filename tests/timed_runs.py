"""Runs measured side by side. In: commands. Out: what each takes of the processor, of time, of memory.

Each is run in turn, and the least of its runs counts: on a machine that others use too, only the least of
several tells of the command. Bytecode is kept in a folder of the bench's own, warmed first, as it is wherever
the program is installed.
"""

from __future__ import annotations

import contextlib
import os
import platform
import resource
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["Taken", "anew", "machine", "said", "side_by_side"]

MEASURED = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], check=True)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024, file=sys.stderr)
"""


@dataclass(frozen=True)
class Taken:
    """Seconds of the processor, seconds by the clock, MB at most."""

    processor: float
    clock: float
    memory: float


def machine() -> str:
    """Say on what is measured, and how busy it is with other things."""
    model = ""
    with contextlib.suppress(OSError):  # not on every system
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
        model = next((line.split(":")[1].strip() for line in lines if line.startswith("model name")), "")
    load = os.getloadavg()[0]
    name = model or platform.machine()
    return f"{name}, {os.cpu_count()} processors, Python {platform.python_version()}, load {load:.1f}"


def _surroundings(kept: Path) -> dict[str, str]:
    kept_from = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    return {**kept_from, "PYTHONPYCACHEPREFIX": str(kept)}


def said(command: Sequence[str], kept: Path) -> str:
    """Return what a command prints, its bytecode under `kept`."""
    done = subprocess.run(list(command), check=True, capture_output=True, text=True, env=_surroundings(kept))
    return done.stdout


def side_by_side(commands: Mapping[str, Sequence[str]], kept: Path, runs: int) -> dict[str, Taken]:
    """Run every command once for its bytecode, under `kept`, and for its memory; then all in turn."""
    surroundings = _surroundings(kept)
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in commands}
    memory = {}
    for name, command in commands.items():
        for _ in range(2):
            memory[name] = _memory(command, surroundings)
    for _ in range(runs):
        for name, command in commands.items():
            found[name].append(_once(command, surroundings))
    return {name: _least(each, memory[name]) for name, each in found.items()}


def anew(command: Sequence[str], kept: Path, package: Path, runs: int) -> Taken:
    """Run a command for which a package is compiled anew each time, its libraries are not."""
    surroundings = _surroundings(kept)
    own = kept / package.resolve().relative_to(package.anchor)
    _once(command, surroundings)
    found = []
    for _ in range(runs):
        shutil.rmtree(own)
        found.append(_once(command, surroundings))
    shutil.rmtree(own)
    return _least(found, _memory(command, surroundings))


def _once(command: Sequence[str], surroundings: Mapping[str, str]) -> tuple[float, float]:
    """Return seconds of the processor and by the clock."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(list(command), check=True, capture_output=True, env=surroundings)
    clock, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, clock


def _memory(command: Sequence[str], surroundings: Mapping[str, str]) -> float:
    """Return what a command and those that it starts hold at most, MB, each by itself."""
    call = [sys.executable, "-c", MEASURED, *command]
    done = subprocess.run(call, check=True, capture_output=True, text=True, env=surroundings)
    return float(done.stderr.splitlines()[-1])


def _least(found: Sequence[tuple[float, float]], memory: float) -> Taken:
    return Taken(min(p for p, _ in found), min(c for _, c in found), memory)
