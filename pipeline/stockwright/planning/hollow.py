"""A hollow along an edge. In: the line of a wall, the hollow (mm). Out: the wall as chords, a note.

Work frame, mm. Promise: the wall lies on the line at both ends of the finished piece and `hollow` inside it
in the middle, within `CHORD` of the arc between them. Clamped in the middle, two such edges press hardest at
their ends, where a glued joint opens as the ends dry.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Literal

    from numpy.typing import NDArray

    from stockwright.job import EdgeStep

    Floats = NDArray[np.float64]

__all__ = ["hollow_notes", "hollow_wall"]

CHORD = 0.002  # mm: a fifth of what the proof lets a wall stand off


def hollow_wall(span: Floats, inside: Literal["left", "right"], hollow: float) -> Floats:
    """Return the wall (n, 2) over a span (2, 2) of a line, hollowed towards the wood that stays.

    An arc so shallow is a parabola: on a metre with 0.5 mm they differ by less than a millionth of a mm.
    """
    chords = max(2, int(np.ceil(np.sqrt(hollow / CHORD))))
    chords += chords % 2  # so that a corner stands in the middle, where it is deepest
    u = np.linspace(-1.0, 1.0, chords + 1)
    way = span[1] - span[0]
    left = np.array([-way[1], way[0]]) / float(np.hypot(*way))
    inwards = left if inside == "left" else -left
    middle = (span[0] + span[1]) / 2
    return np.asarray(middle + np.outer(u, way / 2) + np.outer(hollow * (1.0 - u**2), inwards))


def hollow_notes(steps: Sequence[EdgeStep], units: Literal["mm", "inch"]) -> tuple[str, ...]:
    """Return what the sheet says of each edge that is hollow on purpose."""
    return tuple(
        f"{step.side} is hollow by {format_length(step.hollow, units)} in its "
        "middle on purpose: a straightedge touches both ends of it and shows daylight between. Clamp the "
        "middle first in the glue-up."
        for step in steps
        if step.hollow
    )
