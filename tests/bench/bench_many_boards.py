"""What a job of many boards costs: time and memory by the number of boards, in one process and in two.

Every figure is of a run of its own, begun anew. Boards of 25 readings, both faces. Processor time is told
beside wall time: on a crowded machine only the first compares.
"""

from __future__ import annotations

import json
import math
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from many_boards import boards_job

COUNTS = (1, 2, 5, 10, 40)
GRID = """heights:
  along:  [10 mm, 55 mm, 100 mm, 145 mm, 190 mm]
  across: [8 mm, 29 mm, 50 mm, 71 mm, 92 mm]
  rows: {rows}
thickness:
  rows: {thick}
uncertainty: 0.1 mm
"""
# In a process of its own: the memory of all its processes together is sampled, and told with the time.
SCRIPT = """
import json, resource, sys, time
from pathlib import Path
from stockwright import batching, run
begin = time.perf_counter()
def tell(done, of, *_):
    if done == of:
        Path(sys.argv[3]).touch()
made = batching.make(run.Request(Path(sys.argv[1])), batching.How(processes=int(sys.argv[2]), tell=tell))
wall = time.perf_counter() - begin
own, others = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
cpu = [each.ru_utime + each.ru_stime for each in (own, others)]
print(json.dumps({"wall": wall, "cpu": cpu, "verdict": made.packet.proof.verdict,
                  "bytes": sum(map(len, made.files.values()))}))
"""


def _job(folder: Path, count: int) -> Path:
    """Write boards of 25 readings, each a little warped in its own way."""
    job = boards_job(folder, count)
    for number in range(1, count + 1):
        thick = 30.0 + 0.1 * (number % 7)
        rows = [[round(thick + 0.5 + 0.1 * ((a * b + number) % 5), 2) for b in range(5)] for a in range(5)]
        said = GRID.format(rows=_said(rows), thick=_said([[thick] * 5] * 5))
        (folder / f"plank-{number}.yaml").write_text(
            f"stockwright: board/1\nname: plank {number}\nsize: {{length: 200 mm, width: 100 mm}}\n{said}"
        )
    return job


def _said(rows: list[list[float]]) -> str:
    return json.dumps([[f"{value:g} mm" for value in row] for row in rows])


def _memory(process: int) -> int:
    """Return what a process and all that it started hold now, bytes; Linux only, 0 elsewhere."""
    children: dict[int, list[int]] = {}
    held: dict[int, int] = {}
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            fields = (entry / "stat").read_text().rpartition(")")[2].split()
            held[int(entry.name)] = int(fields[21]) * resource.getpagesize()
            children.setdefault(int(fields[1]), []).append(int(entry.name))
        except OSError:
            continue
    waiting, total = [process], 0
    while waiting:
        one = waiting.pop()
        total += held.get(one, 0)
        waiting += children.get(one, [])
    return total


def _measured(job: Path, processes: int) -> dict[str, float]:
    done = job.with_name("boards-done")
    call = [sys.executable, "-c", SCRIPT, str(job), str(processes), str(done)]
    with subprocess.Popen(call, stdout=subprocess.PIPE, text=True) as running:
        most = boards = 0
        while running.poll() is None:
            most = max(most, _memory(running.pid))
            boards = boards if done.exists() else most
            time.sleep(0.1)
        assert running.stdout is not None
        said = json.loads(running.stdout.read())
    assert said["verdict"] == "proven"
    return {
        "wall": said["wall"], "cpu": sum(said["cpu"]), "here": said["cpu"][0],
        "MB": boards / 1e6, "all": most / 1e6, "packet": said["bytes"] / 1e6,
    }  # fmt: skip


def test_time_and_memory_by_the_number_of_boards() -> None:
    """Time and memory grow no faster than the boards; forty of 25 readings are done in under 400 MB.

    What setting the sheet's pages takes after that is printed apart: it grows with the pages.
    """
    print(f"\n{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}")
    print("boards  processes    wall s     cpu s   of it here   MB boards   MB sheet   packet MB   load")
    for processes in (1, 2):
        found = {}
        for count in COUNTS:
            with tempfile.TemporaryDirectory() as folder:
                found[count] = run = _measured(_job(Path(folder), count), processes)
            print(
                f"{count:6}  {processes:9}  {run['wall']:8.2f}  {run['cpu']:8.2f}  {run['here']:11.2f}"
                f"  {run['MB']:10.0f}  {run['all']:9.0f}  {run['packet']:10.2f}  {os.getloadavg()[0]:5.1f}",
                flush=True,
            )
        few, many = COUNTS[2], COUNTS[-1]
        for what in ("cpu", "MB"):
            slope = math.log(found[many][what] / found[few][what]) / math.log(many / few)
            print(
                f"        {what} from {few} to {many} boards grows as their number to the power {slope:.2f}"
            )
            assert slope < 1.15
        assert found[many]["MB"] < 400
