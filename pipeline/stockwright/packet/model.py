"""packet.json as types. In: JSON text or plain values. Out: `Packet`, and its text again.

Promise: names and meaning are those of the published schema; fields that a later version adds are passed
over when reading; equal packets give equal bytes. mm, mm/min, rpm, degrees; work frame unless said.
"""

from __future__ import annotations

import itertools
import json
import math
from typing import Annotated, Any, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)

__all__ = [
    "Attached",
    "Beneath",
    "Cut",
    "Expected",
    "Finished",
    "Goal",
    "Lies",
    "Machine",
    "MadeWith",
    "MeasuredBoard",
    "Offcut",
    "Packet",
    "PacketFinding",
    "Part",
    "Placing",
    "PlaneGoal",
    "Position",
    "Program",
    "Proof",
    "Reason",
    "RecipeUsed",
    "Setup",
    "Share",
    "Shim",
    "Solid",
    "Tolerance",
    "Tool",
    "TouchOff",
    "Travel",
    "Verdict",
    "WallGoal",
    "Wanted",
    "Zero",
    "ZeroWrong",
    "dump_packet",
    "load_packet",
]

GRID_POINTS = 20_000  # the published bound on one board's readings
MOST_CORNERS = 20_000  # of one outline
FARTHEST = 1e6  # mm, of any place: ten times the longest length a document may say
GREATEST = 1e9  # of any other number, as in documents
CROSSED = 0.01  # mm2; what rounding to a nanometre can fold over along the longest outline stays far below
DECIMALS = 6  # a nanometre: far below any measure here, far above a float's noise


