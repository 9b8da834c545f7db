"""What a cutter does where it stands still. In: a `Run`, the boards. Out: reasons.

Promise: asked of the wood as it stood before the program, so that a kerf just cut counts as wood: its walls
still touch the cutter.
"""

# ruff: noqa: D401 - the docstring of a rule says what is bad and its cure: it is the page of the rule

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.proving.trail import TOUCH

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from stockwright.packet.model import Reason
    from stockwright.proving.lying import Lying
    from stockwright.proving.run import Run

    Floats = NDArray[np.float64]

__all__ = ["rests_in_wood"]

# mm/min: slower is as good as standing; no chip is a hundredth as thin. Common practice, no source
CRAWL = 10.0


def rests_in_wood(run: Run, boards: Sequence[Lying]) -> list[Reason]:
    """The program waits with the spindle on, or starts or stops it, or crawls, while the cutter is in wood.

    A cutter that turns in one place burns the wood and may set it alight; one that starts there is caught.
    Cure: retract first, or feed as the cutter can cut.
    """
    if run.program.purpose != "cut":
        return []
    for line, a, b, what in (*_rests(run), *_crawls(run)):
        found = _in_wood(run, boards, line, a, b, what)
        if found is not None:
            return [found]
    return []


def _in_wood(run: Run, boards: Sequence[Lying], line: int, a: Floats, b: Floats, what: str) -> Reason | None:
    """Give the reason if the cutter meets wood from a to b (3,)."""
    tip, radius = float(min(a[2], b[2])), run.tool.diameter / 2
    for lying in boards:
        if lying.beside(a, b, radius) or lying.below(a, b, radius, tip):
            continue
        cells = lying.wood.above(lying.lay, a, b, radius, tip, TOUCH)
        if len(cells):
            above = float(cells[:, 2].max()) - tip
            text = f"{what} while the cutter is in wood, which stood {above:.3f} mm above its tip"
            return run.reason("rests-in-wood", line, text, at=b, measured=above, limit=0.0)
    return None


def _crawls(run: Run) -> Iterator[tuple[int, Floats, Floats, str]]:
    """Give the line, the ends and the words of every move that is as good as standing still."""
    moves = run.moves
    slow = ~moves.rapid & (moves.rpm > 0) & (moves.feed < CRAWL) & ~moves.touches
    up = (moves.start[:, :2] == moves.end[:, :2]).all(axis=1) & (moves.end[:, 2] >= moves.start[:, 2])
    slow &= ~up & np.isfinite(moves.start + moves.end).all(axis=1)
    for k in np.flatnonzero(slow).tolist():
        what = f"the cutter crawls at {moves.feed[k]:g} mm/min"
        yield int(moves.line[k]), moves.start[k], moves.end[k], what


def _rests(run: Run) -> Iterator[tuple[int, Floats, Floats, str]]:
    """Give the line, the place twice and the words of everything a cutter does standing still."""
    for line, after, what in _stands(run):
        if after and not run.moves.touches[after - 1]:
            at = run.moves.end[after - 1]
            if np.isfinite(at).all():
                yield line, at, at, what


def _stands(run: Run) -> Iterator[tuple[int, int, str]]:
    """Give the line, the moves before it and the words of everything that is done between two moves."""
    turning = False
    for event in run.reading.events:
        if event.kind == "dwell" and turning and event.value > 0:
            yield event.line, event.after, f"the program waits {event.value:g} s"
        elif event.kind in {"spindle", "tool"}:
            on = event.kind == "spindle" and event.note != "off"
            if on != turning:
                yield event.line, event.after, f"the spindle {'starts' if on else 'stops'}"
            turning = on
