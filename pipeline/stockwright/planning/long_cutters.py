"""What a cutter that bends needs. In: a bound step and the wall's height. Out: depths, a second last pass.

Promise: chosen from the cutter's own bending, and reported with the numbers; what the recipe states is kept.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.forces.bending import out_of_upright, tip_bends
from stockwright.forces.mechanics import FACTOR, PRESSURE, side_force
from stockwright.planning.setup import EdgeCut
from stockwright.tooling import WIDEST_BITE
from stockwright.units import format_length

if TYPE_CHECKING:
    from stockwright.job import EdgeStep, Tolerance
    from stockwright.planning.setup import Cut
    from stockwright.units import System

__all__ = ["bending_notes", "for_its_cutter"]

# Of a tolerance, what the cutter's bending may use up before the last pass is run twice; of the last pass,
# what a roughing cut may bend into it. Common practice, no source.
OF_TOLERANCE = 0.25
OF_LIGHT = 0.5
SHALLOWEST = 0.5  # mm a depth is never made less than; common practice, no source
ASKED = 0.3  # mm out of square where a recipe asks nothing; common practice, no source


def for_its_cutter(cut: EdgeCut, step: EdgeStep, tolerance: Tolerance, pressure: float = PRESSURE) -> EdgeCut:
    """Return the cut with the depths its cutter bears, and a second last pass where it asks for one.

    `pressure` is the cutting pressure of wood, N/mm2.
    """
    tool = cut.tool
    bite = min(cut.stepover, tool.radius * WIDEST_BITE)
    per_mm = tip_bends(tool, side_force(tool, bite, 1.0, pressure, FACTOR))
    depth = cut.stepdown
    if cut.light > 0 and per_mm > 0:  # a cutter that does not bend bears its own depth
        depth = min(depth, max(OF_LIGHT * cut.light / per_mm, SHALLOWEST))
    spring = step.spring
    if spring is None:
        asked = tolerance.squareness if tolerance.squareness is not None else ASKED
        spring = cut.light > 0 and _leans(cut, pressure) > OF_TOLERANCE * asked
    return replace(cut, stepdown=depth, spring=spring)


def bending_notes(
    cuts: tuple[Cut, ...], steps: tuple[EdgeStep, ...], units: System, pressure: float = PRESSURE
) -> tuple[str, ...]:
    """Return what the sheet says of depths and last passes that were chosen for a cutter's bending."""
    asked = {step.side: step for step in steps}
    notes = []
    for cut in cuts:
        if not isinstance(cut, EdgeCut) or cut.side not in asked:
            continue
        step = asked[cut.side]
        if cut.spring and step.spring is None:
            notes.append(
                f"{cut.name}: the last pass is run twice at the same place, because {cut.tool.name}, "
                f"sticking out {format_length(cut.tool.stickout, units)}, may lean the wall by "
                f"{format_length(_leans(cut, pressure), units)} in one pass."
            )
        if cut.stepdown < step.stepdown:
            notes.append(
                f"{cut.name}: cut in depths of {format_length(cut.stepdown, units, 1)}, not "
                f"{format_length(step.stepdown, units, 1)}: deeper, {cut.tool.name} would bend into the wall."
            )
    return tuple(notes)


def _leans(cut: EdgeCut, pressure: float) -> float:
    """Return how far one last pass leaves the wall out of upright, mm."""
    height = cut.ceiling - cut.bottom
    return out_of_upright(cut.tool, side_force(cut.tool, cut.light, height, pressure, FACTOR), height)
