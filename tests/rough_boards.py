"""A seeded generator of rough boards as documents, for sweeps: sizes, warp, crook, ends out of square.

The warp terms and their spread follow a plain model of sawn boards (common practice, no source): bow grows
with the square of the length, cup and twist with the width.
"""

from __future__ import annotations

import random
from dataclasses import dataclass


@dataclass(frozen=True)
class Rough:
    """One board's document, and the finished size that is asked of it."""

    text: str
    length: float
    width: float
    thickness: float


def rough(
    seed: int,
    lengths: tuple[float, float] = (260, 1420),
    widths: tuple[float, float] = (70, 330),
    thicknesses: tuple[float, float] = (19, 46),
) -> Rough:
    """Return the board of a seed; the same seed and bounds (mm) give the same text on every machine."""
    r = random.Random(seed)
    length, width, thick = r.uniform(*lengths), r.uniform(*widths), r.uniform(*thicknesses)
    m = length / 1000
    bow, cup = r.gauss(0, 1) * m * m / 2, r.gauss(0, 0.8) * width / 200
    twist, wedge, taper = r.gauss(0, 1) * m * width / 200, r.gauss(0, 0.3) * width / 200, r.gauss(0, 0.3) * m
    crook, skew = r.gauss(0, 2.5) * m * m, [r.gauss(0, 1.5) for _ in range(4)]
    along = [round(v, 1) for v in _spread(10, length - 10, max(3, round(length / 250) + 1))]
    across = [round(v, 1) for v in _spread(8, width - 8, 5 if width > 200 else 3)]

    def under(x: float, y: float) -> float:
        u, v = 2 * x / length - 1, 2 * y / width - 1
        return bow * u * u + cup * v * v + twist * u * v

    lowest = min(under(x, y) for x in along for y in across)
    tops, thicks = [], []
    for i, x in enumerate(along):
        row, rim = [], []
        for j, y in enumerate(across):
            t = thick + wedge * (2 * y / width - 1) + taper * (2 * x / length - 1)
            row.append(f"{under(x, y) - lowest + 0.3 + t + r.gauss(0, 0.08):.1f} mm")
            edge = i in {0, len(along) - 1} or j in {0, len(across) - 1}
            rim.append(f"{t + r.gauss(0, 0.08):.1f} mm" if edge else "-")
        tops.append(row)
        thicks.append(rim)
    stations = [round(v, 1) for v in _spread(0, length, 5)]
    bend = [crook * (1 - (2 * x / length - 1) ** 2) for x in stations]
    near = [round(4 + b + r.gauss(0, 0.3), 1) for b in bend]
    far = [round(4 + width + b + r.gauss(0, 0.3), 1) for b in bend]
    text = f"""stockwright: board/1
name: rough {seed}
edge-1: {{along: [{_mm(stations)}], offset: [{_mm(near)}]}}
edge-2: {{along: [{_mm(stations)}], offset: [{_mm(far)}]}}
ends:
  end-1: {{near: {max(0.0, skew[0]):.1f} mm, far: {max(0.0, skew[1]):.1f} mm}}
  end-2: {{near: {length - abs(skew[2]):.1f} mm, far: {length - abs(skew[3]):.1f} mm}}
heights:
  along: [{_mm(along)}]
  across: [{_mm([4 + y for y in across])}]
  rows:
{_rows(tops)}
thickness:
  rows:
{_rows(thicks)}
uncertainty: 0.2 mm
"""
    return Rough(
        text,
        length=round(length - r.uniform(8, 40)),
        width=round(width - abs(crook) - r.uniform(3, 18)),
        thickness=round(thick - abs(bow) - abs(cup) - abs(twist) - r.uniform(0.5, 8), 1),
    )


def _spread(low: float, high: float, count: int) -> list[float]:
    return [low + (high - low) * i / (count - 1) for i in range(count)]


def _mm(values: list[float]) -> str:
    return ", ".join(f"{v:g} mm" for v in values)


def _rows(rows: list[list[str]]) -> str:
    return "\n".join(f"    - [{', '.join(row)}]" for row in rows)
