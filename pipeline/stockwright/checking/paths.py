"""Moves as the space they may take up. In: a program's moves, a machine. Out: `Paths`, ready for distances.

Promise: on a machine whose axes run independently a rapid may pass anywhere in the box between its two ends,
and the whole box is judged; an axis that no move has named yet may be anywhere within the travel.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.machine import Machine
    from stockwright.motion.moves import Moves

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]

__all__ = ["Paths", "paths_of"]


@frozen(eq=False)
class Paths:
    """Where the tip may be, (n, 3) each, work frame, mm, finite.

    A row runs straight from `a` to `b`, or anywhere in the box between them where `boxed`; all rows but those
    that are `rapid` are made at a feed.
    """

    a: Floats
    b: Floats
    boxed: Flags
    rapid: Flags

    def __len__(self) -> int:
        """Count the rows."""
        return len(self.boxed)

    @property
    def low(self) -> Floats:
        """The lowest height of the tip in each row, (n,)."""
        return np.minimum(self.a[:, 2], self.b[:, 2])


def paths_of(moves: Moves, machine: Machine, origin: tuple[float, float, float]) -> Paths:
    """Return the paths of a program; rows of which nothing is known in plan are left out.

    The first lift of a program goes straight up from wherever the person left the machine: nothing can be
    said of it but that it rises.
    """
    a, b = moves.start.copy(), moves.end.copy()
    nowhere = ~np.isfinite(b[:, :2]).all(axis=1)
    keep = ~nowhere
    a, b, rapid = a[keep], b[keep], moves.rapid[keep]
    unknown = ~np.isfinite(a[:, :2]).all(axis=1)
    travel = (machine.x, machine.y)
    for axis, span in enumerate(travel):
        a[unknown, axis] = span[0] - origin[axis]
        b[unknown, axis] = span[1] - origin[axis]
    deepest = -machine.spoilboard - origin[2]
    b[:, 2] = np.where(np.isfinite(b[:, 2]), b[:, 2], deepest)
    a[:, 2] = np.where(np.isfinite(a[:, 2]), a[:, 2], b[:, 2])
    axes = (np.abs(b - a) > 0).sum(axis=1)
    free = machine.rapids == "independent"
    boxed: Flags = np.asarray(unknown | (rapid & (axes > 1)) if free else unknown, dtype=np.bool_)
    low, high = np.minimum(a, b), np.maximum(a, b)
    a[boxed], b[boxed] = low[boxed], high[boxed]
    return Paths(a, b, boxed, rapid)
