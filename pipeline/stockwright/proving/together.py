"""Level moves of one height, judged and cut together. In: their ends, the wood. Out: yes or no; wood cut.

Promise: "nothing here" is answered only where no single move, one after another, would find anything: wood
only gets lower, so what stands before the first of them is the most that any of them meets.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.proving.sweep_many import cover

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from stockwright.proving.frames import Lay
    from stockwright.proving.program import Moves
    from stockwright.proving.wood import Wood

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["FEW", "cut_level", "may_be_thicker", "may_stand_above", "stretches", "too_wide"]

MOST = 2048  # moves: their cells are then a few megabytes
FEW = 8  # moves: fewer are as quick one by one
AREA = 500_000  # cells of the box that moves are covered in: more cost more than they save


def stretches(moves: Moves, plain: Mask) -> Iterator[tuple[int, int]]:
    """Part moves into stretches, first and last + 1: `plain` ones of one height, and what is between."""
    n = len(moves)
    alike = plain[1:] & plain[:-1] | ~plain[1:] & ~plain[:-1]
    same = (moves.end[1:, 2] == moves.end[:-1, 2]) & (moves.sagitta[1:] == moves.sagitta[:-1])
    cuts = np.flatnonzero(~(alike & (same | ~plain[1:]))) + 1
    for first, last in zip([0, *cuts.tolist()], [*cuts.tolist(), n], strict=True):
        for k in range(first, last, MOST):
            yield k, min(last, k + MOST)


def too_wide(wood: Wood, a: Floats, b: Floats, radius: float) -> bool:
    """Say whether moves lie so far apart that their box holds more cells than are worth it."""
    size = np.maximum(a, b).max(axis=0)[:2] - np.minimum(a, b).min(axis=0)[:2] + 2 * radius
    return float(size[0] * size[1]) > AREA * wood.grid.cell**2


def _flat(lay: Lay, points: Floats, z: float) -> Floats:
    m = lay.to_grid
    found: Floats = points[:, :2] @ m[:2, :2].T + (m[:2, 2] * z + m[:2, 3])
    return found


def may_stand_above(
    wood: Wood, lay: Lay, a: Floats, b: Floats, radius: float, z: float, plane: float
) -> bool:
    """Say whether wood may stand above work z `plane` where discs at z pass, from a to b (n, 3)."""
    patch = cover(wood.grid, _flat(lay, a, z), _flat(lay, b, z), radius, inside=False)
    if patch is None:
        return False
    upper = wood.hi[lay.side][patch.part]
    height = float(lay.height(plane, 0.0, 0.0)) - lay.wobble
    return bool((patch.mask & (upper > height) & (upper + wood.hi[-lay.side][patch.part] > 0)).any())


def may_be_thicker(
    wood: Wood, lay: Lay, a: Floats, b: Floats, radius: float, z: float, depth: float, block: int
) -> bool:
    """Say whether cuts from a to b (n, 3), tip at z, may take more than `depth`: `Wood.thicker`."""
    patch = cover(wood.grid, _flat(lay, a, z), _flat(lay, b, z), radius, inside=True)
    if patch is None:
        return False
    upper = wood.hi[lay.side][patch.part]
    square = patch.mask & (upper > float(lay.height(z + depth, 0.0, 0.0)))
    square &= upper + wood.hi[-lay.side][patch.part] > 0
    for _ in range(block - 1):
        square = square[1:, :] & square[:-1, :]
    for _ in range(block - 1):
        square = square[:, 1:] & square[:, :-1]
    return bool(square.any())


def cut_level(wood: Wood, lay: Lay, a: Floats, b: Floats, radius: float, z: float, slack: float) -> None:
    """Sweep a cutter, its tip at work z, along all of a-b (n, 3): `Wood.cut` for each of them."""
    p, q = _flat(lay, a, z), _flat(lay, b, z)
    height = float(lay.height(z, 0.0, 0.0))
    for field, reach, off, inside in (
        (wood.hi[lay.side], radius - slack, lay.wobble, True),
        (wood.lo[lay.side], radius + slack, -lay.wobble, False),
    ):
        patch = cover(wood.grid, p, q, reach, inside=inside)
        if patch is not None:
            cells = field[patch.part]
            np.minimum(cells, height + off, out=cells, where=patch.mask)
