"""Readings -> the shop's own error figures. In: a document of readings, a bound shop. Out: `Learnt`.

Promise: the uncertainty of a figure comes from its readings alone: from their scatter and from how finely
they were read, by NIST TN 1297. Readings of one figure from several tables count together. mm, degrees.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from stockwright.budget.combining import of_readings
from stockwright.budget.figures import FIGURES
from stockwright.frozen import frozen
from stockwright.traces import (
    angle_of_bevel,
    angle_of_diagonals,
    angle_of_ridge_across,
    angle_of_taper,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.documents.measured import MeasuredDocument
    from stockwright.machine import Shop

__all__ = ["Learnt", "learn"]


@frozen
class Learnt:
    """One figure made of readings: its size, how sure it is (about 95 %), how many readings it has."""

    key: str
    value: float
    within: float
    count: int


# A figure's readings, each in its own unit, and how finely such a one was read.
_Read = tuple[str, list[float], float]


def learn(read: MeasuredDocument, shop: Shop) -> tuple[Learnt, ...]:
    """Return the figures that the readings tell, in the order in which figures stand."""
    values: dict[str, list[float]] = defaultdict(list)
    finest: dict[str, float] = {}
    for key, readings, reads in (*_angles(read), *_lengths(read, shop)):
        values[key] += readings
        finest[key] = max(reads, finest.get(key, 0.0))
    found = []
    for key in FIGURES:
        if key in values:
            mean, within = of_readings(values[key], finest[key])
            found.append(Learnt(key, abs(mean), within, len(values[key])))
    return tuple(found)


def _angles(read: MeasuredDocument) -> Iterator[_Read]:
    for steps in read.steps:
        key = "tilt-y" if steps.passes == "along" else "tilt-x"
        lean = [angle_of_ridge_across(each, steps.stepover) for each in steps.readings]
        yield key, lean, angle_of_ridge_across(steps.reads, steps.stepover)
    # Two sides put together, one piece turned over, show the lean twice; a square shows it once.
    for tables, times in ((read.edges_together, 2.0), (read.square, 1.0)):
        for gaps in tables:
            key = "tilt-y" if gaps.of == "edges" else "tilt-x"
            lean = [angle_of_bevel(each / times, gaps.height) for each in gaps.readings]
            yield key, lean, angle_of_bevel(gaps.reads / times, gaps.height)
    for panel in read.diagonals:
        size = (panel.length, panel.width)
        angles = [angle_of_diagonals(a - b, *size) for a, b in zip(panel.near, panel.far, strict=True)]
        # A difference of two readings may be out by both.
        yield "squareness", angles, angle_of_diagonals(2 * panel.reads, *size)
    for widths in read.widths:
        angles = [
            angle_of_taper(b - a, widths.length) for a, b in zip(widths.end_1, widths.end_2, strict=True)
        ]
        yield "fence-angle", angles, angle_of_taper(2 * widths.reads, widths.length)


def _lengths(read: MeasuredDocument, shop: Shop) -> Iterator[_Read]:
    machine, bed = shop.machine, shop.bed
    for straight in read.straightness:
        key, travel = (
            ("straightness-x", machine.x) if straight.of == "edges" else ("straightness-y", machine.y)
        )
        # A board sees as much of the whole travel's crookedness as it is long.
        share = max((travel[1] - travel[0]) / straight.length, 1.0)
        yield key, [each * share for each in straight.readings], straight.reads * share
    for thick in read.thickness:
        along = [(c + d - a - b) / 2 for a, b, c, d in thick.corners]
        across = [(b + d - a - c) / 2 for a, b, c, d in thick.corners]
        shares = ((bed.x[1] - bed.x[0]) / thick.length, (bed.y[1] - bed.y[0]) / thick.width)
        wedges = [[each * shares[0] for each in along], [each * shares[1] for each in across]]
        worse = max((0, 1), key=lambda way: (abs(sum(wedges[way])), -way))
        yield "bed", wedges[worse], thick.reads * shares[worse]
