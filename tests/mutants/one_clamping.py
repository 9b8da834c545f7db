"""A damaged job proven from the damaged clamping on. In: a job proven once. Out: the same verdict, sooner.

The wood is kept as each setup found it. A mutant is followed from its first damaged setup until there is a
reason against it, or the wood is again what the undamaged programs left, or the end. A reason, once found, is
in the whole proof too; what is left out is only what was proven before.
"""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING

import numpy as np

from stockwright.packet.model import Reason
from stockwright.proving.frames import CannotLie
from stockwright.proving.verdict import _Case

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.model import Packet
    from stockwright.proving.program import Reading

__all__ = ["OneClamping"]


class OneClamping:
    """A job whose every setup was proven, with the wood that each of them found."""

    def __init__(self, packet: Packet, texts: Mapping[str, str]) -> None:
        self.packet = packet
        case = _Case(packet)
        self.readings: dict[str, Reading] = case.read(texts)
        self.before: list[_Case] = []
        for setup in packet.setups:
            if not self.before and not any(lies.moved for lies in setup.lies):
                case._boards(setup)  # the rough board, made once
            self.before.append(_copied(case))
            case.setup(setup, self.readings)
        case.end()
        assert not case.reasons, case.reasons

    def reasons(self, changed: Mapping[str, str]) -> list[Reason]:
        """Prove the job with some texts changed: the reasons against it, none if it is proven."""
        own = {program.file for setup in self.packet.setups for program in setup.programs}
        assert set(changed) <= own
        damaged = [
            k for k, setup in enumerate(self.packet.setups) if any(p.file in changed for p in setup.programs)
        ]
        first, last = damaged[0], damaged[-1]
        case = _copied(self.before[first])
        readings = dict(self.readings)
        for setup in self.packet.setups:
            for program in setup.programs:
                if program.file in changed:
                    read = case._read(setup, program, changed, {})
                    if read is not None:
                        readings[program.file] = read
        try:
            for number, setup in enumerate(self.packet.setups):
                if number < first:
                    continue
                if case.reasons:
                    return case.reasons
                if number > last and _same_wood(case, self.before[number]):
                    return []  # what comes after is what was proven before
                case.setup(setup, readings)
            if not case.reasons:
                case.end()
        except CannotLie as error:
            case.reasons.append(Reason(rule="cannot-lie", message=str(error)))
        return case.reasons


def _copied(case: _Case) -> _Case:
    new = copy.copy(case)
    new.reasons = []
    new.woods = {}
    for name, wood in case.woods.items():
        other = copy.copy(wood)
        other.hi = {side: np.array(field) for side, field in wood.hi.items()}
        other.lo = {side: np.array(field) for side, field in wood.lo.items()}
        new.woods[name] = other
    new.uprights = {name: dict(sides) for name, sides in case.uprights.items()}
    new.regions = {key: list(areas) for key, areas in case.regions.items()}
    new.finished = dict(case.finished)
    return new


def _same_wood(one: _Case, two: _Case) -> bool:
    """Say whether two proofs have come to the same wood, to the last bit of every cell and outline."""
    return one.woods.keys() == two.woods.keys() and all(
        np.array_equal(wood.hi[side], two.woods[name].hi[side])
        and np.array_equal(wood.lo[side], two.woods[name].lo[side])
        and wood.may.equals_exact(two.woods[name].may)
        and wood.sure.equals_exact(two.woods[name].sure)
        for name, wood in one.woods.items()
        for side in (1, -1)
    )