def _uncrossed(outline: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Refuse an outline that crosses itself: of such a one nobody can say what lies within."""
    import shapely

    polygon = shapely.Polygon(outline)
    if not polygon.is_valid:
        around = abs(
            math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in itertools.pairwise([*outline, outline[0]]))
        )
        within = shapely.make_valid(polygon).area
        # One that only touches itself, as rounded corners may, has the same area either way.
        if abs(around / 2 - within) > CROSSED:
            raise ValueError("the outline crosses itself")
    return outline


def _within(name: str) -> str:
    """Refuse a file's name that could lead out of the packet's folder, or to none."""
    from stockwright.packet.deliver import stays_inside

    stays_inside(name)
    return name


Verdict = Literal["proven", "unproven", "refused"]
Length = Annotated[float, Field(gt=0, le=GREATEST)]
NotBelow = Annotated[float, Field(ge=0, le=GREATEST)]
Place = Annotated[float, Field(ge=-FARTHEST, le=FARTHEST)]
Point2 = tuple[Place, Place]
Point3 = tuple[Place, Place, Place]
Outline = Annotated[list[Point2], Field(min_length=3, max_length=MOST_CORNERS), AfterValidator(_uncrossed)]
Row4 = tuple[Place, Place, Place, Place]
Matrix = tuple[Row4, Row4, Row4, Row4]
Span = tuple[Place, Place]
FileName = Annotated[str, Field(max_length=300), AfterValidator(_within)]


class Border(BaseModel):
    """What every part of a packet shares: unknown fields pass, no infinities, values do not change."""

    model_config = ConfigDict(
        extra="ignore", frozen=True, allow_inf_nan=False, populate_by_name=True, serialize_by_alias=True
    )


class MadeWith(Border):
    """The program that made the packet."""

    name: str
    version: str


class RecipeUsed(Border):
    """The recipe as read, parents included, and its digest ("sha256:...")."""

    name: str
    version: str
    digest: str


class Tolerance(Border):
    """What a finished piece may be out by, mm; None where nothing is asked."""

    length: NotBelow | None = None
    width: NotBelow | None = None
    thickness: NotBelow | None = None
    flatness: NotBelow | None = None
    parallelism: NotBelow | None = None
    squareness: NotBelow | None = None
    straightness: NotBelow | None = None


class Wanted(Border):
    """The finished size of one board, mm; None where nothing is asked.

    `hollow`: how far the middle of an edge lies inside the line of its ends on purpose; left out where it is
    straight.
    """

    length: Length | None = None
    width: Length | None = None
    thickness: Length | None = None
    tolerance: Tolerance = Tolerance()
    hollow: dict[Literal["edge-1", "edge-2"], NotBelow] = {}

    @model_serializer(mode="wrap")
    def _without_hollow(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        return plain if self.hollow else {key: value for key, value in plain.items() if key != "hollow"}


class MeasuredBoard(Border):
    """A board as measured, board frame: `top[i][j]` and `bottom[i][j]` at (`x[i]`, `y[j]`)."""

    outline: Outline
    holes: list[Outline] = []
    x: Annotated[list[Place], Field(min_length=1)]
    y: Annotated[list[Place], Field(min_length=1)]
    top: list[list[Place]]
    bottom: list[list[Place]]
    uncertainty: NotBelow

    @model_validator(mode="after")
    def _grid_fits(self) -> Self:
        if len(self.x) * len(self.y) > GRID_POINTS:
            raise ValueError(f"the grid has {len(self.x) * len(self.y)} points, {GRID_POINTS} at most")
        for name, stations in (("x", self.x), ("y", self.y)):
            if any(b <= a for a, b in itertools.pairwise(stations)):
                raise ValueError(f"{name} must rise strictly")
        for name, rows in (("top", self.top), ("bottom", self.bottom)):
            if len(rows) != len(self.x) or any(len(row) != len(self.y) for row in rows):
                raise ValueError(f"{name} must have {len(self.x)} rows of {len(self.y)} heights")
        return self


class Travel(Border):
    """Travel of the spindle nose, bed frame."""

    x: Span
    y: Span
    z: Span


class Attached(Border):
    """A thing that rides with the spindle; heights above the nose ("z") or above the bed ("gantry")."""

    name: str
    outline: Outline
    bottom: Annotated[Place, Field(alias="from")]
    top: Annotated[Place, Field(alias="to")]
    moves_with: Literal["z", "gantry"]
    soft: bool


class Machine(Border):
    """The machine's limits; `zero` is the machine frame's origin in the bed frame, if programs use it."""

    name: str
    travel: Travel
    zero: Point3 | None = None
    rapid: Length
    rapids: Literal["straight", "independent"]
    acceleration: Length
    max_feed: Length
    min_rpm: NotBelow
    max_rpm: Length
    power: NotBelow
    spoilboard: NotBelow
    margin: NotBelow
    attached: list[Attached] = []


class Part(Border):
    """One cylinder of a tool's assembly, heights above the tip."""

    diameter: Length
    bottom: Annotated[Place, Field(alias="from")]
    top: Annotated[Place, Field(alias="to")]


class Tool(Border):
    """A cutter as it sits in the spindle; `ramp`: steepest descent in wood, degrees (0: none).

    `deepest`: the thickest cut it may take at once, mm, None where nobody says; a strip no wider than `trim`
    may be thicker. `over_travel`: how far, mm, a touch probe gives after contact; left out for what is none.
    """

    number: int
    kind: str
    diameter: Length
    cutting_length: Length
    shank_diameter: Length
    overall_length: Length
    gripped: NotBelow
    stickout: Length
    marked_max_rpm: Length | None = None
    flutes: int
    centre_cutting: bool
    ramp: NotBelow
    deepest: Length | None = None
    trim: NotBelow = 0.0
    over_travel: NotBelow | None = None
    assembly: Annotated[list[Part], Field(min_length=1)]

    @model_serializer(mode="wrap")
    def _without_over_travel(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        if self.over_travel is None:
            plain.pop("over_travel", None)
        return plain

    @model_validator(mode="after")
    def _stack_rises(self) -> Self:
        if any(part.top <= part.bottom for part in self.assembly):
            raise ValueError("every part of the assembly must end above where it begins")
        return self


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

    `case`: z "kept" from the cutter `before`, taken "on-the-wood" or "on-the-support" instead, x and y
    "at-the-corner". `meets`: solids run into, first in the file `first`; `bed`: how deep the tip goes below
    the bed, `bed_allows`: how deep it may, `outline_bed`: how deep with the spindle off; `nut`: it meets
    wood; `stops`: the end of the travel that is run against.
    """

    case: Literal["kept", "on-the-wood", "on-the-support", "at-the-corner"]
    off: Point3
    tool: str
    before: str | None = None
    meets: list[str] = []
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
    beneath: list[Beneath] = []
    offcuts: list[Offcut] = []
    shims: list[Shim] = []
    placing: list[Placing] = []
    seat_check: list[Row4] = []
    notes: list[str] = []
    programs: list[Program]
    if_zero_wrong: list[ZeroWrong] = []
    position: Position | None = None

    @model_serializer(mode="wrap")
    def _without_position(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        if self.position is None:
            plain.pop("position", None)
        return plain


class PacketFinding(Border):
    """One check's result."""

    rule: str
    level: Literal["refuse", "warn", "note"]
    setup: int | None = None
    program: str | None = None
    at: Point3 | None = None
    measured: float | None = None
    limit: float | None = None
    message: str
    remedy: str


class Finished(Border):
    """What the proof's board measures at the end; None where it was not made or cannot be told."""

    length: Span | None = None
    width: Span | None = None
    thickness: Span | None = None
    flatness: dict[str, float | None] = {}
    parallelism: float | None = None
    squareness: dict[str, float | None] = {}
    straightness: dict[str, float | None] = {}


class Share(Border):
    """One cause's share of one measure, mm; `key` names its figure in the shop's document, "" for none."""

    key: str = ""
    words: str
    size: NotBelow
    kind: Literal["rectangular", "normal"]
    source: Literal["stated", "measured", "guess"]


class Expected(Border):
    """What one measure may be out by, from the machine's errors, mm, not from the simulated board.

    `of`: a face, a side, or "" for the whole; `asked`: the tolerance, None where nothing is asked; `expected`
    by the root sum of squares with k = 2, `worst` by the plain sum; `shares` largest first.
    """

    name: str
    of: str = ""
    asked: NotBelow | None = None
    expected: NotBelow
    worst: NotBelow
    shares: list[Share] = []


class Reason(Border):
    """Why a packet is not proven; `line` counts from 1, `block` is its text, `place` where it is in words.

    `at` is wherever the text leads, however far: a lost point may send a move kilometres away.
    """

    rule: str
    setup: int | None = None
    program: str | None = None
    line: int | None = None
    at: tuple[float, float, float] | None = None
    measured: float | None = None
    limit: float | None = None
    message: str
    block: str | None = None
    board: str | None = None
    place: str | None = None


class Proof(Border):
    """The verdict on what the text does; `cell` is the simulated board's cell, mm."""

    verdict: Verdict = "unproven"
    cell: Length = 1.0
    cannot_know: list[str] = []
    reasons: list[Reason] = []


class Packet(Border):
    """What a packet says about itself.

    `job`, `units`, `inch_as`, `paper`, `shim_stock` (mm) and `guesses` are for people; `again` says, oldest
    first, what was cut once more than the job asked; `said_otherwise` what the post could not say as meant;
    `expected`, by board, what the machine's errors let it be out by, which `finished`, from the simulated
    board, knows nothing of.
    The proof uses none of them.
    """

    packet_format: Literal[1] = 1
    job: str = ""
    units: Literal["mm", "inch"] = "mm"
    inch_as: Literal["decimals", "fractions"] = "decimals"
    paper: Literal["a4", "letter"] | None = None
    shim_stock: list[NotBelow] = []
    guesses: list[str] = []
    again: list[str] = []
    said_otherwise: list[str] = []
    made_with: MadeWith
    recipe: RecipeUsed
    wanted: dict[str, Wanted]
    boards: dict[str, MeasuredBoard]
    machine: Machine
    tools: dict[str, Tool]
    setups: list[Setup]
    findings: list[PacketFinding] = []
    finished: dict[str, Finished] = {}
    expected: dict[str, list[Expected]] = {}
    proof: Proof = Proof()

    @model_validator(mode="after")
    def _names_are_known(self) -> Self:
        wrong: list[str] = [f"wanted names the board {n!r}" for n in self.wanted if n not in self.boards]
        for setup in self.setups:
            where = f"setup {setup.index}"
            named = [lie.board for lie in setup.lies]
            named += [part.board for part in (*setup.cuts, *setup.goals) if part.board is not None]
            named += [offcut.board for offcut in setup.offcuts]
            wrong += [f"{where} names the board {n!r}" for n in named if n not in self.boards]
            known = {solid.name for solid in setup.solids}
            for program in setup.programs:
                if program.tool is not None and program.tool not in self.tools:
                    wrong.append(f"{program.file} names the tool {program.tool!r}")
                wrong += [f"{program.file} names the solid {n!r}" for n in program.standing if n not in known]
        if wrong:
            raise ValueError("; ".join(f"{text}, which is not in the packet" for text in wrong))
        from stockwright.packet.deliver import one_elsewhere

        files = [program.file for setup in self.setups for program in setup.programs]
        if len(set(files)) < len(files) or one_elsewhere(files):
            raise ValueError("two programs have one file")
        return self


def dump_packet(packet: Packet) -> str:
    """Write a packet as JSON text: keys sorted, floats to six decimals, lists of numbers on one line."""
    plain = _rounded(packet.model_dump(mode="json", by_alias=True))
    return "".join(_lines(plain, "")) + "\n"


def load_packet(text: str) -> Packet:
    """Read a packet's JSON text.

    Raises `pydantic.ValidationError` (a `ValueError`) listing everything that does not fit.
    """
    return Packet.model_validate_json(text)


def _rounded(value: Any) -> Any:
    """Give plain values with every float rounded and no negative zero."""
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("a packet holds finite numbers only")
        return round(value, DECIMALS) + 0.0
    if isinstance(value, dict):
        return {key: _rounded(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_rounded(part) for part in value]
    return value


def _lines(value: Any, indent: str) -> list[str]:
    """Lay out JSON: objects over lines, lists that hold no object on one."""
    deeper = indent + "  "
    if isinstance(value, dict) and value:
        parts = [[f"{deeper}{_flat(key)}: ", *_lines(value[key], deeper)] for key in sorted(value)]
        return ["{\n", ",\n".join("".join(part) for part in parts), f"\n{indent}}}"]
    if isinstance(value, list) and any(isinstance(part, dict) for part in value):
        parts = [[deeper, *_lines(part, deeper)] for part in value]
        return ["[\n", ",\n".join("".join(part) for part in parts), f"\n{indent}]"]
    return [_flat(value)]


def _flat(value: Any) -> str:
    return json.dumps(value, allow_nan=False, ensure_ascii=False, sort_keys=True)
