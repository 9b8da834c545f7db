"""Numbers in findings. In: mm. Out: text, rounded to the side on which following it cures."""

from __future__ import annotations

import math

__all__ = ["down", "shown", "up"]

GRAIN = 1e-9  # a number that is a tenth already must not be pushed to the next one by its last bits


def up(value: float, step: float = 0.1) -> str:
    """Return `value` rounded up to `step`: for what must be at least so much."""
    return shown(math.ceil(value / step - GRAIN) * step)


def down(value: float, step: float = 0.1) -> str:
    """Return `value` rounded down to `step`: for what may be at most so much."""
    return shown(math.floor(value / step + GRAIN) * step)


def shown(value: float) -> str:
    """Return `value` with at most two decimals, none that say nothing."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
