"""The programs that the kit writes. In: nothing, or a seed. Out: `Program`s of the real types.

Promise: the same seed gives the same program on every machine; the cutter is invented.
"""

from __future__ import annotations

import math
import random
from typing import TYPE_CHECKING

from stockwright.motion.nodes import (
    Arc,
    Dust,
    Dwell,
    Feed,
    Node,
    Pause,
    Program,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.tooling import Cylinder, Tool

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["CUTTER", "HARM", "START", "TOP", "feed", "long_feed", "motion", "program", "usual"]

CUTTER = Tool(
    name="sample-cutter",
    number=7,
    kind="end-mill",
    does=("edge",),
    diameter=12.0,
    cutting_length=30.0,
    shank_diameter=12.0,
    overall_length=80.0,
    gripped=30.0,
    grip_wanted=30.0,
    stickout=50.0,
    marked_max_rpm=24000.0,
    flutes=2,
    centre_cutting=True,
    ramp=3.0,
    corner_radius=0.0,
    rpm=12000.0,
    feed=2400.0,
    plunge_feed=400.0,
    stepover=5.0,
    stepdown=2.0,
    assembly=(Cylinder(12.0, 0.0, 50.0), Cylinder(60.0, 50.0, 140.0)),
)
TOP = 80.0  # mm: where programs begin and end
START: tuple[Node, ...] = (UseTool(CUTTER.number, CUTTER.name), Rapid(z=TOP), Rapid(x=-10.0, y=20.0))
# Text that people write, and text that means harm: what stands here must never act.
HARM = (
    "M3 (",
    ") M3 S24000",
    ")\nM3 S9000\n(",
    "\nSPINDL/9000,RPM,CLW\n",
    '",\r\nspindle on,,,,,9000,,,\r\n"',
    "=1+1",
    "@x",
    "MSG, press start",
    "%",
    "; G28",
    "/G0 Z-50",
    "#1=5",
    "$ and $$ more",
    "!~?\x18\x00\x7f",
    "(" * 60,
    "A" * 400,
    "walnut 3/4\u2033 \u00d7 1\u00bd, K\u00fcche \u2013 12 % (wet)",
)


def program(
    nodes: Iterable[Node], *, title: str = "sample", touch_off: str = "z 0 on the bed", tool: Tool = CUTTER
) -> Program:
    """Give a program of these nodes."""
    return Program("sample-1", title, 1, "cut", tool, tuple(nodes), (), touch_off)


def feed(points: list[tuple[float, float, float]], at: float = 1200.0) -> Feed:
    """Give straight cuts through `points`, mm, at a feed, mm/min."""
    import numpy as np

    return Feed(np.array(points, dtype=np.float64), at)


def long_feed(count: int) -> Feed:
    """Give `count` cuts, none of which goes nowhere, at any resolution up to 0.03 mm."""
    import numpy as np

    k = np.arange(1.0, count + 1)
    return Feed(np.column_stack([k % 977, k / 7, -(k % 13) / 10]), 900.0)


def usual(written: frozenset[type]) -> Program:
    """Give a program with one of everything that a post writes but for pauses and probing."""
    nodes: list[Node] = [*START, SpindleOn(12000.0), Rapid(z=30.0)]
    nodes.append(feed([(-10.0, 20.0, 10.0), (100 / 3, 20.0, 10.0), (100 / 3, -200 / 7, -1 / 3)], 1234.56))
    if Arc in written:
        nodes.append(Arc((100 / 3 + 40.0, -200 / 7), (100 / 3 + 40.0, -200 / 7 + 40.0, -1 / 3), True, 1000.0))
    nodes += [
        Rapid(z=TOP),
        Rapid(x=5.0, y=6.0),
        Rapid(z=30.0),
        feed([(5.0, 6.0, 2.0), (9.0, 6.0, 2.0)], 777.0),
    ]
    if Dwell in written:
        nodes.append(Dwell(1.25))
    nodes += [Rapid(z=TOP), SpindleOff()]
    return program(nodes)


def motion(seed: int, written: frozenset[type]) -> Program:
    """Give random motion of the kinds a post writes: rapids vertical or level, the spindle off at pauses."""
    rng = random.Random(seed)  # noqa: S311 - repeatable, not secret

    def mm(low: float = -900.0, high: float = 900.0) -> float:
        return rng.choice(
            (rng.uniform(low, high), round(rng.uniform(low, high), 2), float(rng.randint(-9, 9)))
        )

    nodes: list[Node] = list(START)
    at = [-10.0, 20.0, TOP]
    for _ in range(rng.randint(5, 30)):
        kind = rng.choice("zxyffaawpnd")
        if kind == "z":
            at[2] = mm(-40.0, TOP)
            nodes.append(Rapid(z=at[2]))
        elif kind in "xy":
            at[0] = mm() if kind == "x" else at[0]
            at[1] = mm()
            nodes.append(Rapid(x=at[0], y=at[1]) if kind == "x" else Rapid(y=at[1]))
        elif kind == "f":
            points = [(mm(), mm(), mm(-40.0, TOP)) for _ in range(rng.randint(1, 8))]
            at = list(points[-1])
            nodes.append(feed(points, rng.uniform(100.0, 5000.0)))
        elif kind == "a" and Arc in written:
            radius, begin = rng.uniform(3.0, 150.0), rng.uniform(-math.pi, math.pi)
            sweep = rng.choice((-1, 1)) * math.radians(rng.uniform(10.0, 85.0))
            centre = (at[0] - radius * math.cos(begin), at[1] - radius * math.sin(begin))
            angle = begin + sweep
            at = [centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle), at[2]]
            nodes.append(Arc(centre, (at[0], at[1], at[2]), sweep < 0, rng.uniform(200.0, 3000.0)))
        elif kind == "w":
            nodes.append(SpindleOn(float(rng.randint(5000, 24000))))
            if Dwell in written:
                nodes.append(Dwell(round(rng.uniform(0.1, 9.0), 2)))
        elif kind == "p" and Pause in written:
            nodes += [SpindleOff(), Pause("look"), Rapid(z=TOP), Rapid(x=at[0], y=at[1])]
            at[2] = TOP
        elif kind == "n" and Remark in written:
            nodes.append(Remark("on we go"))
        elif kind == "d" and Dust in written:
            nodes.append(Dust(rng.random() < 0.5))
    return program([*nodes, Rapid(z=TOP), SpindleOff()], title=f"random {seed}")
