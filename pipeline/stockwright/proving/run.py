"""One program about to be judged, with everything it relies on. In: parts of a packet. Out: `Run`.

Promise: it holds physical facts of the packet and the program's own text; nothing that a planner believed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen
from stockwright.packet.model import Reason

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from stockwright.packet.model import Control, Machine, Program, Setup, Solid, Tool
    from stockwright.proving.program import Moves, Reading

    Floats = NDArray[np.float64]

__all__ = ["HAIR", "Run"]

HAIR = 0.002  # mm: two of the thousandths that programs are written in; below it nothing is a difference


@frozen(eq=False)
class Run:
    """A program in its setup. `wood_top`: highest work z at which wood may stand when it begins."""

    setup: Setup
    program: Program
    tool: Tool
    machine: Machine
    reading: Reading
    wood_top: float

    @property
    def moves(self) -> Moves:
        """The moves, work frame."""
        return self.reading.moves

    @property
    def control(self) -> Control | None:
        """What the control takes, as the post of this program says; None where the packet does not say."""
        return self.machine.controls.get(self.program.post)

    @property
    def nose(self) -> float:
        """Height of the spindle nose above the tip, mm."""
        return self.tool.assembly[-1].bottom

    @property
    def standing(self) -> tuple[Solid, ...]:
        """The solids that stand while it runs."""
        return tuple(solid for solid in self.setup.solids if solid.name in self.program.standing)

    @property
    def things_top(self) -> float:
        """A height above all that stands, work z, the margin added for solids."""
        things = [self.wood_top, -self.setup.work_origin[2]]
        return max(things + [solid.top + self.machine.margin for solid in self.standing])

    @property
    def tip_top(self) -> float:
        """A height of the tip at which nothing that moves up and down can meet what stands, work z."""
        low = 0.0  # the lowest moving thing that may not touch, measured from the tip
        for part in self.machine.attached:
            if part.moves_with == "z" and not part.soft:
                low = min(low, self.nose + part.bottom)
        return self.things_top - low

    def reason(
        self,
        rule: str,
        line: int | None,
        message: str,
        *,
        at: Iterable[float] | None = None,
        measured: float | None = None,
        limit: float | None = None,
    ) -> Reason:
        """Make a reason against this program; coordinates to a thousandth, unknown ones left out."""
        place = None
        if at is not None:
            x, y, z = (float(value) for value in at)
            if np.isfinite((x, y, z)).all():
                place = (round(x, 3) + 0.0, round(y, 3) + 0.0, round(z, 3) + 0.0)
        return Reason(
            rule=rule,
            setup=self.setup.index,
            program=self.program.file,
            line=line,
            at=place,
            measured=None
            if measured is None or not np.isfinite(measured)
            else round(float(measured), 4) + 0.0,
            limit=None if limit is None else round(float(limit), 4) + 0.0,
            message=message,
        )
