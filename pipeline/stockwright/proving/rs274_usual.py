"""The lines nearly every program is made of, many at once. In: a stretch of text. Out: rows, and their moves.

Written from NISTIR 6556. Promise: only a line whose whole meaning is one straight move is taken here; every
other line comes back as its text, for the strict reader, and so does a move that it would refuse.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.intp]

__all__ = ["Row", "State", "Straight", "as_text", "rows", "straight"]

# A number of so few digits that it is none that the strict reader calls too large, and that a line of four
# stays far within the longest line. What has been read is
# never read again (++, *+, ?+), so that a line which is not usual costs its length and no more.
NUMBER = r"[+-]?(?:[0-9]{1,7}+(?:\.[0-9]{0,20}+)?+|\.[0-9]{1,20}+)"
# Optional words in this order, one space at most after each, and at least one axis; or any other line, whole.
LINE = re.compile(
    rf"(?:N[0-9]{{1,5}}+ ?)?+(?:G0?([01])(?![0-9.]) ?)?+(?=[XYZ])"
    rf"(?:X({NUMBER}) ?)?+(?:Y({NUMBER}) ?)?+(?:Z({NUMBER}) ?)?+(?:F({NUMBER}) ?)?+\r?(?:\n|\Z)"
    r"|([^\n]*\n|[^\n]+)",
    re.ASCII,
)
Row = tuple[str, str, str, str, str, str]  # motion code, X, Y, Z, F; or, last, the text of another line


@frozen
class State:
    """What holds before a row: the motion code times ten, place and unit in mm, the feed as written."""

    motion: int | None
    here: tuple[float, float, float]
    unit: float
    feed: float


@frozen(eq=False)
class Straight:
    """Straight moves: `ends` (n, 3) mm, `feeds` (n,) mm/min, NaN for a rapid; the state after them."""

    ends: Floats
    feeds: Floats
    after: State


def rows(text: str, start: int, end: int) -> list[Row]:
    """Give a row for each line of text[start:end], which must begin and end where lines do."""
    found: list[Row] = LINE.findall(text, start, end)
    return found


def as_text(row: Row) -> str:
    """Give a row's line, or one that says the same."""
    return row[5] or "".join(letter + word for letter, word in zip("GXYZF", row, strict=False) if word)


def straight(block: Sequence[Row], before: State) -> Straight:
    """Make moves of rows that are all straight moves, up to the first that the strict reader must see."""
    codes, x, y, z, feeds, _ = zip(*block, strict=True)
    first = -1.0 if before.motion not in {0, 10} else before.motion / 10
    motion = _held(codes, first)
    feed = _held(feeds, before.feed)
    bad = (motion < 0) | (feed < 0) | ((motion > 0) & (feed <= 0))
    done = int(bad.argmax()) if bad.any() else len(block)
    ends = np.empty((done, 3))
    for axis, words in enumerate((x, y, z)):
        ends[:, axis] = _held(words, before.here[axis], before.unit)[:done]
    if done == 0:
        return Straight(ends, feed[:0], before)
    motion, feed = motion[:done], feed[:done]
    a, b, c = ends[-1].tolist()
    after = State(10 if motion[-1] else 0, (a, b, c), before.unit, float(feed[-1]))
    return Straight(ends, np.where(motion > 0, feed * before.unit, math.nan), after)


def _held(words: tuple[str, ...], before: float, unit: float = 1.0) -> Floats:
    """Give what holds on each row: its own word times `unit`, or else what held before it."""
    own: Ints = np.cumsum(np.fromiter(map(bool, words), dtype=np.bool_, count=len(words)), dtype=np.intp)
    values = np.array([before, *map(float, filter(None, words))], dtype=np.float64)
    values[1:] *= unit
    found: Floats = values[own]
    return found
