"""How long each move of a program takes. In: a `Reading`, the machine, the whole time. Out: seconds.

Promise: the time model is that of `motion.timing`, applied to what the text says; the total is the sheet's
own figure, so that sheet and page never name two times. Within a move the speed is taken as even: it is a
picture.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.motion.timing import corner_speed, run_times

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.packet.model import Machine
    from stockwright.proving.program import Reading

    Floats = NDArray[np.float64]

__all__ = ["CORNER", "move_seconds"]

# mm a control cuts inside a corner: as `motion.timing.seconds` takes it, common practice, no source
CORNER = 0.01


def move_seconds(reading: Reading, machine: Machine, whole: float) -> Floats:
    """Give seconds (n,) of each move, mm and mm/min as read.

    `whole`: the program's seconds, waits included. Time that neither moves nor waits account for, such as a
    spindle's start, is spread over the moves in proportion to their length in time.
    """
    moves = reading.moves
    found = np.zeros(len(moves))
    step = np.nan_to_num(moves.end - moves.start, nan=0.0)
    length = np.linalg.norm(step, axis=1)
    moving = length > 0
    if not moving.any():
        return found
    unit = step[moving] / length[moving, None]
    push = np.full(len(unit), machine.acceleration)
    cap = np.where(moves.rapid[moving], machine.rapid, np.fmin(moves.feed[moving], machine.rapid))
    junction = corner_speed(unit[:-1], unit[1:], push[1:], CORNER)
    halts = np.zeros(len(moves) + 1, dtype=np.bool_)
    halts[[min(event.after, len(moves)) for event in reading.events]] = True
    stretch = np.cumsum(halts[:-1])[moving]
    junction[stretch[:-1] != stretch[1:]] = 0.0
    found[moving] = run_times(length[moving], np.maximum(cap, 1e-3) / 60, push, junction)
    waits = sum(event.value for event in reading.events if event.kind == "dwell")
    total = float(found.sum())
    if whole > waits and total > 0:
        found *= (whole - waits) / total
    return found
