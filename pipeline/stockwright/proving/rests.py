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

    from stockwright.packet.model import Reason
    from stockwright.proving.lying import Lying
    from stockwright.proving.run import Run

__all__ = ["rests_in_wood"]


def rests_in_wood(run: Run, boards: Sequence[Lying]) -> list[Reason]:
    """The program waits with the spindle on, or starts or stops it, while the cutter is in wood.

    A cutter that turns in one place burns the wood and may set it alight; one that starts there is caught.
    Cure: retract first.
    """
    if run.program.purpose != "cut":
        return []
    for line, after, what in _rests(run):
        if after == 0 or run.moves.touches[after - 1]:
            continue
        at = run.moves.end[after - 1]
        if not np.isfinite(at).all():
            continue
        for lying in boards:
            radius = run.tool.diameter / 2
            if lying.beside(at, at, radius) or lying.below(at, at, radius, float(at[2])):
                continue
            cells = lying.wood.above(lying.lay, at, at, radius, float(at[2]), TOUCH)
            if len(cells):
                above = float(cells[:, 2].max()) - float(at[2])
                text = f"{what} while the cutter is in wood, which stood {above:.3f} mm above its tip"
                return [run.reason("rests-in-wood", line, text, at=at, measured=above, limit=0.0)]
    return []


def _rests(run: Run) -> Iterator[tuple[int, int, str]]:
    """Give the line, the moves before it and the words of everything a cutter does standing still."""
    turning = False
    for event in run.reading.events:
        if event.kind == "dwell" and turning and event.value > 0:
            yield event.line, event.after, f"the program waits {event.value:g} s"
        elif event.kind in {"spindle", "tool"}:
            on = event.kind == "spindle" and event.note != "off"
            if on != turning:
                yield event.line, event.after, f"the spindle {'starts' if on else 'stops'}"
            turning = on
