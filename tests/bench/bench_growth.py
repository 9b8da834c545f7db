"""How time and memory grow with a board's readings and with its area. `make bench` prints both, with slopes.

Both faces of an invented warped board, from the documents to the packet: once with more and more readings on
the same board, once with the same readings on a larger and larger one, at the same cutter and stepover. A
slope is that of the logarithms from one row to the next; 1 is in proportion.
"""

from __future__ import annotations

import math
import shutil
import sys
from pathlib import Path

from timed_runs import machine, side_by_side

SLAB = Path(__file__).parent / "slab"
READINGS = ((5, 3), (10, 10), (25, 20), (50, 40), (100, 50))  # along, across: 15 to 5,000
SIZES = ((300, 150), (600, 300), (1200, 600), (2440, 1220))  # mm
RUNS = 2


def _job(folder: Path, length: float, width: float, along: int, across: int) -> Path:
    """Write a job of one board that is bowed, cupped and twisted, and return it."""
    folder.mkdir()
    for name in ("job.yaml", "recipe.yaml", "shop.yaml"):
        shutil.copy(SLAB / name, folder / name)
    xs = [20 + (length - 40) * i / (along - 1) for i in range(along)]
    ys = [20 + (width - 40) * j / (across - 1) for j in range(across)]

    def height(x: float, y: float) -> float:
        u, v = 2 * x / length - 1, 2 * y / width - 1
        return 71.0 + 2.0 * (1 - u * u) + 1.0 * (1 - v * v) + 0.8 * u * v

    def listed(values: list[float]) -> str:
        return "[" + ", ".join(f"{value:.2f} mm" for value in values) + "]"

    rows = "\n".join("    - " + listed([height(x, y) for y in ys]) for x in xs)
    thick = "\n".join("    - " + listed([66.0] * across) for _ in xs)
    (folder / "board.yaml").write_text(
        f"""stockwright: board/1
name: slab
about: Invented, bowed, cupped and twisted.
edge-1: {{along: [0 mm, {length} mm], offset: [0 mm, 0 mm]}}
edge-2: {{along: [0 mm, {length} mm], offset: [{width} mm, {width} mm]}}
ends:
  end-1: {{near: 0 mm, far: 0 mm}}
  end-2: {{near: {length} mm, far: {length} mm}}
heights:
  along: {listed(xs)}
  across: {listed(ys)}
  rows:
{rows}
thickness:
  rows:
{thick}
uncertainty: 0.3 mm
""",
        encoding="utf-8",
    )
    return folder / "job.yaml"


def _grown(tmp_path: Path, jobs: dict[str, tuple[float, Path]], what: str) -> None:
    """Run every job in turn and print what it takes, and how that grows. `jobs`: name to size and job."""
    make = [sys.executable, "-m", "stockwright", "make"]
    out = ["--out", str(tmp_path / "packet"), "--force"]
    taken = side_by_side(
        {name: [*make, str(job), *out] for name, (_, job) in jobs.items()}, tmp_path / "bytecode", RUNS
    )
    print(f"\n{machine()}; {what}: processor, memory (least of {RUNS}); slopes to the next")
    before: tuple[float, float, float] | None = None
    for name, (size, _) in jobs.items():
        now = (size, taken[name].processor, taken[name].memory)
        told = ""
        if before is not None:
            run = math.log(now[0] / before[0])
            told = "".join(f" {math.log(now[k] / before[k]) / run:6.2f}" for k in (1, 2))
        print(f"  {name:<16} {now[1]:7.2f} s {now[2]:6.0f} MB{told}")
        before = now


def test_growth_with_readings(tmp_path: Path) -> None:
    """Print time and memory from 15 readings to 5,000, on one board of 600 x 300 mm."""
    jobs = {
        f"{along * across} readings": (
            float(along * across),
            _job(tmp_path / f"r{along}", 600, 300, along, across),
        )
        for along, across in READINGS
    }
    _grown(tmp_path, jobs, "readings")


def test_growth_with_area(tmp_path: Path) -> None:
    """Print time and memory from a short board to a slab, each with 25 readings."""
    jobs = {
        f"{length} x {width} mm": (
            float(length * width),
            _job(tmp_path / f"a{length}", length, width, 5, 5),
        )
        for length, width in SIZES
    }
    _grown(tmp_path, jobs, "area")
