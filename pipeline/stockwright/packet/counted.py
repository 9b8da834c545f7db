"""Counting for the sheet: hold-downs by name, and the shims that make up a thickness.

In: names, thicknesses in mm. Out: how many of each. Promise: the parts of one thing are counted once.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

from stockwright.hold_downs import thing_of

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["kind_of", "numbered", "stack", "things"]

NEAREST = 0.011  # mm: a stack may miss its thickness by rounding


def stack(thickness: float, stock: Iterable[float]) -> list[float]:
    """Return which of the stock's shims make a thickness, the thickest first; none where they do not."""
    from stockwright.board import shims  # needs numpy, which many who count do not

    have = sorted(stock)
    # A stock is told in millimetres rounded elsewhere: each part is named as the stock names it.
    parts = [min(have, key=lambda each: abs(each - part)) for part in shims.stack(thickness, tuple(have))]
    return parts if parts and abs(sum(parts) - thickness) <= NEAREST else []


def numbered(names: Iterable[str]) -> dict[str, str]:
    """Return by which number the drawing knows each solid: the parts of one thing bear one number."""
    every = list(names)
    known = list(dict.fromkeys(thing_of(name) for name in every))
    return {name: str(known.index(thing_of(name)) + 1) for name in every}


def kind_of(name: str) -> str:
    """Return what a solid is, without its number and its place: `toe-clamp`."""
    return next(iter(things([name]))).partition(" at ")[0]


def things(names: list[str]) -> Counter[str]:
    """Count things: an arm and a body are one clamp, "side-clamp 2 at edge-1" is a side-clamp."""
    whole = {thing_of(name.partition(", ")[0]) for name in names}
    return Counter(re.sub(r" \d+\b.*$| at (?:edge|end)-[12]$", "", name) for name in whole)
