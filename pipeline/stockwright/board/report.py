"""A board's account as plain values, for programs and for `telling`. In: `Account`. Out: JSON's types.

Public:
    report(account) -> dict         one board, mm; thicknesses hold before any allowance
    together(accounts) -> dict      several boards: what all can give, what limits it, how to lay them
Promise: the names of the fields stay; what is added stands beside them; every number is to a micrometre.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.board.first_face import alternate
from stockwright.board.squared import from_edge

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.board.account import Account
    from stockwright.board.flatness import Contact, Zone
    from stockwright.board.pieces import Size
    from stockwright.board.skips import Skips

__all__ = ["WARPS", "report", "together"]

WARPS = ("bow", "cup", "twist", "crook", "wedge")


def report(account: Account) -> dict[str, Any]:
    """Return a board's account as plain values, mm."""
    board, measured = account.board, account.warps
    best = account.seatings["thickest"]
    low, high = np.min(board.outline, axis=0), np.max(board.outline, axis=0)
    return {
        "name": board.name,
        "rough": {"length": _mm(high[0] - low[0]), "width": _mm(high[1] - low[1])},
        "uncertainty": _mm(board.uncertainty),
        "notes": list(board.notes),
        "flatness": {"A": _mm(measured.face_a.value), "B": _mm(measured.face_b.value)},
        "flatness_at": {"A": _zone(measured.face_a), "B": _zone(measured.face_b)},
        "warp": {
            kind: {"value": _mm(warp.value), "x": _mm(warp.x), "y": _mm(warp.y), "where": warp.where}
            for kind in WARPS
            for warp in (getattr(measured, kind),)
        },
        "thickest": _mm(best.thickness),
        "no_rocking": _mm(account.seatings["no-rocking"].thickness),
        "at_rest": _mm(account.seatings["as-it-lies"].thickness),
        "rocking": _mm(account.seatings["as-it-lies"].rocking),
        "shims": [{"x": _mm(s.x), "y": _mm(s.y), "thickness": _mm(s.thickness)} for s in best.shims],
        "shim_card": {
            "sizes": [_mm(size) for size in account.asked.shop_shims],
            "gaps": [_mm(s.wanted) for s in best.shims],
            "stacks": [[_mm(piece) for piece in s.stack] for s in best.shims],
            "rounding_costs": _mm(account.ideal.thickness - best.thickness),
        },
        "seating_notes": list(best.notes),
        "limiting": best.why,
        "limiting_at": [
            {"face": "A" if at.side == "top" else "B", "x": _mm(at.x), "y": _mm(at.y), "z": _mm(at.z)}
            for at in best.limiting
        ],
        "largest": _largest(account),
        "cut_first": [
            {
                "pieces": each.lengthwise,
                "strips": each.crosswise,
                **_size(each.size),
                "each": [_mm(t) for t in each.each],
            }
            for each in account.parts
        ],
        "skips": {
            "share": round(account.asked.skips, 6),
            "hidden": {each.face: _skips(each) for each in account.skips},
        },
        "first_face": {
            "face": account.first.face,
            "why": account.first.why,
            "face_down": {
                way.face: {
                    "at_rest": _mm(way.at_rest),
                    "rocking": _mm(way.rocking),
                    "largest_shim": _mm(way.largest_shim),
                }
                for way in account.first.ways
            },
        },
        "crown": account.crown,
        "rises_towards": [
            {"side": each.side, "towards": each.towards, "read": each.read, "cut": each.words}
            for each in account.rises
        ],
    }


def together(accounts: Sequence[Account]) -> dict[str, Any]:
    """Return what all boards can give, which limits each measure, and which faces go up side by side."""
    sizes = [(each.board.name, each.whole.size) for each in accounts]
    limits = {
        measure: min(sizes, key=lambda named: (getattr(named[1], measure), named[0]))
        for measure in ("length", "width", "thickness")
    }
    thinnest = min(accounts, key=lambda each: (each.seatings["thickest"].thickness, each.board.name))
    laid = alternate(each.crown for each in accounts)
    return {
        "thickest": _mm(thinnest.seatings["thickest"].thickness),
        "thickest_limited_by": thinnest.board.name,
        "largest": {measure: _mm(getattr(size, measure)) for measure, (_, size) in limits.items()},
        "limited_by": {measure: name for measure, (name, _) in limits.items()},
        "faces_up": [
            {"name": each.board.name, "face": face, "crown": shape}
            for each, (face, shape) in zip(accounts, laid, strict=True)
        ],
    }


def _largest(account: Account) -> dict[str, Any]:
    """Return the largest box and the line to lay it out by: where edge-1 is to run, from end to end."""
    squared, corners = account.whole.squared, account.whole.region
    ends = corners[:2]
    inset = from_edge(account.board.outline, ends)
    return {
        **_size(account.whole.size),
        "angle": round(squared.angle, 4) + 0.0,
        "corners": [[_mm(x), _mm(y)] for x, y in corners],
        "edge_1_line": [
            {"x": _mm(x), "y": _mm(y), "from_edge_1": _mm(off)}
            for (x, y), off in zip(ends, inset, strict=True)
        ],
    }


def _size(size: Size) -> dict[str, float]:
    return {"length": _mm(size.length), "width": _mm(size.width), "thickness": _mm(size.thickness)}


def _skips(skips: Skips) -> dict[str, float]:
    return {
        "thickness": _mm(skips.thickness),
        "kept": round(skips.kept, 6),
        "deepest": _mm(skips.deepest),
        "x": _mm(skips.x),
        "y": _mm(skips.y),
    }


def _zone(zone: Zone) -> dict[str, list[dict[str, float]]]:
    return {"low": _places(zone.low), "high": _places(zone.high)}


def _places(contacts: Sequence[Contact]) -> list[dict[str, float]]:
    return [{"x": _mm(c.x), "y": _mm(c.y), "z": _mm(c.z)} for c in contacts]


def _mm(value: float) -> float:
    """Round to a micrometre: far below any reading, and equal on every processor."""
    return round(float(value), 3) + 0.0
