"""A hundred thousand spoilt documents of every kind through the command line: what came of it.

`STOCKWRIGHT_TRIALS` says how many, `STOCKWRIGHT_FIRST` with which seed they begin; the suite has its own.
"""

from __future__ import annotations

import os
import platform
import time
from collections import Counter

from spoilt.trial import MEGABYTES, SECONDS, Outcome, trials

FIRST = 1_000_000  # far from the suite's seeds
COUNT = 100_000


def test_a_hundred_thousand_spoilt_documents() -> None:
    """Print the exit codes by kind, the slowest, and every one that was not as it must be: there is none."""
    first = int(os.environ.get("STOCKWRIGHT_FIRST", FIRST))
    count = int(os.environ.get("STOCKWRIGHT_TRIALS", COUNT))
    began = time.perf_counter()
    codes: Counter[tuple[str, int | None]] = Counter()
    wrong: list[Outcome] = []
    slow: list[tuple[float, str, int]] = []
    for each in trials(range(first, first + count), os.cpu_count() or 1):
        codes[each.kind, each.code] += 1
        slow = sorted([*slow, (each.seconds, each.kind, each.seed)], reverse=True)[:5]
        if each.wrong:
            wrong.append(each)
            print(f"\n{each.kind} {each.seed} {' '.join(each.call)}: {each.wrong}", flush=True)
    took = time.perf_counter() - began
    print(f"\n{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    print(f"{count} documents in {took:.0f} s; bounds {SECONDS} s and {MEGABYTES} MB each")
    for kind in sorted({kind for kind, _ in codes}):
        print(f"  {kind:<20} " + "  ".join(f"exit {code}: {codes[kind, code]:>6}" for code in (0, 1, 2)))
    print("slowest: " + ", ".join(f"{seconds:.2f} s ({kind} {seed})" for seconds, kind, seed in slow))
    assert wrong == []
