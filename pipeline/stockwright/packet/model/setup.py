"""A packet's setups: how boards lie, what stands, what each cut must come to, which files are run.

mm, mm/min, work frame unless said.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer, model_validator

from stockwright.packet.model.border import (
    Border,
    FileName,
    Matrix,
    NotBelow,
    Outline,
    Place,
    Point2,
    Point3,
    Row4,
    Span,
    Verdict,
)

__all__ = [
    "Beneath",
    "Cut",
    "FeedRange",
    "Goal",
    "Lies",
    "Offcut",
    "Placing",
    "PlaneGoal",
    "Position",
    "Program",
    "Setup",
    "Shim",
    "Solid",
    "TouchOff",
    "WallGoal",
    "Zero",
    "ZeroWrong",
]


class Cut(Border):
    """One cut of a setup; `board` is None for the name "bed"."""

    board: str | None = None
    name: str


class Lies(Border):
    """How a board lies; `matrix` takes the board frame to the work frame.

    `moved`: how far, mm, either face may have warped since the setup before; left out where it has not
    rested.
    """

    board: str
    up: Literal["A", "B", "edge-1", "edge-2"]
    quarter_turns: Annotated[int, Field(ge=0, le=3)]
    matrix: Matrix
    moved: Annotated[float, Field(ge=0)] = 0.0

    @model_serializer(mode="wrap")
    def _without_rest(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        return plain if self.moved else {key: value for key, value in plain.items() if key != "moved"}


class Zero(Border):
    """Where the operator touches off; `how` is a sentence."""

    x: Place | str
    y: Place | str
    z: Literal["support", "bed", "stock-top"]
    how: str


class PlaneGoal(Border):
    """Every point of the board in `region` ends at `z`."""

    kind: Literal["plane"] = "plane"
    board: str | None = None
    cut: str
    z: Place
    region: Outline


class WallGoal(Border):
    """Seen along `path`: no wood is cut on the `inside`, none is left within `clear` outside it."""

    kind: Literal["wall"] = "wall"
    board: str | None = None
    cut: str
    path: Annotated[list[Point2], Field(min_length=2)]
    inside: Literal["left", "right"]
    z: Span
    clear: NotBelow

    @model_validator(mode="after")
    def _leads_somewhere(self) -> Self:
        if self.path[0] == self.path[-1]:  # a side is known by the way from its first place to its last
            raise ValueError("a wall's path ends where it begins")
        return self


Goal = Annotated[PlaneGoal | WallGoal, Field(discriminator="kind")]


class Solid(Border):
    """Something that stands; the cutting part may enter it above `may_cut_to` (None: never)."""

    name: str
    kind: str
    outline: Outline
    bottom: Place
    top: Place
    may_cut_to: Place | None = None


class Beneath(Border):
    """What lies between board and bed and holds: a strip of tape, an area of vacuum with its seal."""

    name: str
    kind: Literal["tape", "vacuum"]
    outline: Outline


class Offcut(Border):
    """Waste that stays whole: held by the named solids, or by a skin."""

    board: str
    outline: Outline
    held_by: list[str] | Literal["skin"]


class Shim(Border):
    """A shim under a board."""

    board: str
    x: Place
    y: Place
    thickness: NotBelow


class Placing(Border):
    """Two distances from a line on the bed, and the sentence that says how to set them."""

    x: Place
    y: Place
    text: str


class TouchOff(Border):
    """How z is taken before a program."""

    z: Literal["support", "bed", "stock-top"]
    how: str


class FeedRange(Border):
    """How far the feed may be turned at the machine, as shares of the programmed one.

    `below` and `above` say what happens beyond either end.
    """

    low: NotBelow
    high: NotBelow
    below: str
    above: str


class Program(Border):
    """One file, in the order they are run. `reader` names the proving reader; without it, `post` does.

    `title` is for people; `done`: it has been run, and stands here so that the proof knows the wood;
    `override` is what the check stage worked out, which no proof needs.
    """

    file: FileName
    title: str = ""
    done: bool = False
    purpose: Literal["outline", "cut", "probe"]
    tool: str | None = None
    post: str
    reader: str | None = None
    touch_off: TouchOff
    digest: str
    seconds: NotBelow
    blocks: Annotated[int, Field(ge=0)]
    standing: list[str]
    override: FeedRange | None = None
    verdict: Verdict = "unproven"


class ZeroWrong(Border):
    """What a zero wrongly taken does in a setup, mm: every move is `off` from where it belongs.

    `case`: z "kept" from the cutter `before`, taken "on-the-wood", "on-the-support", "on-the-bed" below
    risers or "on-a-riser" instead, x and y "at-the-corner". `meets`: solids run into, first in the file
    `first`; `bed`: how deep the tip goes below the bed, `bed_allows`: how deep it may, `outline_bed`: how
    deep with the spindle off; `nut`: it meets wood; `stops`: the end of the travel that is run against.
    """

    case: Literal["kept", "on-the-wood", "on-the-support", "on-the-bed", "on-a-riser", "at-the-corner"]
    off: Point3
    tool: str
    before: str | None = None
    meets: list[str] = Field(default=[])
    first: str | None = None
    bed: NotBelow = 0.0
    bed_allows: NotBelow = 0.0
    outline_bed: NotBelow = 0.0
    nut: bool = False
    stops: Literal["", "upper", "lower", "side"] = ""


class Position(Border):
    """Position `number` of `count` of a board too long for the machine, slid by `by` mm since the last.

    `reach`: between which work x the cutter's middle can go; `then`: what is done before it is slid on.
    """

    number: Annotated[int, Field(ge=1)]
    count: Annotated[int, Field(ge=1)]
    by: Place
    reach: Span
    then: str = ""


class Setup(Border):
    """One clamping. `seat_check`: places x, y and what the upper face must read there, within how much.

    `position`: which of several along one board it is; left out where a board is cut in one place.
    """

    index: int
    title: str
    cuts: list[Cut]
    lies: list[Lies]
    work_origin: Point3
    zero: Zero
    goals: list[Goal]
    solids: list[Solid]
    beneath: list[Beneath] = Field(default=[])
    offcuts: list[Offcut] = Field(default=[])
    shims: list[Shim] = Field(default=[])
    placing: list[Placing] = Field(default=[])
    seat_check: list[Row4] = Field(default=[])
    notes: list[str] = Field(default=[])
    programs: list[Program]
    if_zero_wrong: list[ZeroWrong] = Field(default=[])
    position: Position | None = None

    @model_serializer(mode="wrap")
    def _without_position(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        if self.position is None:
            plain.pop("position", None)
        return plain
