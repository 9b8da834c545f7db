"""A program's moves as the steps that a page draws. In: a `Reading`, seconds of each move. Out: `Steps`.

Promise: a drawn step runs straight between two places that the program itself names, and no move that it
stands for is farther from it than `off`; it knows how many moves it stands for, and which lines. Fast,
cutting and touching moves, waits, and different spindle speeds are never drawn as one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from stockwright.proving.program import Reading

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Mask = NDArray[np.bool_]

__all__ = [
    "CUTTING",
    "FAST",
    "HEIGHT_WEIGHT",
    "MOST_OFF",
    "MOST_STEPS",
    "STILL",
    "TOUCHING",
    "Rows",
    "Steps",
    "rows",
    "steps_of",
]

CUTTING, FAST, TOUCHING, STILL = 0, 1, 2, 3
MOST_STEPS = 32_000  # in one page: some 25 bytes each at the worst, so that a page stays below 2 MB
LEAST_OFF = 0.01  # mm: what a post's rounding makes of a straight line
MOST_OFF = 2.5  # mm: beyond it a picture would say little; such a program is left out, and the page says so
# A height is what a picture of a face is about: it may be off by a fifth of what a place may.
HEIGHT_WEIGHT = 5.0
ADDED_UP = 4
PASSES = 64  # of thinning: a million moves in a straight line need twenty


@frozen(eq=False)
class Rows:
    """All that a program does, one after another, work frame, mm, s: n rows.

    `path` (n + 1, 3): where each row begins and ends; `kind` (n,); `seconds` (n,); `line` (n,) from 1;
    `rpm` (n,) as in `proving.program.Event`; `moves` (n,) how many moves of the program it is: 0 for a wait.
    """

    path: Floats
    kind: Ints
    seconds: Floats
    line: Ints
    rpm: Floats
    moves: Ints


@frozen(eq=False)
class Steps:
    """What is drawn, n steps: as `Rows`, `line` the last one of each.

    `off`: how far, mm, what a step stands for may lie beside it, a fifth of it in height.
    """

    path: Floats
    kind: Ints
    seconds: Floats
    line: Ints
    rpm: Floats
    moves: Ints
    off: float

    def __len__(self) -> int:
        """Count the steps."""
        return len(self.kind)


def rows(reading: Reading, seconds: Floats) -> Rows:
    """Lay out moves, waits and leaps in one row each; `seconds` (n,) of each move.

    An axis not yet named takes the first place that is named: where the machine stands before is not known,
    and what it does until all three are named is one `STILL` row there. After a touch the machine is taken to
    stand where the touch would have ended.
    """
    moves = reading.moves
    n = len(moves)
    known = np.isfinite(moves.end).all(axis=1)
    if not known.any():
        none = np.empty(0, dtype=np.int64)
        return Rows(np.zeros((1, 3)), none, np.empty(0), none, np.empty(0), none)
    begin = int(known.argmax())
    end = _filled(moves.end, moves.end[begin])
    start = np.where(np.isfinite(moves.start), moves.start, np.vstack([end[:1], end[:-1]]))
    kind = np.where(moves.touches, TOUCHING, np.where(moves.rapid, FAST, CUTTING)).astype(np.int64)
    if not np.isfinite(moves.start[begin]).all():
        kind[: begin + 1] = STILL
        start[: begin + 1] = end[: begin + 1] = end[begin]
    # What stands between moves: waits, and places that the next move starts from without having gone there.
    waits = [(e.after, float(e.value), e.line) for e in reading.events if e.kind == "dwell" and e.value > 0]
    leaps = np.flatnonzero(np.abs(start[1:] - end[:-1]).max(axis=1, initial=0.0) > LEAST_OFF) + 1
    before = np.array([w[0] for w in waits] + leaps.tolist(), dtype=np.int64)
    order = np.argsort(before, kind="stable")
    at = before[order]
    spent = np.array([w[1] for w in waits] + [0.0] * len(leaps))[order]
    said = np.array([w[2] for w in waits] + moves.line[leaps].tolist(), dtype=np.int64)[order]
    is_leap = np.array([False] * len(waits) + [True] * len(leaps))[order]
    stood = np.where(is_leap[:, None], start[np.minimum(at, n - 1)], np.vstack([start[:1], end])[at])
    path = np.vstack([start[:1], np.insert(end, at, stood, axis=0)])
    rpm = np.nan_to_num(moves.rpm)
    return Rows(
        path=path,
        kind=np.insert(kind, at, STILL),
        seconds=np.insert(seconds, at, spent),
        line=np.insert(moves.line.astype(np.int64), at, said),
        rpm=np.insert(rpm, at, rpm[np.minimum(at, n - 1)]),
        moves=np.insert(np.ones(n, dtype=np.int64), at, 0),
    )


def steps_of(programs: Mapping[str, Rows], most: int = MOST_STEPS) -> dict[str, Steps | None]:
    """Give the steps of every program, `most` in all; None for one that cannot be drawn within `MOST_OFF`.

    What runs straight on is always drawn as one. Where that is not enough, the programs with the most steps
    are drawn more coarsely, each by no more than is needed.
    """
    kept = {file: _thinned(each, None, LEAST_OFF) for file, each in programs.items()}
    allowed = dict.fromkeys(programs, LEAST_OFF)
    found: dict[str, Steps | None] = {}
    while True:
        counts = {file: len(index) - 1 for file, (index, _) in kept.items()}
        if sum(counts.values()) <= most:
            break
        longest = max(counts, key=lambda file: counts[file])
        allowed[longest] *= 2.0 if counts[longest] > 4 * most else 1.25
        # What is allowed adds up, the distances themselves seldom do: they are measured at the end.
        if allowed[longest] > ADDED_UP * MOST_OFF:
            found[longest] = None
            del kept[longest]
            continue
        kept[longest] = _thinned(programs[longest], kept[longest], allowed[longest])
    for file, (index, _) in kept.items():
        off = _farthest(programs[file].path, index)
        found[file] = _joined(programs[file], index, off) if off <= MOST_OFF else None
    return {file: found[file] for file in programs}


def _filled(end: Floats, first: Floats) -> Floats:
    """Fill unnamed axes with the last place named, and before any with `first`."""
    if np.isfinite(end).all():
        return end.copy()
    out = np.vstack([first, end])
    for axis in range(3):
        index = np.where(np.isfinite(out[:, axis]), np.arange(len(out)), 0)
        out[:, axis] = out[np.maximum.accumulate(index), axis]
    return out[1:]


def _thinned(program: Rows, before: tuple[Ints, Floats] | None, allowed: float) -> tuple[Ints, Floats]:
    """Leave out places that lie on the way: give the index of those kept, and each step's `off`.

    A place goes only if the two steps beside it stay: every second at most in one pass. If all that one step
    stands for lies within e of it, and its end within d of the new, longer step, then all of it lies within
    e + d of that, because what lies within d of a straight step is convex.
    """
    path = program.path * (1.0, 1.0, HEIGHT_WEIGHT)
    n = len(program.kind)
    fixed = np.ones(n + 1, dtype=np.bool_)
    alike = (program.kind[1:] == program.kind[:-1]) & (program.rpm[1:] == program.rpm[:-1])
    fixed[1:-1] = ~(alike & (program.kind[1:] <= FAST))
    index, off = before if before is not None else (np.arange(n + 1), np.zeros(n))
    idle = 0
    for turn in range(PASSES):
        at = np.arange(1 + turn % 2, len(index) - 1, 2)
        at = at[~fixed[index[at]]]
        more = np.maximum(off[at - 1], off[at])
        more += _beside(path[index[at]], path[index[at - 1]], path[index[at + 1]])
        gone = more <= allowed
        at, more = at[gone], more[gone]
        idle = 0 if len(at) else idle + 1
        if idle == 2:
            break
        off[at - 1] = more
        index, off = np.delete(index, at), np.delete(off, at)
    return index, off


def _farthest(path: Floats, index: Ints) -> float:
    """Give how far, as `Steps.off`, the places left out lie from the steps that stand for them."""
    step = np.repeat(np.arange(len(index) - 1), np.diff(index))  # of each row's end
    weighted = path * (1.0, 1.0, HEIGHT_WEIGHT)
    off = _beside(weighted[1:], weighted[index[step]], weighted[index[step + 1]])
    return float(off.max(initial=0.0))


def _beside(points: Floats, a: Floats, b: Floats) -> Floats:
    """Distance of each point (n, 3) from its segment a-b, (n,)."""
    along = b - a
    off = points - a
    square = np.maximum(np.einsum("ij,ij->i", along, along), 1e-30)
    part = np.clip(np.einsum("ij,ij->i", off, along) / square, 0.0, 1.0)
    off -= part[:, None] * along
    found: Floats = np.sqrt(np.einsum("ij,ij->i", off, off))
    return found


def _joined(program: Rows, index: Ints, off: float) -> Steps:
    """Add up what each step stands for."""
    first, last = index[:-1], index[1:] - 1
    if len(first) == 0:
        return Steps(
            program.path[:1], program.kind, program.seconds, program.line, program.rpm, program.moves, 0.0
        )
    return Steps(
        path=program.path[index],
        kind=program.kind[first],
        seconds=np.add.reduceat(program.seconds, first),
        line=program.line[last],
        rpm=program.rpm[first],
        moves=np.add.reduceat(program.moves, first),
        off=off,
    )
