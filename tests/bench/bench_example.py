"""How fast the example job runs, stage by stage, and in how much memory. `make bench` prints the figures."""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

import stockwright
from example_jobs import STAIR_TREAD
from timed_runs import anew, machine, said, side_by_side

RUNS = 7
# A fresh interpreter tells what each stage takes of the processor, its imports apart: first time, then again.
STAGES = """
import sys, time
from pathlib import Path
began = [time.process_time()]
def lap(name):
    now = time.process_time()
    print(f"{name}\\t{now - began[0]:.4f}")
    began[0] = time.process_time()
from stockwright import cli, run
from stockwright.batching import call
import stockwright.bind, stockwright.checking.chips, stockwright.cutting.program, stockwright.documents
import stockwright.motion.timing, stockwright.packet.assemble, stockwright.packet.proof_picture
import stockwright.packet.sheet, stockwright.packet.sheet_pdf, stockwright.playback
import stockwright.posting.shaping
import highspy, typst
lap("imports")
request = run.Request(Path(sys.argv[1]))
documents = run.read(request); lap("read")
job, post = run._bind(documents, None, None); lap("bind")
plan = run._plan(job); lap("plan")
programs, otherwise = run._shape(job, post, run._cut(job, plan, post)); lap("cut")
findings, feeds = run._check(job, plan, programs); lap("check")
checked = run.Checked(job, post, plan, programs, findings, otherwise, feeds)
written = run._write(checked); lap("write")
boards = []
packet = run._prove(checked, written, request, boards); lap("prove")
files = run._pack(checked, packet, written, boards); lap("pack")
print(f"all\\t{time.process_time():.4f}")
"""


def test_the_example_job(tmp_path: Path) -> None:
    """Print what the whole command takes, compiled anew too, what checking takes, and every stage."""
    python = sys.executable
    out = ["--out", str(tmp_path / "packet"), "--force"]
    commands = {
        "python -c pass": [python, "-c", "pass"],
        "import numpy": [python, "-c", "import numpy"],
        "make": [python, "-m", "stockwright", "make", str(STAIR_TREAD), *out],
        "check": [python, "-m", "stockwright", "check", str(STAIR_TREAD)],
    }
    taken = side_by_side(commands, tmp_path / "bytecode", RUNS)
    print(f"\n{machine()}; processor, clock (least of {RUNS}), memory")
    package = Path(stockwright.__file__).parent
    taken["make, compiled anew"] = anew(commands["make"], tmp_path / "bytecode", package, RUNS)
    for name, each in taken.items():
        print(f"  {name:<20} {each.processor:6.3f} s {each.clock:6.3f} s {each.memory:6.0f} MB")
    for name, goal in (("make", 1.0), ("check", 0.7)):
        ratio = taken[name].processor / taken["import numpy"].processor
        print(f"  {name}: the goal is {goal:g} s by the clock; {ratio:.1f} times `import numpy`")
    rows: dict[str, list[float]] = {}
    for _ in range(RUNS):
        for name, value in _stages(tmp_path):
            rows.setdefault(name, []).append(value)
    print("  stage by stage, s of the processor: least and median")
    for name, values in rows.items():
        print(f"    {name:<8} {min(values):7.3f} {statistics.median(values):7.3f}")


def _stages(tmp_path: Path) -> list[tuple[str, float]]:
    lines = said([sys.executable, "-c", STAGES, str(STAIR_TREAD)], tmp_path / "bytecode").splitlines()
    return [(name, float(value)) for name, value in (line.split("\t") for line in lines)]
