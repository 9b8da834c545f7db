"""What to do with a board that is longer than the machine. In: setups. Out: text to follow a remedy.

Promise: it is told to slide only where it does not yet, and where planning can cut it in positions.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.planning.setup import FaceCut

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.machine import Machine
    from stockwright.planning.setup import Setup

__all__ = ["shorter"]


def shorter(setup: Setup, axis: int, among: Sequence[Setup], machine: Machine, *, slides: bool) -> str:
    """Say what to do with a board longer than the machine: saw it, or let it slide.

    Not where it `slides` already, nor where it could not in one of the setups `among` which it is too long.
    """
    if axis != 0 or not setup.lies:
        return ""
    travel = machine.x[1] - machine.x[0]
    long = [each for each in among if each.lies and np.ptp(each.wood_outline[:, 0]) > travel]
    slid = not slides and all(_may_slide(each) for each in (setup, *long))
    return ": saw the board shorter first and measure it anew" + (
        ", or say `slide: yes` in the recipe" if slid else ""
    )


def _may_slide(setup: Setup) -> bool:
    """Say whether a clamping can be cut in positions: as planning has it, told by what stands and is cut."""
    kinds = {solid.kind for solid in setup.solids}
    faced = any(isinstance(cut, FaceCut) for cut in setup.cuts)
    both = {"edge-1", "edge-2"} <= {cut.name for cut in setup.cuts}
    on_face = faced and "top-clamp" in kinds
    return len(setup.lies) < 2 and not (both or on_face or kinds & {"screw", "riser"})
