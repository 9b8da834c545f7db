"""How fast a program is written. `make bench` prints it; no figure here is a promise about your machine.

Random cutting points through each word-address post, against the barest loop that writes the very same lines
with one f-string each; both in one run, so that the ratio says something on any machine. Then how much memory
a million-line program takes while it is streamed, and whether its lines cost more than those of a short one.
"""

from __future__ import annotations

import platform
import time
import tracemalloc

import numpy as np
import pytest

from programs import program
from stockwright.motion import Feed, Rapid
from stockwright.posting import WordAddress, found, load_post

MANY = 1_000_000
POSTS = [name for name in found() if isinstance(load_post(name), WordAddress)]


def points(count: int) -> np.ndarray:
    """Give random places on the grid of 0.001 mm, (count, 3), mm."""
    return np.random.default_rng(7).integers(-900_000, 900_000, (count, 3)) / 1000


def bare(where: np.ndarray, name: str) -> list[str]:
    """Give the post's own cutting lines, from the barest loop of one f-string a line."""
    rows = where.tolist()
    if name == "spelled-out":
        return [f"G01 X{x:.3f} Y{y:.3f} Z{z:.3f} F900.0\n" for x, y, z in rows]
    if name == "iso-6983":
        return [f"N{k % 9999 + 1} G01 X{x} Y{y} Z{z}\n" for k, (x, y, z) in enumerate(rows, 8)]
    return [f"G1 X{x} Y{y} Z{z}\n" for x, y, z in rows]


@pytest.mark.parametrize("name", POSTS)
def test_lines_a_second_against_a_bare_loop(name: str) -> None:
    """Print both rates and their ratio; the lines are the same, or nothing is compared."""
    post, where = load_post(name), points(MANY // 4)
    job = program(Rapid(z=5.0), Rapid(x=1.0, y=2.0), Feed(where, 900.0))
    began = time.process_time()
    bared = bare(where, name)
    barely = time.process_time() - began
    began = time.process_time()
    written = list(post.lines(job, "mm"))
    took = time.process_time() - began
    first = next(k for k, line in enumerate(written) if "G1 " in line or "G01 " in line)
    # The first line has F too, where it is not on every line.
    assert written[first + 1 : first + len(bared)] == bared[1:]
    print(
        f"\n{platform.machine()}, Python {platform.python_version()}, {name}: "
        f"{len(written) / took / 1000:.0f} k lines/s, bare loop {len(bared) / barely / 1000:.0f} k, "
        f"ratio {barely / took:.2f}"
    )


def test_a_million_lines_streamed() -> None:
    """Print the time a line of ten thousand and of a million lines, and the most memory while streaming."""
    post = load_post("rs274-ngc")
    for count in (10_000, MANY):
        job = program(Rapid(z=5.0), Feed(points(count), 900.0))
        began = time.process_time()
        size = sum(map(len, post.lines(job, "mm")))
        took = time.process_time() - began
        tracemalloc.start()
        for _ in post.lines(job, "mm"):
            pass
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(
            f"\n{count} lines: {took / count * 1e6:.2f} us a line, {size / 1e6:.1f} MB of text, "
            f"{peak / 1e6:.1f} MB at most while it is streamed"
        )
