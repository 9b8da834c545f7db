"""A board lying flat on a bed, its low corner at the mark, as it is known when hold-downs are placed.

In: hold-downs and keyword parameters. Out: real `Clamping` values, mm, so that a test can say to the
millimetre what stands where. Both faces are flat: of the board only its name and its outline are read.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from cutters import tool
from setups import shop
from stockwright.planning.clamping import Clamping
from stockwright.planning.wood import Place, Wood

if TYPE_CHECKING:
    from stockwright.hold_downs import HoldDown, Places
    from stockwright.tooling import Tool

__all__ = ["CUTTER", "bounds", "clamping", "flat_wood"]

# 12 mm across; from 60 mm over its tip on a nut of 34 mm, from 82 mm on a nose of 70 mm.
CUTTER: Tool = tool()


def bounds(thing: Any) -> list[float]:
    """Give low x, low y, high x, high y of an outline or of what has one."""
    outline = np.asarray(getattr(thing, "outline", thing))
    return [round(float(v), 6) for v in (*outline.min(axis=0), *outline.max(axis=0))]


def flat_wood(length: float, width: float, thick: float, **said: Any) -> Wood:
    """Give a board as long and wide as its piece, its corner at the piece's."""
    board: Any = SimpleNamespace(name="elm", species=None, uncertainty=0.1)
    given = {"heights": {"A": thick, "B": 0.0}} | said
    return Wood(board, np.eye(4), thick, shapely.box(0.0, 0.0, length, width), 0.0, **given)


def clamping(
    *hold_downs: HoldDown,
    length: float = 600.0,
    width: float = 200.0,
    thick: float = 25.0,
    places: Places | None = None,
    in_shop: dict[str, Any] | None = None,
    outline: shapely.Polygon | None = None,
    **said: Any,
) -> Clamping:
    """Give a clamping with face A up and the board's low corner at the mark; `said` are its other fields."""
    own = shop()
    own = replace(own, hold_downs=hold_downs, bed=replace(own.bed, places=places), **(in_shop or {}))
    wood = flat_wood(length, width, thick)
    wood = wood if outline is None else replace(wood, outline=outline)
    given: dict[str, Any] = {"index": 3, "place": Place("A", 0), "face_height": thick} | said
    return Clamping(shop=own, wood=wood, **given)
