"""One clamping, planned. In: the plan stage builds it. Out: what cut, check, write and pack work from.

Work frame, mm, unless said. Promise: a setup knows the wood it receives, measured or trued, exactly placed;
nothing here depends on a controller.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stockwright.job import Side
    from stockwright.tooling import Tool

    Floats = NDArray[np.float64]

__all__ = [
    "GUESSED",
    "BedCut",
    "Cut",
    "EdgeCut",
    "FaceCut",
    "Goal",
    "Grip",
    "Lies",
    "On",
    "Placing",
    "PlaneGoal",
    "Setup",
    "ShimPlace",
    "Slid",
    "Solid",
    "WallGoal",
]

GUESSED = "guessed"  # the word by which a grip's source says that nobody stated its force


@frozen(eq=False)
class Solid:
    """Something that stands: upright sides over `outline` (n, 2) from `bottom` to `top`.

    The cutting part may enter it above `may_cut_to` (None: never).
    """

    name: str
    kind: str
    outline: Floats
    bottom: float
    top: float
    may_cut_to: float | None = None


@frozen
class Grip:
    """How one hold-down holds a board: work frame, N, mm, mm2.

    `name` is the hold-down's own, without the part ("toe-clamp 2" for its arm and its body). `how`: "press"
    down on the wood at `at`; "push" sideways on it along the unit vector `way`; "carry" a push of the wood
    against `way` by contact, up to `force`; "shear": in the plane any way, up to `force`, spread over `area`
    (tape, a screw); "draw" down over `area` (vacuum). `lifts` is what it carries against lifting beyond that
    (tape peels, screws hold), 0 where nothing is known. `source` says where the force comes from, for the
    sheet. `outline` is what lies under the board (a strip, an area with its seal), () for what does not.
    `whole` is the hold-down's own force where `force` is only what of it counts for this board, else 0.
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
    outline: tuple[tuple[float, float], ...] = ()
    whole: float = 0.0

    @property
    def guessed(self) -> bool:
        """Whether its force is nobody's own: the source says so."""
        return GUESSED in self.source


@frozen
class ShimPlace:
    """A shim under the board."""

    board: str
    x: float
    y: float
    thickness: float


@frozen(eq=False)
class Lies:
    """How a board lies: `matrix` (4, 4) takes the board frame to the work frame, tilt included.

    `moved` is how far either face may have warped since the setup before, mm. `outline` (n, 2) is this board
    as it now is, work frame; None where it is the only one, and the setup's `wood_outline` is it.
    """

    board: str
    up: Literal["A", "B"]
    quarter_turns: int
    matrix: Floats
    moved: float = 0.0
    outline: Floats | None = None


On = Literal["bed", "fence", "fresh face", "fresh edge"]


@frozen
class Slid:
    """Position `number` of `count` of a board that is slid along x and cut in parts, mm.

    `by` is how far it was slid since the position before, to the right where positive; `shared` how much of
    what is cut already lies on the bed, `new` how much each position adds, `bears` how much of the board lies
    on the bed at all; `on` says what tells that it lies as before: "bed", "fence", or the "fresh face" or
    "fresh edge" alone; `reach` is between which work x the cutter's middle can go, and `then` the sentence
    for what is done before the board is slid on.
    """

    number: int
    count: int
    by: float
    shared: float
    new: float
    bears: float
    on: On
    reach: tuple[float, float]
    then: str = ""


@frozen
class Placing:
    """A distance to set with a tape: at `x`, from a line on the bed to the board, and the sentence for it."""

    x: float
    distance: float
    text: str


@frozen(eq=False)
class PlaneGoal:
    """Every point of the board in `region` (n, 2) ends at `z`."""

    board: str | None
    cut: str
    z: float
    region: Floats


@frozen(eq=False)
class WallGoal:
    """Seen along `path` (n, 2): no wood is cut on the `inside`, none is left within `clear` outside it."""

    board: str | None
    cut: str
    path: Floats
    inside: Literal["left", "right"]
    z: tuple[float, float]
    clear: float


Goal = PlaneGoal | WallGoal


@frozen(eq=False)
class FaceCut:
    """A face to cut down to `z` over `region` (n, 2), the whole board as it now is.

    `grid_x` (n,), `grid_y` (m,), `wood` (n, m): upper height of the wood over the region's bounding box,
    uncertainty already added, -inf where there is surely none; `ceiling` is its greatest value.
    Stepover and stepdown in mm; `light` is the last level's depth.

    Where clamps move while a face is cut, each of its regions is a cut of its own: `begin` says from which
    side across its passes it is cut, so that no pass is a slot; `around` (n, 2) is all the wood that lies
    there, which a cutter is lowered beside; `standing` names the solids that stand meanwhile (None: all of
    them); `seam` is how far, mm, it may stand off from the regions cut before the clamps moved. `also` names
    the other boards of a row that it passes over too. `to_rim`: the board is slid on after it, and the last
    pass clears all that its rim passes, beyond the region.
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
    begin: Literal["low", "high"] = "low"
    around: Floats | None = None
    standing: tuple[str, ...] | None = None
    seam: float = 0.0
    also: tuple[str, ...] = ()
    to_rim: bool = False

    def of(self, board: str) -> bool:
        """Say whether it cuts a board."""
        return board == self.board or board in self.also


@frozen(eq=False)
class EdgeCut:
    """A straight wall along `line` (2, 2), which spans the board's own wood, wood staying on `inside`.

    `waste` are the polygons (each (n, 2)) outside the line that are milled to chips, backing included; the
    cut goes from `ceiling` (highest wood, uncertainty added) down to `bottom` (below the board); `spring`
    takes the last pass once more at the same place. `between`: the pass that takes this wall takes another
    board's across the cutter too; the one that leads is laid, the one that follows is cut by it. `also` names
    the other boards of a row that the same line cuts. `wall` (n, 2) is the finished wall where it is hollow:
    it lies on the line at both its ends and inside it between; None where the line itself is the wall.
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
    spring: bool = False
    between: Literal["leads", "follows"] | None = None
    also: tuple[str, ...] = ()
    wall: Floats | None = None

    def of(self, board: str) -> bool:
        """Say whether it cuts a board."""
        return board == self.board or board in self.also


@frozen(eq=False)
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


@frozen(eq=False)
class Setup:
    """One clamping and the cuts made there, in order.

    `work_origin` is the work zero in the bed frame; `zero_z` and `zero_how` say where z is taken and how;
    `wood_outline` (n, 2) is the board, or the row of boards, as it now is and `wood_top` the highest wood
    with its uncertainty; `clear_z` is a height of the tip that is clear of everything that stands;
    `seat_check` are three heights to read after holding: (x, y, what it must read, within); `notes` are
    sentences for the sheet; `grips` say how the hold-downs among `solids`, and those that are none (tape,
    vacuum), hold; `slid` which position it is, where a board is too long for the machine, and `lowered` where
    (n, 2) its upper face has been cut already in the positions before, and how high it is there; `of` how
    many setups the job has.
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
    slid: Slid | None = None
    lowered: tuple[tuple[Floats, float], ...] = ()
    of: int = 1

    def outline_of(self, board: str) -> Floats:
        """Return the outline (n, 2) of one of its boards as it now is."""
        own = next((lie.outline for lie in self.lies if lie.board == board), None)
        return self.wood_outline if own is None else own
