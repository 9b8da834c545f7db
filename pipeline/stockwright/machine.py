"""A shop's machine, bed, fence, hold-downs and tools in millimetres. In: a shop's document. Out: `Shop`.

Bed frame (X right, Y away, Z up, origin at the low corner of travel, Z = 0 on the bed surface), mm, mm/min,
rpm, W, degrees. Planning and checks work from these values alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stockwright.forces.mechanics import PRESSURE
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.hold_downs import Channel, HoldDown, Places
    from stockwright.tooling import Tool

__all__ = [
    "Attached",
    "Bed",
    "Errors",
    "Fence",
    "Figure",
    "Machine",
    "Shop",
    "Slide",
    "TouchProbe",
    "ZTouch",
]

Span = tuple[float, float]


@frozen
class Attached:
    """A thing that rides with the spindle: heights above the nose ("z") or above the bed ("gantry")."""

    name: str
    outline: tuple[tuple[float, float], ...]
    bottom: float
    top: float
    moves_with: Literal["z", "gantry"]
    soft: bool


@frozen
class Machine:
    """Travel is of the spindle nose; `spoilboard` is how far below the bed the tip may go.

    `torque` is the most the spindle turns with, N m; `power_at` are (rpm, W), rising; where neither is said
    the least that a spindle so rated can have is taken.
    """

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
    torque: float | None = None
    power_at: tuple[tuple[float, float], ...] = ()


@frozen
class Bed:
    """`mark` is where x and y are zero in every setup; `x` and `y` may hold a board; `skimmed`: when.

    `places` is where hold-downs are bolted, None where they may stand anywhere; `marks` are channels of
    earlier cuts.
    """

    mark: tuple[float, float]
    x: Span
    y: Span
    skimmed: str | None
    places: Places | None = None
    marks: tuple[Channel, ...] = ()


@frozen
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
    carries: float | None = None  # N that one piece bears before it shifts


@frozen
class TouchProbe:
    """What feels the wood: a tool that cuts nothing, how far its tip gives, and how fast it may touch."""

    tool: Tool
    over_travel: float
    feed: float


@frozen
class Figure:
    """How far something of the machine may be out, mm or degrees.

    `within` is how sure a measured value is (k = 2); a value that is not `measured` is the shop's word.
    """

    value: float
    within: float = 0.0
    measured: bool = False


@frozen
class Errors:
    """What the shop says of its machine's errors; None where it says nothing.

    Degrees: how far the spindle leans left or right (`tilt_x`) and away or towards you (`tilt_y`), how far
    the axes are out of square, how far the fence is out of the x axis. mm: how far each axis runs crooked
    over its whole travel; the bed off the machine's own motion over its whole area; what a chip or a shim may
    leave under the board; what a riser's height, a touch of z, a mark sighted for x and y, and a cutter's
    marked diameter may be out by; and over each metre, the axes' scale and what warmth does to it.
    """

    tilt_x: Figure | None = None
    tilt_y: Figure | None = None
    squareness: Figure | None = None
    fence_angle: Figure | None = None
    straightness_x: Figure | None = None
    straightness_y: Figure | None = None
    bed: Figure | None = None
    seating: Figure | None = None
    risers: Figure | None = None
    touch: Figure | None = None
    mark: Figure | None = None
    diameter: Figure | None = None
    scale: Figure | None = None
    thermal: Figure | None = None


@frozen
class ZTouch:
    """What lies between tip and bed as z is taken: `thickness`, known and felt `within` so much, mm."""

    by: Literal["paper", "touch-plate"]
    thickness: float
    within: float | None = None


@frozen
class Slide:
    """How a board longer than the machine is found again after it was slid along, mm.

    `within`: how far along x it may then be off; `reads`: how closely fresh wood is read there; `said` are
    the keys that the shop's document states, the others are guesses: common practice, no source.
    """

    register: Literal["stop", "pins", "line"] = "line"
    within: float = 0.5
    reads: float = 0.05
    supports: bool = False
    said: frozenset[str] = frozenset()


@frozen
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
    friction: float | None = None  # of wood on what it lies on and what grips it, by a pull test
    cutting_pressure: float | None = None  # N/mm2
    errors: Errors = Errors()
    z_touch: ZTouch | None = None
    slide: Slide = Slide()
    inch_as: Literal["decimals", "fractions"] = "decimals"
    paper: Literal["a4", "letter"] | None = None  # None: A4 for millimetres, Letter for inches

    @property
    def pressure(self) -> float:
        """The cutting pressure of wood, N/mm2; where the shop does not say, what stands in for it."""
        return self.cutting_pressure or PRESSURE

    def pressure_in(self, species: Iterable[str | None]) -> float:
        """Return the cutting pressure in the hardest of these woods, N/mm2; None is one that nobody names."""
        from stockwright.board.species import SPECIES
        from stockwright.forces.mechanics import hardness

        return self.pressure * max([1.0, *(hardness(SPECIES[each].gravity) for each in species if each)])
