"""One clamping, planned. In: the plan stage builds it. Out: what cut, check, write and pack work from.

Work frame, mm, unless said. Promise: a setup knows the wood it receives, measured or trued, exactly placed;
nothing here depends on a controller.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stockwright.job import Side
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = [
    "BedCut",
    "Cut",
    "EdgeCut",
    "FaceCut",
    "Goal",
    "Grip",
    "Lies",
    "Placing",
    "PlaneGoal",
    "Setup",
    "ShimPlace",
    "Solid",
    "WallGoal",
]


@dataclass(frozen=True, eq=False)
class Solid:
    """Something that stands: a prism over `outline` (n, 2) from `bottom` to `top`.

    The cutting part may enter it above `may_cut_to` (None: never).
    """

    name: str
    kind: str
    outline: Floats
    bottom: float
    top: float
    may_cut_to: float | None = None


@dataclass(frozen=True)
class Grip:
    """How one hold-down holds a board: work frame, N, mm, mm2.

    `name` is the hold-down's own, without the part ("toe-clamp 2" for its arm and its body). `how`: "press" down
    on the wood at `at`; "push" sideways on it along the unit vector `way`; "carry" a push of the wood against
    `way` by contact, up to `force`; "shear": in the plane any way, up to `force`, spread over `area` (tape, a
    screw); "draw" down over `area` (vacuum). `lifts` is what it carries against lifting beyond that (tape peels,
    screws hold), 0 where nothing is known. `source` says where the force comes from, for the sheet.
    """

    name: str
    board: str
    how: Literal["press", "push", "carry", "shear", "draw"]
    at: tuple[float, float, float]
    force: float
    source: str
    way: tuple[float, float] = (0.0, 0.0)
    area: float = 0.0
    lifts: float = 0.0


@dataclass(frozen=True)
class ShimPlace:
    """A shim under the board."""

    board: str
    x: float
    y: float
    thickness: float


@dataclass(frozen=True, eq=False)
class Lies:
    """How a board lies: `matrix` (4, 4) takes the board frame to the work frame, tilt included.

    `moved` is how far either face may have warped since the setup before, mm.
    """

    board: str
    up: Literal["A", "B"]
    quarter_turns: int
    matrix: Floats
    moved: float = 0.0


@dataclass(frozen=True)
class Placing:
    """A distance to set with a tape: at `x`, from a line on the bed to the board, and the sentence for it."""

    x: float
    distance: float
    text: str


@dataclass(frozen=True, eq=False)
class PlaneGoal:
    """Every point of the board in `region` (n, 2) ends at `z`."""

    board: str | None
    cut: str
    z: float
    region: Floats


@dataclass(frozen=True, eq=False)
class WallGoal:
    """Seen along `path` (2, 2): no wood is cut on the `inside`, none is left within `clear` outside it."""

    board: str | None
    cut: str
    path: Floats
    inside: Literal["left", "right"]
    z: tuple[float, float]
    clear: float


Goal = PlaneGoal | WallGoal


@dataclass(frozen=True, eq=False)
class FaceCut:
    """A face to cut down to `z` over `region` (n, 2), the whole board as it now is.

    `grid_x` (n,), `grid_y` (m,), `wood` (n, m): upper height of the wood over the region's bounding box,
    uncertainty already added, -inf where there is surely none; `ceiling` is its greatest value.
    Stepover and stepdown in mm; `light` is the last level's depth.
    """

    board: str
    name: Literal["face A", "face B"]
    tool: Tool
    z: float
    region: Floats
    grid_x: Floats
    grid_y: Floats
    wood: Floats
    ceiling: float
    passes: Literal["along", "across"]
    direction: Literal["both-ways", "conventional", "climb"]
    perimeter: Literal["none", "first", "last"]
    stepover: float
    stepdown: float
    light: float


@dataclass(frozen=True, eq=False)
class EdgeCut:
    """A straight wall along `line` (2, 2), which spans the board's own wood, wood staying on `inside`.

    `waste` are the polygons (each (n, 2)) outside the line that are milled to chips, backing included;
    the cut goes from `ceiling` (highest wood, uncertainty added) down to `bottom` (below the board).
    """

    board: str | None
    name: str
    side: Side | None
    tool: Tool
    line: Floats
    inside: Literal["left", "right"]
    waste: tuple[Floats, ...]
    ceiling: float
    bottom: float
    stepover: float
    stepdown: float
    light: float


@dataclass(frozen=True, eq=False)
class BedCut:
    """The spoilboard skimmed down to `z` over `region` (n, 2)."""

    name: Literal["bed"]
    tool: Tool
    z: float
    region: Floats
    ceiling: float
    stepover: float
    stepdown: float


Cut = FaceCut | EdgeCut | BedCut


@dataclass(frozen=True, eq=False)
class Setup:
    """One clamping and the cuts made there, in order.

    `work_origin` is the work zero in the bed frame; `zero_z` and `zero_how` say where z is taken and how;
    `wood_outline` (n, 2) is the board as it now is and `wood_top` the highest wood with its uncertainty;
    `clear_z` is a height of the tip that is clear of everything that stands; `seat_check` are three
    heights to read after holding: (x, y, what it must read, within); `notes` are sentences for the sheet;
    `grips` say how the hold-downs among `solids`, and those that are none (tape, vacuum), hold.
    """

    index: int
    title: str
    cuts: tuple[Cut, ...]
    lies: tuple[Lies, ...]
    work_origin: tuple[float, float, float]
    zero_z: Literal["support", "bed", "stock-top"]
    zero_how: str
    goals: tuple[Goal, ...]
    solids: tuple[Solid, ...]
    shims: tuple[ShimPlace, ...]
    placing: tuple[Placing, ...]
    wood_outline: Floats
    wood_top: float
    clear_z: float
    seat_check: tuple[tuple[float, float, float, float], ...]
    notes: tuple[str, ...] = ()
    grips: tuple[Grip, ...] = ()
