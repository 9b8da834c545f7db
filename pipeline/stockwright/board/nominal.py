"""A board of which next to nothing is known. In: nominal sizes, mm. Out: a cautious `Board`, what it costs.

Public:
    Assumed(bow, cup, twist)     mm, of a rough board that nobody looked at
    assumed(length, width) -> Assumed
    board_from_nominal(name, length, width, thickness) -> Board
    measured_within(length, width) -> mm      half width that 5 x 3 readings and callipers would come to
    saving(within, measured, faces) -> str    what measuring would save, in mm and in levels
Promise: the figures are said in the notes with where they come from, and the doubt is in the uncertainty.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.hiding import READING, together
from stockwright.board.surface import Board
from stockwright.frozen import frozen
from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["Assumed", "assumed", "board_from_nominal", "measured_within", "saving"]

# Kiln-dried rough stock may be 1/16 in under its nominal thickness, and much is sawn up to 1/8 in over: the
# hardwood lumber rules as read in a secondary text.
UNDER, OVER = INCH / 16.0, INCH / 8.0
# What a board that somebody would still plane may be warped by: common practice, no source.
BOW = 1.0  # mm for a metre of length; grows with its square
CUP = 0.01  # of the width
TWIST = 4.0  # mm at the corner, for a metre of length and 200 mm of width; grows with both


@frozen
class Assumed:
    """Warp that nobody read, mm: each as a person would read it."""

    bow: float
    cup: float
    twist: float

    @property
    def half(self) -> float:
        """Half the space that a face so warped needs: it may stand so far above its middle, or below it."""
        return self.bow / 2.0 + self.cup / 2.0 + self.twist / 4.0


def assumed(length: float, width: float) -> Assumed:
    """Return the warp to reckon with in a rough board of that size."""
    metres = length / 1000.0
    return Assumed(BOW * metres**2, CUP * width, TWIST * metres * width / 200.0)


def board_from_nominal(name: str, length: float, width: float, thickness: float) -> Board:
    """Return a flat board of those sizes, uncertain by all that a rough one may be."""
    warp = assumed(length, width)
    within = OVER + warp.half
    outline = np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])
    flat = np.zeros((2, 2))
    gives = 2.0 * (within - measured_within(length, width))
    note = (
        f"Nothing was measured. A rough board may be {UNDER:.1f} mm thinner or {OVER:.1f} mm thicker than "
        f"its nominal {thickness:g} mm (lumber rules, read second-hand), bowed by {warp.bow:.1f} mm, cupped "
        f"by {warp.cup:.1f} mm and twisted by {warp.twist:.1f} mm (common practice, no source): heights are "
        f"taken as right within {within:.1f} mm. Measuring would make {gives:.1f} mm more of the thickness "
        "sure. Length and width are taken as said: see that the board has them."
    )
    return Board(
        name,
        outline,
        np.array([0.0, length]),
        np.array([0.0, width]),
        flat + thickness,
        flat,
        within,
        notes=(note,),
    )


def measured_within(length: float, width: float) -> float:
    """Return the half width that 5 x 3 heights and callipers leave on a board so warped, mm.

    A lower height is two readings; stations a quarter of the length and half the width apart hide a sixteenth
    of the bow and a quarter of the cup (sagitta of a parabola; textbook geometry).
    """
    warp = assumed(length, width)
    return together(math.sqrt(2.0) * READING, warp.bow / 16.0 + warp.cup / 4.0)


def saving(within: float, measured: float, faces: Iterable[tuple[float, float]]) -> str:
    """Return what measuring within `measured` mm rather than `within` would save, as words.

    `faces` are the first cuts of each face, from the highest wood that may stand down to the plane, and how
    deep a level is, mm: less doubt begins lower. A face must lose as much as its heights may be wrong.
    """
    levels = sum(
        math.ceil(max(deep, 0.0) / step) - math.ceil(max(deep - within + measured, 0.0) / step)
        for deep, step in faces
    )
    saved = f"{2.0 * (within - measured):.1f} mm of thickness that are now given away to doubt"
    if levels == 0:
        return saved
    return f"{saved}, and {levels} {'level' if levels == 1 else 'levels'}"
