"""One shop's own things, bound to millimetres. In: a shop's document. Out: what plans and checks stand on.

Bed frame (X right, Y away, Z up, origin at the low corner of travel, Z = 0 on the bed surface), mm, mm/min,
rpm, W, degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from stockwright.tooling import Tool

__all__ = [
    "Attached",
    "Backing",
    "Bed",
    "Fence",
    "HoldDown",
    "Machine",
    "Shop",
    "SideClamp",
    "Stop",
    "TopClamp",
    "TouchProbe",
]

Span = tuple[float, float]


@dataclass(frozen=True)
class Attached:
    """A thing that rides with the spindle: heights above the nose ("z") or above the bed ("gantry")."""

    name: str
    outline: tuple[tuple[float, float], ...]
    bottom: float
    top: float
    moves_with: Literal["z", "gantry"]
    soft: bool


@dataclass(frozen=True)
class Machine:
    """Travel is of the spindle nose; `spoilboard` is how far below the bed the tip may go."""

    name: str
    x: Span
    y: Span
    z: Span
    rapid: float
    rapids: Literal["straight", "independent"]
    acceleration: float
    max_feed: float
    min_rpm: float
    max_rpm: float
    power: float
    spoilboard: float
    margin: float
    park: tuple[float, float]
    attached: tuple[Attached, ...] = ()


@dataclass(frozen=True)
class Bed:
    """`mark` is where x and y are zero in every setup; `area` may hold a board; `skimmed`: when, as text."""

    mark: tuple[float, float]
    x: Span
    y: Span
    skimmed: str | None


@dataclass(frozen=True)
class Fence:
    """Along x on the near side: `face` is the y of its working face, which looks towards rising y."""

    face: float
    depth: float
    height: float
    pieces: tuple[Span, ...]
    liftable: bool
    wooden: bool
    straightness: float
    angle: float


@dataclass(frozen=True)
class SideClamp:
    """Squeezes an edge from the side: `length` along the board, `depth` away from it."""

    name: str
    count: int
    length: float
    depth: float
    height: float


@dataclass(frozen=True)
class Stop:
    """Stands against an end or edge and carries the feed force."""

    name: str
    count: int
    length: float
    depth: float
    height: float


@dataclass(frozen=True)
class TopClamp:
    """Presses on the upper face: an arm of `width`, up to `reach` onto the board, from a body beside it.

    `arm` is the greatest distance from the arm's tip to the near side of the body; the body is
    `body_depth` deep, as wide as the arm, and as high as the arm's upper side.
    """

    name: str
    count: int
    width: float
    arm: float
    arm_height: float
    body_depth: float
    reach: float


@dataclass(frozen=True)
class Backing:
    """Scrap that backs an edge where teeth leave the wood; the cutter may pass through it."""

    name: str
    count: int
    length: float
    depth: float


HoldDown = SideClamp | Stop | TopClamp | Backing


@dataclass(frozen=True)
class TouchProbe:
    """What feels the wood: a tool that cuts nothing, how far its tip gives, and how fast it may touch."""

    tool: Tool
    over_travel: float
    feed: float


@dataclass(frozen=True)
class Shop:
    """Everything of the shop that a job needs."""

    name: str
    post: str
    units: Literal["mm", "inch"]
    machine: Machine
    bed: Bed
    fence: Fence | None
    hold_downs: tuple[HoldDown, ...]
    shims: tuple[float, ...]
    tools: tuple[Tool, ...]
    probe: TouchProbe | None = None
    longest_span: float = 400.0  # mm between supports of a board; common practice, no source
