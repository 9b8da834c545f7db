"""Jobs that are far too large for any machine, found before work is put into them.

In: setups. Out: findings.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.checking.too_long import shorter
from stockwright.checking.travel import AXES
from stockwright.checking.wording import shown, up
from stockwright.findings import Finding
from stockwright.planning.setup import BedCut, FaceCut

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.machine import Machine
    from stockwright.planning.setup import Setup

__all__ = ["far_too_large"]

HOPELESS = 1.5  # times the travel: what is that much larger is refused before any work is put into cutting it


def far_too_large(setups: Sequence[Setup], machine: Machine) -> tuple[Finding, ...]:
    """Find, before anything is cut, faces far longer, wider or deeper than the machine can ever go.

    They are `leaves-the-travel` too; what lies nearer is cut first, so that everything else is said with it.
    """
    found = []
    for setup in setups:
        for cut in setup.cuts:
            if not isinstance(cut, FaceCut | BedCut):
                continue
            spans = [*(np.ptp(cut.region, axis=0) - cut.tool.diameter), cut.ceiling - cut.z]
            for axis, (low, high) in enumerate((machine.x, machine.y, machine.z)):
                span, travel = float(spans[axis]), high - low
                if span <= HOPELESS * travel:
                    continue
                found.append(
                    Finding(
                        rule="leaves-the-travel",
                        level="refuse",
                        message=f"{cut.name} needs {shown(span)} mm of travel along {AXES[axis]}, and the "
                        f"machine has {shown(travel)} mm",
                        remedy=f"take work at least {up(span - travel)} mm smaller along {AXES[axis]}"
                        + shorter(setup, axis, setups, machine, slides=setup.slid is not None),
                        measured=span,
                        limit=travel,
                        setup=setup.index,
                    )
                )
    return tuple(found)
