"""What the person at the machine does in one setup, step by step, in plain words.

In: a setup's page. Out: groups of steps. Promise: every number is
the packet's; hands go near the cutter only in steps that begin with a stopped spindle; no step is left out
because people usually remember it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.packet.steps.afterwards import afterwards, readings, when_wrong
from stockwright.packet.steps.cutting import cutter_and_zero, hidden_mark, runs, stays_over_mark
from stockwright.packet.steps.group import Blank, Group, Step, file_name
from stockwright.packet.steps.laying import hold, how_it_lies, lay

if TYPE_CHECKING:
    from stockwright.packet.page import Page

__all__ = ["Blank", "Group", "Step", "file_name", "how_it_lies", "steps_for"]


def steps_for(page: Page) -> list[Group]:
    """Return the steps of a setup in the order they are done; where clamps move, each with its part."""
    # A board that stays on the bed is not taken off for a zero that the machine kept.
    hides = hidden_mark(page) and not stays_over_mark(page)
    across, down = cutter_and_zero(page, hides=hides)
    first = [lay(page), hold(page)]
    # What comes to stand round the mark leaves no room to find it.
    first = [across, *first, down] if hides else [*first, across]
    first[-1].running = True
    middle = list(runs(page))
    last = [afterwards(page), readings(page), when_wrong(page.setup)]
    for group in last:
        group.part = max((each.part for each in middle), default=1)
        group.running = True
    return [*first, *middle, *last]
