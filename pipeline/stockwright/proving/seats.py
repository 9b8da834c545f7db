"""What a board lies on against how it lies. In: a setup, its boards as they lie. Out: reasons.

A person lays the board by the sheet's shims and heights to read; the proof lays it by a matrix. Promise:
where the two part by more than readings leave open, the packet is refused: the board would lie otherwise.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.proving.facts import disagree

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stockwright.packet.model import Reason, Setup
    from stockwright.proving.lying import Lying

    Floats = NDArray[np.float64]

__all__ = ["judge_seats"]

ON_TOP = 1.0  # mm: readings, and what is unsure of the highest wood; a touch on wood is known no better
SLACK = 0.3  # mm: steps of shims, and how an underside runs within a cell; measured, up to 0.1 in our packets


def judge_seats(setup: Setup, boards: Sequence[Lying]) -> list[Reason]:
    """Tell of boards that lie in their support, and of shims that are not as high as the gap above them.

    What lies on what is known only where z is touched off on the support, which is then at work z 0, and the
    board lies on a face. Where it is touched off on wood, the highest wood is at work z 0.
    """
    if setup.zero.z == "stock-top" and boards:
        highest = max(lying.wood.top(lying.lay) for lying in boards)
        if abs(highest) > ON_TOP:
            text = f"z is touched off on the board, and its highest place is at z {highest:.2f}, not at 0"
            return [_reason(setup, text, highest, 0.0)]
    if setup.zero.z != "support":
        return []
    lies = {each.board: each for each in setup.lies}
    found: list[Reason] = []
    for lying in boards:
        name = lying.wood.name
        if name is None or lies[name].up not in {"A", "B"}:
            continue
        moved = lies[name].moved
        gaps = _heights(lying, -lying.lay.side)
        shims = [shim for shim in setup.shims if shim.board == name]
        low, most = float(np.nanmin(gaps)) if np.isfinite(gaps).any() else 0.0, SLACK + moved
        if low < -SLACK:
            found.append(_reason(setup, f"{name} lies {-low:.2f} mm deep in what it lies on", low, -SLACK))
        for shim in shims:
            gap = _at(lying, gaps, (shim.x, shim.y))
            if np.isfinite(gap) and abs(gap - shim.thickness) > most:
                text = (
                    f"the shim at x {shim.x:g}, y {shim.y:g} is {shim.thickness:g} mm, "
                    f"and the gap under {name} there is {gap:.2f} mm"
                )
                found.append(_reason(setup, text, shim.thickness, gap))
        top = _heights(lying, lying.lay.side)
        for x, y, reads, within in setup.seat_check:
            stands = _at(lying, top, (x, y))  # as it was measured: it may stand higher by what is unsure
            if np.isfinite(stands) and abs(reads - stands) > within + moved + SLACK:
                text = (
                    f"{name} is to read {reads:g} mm at x {x:g}, y {y:g}, and is {stands:.2f} mm high there"
                )
                found.append(_reason(setup, text, reads, stands))
    return found


def _reason(setup: Setup, message: str, measured: float, limit: float) -> Reason:
    return disagree(message, round(measured, 3), round(limit, 3), setup=setup.index)


def _heights(lying: Lying, side: int) -> Floats:
    """Give the work z of each cell's face on a side, (rows, columns), as measured; NaN where not known."""
    wood, lay = lying.wood, lying.lay
    x, y = wood.grid.centres()
    known = np.isfinite(wood.lo[side]) & wood.stands()
    height = np.where(known, wood.lo[side], np.nan) * (1 if side == lay.side else -1)
    found: Floats = np.asarray(lay.work_z(height, x[None, :], y[:, None]))
    return found


def _at(lying: Lying, field: Floats, place: tuple[float, float]) -> float:
    """Read a field at work x, y; NaN beyond it."""
    grid = lying.wood.grid
    at = lying.lay.to_grid @ np.array([*place, 0.0, 1.0])
    column, row = int((at[0] - grid.x0) // grid.cell), int((at[1] - grid.y0) // grid.cell)
    inside = 0 <= row < grid.rows and 0 <= column < grid.columns
    return float(np.broadcast_to(field, (grid.rows, grid.columns))[row, column]) if inside else float("nan")
