"""What cannot be measured of a board, or not surely. In: how it lies, touches planned. Out: findings.

Bed and work frame, mm. Promise: every reason at once, with the two numbers compared and what to do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.findings import Finding

if TYPE_CHECKING:
    from stockwright.probing.lying import Lying
    from stockwright.probing.touches import Touch
    from stockwright.tooling import Tool

__all__ = ["out_of_reach", "unsure_contact"]


def out_of_reach(lying: Lying, tool: Tool, touches: tuple[Touch, ...], lost: int) -> list[Finding]:
    """Say what the machine cannot reach, and that `lost` places had to be left out."""
    shop, index = lying.shop, lying.index
    found: list[Finding] = []
    origin = np.array(shop.bed.mark)
    spots = np.array([(t.work_x, t.work_y) for t in touches]).reshape(-1, 2) + origin
    for axis, (low, high) in enumerate((shop.machine.x, shop.machine.y)):
        for worst, limit, out in (
            (spots[:, axis].min(initial=low), low, spots[:, axis].min(initial=low) < low),
            (spots[:, axis].max(initial=high), high, spots[:, axis].max(initial=high) > high),
        ):
            if out:
                found.append(
                    Finding(
                        rule="place-out-of-reach",
                        level="refuse",
                        message=f"a place would be at {'xy'[axis]} {worst:.0f} mm on the bed; "
                        f"the spindle does not go beyond {limit:g} mm",
                        remedy="saw the board to a length that fits, or read it with rule and callipers",
                        measured=round(float(worst), 3),
                        limit=limit,
                        setup=index,
                    )
                )
    lowest = min((t.floor for t in touches), default=np.inf) + tool.nose
    if lowest < shop.machine.z[0]:
        found.append(
            Finding(
                rule="place-out-of-reach",
                level="refuse",
                message=f"the spindle nose would have to come down to {lowest:.1f} mm above the bed",
                remedy="let the probe stick out further, or lay the board on something flat and higher",
                measured=round(float(lowest), 3),
                limit=shop.machine.z[0],
                setup=index,
            )
        )
    if not touches:
        found.append(
            Finding(
                rule="nothing-to-measure",
                level="refuse",
                message="the board has no place far enough from its sides and from what stands round it",
                remedy="read it with rule and callipers into a board's document",
                measured=0.0,
                limit=1.0,
                setup=index,
            )
        )
    elif lost:
        found.append(
            Finding(
                rule="places-left-out",
                level="warn",
                message=f"{lost} of {lost + len(touches)} places could not be reached past what stands there",
                remedy="read these by hand, or take lower stops",
                measured=float(lost),
                limit=0.0,
                setup=index,
            )
        )
    return found


def unsure_contact(lying: Lying, touches: tuple[Touch, ...], push: float, given: float) -> list[Finding]:
    """Say where contact is not sure, and what a probe that does not answer would have to bear.

    It would be pushed by up to `push` after contact, and gives by `given`, mm.
    """
    found = []
    over = [t.floor - (lying.top(t.x, t.y) - lying.board.uncertainty) for t in touches]
    if over and max(over) > 1e-6:
        found.append(
            Finding(
                rule="touch-may-miss",
                level="warn",
                message="the board may lie lower than a touch may go, and the program would stop there",
                remedy="lay the board on something flat and say so, or measure it more closely first",
                measured=round(max(over), 3),
                limit=0.0,
                setup=lying.index,
            )
        )
    if push > given:
        found.append(
            Finding(
                rule="dead-probe-is-pushed",
                level="warn",
                message="a probe that does not answer would be pushed further than it gives, "
                "so little is known of the board",
                remedy="try the probe by hand where the program first stops, a hand at the stop button; "
                "or take a few heights with a rule first, and state a smaller uncertainty",
                measured=round(push, 3),
                limit=given,
                setup=lying.index,
            )
        )
    return found
