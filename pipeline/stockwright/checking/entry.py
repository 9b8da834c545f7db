"""How a cutter enters wood. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.checking.wording import shown, up
from stockwright.findings import Finding

if TYPE_CHECKING:
    from stockwright.checking.situation import Situation

__all__ = ["plunge_without_centre_edges", "rapid_into_wood"]


def plunge_without_centre_edges(situation: Situation) -> tuple[Finding, ...]:
    """A cutter without edges at its centre goes down into wood more steeply than it can.

    In the middle of such a cutter nothing cuts: it stands on the wood, pushes the spindle up or the board
    aside, and burns. A cutter made to ramp may descend at its ramp angle, any other one only beside the
    wood. Cure: come down outside the wood and enter sideways, or take a cutter that cuts at its centre.
    """
    return tuple(
        Finding(
            rule="plunge-without-centre-edges",
            level="refuse",
            message=f"{touch.tool.name} descends at {touch.slope:.1f} degrees, {shown(touch.depth)} mm "
            "below the top "
            f"of wood, and may descend in wood at {touch.tool.ramp:.1f} degrees at most",
            remedy="take a cutter that cuts at its centre, or let the cut begin beside the wood, "
            f"its centre at least {up(touch.tool.radius)} mm from it",
            measured=touch.slope,
            limit=touch.tool.ramp,
            setup=touch.setup,
            program=touch.program,
            at=touch.at,
        )
        for touch in situation.touches
        if touch.kind == "plunge"
    )


def rapid_into_wood(situation: Situation) -> tuple[Finding, ...]:
    """A rapid move passes through wood.

    At full speed no chip has room: the cutter breaks or the board is thrown, and some machines move each
    axis by itself, so that a slanting rapid may pass anywhere between its ends. Cure: raise the height of
    the move above the wood, or make it a feed move.
    """
    return tuple(
        Finding(
            rule="rapid-into-wood",
            level="refuse",
            message=f"a rapid move of {touch.tool.name} passes at {shown(touch.height)} mm where wood "
            "stands up to "
            f"{shown(touch.wood)} mm",
            remedy=f"raise this move by {up(touch.depth)} mm, or feed instead",
            measured=touch.height,
            limit=touch.wood,
            setup=touch.setup,
            program=touch.program,
            at=touch.at,
        )
        for touch in situation.touches
        if touch.kind == "rapid"
    )
