"""Seeded boards in each of the ways that are no grid: each proven or honestly refused."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest

from honest_refusals import proven_or_honestly_refused

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def _probed(folder: Path, r: random.Random, length: float, width: float, thick: float) -> str:
    bow, cup, twist = r.gauss(0, 1), r.gauss(0, 0.8), r.gauss(0, 0.8)
    rows = []
    for i in range(8):
        for j in range(4):
            x = 10 + (length - 20) * i / 7 + r.uniform(-8, 8) * (0 < i < 7)
            y = 8 + (width - 16) * j / 3
            u, v = 2 * x / length - 1, 2 * y / width - 1
            z = thick + 4 + bow * u * u + cup * v * v + twist * u * v + r.gauss(0, 0.1)
            rows.append(f"{x:.1f},{y:.1f},{z:.2f}")
    r.shuffle(rows)  # a log may be in any order
    (folder / "log.csv").write_text("\n".join(["x,y,z", *rows]) + "\n", encoding="utf-8")
    return (
        f"size: {{length: {length:.0f} mm, width: {width:.0f} mm}}\n"
        f"probed: {{upper: log.csv, thickness: {thick:.1f} mm}}\n"
    )


def _sighted(_: Path, r: random.Random, length: float, width: float, thick: float) -> str:
    edge, face = r.choice(["edge-1", "edge-2"]), r.choice(["A", "B"])
    corners = [f"{thick + r.gauss(0, 0.4):.1f} mm" for _ in range(4)]
    return f"""\
size: {{length: {length:.0f} mm, width: {width:.0f} mm}}
straightedge:
  bow: {{reads: {abs(r.gauss(0, 1.5)):.1f} mm, hollow: {face}}}
  cup: {{reads: {abs(r.gauss(0, 1)):.1f} mm, hollow: {face}}}
  twist: {{reads: {abs(r.gauss(0, 5)):.1f} mm, high: {edge}, sticks: 600 mm}}
  crook: {{reads: {abs(r.gauss(0, 2)):.1f} mm, hollow: {edge}}}
  corners:
    end-1: {{near: {corners[0]}, far: {corners[1]}}}
    end-2: {{near: {corners[2]}, far: {corners[3]}}}
"""


def _nominal(_: Path, __: random.Random, length: float, width: float, thick: float) -> str:
    return (
        f"nominal: {{length: {length:.0f} mm, width: {width:.0f} mm, thickness: {thick:.0f} mm}}\n"
        "surface: rough\n"
    )


@pytest.mark.parametrize("way", [_probed, _sighted, _nominal], ids=["probed", "straightedge", "nominal"])
@pytest.mark.parametrize("seed", [0, *(pytest.param(n, marks=pytest.mark.wide) for n in range(1, 4))])
def test_a_board_of_each_way_is_proven_or_honestly_refused(
    way: Callable[[Path, random.Random, float, float, float], str], seed: int, tmp_path: Path
) -> None:
    """A board known well or hardly gives a proven packet, or reasons with numbers and a cure."""
    r = random.Random(seed)
    length, width, thick = r.uniform(400, 1300), r.uniform(90, 260), r.uniform(30, 50)
    path = tmp_path / "board.yaml"
    text = way(tmp_path, r, length, width, thick)
    path.write_text(f"stockwright: board/1\nname: drawn {seed}\n{text}", encoding="utf-8")
    values = {
        "length": f"{length - 30:.0f} mm",
        "width": f"{width - 20:.0f} mm",
        "thickness": f"{min(thick - 6, 38):.1f} mm",
    }
    proven_or_honestly_refused(path, values)
