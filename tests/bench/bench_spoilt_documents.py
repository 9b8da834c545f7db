"""A hundred thousand spoilt documents of every kind through the command line: what came of it.

`STOCKWRIGHT_TRIALS` says how many, `STOCKWRIGHT_FIRST` with which seed they begin; the suite has its own.
`STOCKWRIGHT_KEPT` names a file of pieces that are done, so that a run that was stopped goes on where it was;
`STOCKWRIGHT_PROCESSES` how many work side by side.
"""

from __future__ import annotations

import os
import platform
import time
from collections import Counter
from pathlib import Path

from spoilt.pieces import SLOWEST, pieces
from spoilt.trial import MEGABYTES, SECONDS

FIRST = 1_000_000  # far from the suite's seeds
COUNT = 100_000


def test_a_hundred_thousand_spoilt_documents() -> None:
    """Print the exit codes by kind, the slowest, and every one that was not as it must be: there is none."""
    first = int(os.environ.get("STOCKWRIGHT_FIRST", FIRST))
    count = int(os.environ.get("STOCKWRIGHT_TRIALS", COUNT))
    processes = int(os.environ.get("STOCKWRIGHT_PROCESSES", os.cpu_count() or 1))
    kept = os.environ.get("STOCKWRIGHT_KEPT")
    began = time.perf_counter()
    codes: dict[str, Counter[str]] = {}
    wrong = []
    slow: list[tuple[float, str, int]] = []
    for piece in pieces(range(first, first + count), processes, None if kept is None else Path(kept)):
        for kind, counts in piece.codes.items():
            codes.setdefault(kind, Counter()).update(counts)
        slow = sorted([*slow, *piece.slowest], reverse=True)[:SLOWEST]
        for each in piece.wrong:
            wrong.append(each)
            print(f"\n{each.kind} {each.seed} {' '.join(each.call)}: {each.wrong}", flush=True)
    took = time.perf_counter() - began
    print(f"\n{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    print(f"{count} documents in {took:.0f} s; bounds {SECONDS} s and {MEGABYTES} MB each")
    for kind, counts in sorted(codes.items()):
        print(f"  {kind:<20} " + "  ".join(f"exit {code}: {counts[code]:>6}" for code in "012"))
    print("slowest: " + ", ".join(f"{seconds:.2f} s ({kind} {seed})" for seconds, kind, seed in slow))
    assert wrong == []
