"""Ten thousand damaged programs before the proof and the second judge. `make bench` prints the tables.

`STOCKWRIGHT_MUTANTS` is how many (10,000 where it is not set), `STOCKWRIGHT_FIRST` with which seed they
begin, `STOCKWRIGHT_PROCESSES` how many at a time (every core there is). With `STOCKWRIGHT_MUTANTS_LOG`, a
file, what is tried is noted there and not tried again, so that a run can be stopped and taken up.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import platform
import time
from dataclasses import asdict
from pathlib import Path

from mutants.table import Row, Table
from mutants.trial import row

FIRST = 200_000  # far from the seeds of the tests
TOGETHER = 20  # seeds a core takes at a time


def test_ten_thousand_mutants() -> None:
    """Every harmful mutant is refused at the right line; at most one in a thousand harmless ones is."""
    count = int(os.environ.get("STOCKWRIGHT_MUTANTS", "10000"))
    first = int(os.environ.get("STOCKWRIGHT_FIRST", FIRST))
    cores = int(os.environ.get("STOCKWRIGHT_PROCESSES", str(os.cpu_count())))
    log = Path(os.environ.get("STOCKWRIGHT_MUTANTS_LOG", os.devnull))
    table = Table()
    known: set[int] = set()
    for line in log.read_text().splitlines() if log.is_file() else []:
        one = Row(**json.loads(line))
        known.add(one.seed)
        table.add(one)
    left = [seed for seed in range(first, first + count) if seed not in known]
    began = time.perf_counter()
    with multiprocessing.get_context("spawn").Pool(cores) as pool, log.open("a") as file:
        for one in pool.imap_unordered(row, left, chunksize=TOGETHER):
            table.add(one)
            file.write(json.dumps(asdict(one)) + "\n")
            file.flush()
    took = time.perf_counter() - began
    print(f"\n{platform.machine()}, Python {platform.python_version()}, {cores} processes: ", end="")
    print(f"{len(left)} mutants in {took:.0f} s, {len(known)} known before")
    print(table.markdown())
    print("\n".join(sorted(table.odd)))
    print("\n".join(sorted(table.unsure)))
    assert table.all("harmful", refused=False) == 0
    assert table.lines_right() == table.all("harmful", refused=True)
    refused, passed = (table.all("harmless", refused=r) for r in (True, False))
    assert refused <= (refused + passed) / 1000
