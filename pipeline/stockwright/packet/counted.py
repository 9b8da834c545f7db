"""Counting for the sheet: hold-downs by name, and the shims that make up a thickness.

In: names, thicknesses in mm. Out: how many of each. Promise: the parts of one thing are counted once.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["PARTS", "kind_of", "numbered", "stack", "thing_of", "things"]

PARTS = (" arm", " body")  # how the names of a clamp's solids end
NEAREST = 0.011  # mm: a stack may miss its thickness by rounding


def stack(thickness: float, stock: Iterable[float]) -> list[float]:
    """Return which of the stock's shims make a thickness, the thickest first; none where they do not."""
    left = thickness
    parts: list[float] = []
    for shim in sorted(stock, reverse=True):
        while shim > 0 and left >= shim - 0.005 and len(parts) < 12:
            parts.append(shim)
            left -= shim
    return parts if parts and abs(left) <= NEAREST else []


def thing_of(name: str) -> str:
    """Return what a solid is part of: an arm and its body are one clamp."""
    return name.removesuffix(PARTS[0]).removesuffix(PARTS[1])


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
    return Counter(re.sub(r" \d+\b.*$", "", name) for name in whole)
