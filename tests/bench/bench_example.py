"""How fast the example job runs, stage by stage, and in how much memory. `make bench` prints the figures."""

from __future__ import annotations

import platform
import statistics
import subprocess
import sys
import time
from typing import TYPE_CHECKING

from example_jobs import STAIR_TREAD

if TYPE_CHECKING:
    from pathlib import Path

SCRIPT = """
import resource, sys, time
from pathlib import Path
began = time.perf_counter()
from stockwright import run
request = run.Request(Path(sys.argv[1]))
stages = []
def lap(name, began=[began]):
    now = time.perf_counter()
    stages.append((name, now - began[0]))
    began[0] = now
documents = run.read(request); lap("read")
job, post = run._bind(documents, request); lap("bind")
plan = run._plan(job); lap("plan")
programs = run._cut(job, plan, post); lap("cut")
findings = run._check(job, plan, programs); lap("check")
checked = run.Checked(job, post, plan, programs, findings)
written = run._write(checked); lap("write")
packet = run._prove(checked, written, request); lap("prove")
files = run._pack(checked, packet, written); lap("pack")
for name, seconds in stages:
    print(f"{name} {seconds:.4f}")
print(f"memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.1f}")
"""


def _times(command: list[str], runs: int) -> list[float]:
    times = []
    for _ in range(runs):
        began = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(time.perf_counter() - began)
    return times


def test_the_example_job(tmp_path: Path) -> None:
    """Print the wall time of the whole command, of each stage, and the memory of one process."""
    print(f"\n{platform.machine()}, Python {platform.python_version()}")
    bare = statistics.median(_times([sys.executable, "-c", "pass"], 9))
    version = statistics.median(_times([sys.executable, "-m", "stockwright", "--version"], 9))
    print(f"--version {version * 1000:.0f} ms, bare Python {bare * 1000:.0f} ms, ratio {version / bare:.2f}")
    out = ["--out", str(tmp_path / "packet"), "--force"]
    whole = _times([sys.executable, "-m", "stockwright", "make", str(STAIR_TREAD), *out], 5)
    print(f"make: median {statistics.median(whole):.2f} s of 5 runs, worst {max(whole):.2f} s")
    rows: dict[str, list[float]] = {}
    for _ in range(3):
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT, str(STAIR_TREAD)], check=True, capture_output=True, text=True
        )
        for line in done.stdout.splitlines():
            name, value = line.split()
            rows.setdefault(name, []).append(float(value))
    for name, values in rows.items():
        print(f"  {name:<8} {statistics.median(values):8.3f} {'MB' if name == 'memory' else 's'}")
