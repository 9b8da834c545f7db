"""Boards of at most 300 x 100 mm for the bench of mutants. In: a kind, a seed or sizes. Out: a document.

Readings are made up; those of rough boards come from the seeded generator that sweeps use.
"""

from __future__ import annotations

from rough_boards import Rough, rough

__all__ = ["glued", "rough_board", "slab", "surfaced"]

LONGEST, WIDEST = (190.0, 296.0), (66.0, 96.0)


def rough_board(seed: int, thick: tuple[float, float] = (22, 38)) -> Rough:
    """Give a rough board and the size that it yields."""
    return rough(seed, LONGEST, WIDEST, thick)


def surfaced(name: str, length: float, width: float, thick: float, skew: float = 1.0) -> str:
    """Give a board planed on both faces and jointed, its ends from the saw, `skew` out of square."""
    return _board(
        name,
        f"edge-1: {{along: [0 mm, {length / 2} mm, {length} mm], offset: [0 mm, 0.1 mm, 0 mm]}}\n"
        f"edge-2: {{along: [0 mm, {length / 2} mm, {length} mm],"
        f" offset: [{width} mm, {width + 0.1} mm, {width} mm]}}\n"
        f"ends:\n  end-1: {{near: 0 mm, far: {skew} mm}}\n"
        f"  end-2: {{near: {length} mm, far: {length - skew} mm}}\n",
        [10, length / 2, length - 10],
        [8, width - 8],
        [[thick + 0.05, thick + 0.1], [thick + 0.1, thick + 0.05], [thick + 0.05, thick + 0.05]],
        [[thick + 0.05, thick + 0.1], [thick + 0.1, thick + 0.05], [thick + 0.05, thick + 0.05]],
        0.05,
    )


def glued(name: str, length: float, width: float, thick: float) -> str:
    """Give a panel of strips, or a block, with a ridge at each joint."""
    along = [10, length / 2, length - 10]
    across = [8, width / 3, width / 2, 2 * width / 3, width - 8]
    ridges = [[thick + 0.1 * ((3 * i + 2 * j) % 5) for j in range(5)] for i in range(3)]
    rim = [[thick - 0.4 if i != 1 or j in {0, 4} else None for j in range(5)] for i in range(3)]
    return _board(
        name, f"size: {{length: {length} mm, width: {width} mm}}\n", along, across, ridges, rim, 0.2
    )


def slab(name: str) -> str:
    """Give a slab with natural edges and a knot fallen out."""
    outline = (
        "outline:\n  along: [0 mm, 60 mm, 140 mm, 220 mm, 290 mm, 292 mm, 200 mm, 110 mm, 40 mm, 2 mm]\n"
        "  across: [8 mm, 2 mm, 0 mm, 5 mm, 3 mm, 92 mm, 97 mm, 91 mm, 96 mm, 90 mm]\n"
        "voids:\n  - {along: [120 mm, 150 mm, 170 mm, 145 mm], across: [40 mm, 34 mm, 48 mm, 60 mm]}\n"
    )
    top = [[36.4, 35.9, 36.5], [36.9, 36.3, 36.8], [36.5, 36.0, 36.3]]
    return _board(name, outline, [15, 145, 275], [14, 48, 82], top, [[35.6, 35.7, 35.6]] * 3, 0.2)


def _board(
    name: str,
    shape: str,
    along: list[float],
    across: list[float],
    heights: list[list[float]],
    thickness: list[list[float | None]],
    unsure: float,
) -> str:
    def rows(table: list[list[float | None]] | list[list[float]]) -> str:
        cells = [["-" if value is None else f"{value:.2f} mm" for value in row] for row in table]
        return "\n".join(f"    - [{', '.join(row)}]" for row in cells)

    def places(values: list[float]) -> str:
        return ", ".join(f"{value:.1f} mm" for value in values)

    return (
        f"stockwright: board/1\nname: {name}\n{shape}heights:\n  along: [{places(along)}]\n"
        f"  across: [{places(across)}]\n  rows:\n{rows(heights)}\nthickness:\n  rows:\n{rows(thickness)}\n"
        f"uncertainty: {unsure} mm\n"
    )
