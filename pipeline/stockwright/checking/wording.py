"""Numbers in findings. In: mm. Out: text, rounded to the side on which following the advice really cures."""

from __future__ import annotations

import math

__all__ = ["down", "feed_down", "feed_up", "fewer_flutes", "shown", "up"]

GRAIN = 1e-9  # a number that is a tenth already must not be pushed to the next one by its last bits


def up(value: float, step: float = 0.1) -> str:
    """Return `value` rounded up to `step`: for what must be at least so much."""
    return shown(math.ceil(value / step - GRAIN) * step)


def down(value: float, step: float = 0.1) -> str:
    """Return `value` rounded down to `step`: for what may be at most so much."""
    return shown(math.floor(value / step + GRAIN) * step)


def feed_down(value: float, least: float = 0.0) -> str:
    """Return a feed rounded down to two figures, easy to set at a machine; never below `least`."""
    return down(value, next((s for s in _steps(value) if _fits(math.floor(value / s + GRAIN) * s, least)), 1))


def feed_up(value: float, most: float = math.inf) -> str:
    """Return a feed rounded up to two figures; where that is above `most`, to three, and so on."""
    return up(value, next((s for s in _steps(value) if math.ceil(value / s - GRAIN) * s <= most), 1))


def _steps(value: float) -> tuple[float, ...]:
    """Return the steps of numbers with two and three figures about `value`, none finer than 1."""
    if value <= 0:
        return (1.0,)
    whole = 10.0 ** math.floor(math.log10(value) + GRAIN)
    return tuple(step for step in (whole / 10, whole / 100) if step >= 1)


def _fits(value: float, least: float) -> bool:
    return value > 0 and value >= least


def fewer_flutes(flutes: int, share: float, rpm: float, slowest: float) -> str:
    """Say how many flutes make a proper chip of a feed that is `share` of the one wanted at `rpm`.

    Where not even one does, it may turn slower: down to `slowest`, the spindle's own least speed.
    """
    most = int(flutes * share)
    if most < 1:
        slower = rpm * flutes * share
        if slower >= slowest:
            speed = max(math.floor(slower / 100 + GRAIN) * 100, slowest)
            return f"take a cutter with one flute and set its speed to {shown(speed)} rpm"
        return f"run it on a machine that feeds {up(1 / (flutes * share), 0.1)} times as fast with one flute"
    return f"take a cutter with at most {most} flute{'s' if most > 1 else ''}"


def shown(value: float) -> str:
    """Return `value` with at most two decimals, none that say nothing."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
