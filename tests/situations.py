"""Situations for the tests of the check stage: a setup, its programs, and the job they belong to.

In: setups as `tests/setups.py` makes them. Out: `Situation` values; programs cut for real, or driven by hand.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from stockwright.checking import Situation
from stockwright.cutting import cut
from stockwright.job import Job, Tolerance, Wanted
from stockwright.motion.nodes import Feed, Program, Rapid, SpindleOff, SpindleOn, UseTool

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.findings import Finding
    from stockwright.job import Step
    from stockwright.machine import Shop
    from stockwright.motion.nodes import Node
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

__all__ = ["found", "hand", "job", "numbers", "situation"]

Stop = tuple[str, float | None, float | None, float | None]


def job(shop: Shop, steps: tuple[Step, ...] = ()) -> Job:
    """Give a job of a shop; its boards and its finished size play no part in checking."""
    return Job("trial", "recipe", "1.0.0", "digest", shop, (), Wanted(None, None, None, Tolerance()), steps)


def situation(
    setup: Setup,
    shop: Shop,
    programs: tuple[Program, ...] | None = None,
    steps: tuple[Step, ...] = (),
) -> Situation:
    """Give the situation of one setup; without `programs` they are cut as the cut stage cuts them."""
    made = cut(setup, shop, 0.01) if programs is None else programs
    return Situation(job(shop, steps), (setup,), (made,))


def hand(
    setup: Setup,
    tool: Tool,
    *stops: Stop,
    rpm: float | None = None,
    feed: float | None = None,
    stem: str = "by-hand",
) -> Program:
    """Drive a cutter by hand: each stop is ("rapid" or "feed", x, y, z), None leaving an axis of a rapid."""
    nodes: list[Node] = [UseTool(tool.number, tool.name), SpindleOn(rpm or tool.rpm)]
    for how, x, y, z in stops:
        if how == "rapid":
            nodes.append(Rapid(x, y, z))
        else:
            nodes.append(Feed(np.array([[x, y, z]], dtype=np.float64), feed or tool.feed))
    nodes.append(SpindleOff())
    return Program(
        stem=stem,
        title="by hand",
        setup=setup.index,
        purpose="cut",
        tool=tool,
        nodes=tuple(nodes),
        standing=tuple(solid.name for solid in setup.solids),
        touch_off="z on the bed",
    )


def found(rule: Callable[[Situation], tuple[Finding, ...]], of: Situation) -> tuple[Finding, ...]:
    """Give what one rule finds, having made sure that every finding of it can be shown to a person."""
    findings = rule(of)
    for finding in findings:
        assert finding.rule == rule.__name__.replace("_", "-")
        assert finding.message
        assert finding.remedy
        assert all(isinstance(n, float | int | None) for n in (finding.measured, finding.limit))
    return findings


def numbers(text: str) -> list[float]:
    """Give the numbers a sentence holds, in order."""
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", text)]
