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
    BaseModel,
    ConfigDict,
    Field,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)

__all__ = [
    "Attached",
    "Cut",
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
    "Program",
    "Proof",
    "Reason",
    "RecipeUsed",
    "Setup",
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
    "dump_packet",
    "load_packet",
]

Verdict = Literal["proven", "unproven", "refused"]
Length = Annotated[float, Field(gt=0)]
NotBelow = Annotated[float, Field(ge=0)]
Point2 = tuple[float, float]
Point3 = tuple[float, float, float]
Outline = Annotated[list[Point2], Field(min_length=3)]
Row4 = tuple[float, float, float, float]
Matrix = tuple[Row4, Row4, Row4, Row4]
Span = tuple[float, float]

GRID_POINTS = 20_000  # the published bound on one board's readings
DECIMALS = 6  # a nanometre: far below any measure here, far above a float's noise


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
    """The finished size of one board, mm; None where nothing is asked."""

    length: Length | None = None
    width: Length | None = None
    thickness: Length | None = None
    tolerance: Tolerance = Tolerance()


class MeasuredBoard(Border):
    """A board as measured, board frame: `top[i][j]` and `bottom[i][j]` at (`x[i]`, `y[j]`)."""

    outline: Outline
    holes: list[Outline] = []
    x: Annotated[list[float], Field(min_length=1)]
    y: Annotated[list[float], Field(min_length=1)]
    top: list[list[float]]
    bottom: list[list[float]]
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
    bottom: Annotated[float, Field(alias="from")]
    top: Annotated[float, Field(alias="to")]
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
    bottom: Annotated[float, Field(alias="from")]
    top: Annotated[float, Field(alias="to")]


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

    x: float | str
    y: float | str
    z: Literal["support", "bed", "stock-top"]
    how: str


class PlaneGoal(Border):
    """Every point of the board in `region` ends at `z`."""

    kind: Literal["plane"] = "plane"
    board: str | None = None
    cut: str
    z: float
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
    """Something that stands: a prism; the cutting part may enter it above `may_cut_to` (None: never)."""

    name: str
    kind: str
    outline: Outline
    bottom: float
    top: float
    may_cut_to: float | None = None


class Offcut(Border):
    """Waste that stays whole: held by the named solids, or by a skin."""

    board: str
    outline: Outline
    held_by: list[str] | Literal["skin"]


class Shim(Border):
    """A shim under a board."""

    board: str
    x: float
    y: float
    thickness: NotBelow


class Placing(Border):
    """Two distances from a line on the bed, and the sentence that says how to set them."""

    x: float
    y: float
    text: str


class TouchOff(Border):
    """How z is taken before a program."""

    z: Literal["support", "bed", "stock-top"]
    how: str


class Program(Border):
    """One file, in the order they are run. `reader` names the proving reader; without it, `post` does.

    `title` is for people; `done`: it has been run, and stands here so that the proof knows the wood.
    """

    file: str
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
    verdict: Verdict = "unproven"


class Setup(Border):
    """One clamping. `seat_check`: places x, y and what the upper face must read there, within how much."""

    index: int
    title: str
    cuts: list[Cut]
    lies: list[Lies]
    work_origin: Point3
    zero: Zero
    goals: list[Goal]
    solids: list[Solid]
    offcuts: list[Offcut] = []
    shims: list[Shim] = []
    placing: list[Placing] = []
    seat_check: list[Row4] = []
    notes: list[str] = []
    programs: list[Program]


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


class Reason(Border):
    """Why a packet is not proven; `line` counts from 1."""

    rule: str
    setup: int | None = None
    program: str | None = None
    line: int | None = None
    at: Point3 | None = None
    measured: float | None = None
    limit: float | None = None
    message: str


class Proof(Border):
    """The verdict on what the text does; `cell` is the simulated board's cell, mm."""

    verdict: Verdict = "unproven"
    cell: Length = 1.0
    cannot_know: list[str] = []
    reasons: list[Reason] = []


class Packet(Border):
    """What a packet says about itself.

    `job`, `units`, `shim_stock` (mm) and `guesses` are for people; `again` says, oldest first, what was cut
    once more than the job asked. The proof uses none of them.
    """

    packet_format: Literal[1] = 1
    job: str = ""
    units: Literal["mm", "inch"] = "mm"
    shim_stock: list[NotBelow] = []
    guesses: list[str] = []
    again: list[str] = []
    made_with: MadeWith
    recipe: RecipeUsed
    wanted: dict[str, Wanted]
    boards: dict[str, MeasuredBoard]
    machine: Machine
    tools: dict[str, Tool]
    setups: list[Setup]
    findings: list[PacketFinding] = []
    finished: dict[str, Finished] = {}
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
