"""One height for the first faces of boards side by side. In: a job, its boards. Out: what each board loses.

Each rough board lies on its own shims; one pass cuts them all, so that their first faces lie at one height
over the bed. Promise: every board comes clean and keeps its thickness, or the row is refused with the board
that is too thick and the one that is too thin for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding
from stockwright.job import FaceStep
from stockwright.planning.piece import seated

if TYPE_CHECKING:
    from stockwright.job import Job

__all__ = ["common_takes", "first_face_of"]


def first_face_of(job: Job) -> FaceStep | None:
    """Return the step that cuts a board's first face."""
    return next((step for step in job.steps if isinstance(step, FaceStep)), None)


def common_takes(job: Job) -> dict[str, float | Finding]:
    """Return by board how much comes off its highest place, mm, so that a row's first faces lie level.

    Empty where each board's first face is cut alone; boards that are too thin anyhow are left out.
    """
    first_face = first_face_of(job)
    if first_face is None or first_face.together == 1 or "faces" in job.already:
        return {}
    takes: dict[str, float | Finding] = {}
    for i in range(0, len(job.boards), first_face.together):
        if len(row := job.boards[i : i + first_face.together]) > 1:
            takes |= _of_row(job, [board.name for board in row])
    return takes


def _of_row(job: Job, names: list[str]) -> dict[str, float | Finding]:
    tops, lows, highs, wishes = {}, {}, {}, {}
    for board in (b for b in job.boards if b.name in names):
        own = job.of(board.name)
        first_face = first_face_of(own)
        assert first_face is not None
        seating, surplus = seated(own, board, first_face)
        if surplus < 0:
            continue  # refused by itself, with what it can give
        root = float(np.sqrt(1 + seating.a**2 + seating.b**2))
        top = (seating.top - seating.rest) / root
        least = min(board.uncertainty, surplus / 2)
        wish = {"half-of-surplus": surplus / 2, "least": least}.get(str(first_face.take))
        tops[board.name] = top
        lows[board.name], highs[board.name] = top - (surplus - least), top - least
        wishes[board.name] = top - (wish if wish is not None else float(first_face.take))
    if not tops:
        return {}
    thick, thin = max(lows, key=lambda n: lows[n]), min(highs, key=lambda n: highs[n])
    low, high = lows[thick], highs[thin]
    if low > high:
        return {thick: _apart(thick, thin, low, high)}
    level = float(np.clip(np.mean(list(wishes.values())), low, high))
    return {name: top - level for name, top in tops.items()}


def _apart(thick: str, thin: str, low: float, high: float) -> Finding:
    return Finding(
        rule="no-common-face",
        level="refuse",
        message=f"side by side, the first faces lie at one height: {thick} keeps its thickness at {low:.2f} "
        f"mm over the bed or higher, {thin} is cleaned at {high:.2f} mm or lower",
        remedy=f"leave {thick} or {thin} out of this row, or cut the first face of each board alone",
        measured=round(high, 3),
        limit=round(low, 3),
    )
