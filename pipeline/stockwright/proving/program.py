"""What a program's text does, once read. In: a reader fills these. Out: what the proof works from.

Promise: work frame, mm, mm/min; an axis that the text has not yet named is NaN, never zero.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Event", "Moves", "Reading", "Unread"]

EventKind = Literal["spindle", "tool", "select", "stop", "dwell", "dust", "path", "end"]


@frozen
class Unread:
    """A line the reader does not fully know, or the lack of an end: `line` counts from 1."""

    line: int
    message: str
    rule: str = "text-not-understood"


@frozen
class Event:
    """Something other than a move. `after` counts the moves made before it.

    spindle: `value` rpm, above 0 clockwise, below 0 anticlockwise, 0 off (a set speed of 0 with the
    spindle on gives 0 too, `note` then says "on"); tool and select: the number; dwell: seconds;
    dust: 1 or 0; path: 1 where corners may be rounded from here on, 0 where the path is kept; stop and end:
    `value` is the word's number.
    """

    line: int
    kind: EventKind
    value: float
    after: int
    note: str = ""


@frozen(eq=False)
class Moves:
    """Straight moves in order, n rows; an arc is given as chords.

    `line` (n,) int; `rapid` (n,) bool; `start`, `end` (n, 3) mm; `feed` (n,) mm/min, NaN for a rapid;
    `rpm` (n,) signed as in `Event`; `sagitta` (n,) mm, how far the true path may stand off the row.
    `probing` (n,) bool: the move stops where something is touched, anywhere from start to end; the axes that
    it moves are NaN at the start of the next move. None: no move is one.
    """

    line: NDArray[np.intp]
    rapid: NDArray[np.bool_]
    start: Floats
    end: Floats
    feed: Floats
    rpm: Floats
    sagitta: Floats
    probing: NDArray[np.bool_] | None = None

    @property
    def touches(self) -> NDArray[np.bool_]:
        """Which moves stop where something is touched, (n,)."""
        return np.zeros(len(self), dtype=np.bool_) if self.probing is None else self.probing

    def __len__(self) -> int:
        """Count the moves."""
        return len(self.line)


@frozen(eq=False)
class Reading:
    """A whole program. `stated` are the modes it set by itself before its first move.

    `unread` non-empty means the rest may be incomplete and must not be judged. `words` are its codes, "G17"
    or "M3": each with the line where it first stands and how many moves were made before; plain moves may be
    left out.
    """

    moves: Moves
    events: tuple[Event, ...]
    stated: frozenset[str]
    unread: tuple[Unread, ...]
    words: tuple[tuple[str, int, int], ...] = ()
