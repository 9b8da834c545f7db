"""How fast the proof's reader is, against a compiled grammar and against bare loops. `make bench` prints it.

All in one run, on one text: reading with every check; the same line by line; a compiled grammar that only
parses (tree-sitter); one regular expression a line with its numbers; f-strings that write such lines.
"""

from __future__ import annotations

import math
import os
import platform
import time
import tracemalloc
from itertools import pairwise
from typing import TYPE_CHECKING

import tree_sitter
import tree_sitter_gcode

from short_moves import LINE, lines_of
from stockwright.proving.rs274 import read, read_strictly

if TYPE_CHECKING:
    from collections.abc import Callable

COUNT = 200_000
SIZES = (1_000, 10_000, 100_000, 1_000_000)


def _rate(do: Callable[[], object], lines: int, runs: int = 3) -> float:
    """Give lines a second: the best of some runs, in the process's own time."""
    best = math.inf
    for _ in range(runs):
        began = time.process_time()
        do()
        best = min(best, time.process_time() - began)
    return lines / best


def _bare_read(text: str) -> int:
    """Match and convert every line, and keep nothing."""
    count = 0
    for line in text.split("\n"):
        found = LINE.fullmatch(line)
        if found is not None:
            for word in found.groups():
                if word:
                    float(word)
                    count += 1
    return count


def _bare_write() -> list[str]:
    return [f"X{k * 0.01:.3f} Y{k * 0.02:.3f}" for k in range(COUNT)]


def test_reading_against_others() -> None:
    """Print lines a second and the ratios to the reader's own; nothing of it is asserted."""
    text = lines_of(COUNT)
    data = text.encode()
    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_gcode.language()))
    assert not read(text).unread
    rates = {
        "read, every check": _rate(lambda: read(text), COUNT),
        "read, line by line": _rate(lambda: read_strictly(text), COUNT),
        "a compiled grammar, parsing only": _rate(lambda: parser.parse(data), COUNT),
        "one regular expression a line, to numbers": _rate(lambda: _bare_read(text), COUNT),
        "f-strings writing such lines": _rate(_bare_write, COUNT),
    }
    load = os.getloadavg()[0]
    print(f"\n{platform.machine()}, Python {platform.python_version()}, load {load:.1f}, {COUNT} lines")
    ours = rates["read, every check"]
    for name, rate in rates.items():
        print(f"  {name:<44} {rate:10,.0f} lines/s   ours is {ours / rate:5.2f} times it")


def test_growth_of_reading() -> None:
    """Print time and memory from a thousand lines to a million, and the slopes on a log plot."""
    print(f"\nload {os.getloadavg()[0]:.1f}")
    rows = []
    for count in SIZES:
        text = lines_of(count)
        seconds = count / _rate(lambda text=text: read(text), count, 1 if count > 100_000 else 3)  # type: ignore[misc]
        tracemalloc.start()
        read(text)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        rows.append((count, seconds, peak))
        print(
            f"  {count:>9,} lines  {seconds:8.4f} s  {1e6 * seconds / count:6.2f} us a line"
            f"  peak {peak / 1e6:7.1f} MB, {peak / len(text):5.2f} times the text"
        )
    for (n, t, m), (n2, t2, m2) in pairwise(rows):
        scale = math.log(n2 / n)
        print(
            f"  {n:,} to {n2:,}: slope of time {math.log(t2 / t) / scale:.2f},"
            f" of memory {math.log(m2 / m) / scale:.2f}"
        )
