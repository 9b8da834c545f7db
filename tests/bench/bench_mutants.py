"""Ten thousand damaged programs before the proof and the second judge. `make bench` prints the table.

`STOCKWRIGHT_MUTANTS` is how many (10,000 where it is not set), over every core there is.
"""

from __future__ import annotations

import multiprocessing
import os
import platform
import time
from typing import TYPE_CHECKING

from mutants.table import Table
from mutants.trial import trial

if TYPE_CHECKING:
    from mutants.trial import Tried

FIRST = 100_000  # far from the seeds of the tests
TOGETHER = 50  # seeds a core takes at a time


def test_ten_thousand_mutants() -> None:
    """Every harmful mutant is refused at the right line; at most one in a thousand harmless ones is."""
    count = int(os.environ.get("STOCKWRIGHT_MUTANTS", "10000"))
    began = time.perf_counter()
    table = Table()
    tried: Tried
    with multiprocessing.get_context("spawn").Pool(os.cpu_count()) as pool:
        for tried in pool.imap_unordered(trial, range(FIRST, FIRST + count), chunksize=TOGETHER):
            table.add(tried)
    took = time.perf_counter() - began
    print(f"\n{platform.machine()}, Python {platform.python_version()}, {os.cpu_count()} cores: ", end="")
    print(f"{count} mutants in {took:.0f} s")
    print(table.markdown())
    print("\n".join(sorted(table.odd)))
    assert table.all("harmful", refused=False) == 0
    assert sum(table.right.values()) == table.all("harmful", refused=True)
    refused, passed = (table.all("harmless", refused=r) for r in (True, False))
    assert refused <= (refused + passed) / 1000
