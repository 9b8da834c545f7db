"""What moves with the spindle.

In: a cutter and a machine. Out: `Part`s, each with its height above the tip.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.machine import Machine
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = ["Part", "parts_of"]

NEAR = 1e-6  # mm; two heights nearer than this are one


@frozen(eq=False)
class Part:
    """One part of the moving assembly, mm.

    Round, of `radius`, or of an `outline` (n, 2) about the spindle axis that lies within `radius`;
    `bottom` and `top` are above the tip, or work-frame heights where it is `fixed` in height.
    """

    name: str
    kind: str
    radius: float
    bottom: float
    top: float
    cuts: bool = False
    outline: Floats | None = None
    fixed: bool = False
    soft: bool = False


def parts_of(tool: Tool, machine: Machine, origin_z: float) -> tuple[Part, ...]:
    """Return every moving part, the cutting part first; `origin_z` is the work zero above the bed."""
    parts = []
    last = len(tool.assembly) - 1
    for index, cylinder in enumerate(tool.assembly):
        if index == 0:
            name, kind = "cutter", "cutter"
        elif index == last:
            name, kind = "spindle nose", "nose"
        elif cylinder.bottom < tool.stickout - NEAR:
            name, kind = "shank", "shank"
        else:
            name, kind = "collet nut", "nut"
        parts.append(Part(name, kind, cylinder.radius, cylinder.bottom, cylinder.top, cuts=index == 0))
    for thing in machine.attached:
        outline = np.asarray(thing.outline, dtype=np.float64)
        fixed = thing.moves_with == "gantry"
        lift = -origin_z if fixed else tool.nose
        parts.append(
            Part(
                thing.name,
                "attached",
                float(np.hypot(outline[:, 0], outline[:, 1]).max()),
                thing.bottom + lift,
                thing.top + lift,
                outline=outline,
                fixed=fixed,
                soft=thing.soft,
            )
        )
    return tuple(parts)
