"""A long program costs no more a line than a short one, is never held whole, and is written fast."""

from __future__ import annotations

import time
import tracemalloc
from itertools import islice

import numpy as np

from programs import program
from stockwright.motion import Feed, Rapid
from stockwright.posting import load_post


def points(count: int) -> np.ndarray:
    """Give random places on the grid of 0.001 mm, (count, 3), mm."""
    return np.random.default_rng(7).integers(-900_000, 900_000, (count, 3)) / 1000


def test_a_stream_holds_a_few_thousand_lines_at_most() -> None:
    """Twenty thousand lines hold no more than three megabytes, nor do forty thousand."""
    peaks = []
    for count in (20_000, 40_000):
        job = program(Rapid(z=5.0), Feed(points(count), 900.0))
        post = load_post("rs274-ngc")
        next(post.lines(job, "mm"))
        tracemalloc.start()
        for _ in post.lines(job, "mm"):
            pass
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert max(peaks) < 3e6
    assert peaks[1] < 1.1 * peaks[0]


def test_the_first_lines_do_not_wait_for_the_last() -> None:
    """Twenty lines of a program of a million points come out while almost nothing of it is made."""
    job = program(Rapid(z=5.0), Feed(np.tile(points(2), (500_000, 1)), 900.0))
    tracemalloc.start()
    assert len(list(islice(load_post("spelled-out").lines(job, "mm"), 20))) == 20
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 3e6


def test_lines_are_written_at_least_two_fifths_as_fast_as_by_a_bare_loop() -> None:
    """The same lines from one f-string each, best of three; `make bench` prints the ratio, about one."""
    where, post = points(20_000), load_post("rs274-ngc")
    job = program(Rapid(z=5.0), Feed(where, 900.0))
    took, bare = [], []
    for _ in range(3):
        began = time.process_time()
        lines = [f"G1 X{x} Y{y} Z{z}\n" for x, y, z in where.tolist()]
        bare.append(time.process_time() - began)
        began = time.process_time()
        written = list(post.lines(job, "mm"))
        took.append(time.process_time() - began)
    assert written[-20_001:-2] == lines[1:]
    assert min(took) < min(bare) / 0.4
