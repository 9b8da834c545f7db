"""How near anything that moves comes to anything that stands, worked out once more with shapely alone.

In: a packet and its programs' text. Out: for each pair of a part and a solid the least distance over all
moves. Shares nothing with the checks or the proof: the text is read by the second reader of the mutants'
judge, moves are clipped to the heights at which part and solid overlap or come within the machine's margin,
and the rest is `shapely.distance`. A rapid of a machine whose axes run by themselves counts as the box of its
ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mutants.second_text import Step, script

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from stockwright.packet.model import Packet, Program, Setup, Solid

    Floats = NDArray[np.float64]

__all__ = ["Distance", "distances"]


@dataclass(frozen=True)
class Distance:
    """The least distance in plan, mm, between a part and a solid while heights come within the margin."""

    program: str
    part: str
    solid: str
    least: float
    line: int


def distances(packet: Packet, texts: Mapping[str, str]) -> Iterator[Distance]:
    """Yield the least distance of every part of the assembly to all that stands, program by program."""
    for setup in packet.setups:
        solids = {solid.name: solid for solid in setup.solids}
        for program in setup.programs:
            steps = [s for s in script(texts[program.file]).items if isinstance(s, Step)]
            known = [s for s in steps if np.isfinite([*s.start, *s.end]).all()]
            for name in program.standing:
                yield from _pair(packet, setup, program, solids[name], known)


def _pair(
    packet: Packet, setup: Setup, program: Program, solid: Solid, steps: list[Step]
) -> Iterator[Distance]:
    assert program.tool is not None
    tool = packet.tools[program.tool]
    polygon = shapely.Polygon(solid.outline)
    for index, part in enumerate(tool.assembly):
        low, high = solid.bottom, solid.top
        if index == 0 and solid.may_cut_to is not None:
            high = min(high, solid.may_cut_to - packet.machine.margin)  # down to there the edges may enter
        yield _nearest(
            packet,
            program,
            f"part {index}",
            solid.name,
            steps,
            polygon,
            part.diameter / 2,
            part.bottom,
            part.top,
            (low, high),
        )
    for attached in packet.machine.attached:
        if attached.moves_with == "z":
            outline = np.array(attached.outline)
            # A round cylinder that holds the whole outline: more than is there, never less.
            radius = float(np.hypot(*outline.T).max())
            nose = tool.assembly[-1].bottom
            yield _nearest(
                packet,
                program,
                attached.name,
                solid.name,
                steps,
                polygon,
                radius,
                nose + attached.bottom,
                nose + attached.top,
                (solid.bottom, solid.top),
            )


def _nearest(
    packet: Packet,
    program: Program,
    part: str,
    solid: str,
    steps: list[Step],
    polygon: shapely.Polygon,
    radius: float,
    bottom: float,
    top: float,
    heights: tuple[float, float],
) -> Distance:
    low, high = heights
    rows, lines = [], []
    for step in steps:
        margin = packet.machine.margin
        span = _clipped(step.start[2], step.end[2], low - margin - top, high + margin - bottom)
        if span is None or high <= low:
            continue
        a, b = np.array(step.start), np.array(step.end)
        t0, t1 = span
        p, q = a + t0 * (b - a), a + t1 * (b - a)
        if step.rapid and packet.machine.rapids == "independent":
            x0, x1 = sorted((a[0], b[0]))
            y0, y1 = sorted((a[1], b[1]))
            rows.append(shapely.box(x0, y0, x1, y1))
        else:
            rows.append(shapely.LineString([p[:2], q[:2]]))
        lines.append(step.line)
    if not rows:
        return Distance(program.file, part, solid, np.inf, 0)
    away = shapely.distance(np.array(rows), polygon) - radius
    worst = int(np.argmin(away))
    return Distance(program.file, part, solid, float(away[worst]), lines[worst])


def _clipped(z0: float, z1: float, low: float, high: float) -> tuple[float, float] | None:
    """Return the share of a move during which the tip's height lies strictly between two heights."""
    if max(z0, z1) <= low or min(z0, z1) >= high:
        return None
    if z0 == z1:
        return 0.0, 1.0
    a, b = sorted(((low - z0) / (z1 - z0), (high - z0) / (z1 - z0)))
    return max(a, 0.0), min(b, 1.0)
