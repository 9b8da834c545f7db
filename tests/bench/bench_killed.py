"""A process killed at two hundred random moments while one packet replaces another: what stood then.

`STOCKWRIGHT_FIRST` is the seed of the moments.
"""

from __future__ import annotations

import os
from collections import Counter
from typing import TYPE_CHECKING

from packet.replacing import run

if TYPE_CHECKING:
    from pathlib import Path

KILLS = 200


def test_killed_two_hundred_times(tmp_path: Path) -> None:
    """Print which packet stood whole right after each death, read at once; it was always one of them."""
    found = Counter(run("killed", tmp_path, KILLS, int(os.environ.get("STOCKWRIGHT_FIRST", "7"))))
    print(f"\nkilled {KILLS} times; what stood: {dict(sorted(found.items()))}")
    assert set(found) <= {"a", "b", "c"}
    assert sum(found.values()) == KILLS
