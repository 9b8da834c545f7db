"""Neutral motion: what a program does, said without any controller's words.

In: the cut stage builds these. Out: posts write them. Promise: work frame, mm, mm/min, rpm, absolute
positions already on the post's resolution; a rapid is vertical, or level at a height clear of everything.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stockwright.tooling import Tool

__all__ = [
    "NODES",
    "Arc",
    "Dust",
    "Dwell",
    "Feed",
    "Node",
    "Pause",
    "Probe",
    "Program",
    "Rapid",
    "Remark",
    "SpindleOff",
    "SpindleOn",
    "UseTool",
]


@frozen
class Remark:
    """Text for people. Never acts, whatever it says."""

    text: str


@frozen
class UseTool:
    """The cutter this program expects: its number and name in the shop's document."""

    number: int
    name: str


@frozen
class SpindleOn:
    """Turn clockwise, seen from above, at `rpm`."""

    rpm: float


@frozen
class SpindleOff:
    """Stop the spindle."""


@frozen
class Rapid:
    """Move without cutting; None leaves an axis where it is."""

    x: float | None = None
    y: float | None = None
    z: float | None = None


@frozen(eq=False)
class Feed:
    """Straight lines through `points`, (n, 3), in order, from the present place, at `feed` mm/min."""

    points: NDArray[np.float64]
    feed: float


@frozen
class Arc:
    """An arc about `centre` (x, y) from the present place to `end` (x, y, z) at `feed` mm/min, mm.

    `clockwise` as seen from above; z rises or falls evenly along it. At most a quarter turn, so that rounding
    never makes a whole circle of it; `motion.arcs` judges and measures it. A longer arc is several.
    """

    centre: tuple[float, float]
    end: tuple[float, float, float]
    clockwise: bool
    feed: float


@frozen
class Probe:
    """Go straight down at `feed` mm/min until something is touched, at most to `z`; then z is not known.

    The spindle is off. What follows goes straight up to a height that is clear of everything.
    """

    z: float
    feed: float


@frozen
class Dwell:
    """Wait, spindle as it is."""

    seconds: float


@frozen
class Pause:
    """Wait for the person. Never the only guard before hands go in: a file's end is."""

    text: str


@frozen
class Dust:
    """Switch the dust collector."""

    on: bool


Node = Remark | UseTool | SpindleOn | SpindleOff | Rapid | Feed | Arc | Probe | Dwell | Pause | Dust

NODES: tuple[type, ...] = (
    *(Remark, UseTool, SpindleOn, SpindleOff, Rapid, Feed, Arc),
    *(Probe, Dwell, Pause, Dust),
)


@frozen(eq=False)
class Program:
    """One file's worth: one tool, one purpose, in one setup.

    `stem` is the file name without folder or extension (lower case letters, digits, hyphens); `standing`
    names the solids that stand while it runs; `touch_off` says how z is taken before it.
    """

    stem: str
    title: str
    setup: int
    purpose: Literal["outline", "cut", "probe"]
    tool: Tool
    nodes: tuple[Node, ...]
    standing: tuple[str, ...]
    touch_off: str
