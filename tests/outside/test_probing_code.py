"""Probing moves against RS274/NGC as published.

Source: T. R. Kramer, F. M. Proctor, E. Messina, *The NIST RS274NGC Interpreter - Version 3*, NISTIR 6556,
17 August 2000, section 3.5.9: a straight line at the feed rate until the probe trips; an error from nearer
than 0.254 mm or 0.01 inch, in inverse time, or with no axis word. The row `G38.2 Z0.1 F50` was confirmed by
running the public release of that interpreter; the other errors of the section are from memory of it. Rows
marked STRICT are no error there and are refused here: where the probe tripped is not known, so nothing may be
counted from it.
"""

from __future__ import annotations

import numpy as np
import pytest

from stockwright.proving.rs274 import read

START = "G21\nG90\nG94\nG0 X0 Y0 Z0\nG80\n"


@pytest.mark.parametrize(
    ("program", "why"),
    [
        ("G38.2 Z0.1 F50", "0.254 at least"),
        ("G38.2 Z-0.253 F50", "0.254 at least"),
        ("F50\nG20\nG38.2 Z-0.0099", "0.254 at least"),
        ("G91\nG38.2 Z-0.2 F50", "0.254 at least"),
        ("G38.2 F50", "names no axis"),
        ("G38.2 Z-5", "no feed"),
        ("G38.2 Z-5 F0", "no feed"),
        ("G93\nG38.2 Z-5", "inverse time"),
        ("G93\nG38.2 Z-5 F2", "inverse time"),
        ("G38.2 G1 Z-5 F50", "a second word of the motion group"),
        ("G38.2 Z-5 F50 R3", "R without an arc"),
        ("G38.2 A5 F50", "not used"),  # STRICT: the report only says that no rotational axis may move
        ("G38.2 Z-5 F50\nG91\nG0 Z5", "a place that is not known"),  # STRICT
        ("G38.2 Z-5 F50\nZ-9", "a place that is not known"),  # STRICT: the mode holds, so Z-9 probes again
        ("G17\nG38.2 Z-5 F50\nG2 X1 Z0 I1 F50", "a place that is not known"),  # STRICT
        ("G38.3 Z-5 F50", "not a code of the language"),
    ],
)
def test_what_3_5_9_calls_an_error_is_one(program: str, why: str) -> None:
    """Too near, no feed, no axis, inverse time: refused on their line."""
    [unread] = read(f"{START}{program}\nM2\n").unread
    assert why in unread.message
    assert unread.line == START.count("\n") + 1 + program.count("\n")


@pytest.mark.parametrize(
    ("program", "end", "feed"),
    [
        ("G38.2 Z-5 F50", (0, 0, -5), 50),
        ("G38.2 Z-0.254 F50", (0, 0, -0.254), 50),
        ("F50\nG38.2 Z-5", (0, 0, -5), 50),
        ("G38.2 X3 Z-4 F50", (3, 0, -4), 50),
        ("G20\nF2\nG38.2 Z-0.01", (0, 0, -0.254), 50.8),
        ("G91\nG38.2 Z-5 F50", (0, 0, -5), 50),
    ],
)
def test_a_probing_move_goes_at_its_feed_at_most_to_the_programmed_point(
    program: str, end: tuple[float, float, float], feed: float
) -> None:
    """Where it ends at the latest, how fast, and that it is one that stops at a touch."""
    reading = read(f"{START}{program}\nM2\n")
    assert reading.unread == ()
    moves = reading.moves
    assert moves.touches.tolist() == [False, True]
    assert moves.end[1] == pytest.approx(end)
    assert moves.feed[1] == pytest.approx(feed)
    assert not moves.rapid[1]


def test_what_a_probing_move_moves_is_unknown_until_it_is_named_again() -> None:
    """After it z is not known, x and y still are; the next absolute Z makes it known."""
    moves = read(f"{START}G38.2 Z-5 F50\nG0 X2\nG0 Z7\nG0 Y3\nM2\n").moves
    assert np.isnan(moves.start[2:4, 2]).all()
    assert np.isnan(moves.end[2, 2])
    assert moves.end[3].tolist() == [2, 0, 7]
    assert moves.start[4].tolist() == [2, 0, 7]
