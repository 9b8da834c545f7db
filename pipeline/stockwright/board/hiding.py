"""What readings cannot see. In: stations and heights. Out: by how much the wood may differ elsewhere, mm.

Public:
    READING, EYE                                     half widths of one reading where none is given
    ONE_THICKNESS                                    by how much a board's thickness may differ elsewhere
    hidden(x (n,), y (m,), heights (n, m), bounds) -> (mm, notes)
    together(random, systematic) -> mm               how reading errors and hidden shape add
Promise: estimated from the board's own curvature; where two stations cannot show any, a cautious value, said.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.units import INCH

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["EYE", "ONE_THICKNESS", "READING", "UNSEEN", "hidden", "together"]

# Half width of one height on rough-sawn wood: an error budget by the method of NIST TN 1297 (resolution,
# repeatability, table, rocking, surface) with k = 2 gives 0.33 mm.
READING = 0.33
# Half width of what a straightedge and a rule show by eye: 1/64 in, twice over for a rough face and for
# looking aslant. Common practice, no source.
EYE = 0.8
# How far the thickness of a sawn board strays from its one reading, 1/32 in: common practice, no source.
ONE_THICKNESS = INCH / 32.0
UNSEEN = 0.005  # share of the pitch that two stations alone may hide; common practice, no source


def hidden(
    x: Floats, y: Floats, heights: Floats, bounds: tuple[float, float, float, float]
) -> tuple[float, list[str]]:
    """Return what straight lines between the stations may miss, mm, and the sentences about guesses.

    Between stations a pitch h apart a curvature k hides k h^2 / 8 (sagitta of a parabola; textbook
    geometry), k from second differences. Beyond the last station the surface is read as constant, so the
    last slope times the distance to the rim is missed. `bounds` are the outline's.
    """
    x_low, y_low, x_high, y_high = bounds
    notes = []
    between, beyond = 0.0, 0.0
    for name, at, lines, low, high in (
        ("along", x, heights, x_low, x_high),
        ("across", y, heights.T, y_low, y_high),
    ):
        if len(at) < 2:
            continue
        pitch = np.diff(at)
        slope = np.diff(lines, axis=0) / pitch[:, None]
        if len(at) == 2:
            unseen = UNSEEN * float(pitch[0])
            between += unseen
            notes.append(
                f"Two stations {name} show no curve between them: {unseen:.2f} mm are allowed for it; "
                f"a third would show it."
            )
        else:
            curve = np.abs(np.diff(slope, axis=0)) / ((pitch[1:] + pitch[:-1]) / 2.0)[:, None]
            # A pitch lies between two curvatures, the first and last beside one.
            worst = np.maximum(np.vstack([curve[:1], curve]), np.vstack([curve, curve[-1:]]))
            between += float((worst * pitch[:, None] ** 2 / 8.0).max())
        beyond += max(
            float(np.abs(slope[0]).max()) * max(float(at[0]) - low, 0.0),
            float(np.abs(slope[-1]).max()) * max(high - float(at[-1]), 0.0),
        )
    return max(between, beyond), notes


def together(random: float, systematic: float) -> float:
    """Return the half width of both: readings err independently of the shape (NIST TN 1297)."""
    return float(np.hypot(random, systematic))
