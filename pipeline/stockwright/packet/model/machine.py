"""A packet's machine and cutters: physical facts, as the proof takes them. mm, mm/min, rpm, W; bed frame."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer, model_validator

from stockwright.packet.model.border import Border, Length, NotBelow, Outline, Place, Point3, Span

__all__ = [
    "Attached",
    "Control",
    "Machine",
    "Part",
    "Tool",
    "Travel",
]


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


class Control(Border):
    """What a control takes of a program, as its post says; None: all that the post's reader knows.

    `line_length`: characters of a line without its end; `line_number`: the highest N; `file_bytes` and
    `file_lines`: of a whole file. `comments`: whether there may be any; `characters` of them: "plain",
    "capitals" and digits and . + - /, or "bare" capitals and digits, and then words are capitals as well.
    `points`: a place or a length has a decimal point. `modes` are said before the first move, each of them;
    `words`: the codes that it knows, beside moves, spindle and end; empty: any. `spin_up`: seconds that a
    program waits between starting the spindle and the first cut; `names_tool`: it asks for its cutter first.
    """

    line_length: Annotated[int, Field(ge=1)] | None = None
    line_number: Annotated[int, Field(ge=0)] | None = None
    file_bytes: Annotated[int, Field(ge=1)] | None = None
    file_lines: Annotated[int, Field(ge=1)] | None = None
    comments: bool = True
    characters: Literal["plain", "capitals", "bare"] = "plain"
    points: bool = False
    modes: list[str] = Field(default=[])
    words: list[str] = Field(default=[])
    spin_up: NotBelow = 0.0
    names_tool: bool = False


class Machine(Border):
    """The machine's limits; `zero` is the machine frame's origin in the bed frame, if programs use it.

    `controls`: what its control takes, by the post that programs are written with; left out if nobody says.
    """

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
    attached: list[Attached] = Field(default=[])
    controls: dict[str, Control] = Field(default={})

    @model_serializer(mode="wrap")
    def _without_what_nobody_says(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        if not self.controls:
            plain.pop("controls", None)
        return plain


class Part(Border):
    """One cylinder of a tool's assembly, heights above the tip."""

    diameter: Length
    bottom: Annotated[Place, Field(alias="from")]
    top: Annotated[Place, Field(alias="to")]


class Tool(Border):
    """A cutter as it sits in the spindle; `ramp`: steepest descent in wood, degrees (0: none).

    `deepest`: the thickest cut it may take at once, mm, None where nobody says; a strip no wider than `trim`
    may be thicker. `over_travel`: how far, mm, a touch probe gives after contact. It is left out for what is
    none, and `corner_radius` for square corners.
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
    corner_radius: NotBelow = 0.0
    assembly: Annotated[list[Part], Field(min_length=1)]

    @model_serializer(mode="wrap")
    def _without_what_is_none(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        if self.over_travel is None:
            plain.pop("over_travel", None)
        if not self.corner_radius:
            plain.pop("corner_radius", None)
        return plain

    @model_validator(mode="after")
    def _stack_rises(self) -> Self:
        if any(part.top <= part.bottom for part in self.assembly):
            raise ValueError("every part of the assembly must end above where it begins")
        if self.corner_radius > self.diameter / 2:
            raise ValueError("corners cannot be rounder than the cutter is")
        return self
