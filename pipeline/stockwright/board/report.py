"""What a measured board can give, told. In: a `Board`. Out: plain values for programs, lines for people.

Promise: the three ways of seating stand side by side, so that what measuring and shims gain can be seen;
every number that rests on an assumption is said with it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.board.seating import seat
from stockwright.board.warp import warps

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from stockwright.board.seating import Policy
    from stockwright.board.surface import Board

__all__ = ["board_lines", "report"]

_WARPS = ("bow", "cup", "twist", "crook", "wedge")


def report(board: Board, shop_shims: Sequence[float] = ()) -> dict[str, Any]:
    """Return a board's account as plain values, mm; the thicknesses hold before any allowance."""
    seatings = {p: seat(board, policy=p, shop_shims=shop_shims) for p in _policies()}
    best, measured = seatings["thickest"], warps(board)
    low, high = np.min(board.outline, axis=0), np.max(board.outline, axis=0)
    return {
        "name": board.name,
        "rough": {"length": _mm(high[0] - low[0]), "width": _mm(high[1] - low[1])},
        "uncertainty": _mm(board.uncertainty),
        "notes": list(board.notes),
        "flatness": {"A": _mm(measured.face_a.value), "B": _mm(measured.face_b.value)},
        "warp": {
            kind: {"value": _mm(warp.value), "x": _mm(warp.x), "y": _mm(warp.y), "where": warp.where}
            for kind in _WARPS
            for warp in (getattr(measured, kind),)
        },
        "thickest": _mm(best.thickness),
        "no_rocking": _mm(seatings["no-rocking"].thickness),
        "at_rest": _mm(seatings["as-it-lies"].thickness),
        "shims": [{"x": _mm(s.x), "y": _mm(s.y), "thickness": _mm(s.thickness)} for s in best.shims],
        "limiting": best.why,
    }


def board_lines(reports: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield the accounts for a terminal, and for several boards what all of them can give."""
    listed = list(reports)
    for r in listed:
        yield f"{r['name']}: {r['rough']['length']:.0f} x {r['rough']['width']:.0f} mm rough"
        yield from (f"  {note}" for note in r["notes"])
        yield f"  flat within {r['flatness']['A']:.2f} mm (face A) and {r['flatness']['B']:.2f} mm (face B)"
        for kind in _WARPS:
            yield f"  {kind:<6} {r['warp'][kind]['value']:>6.2f} mm  {r['warp'][kind]['where']}"
        yield "  thickness it can give, before anything is left for doubt"
        yield f"    {r['at_rest']:>6.2f} mm  as it lies"
        yield f"    {r['no_rocking']:>6.2f} mm  shimmed only until it does not rock"
        yield f"    {r['thickest']:>6.2f} mm  shimmed for the most"
        yield f"  {r['limiting']}"
        yield "  shims, board frame: along from end-1, across from edge-1, thickness"
        for s in r["shims"]:
            yield f"    {s['x']:>8.1f} {s['y']:>8.1f} {s['thickness']:>6.2f} mm"
        if not r["shims"]:
            yield "    none"
    if len(listed) > 1:
        least = min(listed, key=lambda r: (r["thickest"], r["name"]))
        yield f"all {len(listed)} boards can give {least['thickest']:.2f} mm; {least['name']} limits it"


def _policies() -> tuple[Policy, ...]:
    return ("thickest", "no-rocking", "as-it-lies")


def _mm(value: float) -> float:
    """Round to a micrometre: far below any reading, and equal on every processor."""
    return round(float(value), 3) + 0.0
